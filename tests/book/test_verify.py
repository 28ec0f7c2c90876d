"""Verify takes a true export and refuses every change to it, naming the line."""

from datetime import UTC, datetime
from typing import Any

import pytest

from seamwalk.book.entry import Author, entry_id, format_at
from seamwalk.book.export import export_lines
from seamwalk.book.head import Head, sign_head
from seamwalk.book.jose import PrivateKey, sha256_hex
from seamwalk.book.merkle import Frontier
from seamwalk.book.verify import verify_export
from seamwalk.errors import VerifyError

BOOK = "b0123456789abcdef"
AT = format_at(datetime(2026, 11, 20, 22, tzinfo=UTC))
PERSON = "p0123456789abcdef"
CHECK = "A/tile/1.1/condition:sound"


class Writer:
    """Writes a small book and its export."""

    def __init__(self) -> None:
        self.owner, self.head, self.phone = (PrivateKey.generate() for _ in range(3))
        self.office = Author(self.owner, BOOK)
        self.crew = Author(self.phone, BOOK)
        self.entries: list[str] = []
        self.blobs = {sha256_hex(data): data for data in (b'{"salt":"AA","text":"Rosa"}', b"other")}
        keys = {"owner_jwk": self.owner.jwk, "head_jwk": self.head.jwk}
        self.write("book_opened", {"kind": "show", "title": "T", "slug": "t", "epoch": 1, **keys})

    def write(self, entry_type: str, body: dict[str, Any], *, crew: bool = False) -> str:
        author = self.crew if crew else self.office
        entry, after = author.write(entry_type, body, AT, with_jwk=True)
        if crew:
            self.crew = after
        else:
            self.office = after
        self.entries.append(entry.jws)
        return entry.id

    def admit(self) -> None:
        name = sha256_hex(b'{"salt":"AA","text":"Rosa"}')
        device = {"device": self.phone.thumbprint, "jwk": self.phone.jwk}
        self.write("device_admitted", {**device, "person": PERSON, "name_blob": name, "role": "crew"})

    def find(self) -> str:
        return self.write("found", {"plan": "0" * 64, "checks": [CHECK], "result": "ok"}, crew=True)

    def lines(self, key: PrivateKey | None = None, **changes: Any) -> list[bytes]:
        frontier = Frontier().extend(bytes.fromhex(entry_id(jws)) for jws in self.entries)
        fields = {
            "size": frontier.tree_size,
            "root": frontier.root_hash.hex(),
            "epoch": 1,
            "book": BOOK,
        } | changes
        head = sign_head(key or self.head, Head(at=AT, **fields)).jws
        size = len(self.entries)
        blobs = sorted(self.blobs.items())
        made = export_lines(
            book=BOOK, epoch=1, entries=self.entries, size=size, head=head, blobs=blobs, blob_count=len(blobs)
        )
        return [line.encode() for line in made]


@pytest.fixture(scope="module")
def book() -> Writer:
    writer = Writer()
    writer.admit()
    for _ in range(3):
        writer.find()
    return writer


def test_a_true_export_holds(book: Writer) -> None:
    report = verify_export(book.lines(), book.owner.thumbprint)
    assert (report.size, report.blobs, report.trusted, report.flags) == (5, 2, True, ())


def test_without_trust_it_is_only_consistent(book: Writer) -> None:
    assert not verify_export(book.lines()).trusted


def test_another_owner_is_refused(book: Writer) -> None:
    with pytest.raises(VerifyError, match=r"line 2: the book belongs to"):
        verify_export(book.lines(), PrivateKey.generate().thumbprint)


def test_every_flipped_byte_is_refused(book: Writer) -> None:
    whole = b"".join(book.lines())
    for place in range(len(whole)):
        flipped = whole[:place] + bytes([whole[place] ^ 1]) + whole[place + 1 :]
        with pytest.raises(VerifyError):
            verify_export(flipped.splitlines(keepends=True), book.owner.thumbprint)


def test_every_dropped_doubled_or_swapped_line_is_refused(book: Writer) -> None:
    lines = book.lines()
    for at in range(len(lines)):
        changed = [lines[:at] + lines[at + 1 :], lines[: at + 1] + lines[at:]]
        if at + 1 < len(lines):
            changed.append([*lines[:at], lines[at + 1], lines[at], *lines[at + 2 :]])
        for tampered in changed:
            with pytest.raises(VerifyError, match=r"line \d+: "):
                verify_export(tampered)


def test_an_entry_before_its_device_was_admitted_is_named() -> None:
    writer = Writer()
    writer.find()
    with pytest.raises(VerifyError, match=r"line 3: this entry has no place in the book: unknown_device"):
        verify_export(writer.lines())


def test_a_revoked_device_and_a_wrong_role_are_named() -> None:
    writer = Writer()
    writer.admit()
    writer.write("signed_off", _sign_off(), crew=True)
    with pytest.raises(VerifyError, match=r"line 4: .*role"):
        verify_export(writer.lines())
    writer.entries.pop()
    writer.write("device_revoked", {"device": writer.phone.thumbprint, "reason": "lost"})
    writer.find()
    with pytest.raises(VerifyError, match=r"line 5: .*revoked_device"):
        verify_export(writer.lines())


def _sign_off() -> dict[str, Any]:
    over = {"plan": "0" * 64, "epoch": 1, "size": 1, "root": "0" * 64, "own": [], "exceptions": []}
    return {"statement": "built", "wall": "A", **over}


def test_an_entry_that_the_office_let_in_has_its_place() -> None:
    writer = Writer()
    writer.admit()
    entry, _ = writer.crew.write("signed_off", _sign_off(), AT)
    writer.write("entry_admitted", {"entry": entry.id, "reason": "chief's phone was lost"})
    writer.entries.append(entry.jws)
    assert verify_export(writer.lines()).size == 4


def test_a_head_of_another_key_size_or_root_is_refused(book: Writer) -> None:
    with pytest.raises(VerifyError, match="line 7: head: signed as something else or by another key"):
        verify_export(book.lines(PrivateKey.generate()))
    with pytest.raises(VerifyError, match="line 7: the head speaks of another book, epoch or size"):
        verify_export(book.lines(size=4))
    with pytest.raises(VerifyError, match="line 7: the entries hash to"):
        verify_export(book.lines(root="0" * 64))


def test_a_copied_phone_a_gap_and_a_missing_text_are_flagged() -> None:
    writer = Writer()
    writer.admit()
    before = writer.crew
    writer.find()
    writer.crew = before
    writer.write("found", {"plan": "1" * 64, "checks": [CHECK], "result": "not_reached"}, crew=True)
    writer.crew = Author(writer.phone, BOOK, 5)
    writer.find()
    writer.blobs.clear()
    flags = " ".join(verify_export(writer.lines()).flags)
    assert "two different entries under one number" in flags
    assert "counted to 5, 2 of these are here" in flags
    assert "1 named texts, photos or files are not in this export" in flags
