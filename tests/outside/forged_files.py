"""Forged files: lines that do not fit a book that is good, or are not written as lines are."""

import json
from collections.abc import Iterator
from hashlib import sha256
from typing import Any

from forge import (
    BOOK,
    Forge,
    Forgery,
    entry_id,
    line,
    other_form,
)

Lines = list[bytes]
HASH = "0" * 64


def files(book: Forge) -> Iterator[Forgery]:
    """One change of the lines of a good export."""
    for group in (_lines, _forms, _first_lines, _leaves):
        for name, code, lines in group(book):
            yield Forgery(name, code, b"".join(lines))
    yield Forgery("accepted: the owner who is trusted", "", book.file(), trusted=book.owner.thumbprint)
    for name, key in (
        ("the phone", book.phone),
        ("a stranger", book.stranger),
        ("the head's key", book.head),
    ):
        yield Forgery(f"trusted is {name}", "owner", book.file(), trusted=key.thumbprint)


def _line(**members: Any) -> bytes:
    return line(members).encode()


def _lines(book: Forge) -> Iterator[tuple[str, str, Lines]]:
    good, size = book.lines(), len(book.entries)
    first, opened, admitted, found, head, blob = good
    assert size == 3
    yield "accepted: nothing is changed", "", good
    yield "entries change places", "unknown_device", [first, opened, found, admitted, head, blob]
    more = book.also(book.text(), book.text(book.payload(n=3))).lines()
    yield "two findings change places", "root", [*more[:4], more[5], more[4], *more[6:]]
    yield "the opening is left out", "unknown_device", [first, *good[2:]]
    yield "an entry is left out", "line", [*good[:3], *good[4:]]
    yield "an entry comes twice", "line", [*good[:4], *good[3:]]
    yield "an entry instead of another", "root", [*good[:3], _line(entry=book.text()), head, blob]
    yield (
        "an entry in its other form under a head",
        "root",
        [*good[:3], _line(entry=other_form(book.entries[2])), head, blob],
    )
    yield "the head is left out", "line", [*good[:4], blob]
    yield "the head comes twice", "line", [*good[:5], head, blob]
    yield "the head before the last entry", "line", [*good[:3], head, found, blob]
    yield "the blob before the head", "line", [*good[:4], blob, head]
    yield "the blob is left out", "ends_early", good[:-1]
    yield "the first line alone", "ends_early", good[:1]
    yield "nothing at all", "ends_early", []
    yield "without the first line", "line", good[1:]
    yield "the blob twice", "ends_late", [*good, blob]
    yield "an empty line after it", "ends_late", [*good, b"\n"]
    yield "another book after it", "ends_late", [*good, *good]
    yield "an empty line within", "json", [*good[:3], b"\n", *good[3:]]


def _forms(book: Forge) -> Iterator[tuple[str, str, Lines]]:
    good = book.lines()
    for name, code, change in _CHANGES:
        for at in (0, 2, 4):
            changed = change(good[at])
            if changed != good[at]:
                yield f"line {at + 1} {name}", code, [*good[:at], changed, *good[at + 1 :]]
    yield "no line break at the end", "canonical", [*good[:-1], good[-1].rstrip()]
    text = good[2].decode()
    yield (
        "a slash too many",
        "canonical",
        [*good[:2], text.replace('"entry"', '"entr\\u0079"').encode(), *good[3:]],
    )
    yield "a member twice", "json", [*good[:2], text.replace('{"', '{"entry":"x","').encode(), *good[3:]]
    yield "a member more", "line", [*good[:2], _line(entry=book.entries[1], note=1), *good[3:]]
    yield "5 deep", "json", [*good[:2], _line(entry=[[[[]]]]), *good[3:]]
    yield "1,000,000 deep", "json", [*good[:2], b"[" * 1_000_000 + b"\n", *good[3:]]


_CHANGES: list[tuple[str, str, Any]] = [
    ("with a space", "canonical", lambda raw: raw.replace(b":", b": ", 1)),
    ("with CR LF", "canonical", lambda raw: raw.replace(b"\n", b"\r\n")),
    ("after a space", "canonical", lambda raw: b" " + raw),
    ("after a byte order mark", "json", lambda raw: b"\xef\xbb\xbf" + raw),
    ("in a list", "json", lambda raw: b"[" + raw.strip() + b"]\n"),
    ("twice in a line", "json", lambda raw: raw.strip() + raw),
    ("with a comma at its end", "json", lambda raw: raw.replace(b"}", b",}")),
    ("not UTF-8", "json", lambda raw: raw.replace(b'{"', b'{"\xff', 1)),
    ("with NUL in a name", "json", lambda raw: raw.replace(b'{"', b'{"\\u0000', 1)),
    ("with a lone surrogate in a name", "json", lambda raw: raw.replace(b'{"', b'{"\\ud800', 1)),
    ("with a null", "json", lambda raw: b"null\n"),
    ("with NaN", "json", lambda raw: b'{"entry":NaN}\n'),
]


