"""Files changed by chance: ours and the second reader refuse them alike, whatever was changed."""

import json
import random
from collections import Counter
from collections.abc import Callable

from forge import Forge
from hypothesis import given, settings
from hypothesis import strategies as st
from two_readers import both

from seamwalk.book.excerpt import write_excerpt
from volume import drawn

Record = Callable[[str, object], None]
Lines = list[bytes]


def made_exports() -> list[bytes]:
    """One by rules 2, and one that went over to them with a twin."""
    new, old = Forge(), Forge(rules=1)
    old.twist(2)
    old.begin_rules()
    old.find()
    return [new.file(), old.file()]


def made_excerpt() -> bytes:
    """Of a book of five entries."""
    book = Forge()
    book.find()
    book.find()
    return write_excerpt(book.entries, book.signed_head(), book.ids()[3]).encode()


EXPORTS, EXCERPT = made_exports(), made_excerpt()
WRITERS = [Forge(), Forge(rules=1)]


def told(record: Record, what: str, seen: Counter[str]) -> None:
    """Let the run's summary say how many there were."""
    codes = len(seen.keys() - {"ok"})
    record("counted", f"{what}: {seen.total()} tried, {seen['ok']} held, {codes} codes, both readers agree")


@st.composite
def changed_bytes(draw: st.DrawFn, files: list[bytes]) -> tuple[bytes, bytes]:
    """One of these files, and the same with a few bytes changed, left out or put twice, or cut off."""
    data = draw(st.sampled_from(files))
    made = bytearray(data)
    for _ in range(draw(st.integers(1, 3))):
        at = draw(st.integers(0, max(len(made) - 1, 0)))
        to = at + draw(st.integers(1, 5))
        new = draw(
            st.sampled_from([b"", b'"', b"\\", b"{", b"]", b",", b".", b"_", b" ", b"\n", b"\0", b"\xff"])
        )
        ways = [made[:at] + new + made[to:], made[:to] + made[at:], made[:at], _flipped(made, at, to)]
        made = draw(st.sampled_from(ways))
    return data, bytes(made)


def _flipped(data: bytearray, at: int, bit: int) -> bytearray:
    return data[:at] + bytes(byte ^ 1 << bit % 8 for byte in data[at : at + 1]) + data[at + 1 :]


def test_both_refuse_exports_with_changed_bytes(record_property: Record) -> None:
    seen: Counter[str] = Counter()

    @settings(max_examples=drawn(125))
    @given(changed_bytes(EXPORTS))
    def check(files: tuple[bytes, bytes]) -> None:
        data, made = files
        said, _ = both(made)
        seen[said] += 1
        assert (said == "ok") == (data == made)

    check()
    told(record_property, "exports with changed bytes", seen)


def test_both_agree_on_excerpts_with_changed_bytes(record_property: Record) -> None:
    """An index changed for that of another entry in the file makes a true excerpt of that one."""
    seen: Counter[str] = Counter()

    @settings(max_examples=drawn(125))
    @given(changed_bytes([EXCERPT]))
    def check(files: tuple[bytes, bytes]) -> None:
        seen[both(files[1])[0]] += 1

    check()
    told(record_property, "excerpts with changed bytes", seen)


def _change_lines(lines: Lines, chance: random.Random) -> Lines:
    """Drop, double, or exchange lines."""
    at, to = (chance.randrange(len(lines)) for _ in range(2))
    how = chance.randrange(3)
    if how == 0 and len(lines) > 1:
        return lines[:at] + lines[at + 1 :]
    if how == 1:
        return [*lines[:to], lines[at], *lines[to:]]
    made = [*lines]
    made[at], made[to] = lines[to], lines[at]
    return made


def test_both_refuse_exports_with_changed_lines(record_property: Record) -> None:
    seen: Counter[str] = Counter()

    @settings(max_examples=drawn(65))
    @given(st.sampled_from(EXPORTS), st.integers(1, 3), st.randoms(use_true_random=False))
    def check(data: bytes, times: int, chance: random.Random) -> None:
        lines = data.splitlines(keepends=True)
        for _ in range(times):
            lines = _change_lines(lines, chance)
        said, _ = both(b"".join(lines))
        seen[said] += 1
        assert (said == "ok") == (b"".join(lines) == data)

    check()
    told(record_property, "exports with changed lines", seen)


@st.composite
def changed_texts(draw: st.DrawFn) -> bytes:
    """A book whose last entry has bytes of its header or payload changed, and is signed and sealed anew."""
    book = draw(st.sampled_from(WRITERS))
    is_header = draw(st.booleans())
    part = bytearray(json.dumps(book.header() if is_header else book.payload()).encode())
    for _ in range(draw(st.integers(1, 2))):
        at = draw(st.integers(0, len(part) - 1))
        part[at : at + 1] = draw(
            st.binary(max_size=2) | st.sampled_from([b"1", b'"', b"\\u0000", b"e9", b"."])
        )
        part = part or bytearray(b" ")
    text = book.text(header=bytes(part)) if is_header else book.text(bytes(part))
    return book.also(text).file()


def test_both_agree_on_texts_signed_anew(record_property: Record) -> None:
    seen: Counter[str] = Counter()

    @settings(max_examples=drawn(65))
    @given(changed_texts())
    def check(data: bytes) -> None:
        seen[both(data)[0]] += 1

    check()
    told(record_property, "changed texts, signed anew", seen)
    assert len(seen) > 3
