"""JSON from outside: what the rules refuse is refused, what they allow is read as it was written."""

import json
import string

import pytest
from hypothesis import given
from hypothesis import strategies as st

from seamwalk.book.json_text import MAX_INTEGER, read_json
from seamwalk.errors import BookError

BAD = [
    (b"", "not JSON"),
    (b"{", "not JSON"),
    (b'"\xff"', "not JSON"),
    (b'"\xed\xa0\x80"', "not JSON"),  # a surrogate written in UTF-8 (RFC 3629, 3)
    (b"\xef\xbb\xbf1", "not JSON"),
    (b"1 2", "not JSON"),
    (b"'a'", "not JSON"),
    (b'"a\nb"', "not JSON"),
    (b'"\x00"', "not JSON"),
    (b"{} ]", "not JSON"),
    (b"[" * 17 + b"]" * 17, "nested more than 16 deep"),
    (b'{"a":' * 17 + b"1" + b"}" * 17, "nested more than 16 deep"),
    (b"[" * 1_000_000, "nested more than 16 deep"),
    (b'"\\"' + b"[" * 17, "not JSON"),
    (b'{"a":1,"a":1}', "twice"),
    (b'[{"b":{"a":1,"\\u0061":2}}]', "twice"),
    (b"NaN", "NaN is not a number"),
    (b"[-Infinity]", "-Infinity is not a number"),
    (b"9007199254740992", "beyond"),
    (b"-9007199254740992", "beyond"),
    (b"9" * 1_000_000, "beyond"),
    (b"1e309", "too large"),
    (b"-1e309", "too large"),
    (b"0." + b"1" * 1_000_000, "too long"),
    (b'"\\u0000"', "NUL"),
    (b'[{"a":["\\ud800"]}]', "surrogate"),
    (b'{"\\uDFFF":1}', "surrogate"),
    (b'{"\\ude00\\ud83d":1}', "surrogate"),
]


@pytest.mark.parametrize(("data", "why"), BAD, ids=[str(data[:24]) for data, _ in BAD])
def test_what_is_refused(data: bytes, why: str) -> None:
    with pytest.raises(BookError, match=why):
        read_json(data, 16)


@pytest.mark.parametrize(
    ("data", "value"),
    [
        (b' {"a": [1, -0, 1.5e3, true, null]}\n', {"a": [1, 0, 1500.0, True, None]}),
        (b'"\\ud83d\\ude00"', "\N{GRINNING FACE}"),
        (b'"\\\\u0000 \\\\ud800"', "\\u0000 \\ud800"),
        (b'{"[[[[\\"[[[[[[[[[[[[[[[[[[":"{{{{{"}', {'[[[["[[[[[[[[[[[[[[[[[[': "{{{{{"}),
        (b"[" * 16 + b"]" * 16, json.loads("[" * 16 + "]" * 16)),
        (b"[" + b"[]," * 50 + b"1]", [*([[]] * 50), 1]),
        (str(MAX_INTEGER).encode(), MAX_INTEGER),
        (str(-MAX_INTEGER).encode(), -MAX_INTEGER),
    ],
)
def test_what_is_read(data: bytes, value: object) -> None:
    assert read_json(data, 16) == value


CLEAN = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"))
LEAVES = (
    st.none() | st.booleans() | CLEAN | st.integers(-MAX_INTEGER, MAX_INTEGER) | st.floats(allow_nan=False)
)
VALUES = st.recursive(
    LEAVES.filter(lambda leaf: leaf not in (float("inf"), float("-inf"))),
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(CLEAN, inner, max_size=4),
)


def depth(value: object) -> int:
    """How deep a value is nested, worked out from the value instead of its text."""
    if not isinstance(value, list | dict):
        return 0
    inner = value.values() if isinstance(value, dict) else value
    return 1 + max(map(depth, inner), default=0)


@given(VALUES, st.booleans(), st.integers(0, 6))
def test_any_value_is_read_as_written_if_it_is_not_too_deep(value: object, escaped: bool, bound: int) -> None:
    data = json.dumps(value, ensure_ascii=escaped).encode()
    if depth(value) <= bound:
        assert read_json(data, bound) == value
    else:
        with pytest.raises(BookError, match="deep"):
            read_json(data, bound)


@given(st.text(string.punctuation + string.digits + "aeu", max_size=40) | st.binary(max_size=40))
def test_anything_else_is_refused_and_never_fails(text: str | bytes) -> None:
    data = text.encode() if isinstance(text, str) else text
    try:
        value = read_json(data, 4)
    except BookError:
        return
    assert json.loads(data) == value
    assert depth(value) <= 4