def _first_lines(book: Forge) -> Iterator[tuple[str, str, Lines]]:
    good = book.lines()
    told = {"blobs": 1, "book": BOOK, "epoch": 1, "seamwalk_export": 2, "size": 3}
    for member, code, values in _FIRST:
        for value in values:
            first = _line(**told | {member: value})
            yield f"first line: {member} {value!r}", code, [first, *good[1:]]
    for member in told:
        others = {name: value for name, value in told.items() if name != member}
        yield f"first line: no {member}", "line", [_line(**others), *good[1:]]
    yield "first line: a member more", "line", [_line(**told, title="T"), *good[1:]]
    order = json.dumps(dict(reversed(told.items())), separators=(",", ":")).encode() + b"\n"
    yield "first line: another order", "canonical", [order, *good[1:]]
    for text, code in (
        (b"3.0", "canonical"),
        (b"3e0", "canonical"),
        (b"03", "json"),
        (b"-0", "canonical"),
        (b"1" * 9000, "json"),
    ):
        yield (
            f"first line: size {text[:9]!r}",
            code,
            [good[0].replace(b'"size":3', b'"size":' + text), *good[1:]],
        )


_FIRST: list[tuple[str, str, tuple[Any, ...]]] = [
    ("seamwalk_export", "version", (0, 3, -1, True, "2", None)),
    ("blobs", "header_line", (-1, True, "1", None)),
    ("epoch", "header_line", (0, -1, True, "1", None)),
    ("size", "header_line", (0, -3, True, "3", None)),
    ("book", "header_line", ("", "b0123456789ABCDEF", BOOK + "\n", 5, None)),
    ("book", "wrong_book", ("b" + "f" * 16,)),
    ("size", "line", (2, 4)),
    ("size", "line", (2**53 - 1,)),
    ("size", "json", (2**53,)),
    ("blobs", "ends_early", (2, 2**53 - 1)),
    ("blobs", "ends_late", (0,)),
    ("epoch", "head_claim", (2,)),
]


def _leaves(book: Forge) -> Iterator[tuple[str, str, Lines]]:
    good, ids = book.lines(), book.ids()
    value: object
    for value in (HASH[:-1], HASH + "0", ids[2].upper(), ids[2] + "\n", 5, None, [], book.entries[2]):
        yield f"leaf: {str(value)[:9]!r}", "leaf", [*good[:3], _line(leaf=value), *good[4:]]
    yield "accepted: a bare leaf", "", [*good[:3], _line(leaf=ids[2]), *good[4:]]
    yield "leaf: another", "root", [*good[:3], _line(leaf=HASH), *good[4:]]
    yield (
        "leaf: of the other form",
        "root",
        [*good[:3], _line(leaf=entry_id(other_form(book.entries[2]))), *good[4:]],
    )
    yield (
        "leaf: without its prefix",
        "root",
        [
            *good[:3],
            _line(leaf=sha256(book.entries[2].encode()).hexdigest()),
            *good[4:],
        ],
    )
    yield "leaf: the one before, again", "twin", [*good[:3], _line(leaf=ids[1]), *good[4:]]
    again = book.also(book.entries[2]).lines()
    yield "leaf: and its entry after it", "twin", [*again[:3], _line(leaf=ids[2]), *again[4:]]
    yield "leaf: the opening", "line", [good[0], _line(leaf=ids[0]), *good[2:]]
    yield "leaf: an admission that is needed", "unknown_device", [*good[:2], _line(leaf=ids[1]), *good[3:]]
    yield "leaf: beside an entry", "line", [*good[:3], _line(entry=book.entries[2], leaf=ids[2]), *good[4:]]
    old = good[0].replace(b'export":2', b'export":1')
    yield "leaf: in version 1", "line", [old, *good[1:3], _line(leaf=ids[2]), *good[4:]]
    yield "accepted: version 1", "", [old, *good[1:]]
