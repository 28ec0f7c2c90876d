"""Verify takes a true export and refuses every change to it, naming the line."""

from typing import Any

import pytest

from seamwalk.book.entry import Author
from seamwalk.book.jose import PrivateKey
from seamwalk.book.verify import verify_export
from seamwalk.errors import VerifyError
from small_book import AT, BOOK, CHECK, Writer


@pytest.fixture(scope="module")
def book() -> Writer:
    writer = Writer()
    writer.admit()
    for _ in range(3):
        writer.find()
    return writer


def test_a_true_export_holds(book: Writer) -> None:
    report = verify_export(book.lines(), book.owner.thumbprint)
    assert (report.size, report.blobs, report.trusted, report.flags) == (5, 1, True, ())


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


def test_a_sign_off_over_another_book_is_named() -> None:
    writer = Writer()
    writer.admit("chief")
    writer.write("signed_off", _sign_off(), crew=True)
    with pytest.raises(VerifyError, match="line 4: this sign-off was made over other entries"):
        verify_export(writer.lines())
    writer.entries.pop()
    writer.write("signed_off", _sign_off() | {"size": 2, "root": writer.root(2)}, crew=True)
    assert verify_export(writer.lines()).size == 3


def test_a_restore_begins_an_epoch_that_later_heads_are_signed_in() -> None:
    writer = Writer()
    writer.admit()
    old = writer.head
    writer.restore(2, 202611251530)
    new = writer.head
    writer.find()
    report = verify_export(writer.lines(), writer.owner.thumbprint)
    assert (report.epoch, report.size, report.flags) == (202611251530, 4, ())
    with pytest.raises(VerifyError, match="by another key"):
        verify_export(writer.lines(old))
    writer.restore(2, 2, root="0" * 64)  # a late one, of an older epoch, changes nothing
    writer.epoch, writer.head = 202611251530, new
    assert verify_export(writer.lines()).epoch == 202611251530


def test_a_restore_that_vouches_for_other_entries_is_named() -> None:
    writer = Writer()
    writer.admit()
    writer.restore(2, 7, root="0" * 64)
    with pytest.raises(VerifyError, match="line 4: this restore vouches for other entries than the first 2"):
        verify_export(writer.lines())


def test_an_entry_that_the_office_let_in_has_its_place() -> None:
    writer = Writer()
    writer.admit()
    entry, _ = writer.crew.write("signed_off", _sign_off(), AT)
    writer.write("entry_admitted", {"entry": entry.id, "reason": "chief's phone was lost"})
    writer.entries.append(entry.jws)
    assert verify_export(writer.lines()).size == 4


def test_a_head_of_another_key_size_or_root_is_refused(book: Writer) -> None:
    with pytest.raises(VerifyError, match="line 7: head: signed by another key"):
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
