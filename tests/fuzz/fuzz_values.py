"""What somebody may type: what nobody thought of, what fits, and what once broke a server somewhere."""

from hypothesis import strategies as st

from seamwalk.domain.stock.codes import Code

CODES = [Code("HQ", letter, serial).text for letter in "CT" for serial in (1, 2, 99_999)]
NASTY = [
    "", " ", "0", "-1", "1", "1.5", "1e999", "-1e999", "NaN", "sNaN", "Infinity", "9" * 30, "9" * 5000,
    "²", "٣", "0x10", "1_000", "true", "null", "None", "\0", "a\0b", "\r\nSet-Cookie: a=b", "\n", "\t",
    "\ufeff", "\u202e", "\ufffe", "\U0001f4a5", "x" * 201, "x" * 5000, "<script>", "{{7*7}}", "%s%n",
    "' OR 1=1 --", "%", "_", "\\", "../../etc/passwd", "//elsewhere.test", "=1+1", "@a", "[]", "{}",
    '{"a":', "2026-02-30", "2026-11-20", "0000-00-00", "99999-01-01", "*", "?", "#", "&", ";", "a,b",
    "512/510", "1/0", "0 0 0", "-0", "1 2 3",
]  # fmt: skip
FITTING = [
    "A", "B", "heron_500", "case", "tile", "office", "crew", "test-show", "company", "0" * 64, "code",
    "b" + "0" * 16, "batch", "home_case", "in_stock", "quarantined", "pseudo", "rear", "1.1", "again",
    "EUR", "stacked", "kind,code\ncase,\n", "Jo Lind, rigger, +49 30 5550123",
    "c1, plover_500, 8, b1", *CODES,
]  # fmt: skip
TYPED = st.one_of(
    st.sampled_from(FITTING),
    st.sampled_from(NASTY),
    st.text(st.characters(codec="utf-8"), max_size=12),
    st.integers().map(str),
    st.floats().map(str),
)
FILES = st.one_of(
    st.binary(max_size=60),
    st.sampled_from(
        [
            b"",
            b"PK\x03\x04",
            b"\xff\xd8\xff",
            b"a,b\n1",
            b"kind,code\ncase,\n",
            b"texts: {}",
            b"[1]",
            b"{}",
            b"\0",
        ]
    ),
    st.text(max_size=40).map(str.encode),
)
