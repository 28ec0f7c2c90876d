"""Inclusion proofs, seals of prints, and excerpts: what can be shown without a server."""

import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from seamwalk.book.excerpt import is_excerpt, verify_excerpt, write_excerpt
from seamwalk.book.jose import PrivateKey
from seamwalk.book.merkle import inclusion_proof, leaf_hash, root_from_inclusion, root_of
from seamwalk.book.seal import Seal, read_seal
from seamwalk.book.verify import verify_export
from seamwalk.errors import BookError, VerifyError
from small_book import BOOK, Writer

VECTORS = json.loads((Path(__file__).parent.parent / "vectors" / "merkle.json").read_text())
LEAVES = [leaf_hash(bytes.fromhex(leaf)) for leaf in VECTORS["leaves_hex"]]


@pytest.mark.parametrize("place", VECTORS["inclusion_proofs"])
def test_reference_proofs(place: str) -> None:
    """Source: in tests/vectors/merkle.json."""
    index, size = map(int, place.split("/"))
    path = [bytes.fromhex(node) for node in VECTORS["inclusion_proofs"][place]]
    assert list(inclusion_proof(LEAVES[:size], index)) == path
    assert root_from_inclusion(LEAVES[index], index, size, path).hex() == VECTORS["roots_by_size"][size]


def plain_path(index: int, leaves: list[bytes]) -> list[bytes]:
    """PATH of RFC 9162 section 2.1.3.1, transcribed."""
    if len(leaves) == 1:
        return []
    k = 1
    while k * 2 < len(leaves):
        k *= 2
    if index < k:
        return [*plain_path(index, leaves[:k]), root_of(leaves[k:])]
    return [*plain_path(index - k, leaves[k:]), root_of(leaves[:k])]


@given(st.integers(1, 70), st.data())
def test_a_proof_is_the_plain_path_and_holds_nowhere_else(size: int, data: st.DataObject) -> None:
    leaves = [leaf_hash(bytes([n])) for n in range(size)]
    index = data.draw(st.integers(0, size - 1))
    path = inclusion_proof(leaves, index)
    assert list(path) == plain_path(index, leaves)
    for other in range(size):
        try:
            proven = root_from_inclusion(leaves[index], other, size, path)
        except BookError:
            continue
        assert (proven == root_of(leaves)) == (other == index)


@pytest.mark.parametrize(
    ("index", "size", "path"),
    [(0, 0, []), (1, 1, []), (-1, 2, [b"x" * 32]), (0, 1, [b"x" * 32]), (0, 2, []), (0, 2, [b""])],
)
def test_a_path_that_can_not_be_one_is_refused(index: int, size: int, path: list[bytes]) -> None:
    with pytest.raises(BookError, match="not the path of this place"):
        root_from_inclusion(b"y" * 32, index, size, path)


@pytest.fixture(scope="module")
def book() -> Writer:
    writer = Writer()
    writer.admit()
    for _ in range(4):
        writer.find()
    return writer


def seal_of(book: Writer, size: int, index: int) -> Seal:
    ids = book.ids()
    return Seal(BOOK, 1, size, root_of([bytes.fromhex(i) for i in ids[:size]]).hex(), ids[index])


def test_a_seal_is_read_back_with_spaces_and_in_any_case(book: Writer) -> None:
    seal = seal_of(book, 5, 3)
    assert read_seal(f" {seal.text[:40].lower()}\n{seal.text[40:]} ") == seal
    for wrong in ("", seal.text[:-1], seal.text + "0", seal.text.replace("SEAMWALK1", "SEAMWALK2")):
        with pytest.raises(BookError, match="not the text of a print's QR"):
            read_seal(wrong)


def test_a_book_bears_out_the_seals_of_its_prints_for_ever(book: Writer) -> None:
    seals = [seal_of(book, size, index) for size in range(2, 7) for index in range(size)]
    assert verify_export(book.lines(), book.owner.thumbprint, seals).flags == ()


def test_a_book_rewritten_behind_a_print_is_found_out(book: Writer) -> None:
    seal = seal_of(book, 5, 3)
    rewritten = Writer()
    rewritten.admit()
    for _ in range(4):
        rewritten.find()
    with pytest.raises(VerifyError, match="is not in this export"):
        verify_export(rewritten.lines(), None, [seal])
    left_out = [*book.entries]
    book.entries[2:4] = [book.entries[3], book.entries[2]]
    try:
        with pytest.raises(VerifyError, match="the first 5 entries are not those that stood"):
            verify_export(book.lines(), None, [seal])
    finally:
        book.entries[:] = left_out


def test_an_excerpt_proves_one_entry_and_shows_no_other_finding(book: Writer) -> None:
    wanted = book.ids()[4]
    text = write_excerpt(book.entries, book.signed_head(), wanted).encode()
    assert is_excerpt(text)
    assert not is_excerpt(book.lines()[0])
    proven = verify_excerpt(text, book.owner.thumbprint)
    assert (proven.entry.id, proven.index, proven.size, proven.trusted) == (wanted, 4, 6, True)
    assert len(json.loads(text)["entries"]) == 3


def test_a_changed_excerpt_is_refused(book: Writer) -> None:
    text = write_excerpt(book.entries, book.signed_head(), book.ids()[4]).encode()
    with pytest.raises(VerifyError, match="not to the fingerprint you trust"):
        verify_excerpt(text, PrivateKey.generate().thumbprint)
    for place in range(len(text)):
        flipped = text[:place] + bytes([text[place] ^ 1]) + text[place + 1 :]
        with pytest.raises(VerifyError):
            verify_excerpt(flipped, book.owner.thumbprint)
    value = json.loads(text)
    for at in range(3):
        fewer = {**value, "entries": value["entries"][:at] + value["entries"][at + 1 :]}
        with pytest.raises(VerifyError):
            verify_excerpt(json.dumps(fewer, sort_keys=True, separators=(",", ":")).encode() + b"\n")
