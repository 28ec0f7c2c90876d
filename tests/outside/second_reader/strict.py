"""What everything is made of, as strict as the document: base64url, JSON, lines, instants, leaf hashes."""

import base64
import json
import math
import re
from datetime import UTC, datetime
from hashlib import sha256
from typing import Any

_STRINGS = re.compile(r'"(?:[^"\\]|\\.)*"', re.DOTALL)


class Refusal(Exception):
    """A file that fails a test; `code` names the test."""

    def __init__(self, code: str) -> None:
        super().__init__(code)
        self.code = code


def need(holds: object, code: str) -> None:
    """Refuse under a code unless something holds."""
    if not holds:
        raise Refusal(code)


def is_like(pattern: str, value: object) -> bool:
    return isinstance(value, str) and re.fullmatch(pattern, value) is not None


def is_hash(value: object) -> bool:
    return is_like("[0-9a-f]{64}", value)


def is_book(value: object) -> bool:
    return is_like("b[0-9a-f]{16}", value)


def is_count(value: object, least: int) -> bool:
    return type(value) is int and value >= least


def leaf_hash(text: str) -> bytes:
    return sha256(b"\x00" + text.encode()).digest()


def from_base64url(text: str, code: str) -> bytes:
    """Decode what an encoder would have written just so."""
    need(is_like("[A-Za-z0-9_-]*", text) and len(text) % 4 != 1, code)
    data = base64.urlsafe_b64decode(text + "=" * (-len(text) % 4))
    need(to_base64url(data) == text, code)
    return data


def to_base64url(data: bytes) -> str:
    return base64.urlsafe_b64encode(data).decode().rstrip("=")


def from_json(data: bytes, depth: int, code: str, rules: int = 2) -> Any:
    """Read JSON with at most so many brackets inside one another; by rules 1 only no member stands twice."""
    try:
        text = data.decode("utf-8")
        if rules == 1:
            return json.loads(text, object_pairs_hook=_once)
        need(_depth(text) <= depth, code)
        value = json.loads(
            text,
            object_pairs_hook=_once,
            parse_int=_integer,
            parse_float=_number,
            parse_constant=_number,
        )
    except (ValueError, RecursionError) as error:
        raise Refusal(code) from error
    need(_is_clean(value), code)
    return value


def _depth(text: str) -> int:
    now = most = 0
    for bracket in re.findall(r"[\[{}\]]", _STRINGS.sub("", text)) if re.search(r"[\[{]", text) else ():
        now += 1 if bracket in "[{" else -1
        most = max(most, now)
    return most


def _once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    if len({name for name, _ in pairs}) < len(pairs):
        raise ValueError("twice")
    return dict(pairs)


def _integer(digits: str) -> int:
    if len(digits) > 20 or abs(int(digits)) >= 2**53:
        raise ValueError("too large")
    return int(digits)


def _number(digits: str) -> float:
    if len(digits) > 400 or not math.isfinite(float(digits)):
        raise ValueError("too large")
    return float(digits)


def _is_clean(value: Any) -> bool:
    if isinstance(value, dict):
        return _is_clean([*value, *value.values()])
    if isinstance(value, list):
        return all(map(_is_clean, value))
    return not isinstance(value, str) or re.search("[\0\ud800-\udfff]", value) is None


def from_line(raw: bytes) -> dict[str, Any]:
    """The object of a line, which is written in its one form; `raw` holds its line feed."""
    value = from_json(raw, 4, "json")
    need(isinstance(value, dict), "json")
    written = json.dumps(value, ensure_ascii=False, sort_keys=True, separators=(",", ":")) + "\n"
    need(written.encode() == raw and not _has_fraction(value), "canonical")
    return dict(value)


def _has_fraction(value: Any) -> bool:
    inside = value.values() if isinstance(value, dict) else value if isinstance(value, list) else ()
    return isinstance(value, float) or any(map(_has_fraction, inside))


def is_moment(text: str) -> bool:
    """Whether a text of the right form says, in ASCII, a day and perhaps a time that the calendar has."""
    try:
        numbers = map(int, re.findall(r"\d+", text))
        year, month, day, hour, minute, second = (*numbers, 0, 0, 0)[:6]
        return text.isascii() and bool(datetime(year, month, day, hour, minute, second, tzinfo=UTC))
    except ValueError:
        return False
