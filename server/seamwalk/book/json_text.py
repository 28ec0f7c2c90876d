"""JSON from outside under one set of rules: text (RFC 8259) that every reader takes for the same value.

Refused: bytes that are not UTF-8, nesting beyond a bound, a member that stands twice, NaN and Infinity,
integers that a double does not hold (RFC 7493, 2.2), numbers that overflow one, NUL and lone surrogates in
any string.
"""

import json
import re
from array import array
from collections.abc import Iterator
from itertools import accumulate
from typing import Any

from seamwalk.errors import BookError

MAX_INTEGER = 2**53 - 1
MAX_DIGITS = 400
_REMEDY = "Send JSON that keeps to the rules of the book's format."
# from a quote to its closing quote, or to the end where none closes it: every byte is looked at once
_STRING = re.compile(rb'"[^"\\]*+(?:\\.[^"\\]*+)*+"?', re.DOTALL)
_STEPS = bytes.maketrans(b"[{]}", b"\x01\x01\xff\xff")
_NO_BRACKET = bytes(set(range(256)) - set(b"[{]}"))
_BAD_CHARACTER = re.compile("[\0\ud800-\udfff]")
# bytes in UTF-8 hold neither by themselves: only an escape can bring them in
_PERHAPS_BAD = re.compile(rb"\\u(?:0000|[dD][89a-fA-F])")


def read_json(data: bytes, max_depth: int) -> Any:
    """Read one JSON value nested at most `max_depth` deep (a bare value is 0 deep); raise BookError.

    Linear in the length of `data`, which the caller bounds; the depth is looked at before anything is parsed.
    """
    check_depth(data, max_depth)
    try:
        value = _DECODER.decode(data.decode("utf-8"))
    except ValueError as error:
        raise BookError(f"not JSON ({error})", _REMEDY) from error
    if _PERHAPS_BAD.search(data):
        check_characters(value)
    return value


def check_depth(data: bytes, max_depth: int) -> None:
    """Raise BookError if brackets outside strings ever stand more than `max_depth` deep."""
    if data.count(b"[") + data.count(b"{") <= max_depth:
        return
    brackets = _STRING.sub(b"", data).translate(_STEPS, _NO_BRACKET)
    if max(accumulate(array("b", brackets)), default=0) > max_depth:
        raise BookError(f"nested more than {max_depth} deep", _REMEDY)


def check_characters(value: Any) -> None:
    """Raise BookError if a string or a name anywhere in a JSON value holds NUL or a lone surrogate."""
    if not all(map(is_clean, _strings(value))):
        raise BookError("a string holds NUL or a lone surrogate", _REMEDY)


def is_clean(text: str) -> bool:
    """Whether a text holds neither NUL nor a lone surrogate: every database and reader can take it."""
    return _BAD_CHARACTER.search(text) is None


def _strings(value: Any) -> Iterator[str]:
    waiting = [value]
    while waiting:
        item = waiting.pop()
        if isinstance(item, str):
            yield item
        elif isinstance(item, list):
            waiting.extend(item)
        elif isinstance(item, dict):
            waiting.extend(item)
            waiting.extend(item.values())


def no_twice(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    """The object of these members; raise ValueError if one stands twice."""
    made = dict(pairs)
    if len(made) != len(pairs):
        raise ValueError("a member stands twice")
    return made


def _integer(digits: str) -> int:
    number = int(digits) if len(digits) < 18 else MAX_INTEGER + 1
    if not -MAX_INTEGER <= number <= MAX_INTEGER:
        raise ValueError("an integer is beyond 2^53 - 1")
    return number


def _finite(digits: str) -> float:
    number = float(digits) if len(digits) <= MAX_DIGITS else float("inf")
    if number in (float("inf"), float("-inf")):
        raise ValueError("a number is too large or too long")
    return number


def _no_constant(name: str) -> None:
    raise ValueError(f"{name} is not a number")


_DECODER = json.JSONDecoder(
    object_pairs_hook=no_twice, parse_int=_integer, parse_float=_finite, parse_constant=_no_constant
)
