"""The lines of an export as canonical JSON objects, counted."""

import re
from collections.abc import Iterable, Iterator
from typing import Any

from seamwalk.book.export import line
from seamwalk.book.json_text import read_json
from seamwalk.errors import BookError

REMEDY = "Do not rely on this file; ask whoever keeps the book for a new export."
# an excerpt's entries, each with a path, are the deepest
_MAX_DEPTH = 4
_BOOK = re.compile(r"b[0-9a-f]{16}")


class ExportReader:
    """Lines as canonical JSON objects, counted from 1."""

    def __init__(self, lines: Iterable[bytes]) -> None:
        self._lines: Iterator[bytes] = iter(lines)
        self.number = 0

    def next(self, *choices: tuple[str, ...]) -> dict[str, Any]:
        """The next line, whose members must be just those of one of these choices; raise BookError."""
        raw = next(self._lines, None)
        self.number += 1
        if raw is None:
            raise BookError("the file ends too early", REMEDY, "ends_early")
        value = canonical(raw)
        if tuple(sorted(value)) not in choices:
            wanted = " or ".join(", ".join(keys) for keys in choices)
            raise BookError(f"a line with {wanted} is needed here", REMEDY, "line")
        return value

    def end(self) -> None:
        """Make sure that nothing follows."""
        if next(self._lines, None) is not None:
            self.number += 1
            raise BookError("more lines than the file says it has", REMEDY, "ends_late")


def canonical(raw: bytes) -> dict[str, Any]:
    """Read a line that is a JSON object in the one form that it has here; raise BookError."""
    try:
        value = read_json(raw, _MAX_DEPTH)
    except BookError as error:
        raise BookError(error.message, REMEDY, "json") from error
    if not isinstance(value, dict):
        raise BookError("a JSON object is needed", REMEDY, "json")
    if _has_fraction(value) or line(value).encode() != raw:
        raise BookError("not written in the one form that it has", REMEDY, "canonical")
    return value


def _has_fraction(value: Any) -> bool:
    """Whether a number anywhere in a value was written with a fraction or an exponent, as none is here."""
    if isinstance(value, dict):
        return any(map(_has_fraction, value.values()))
    return any(map(_has_fraction, value)) if isinstance(value, list) else isinstance(value, float)


def is_count(value: object, least: int = 0) -> bool:
    """Whether a JSON value is a whole number from `least` on; true and 1.0 are none."""
    return type(value) is int and value >= least


def is_book(value: object) -> bool:
    """Whether a JSON value is the id of a book."""
    return isinstance(value, str) and _BOOK.fullmatch(value) is not None
