"""Texts, photos and frozen files, named by the hash of their bytes."""

from dataclasses import dataclass

from sqlalchemy.orm import Session

from seamwalk.book.jose import sha256_hex
from seamwalk.errors import BookError, NotFound
from seamwalk.store.ledger.photos import check_photo, is_photo
from seamwalk.store.tables import Blob, BlobPart

MAX_BLOB_BYTES = 1_000_000


@dataclass(frozen=True)
class Sent:
    """Bytes that were looked at and may be kept, and the hash that names them."""

    name: str
    data: bytes


@dataclass(frozen=True)
class Part:
    """The bytes of a blob so far, from where they went on; `whole` when that is all of it."""

    name: str
    at: int
    so_far: bytes
    whole: Sent | None


def look_at(data: bytes, expect: str | None = None) -> Sent:
    """Look at bytes before any write, for a photo is opened whole: it must carry nothing but its picture.

    Raise BookError for one that does not, or when another hash was expected.
    """
    name = sha256_hex(data)
    if expect is not None and expect != name:
        raise BookError(f"blob: its bytes hash to {name}", "Send the bytes that the name was made from.")
    if is_photo(data):
        check_photo(data)
    return Sent(name, data)


def keep_blob(session: Session, book_id: str, data: bytes) -> str:
    """Keep bytes that the server has made, under their hash, and return it."""
    return keep_sent(session, book_id, look_at(data))


def keep_sent(session: Session, book_id: str, sent: Sent) -> str:
    """Keep bytes that were looked at under their hash, and return it."""
    if session.get(Blob, (book_id, sent.name)) is None:
        session.add(Blob(book=book_id, sha256=sent.name, data=sent.data))
        session.flush()
    return sent.name


def get_blob(session: Session, book_id: str, name: str) -> bytes | None:
    """The bytes of a blob, None when it was erased; raise NotFound when it never was here."""
    blob = session.get(Blob, (book_id, name))
    if blob is None:
        raise NotFound(f"blob {name} is not here", "The phone that made it sends it at its next sync.")
    return blob.data


def read_blob(session: Session, book_id: str, name: str | None) -> bytes | None:
    """The bytes of a blob, None when there is none, it is not here or it was erased."""
    blob = session.get(Blob, (book_id, name)) if name else None
    return None if blob is None else blob.data


def received_bytes(session: Session, book_id: str, name: str) -> tuple[int, bool]:
    """How many bytes of a blob are here, and whether that is all of it."""
    blob = session.get(Blob, (book_id, name))
    if blob is not None:
        return len(blob.data or b""), True
    part = session.get(BlobPart, (book_id, name))
    return (len(part.data) if part else 0), False


def next_part(session: Session, book_id: str, name: str, at: int, data: bytes, total: int) -> Part | None:
    """A blob with the bytes from place `at` on; None when they do not go on where the last ones ended.

    Raise BookError when the whole is too large, is none or hashes to another name: it must be sent again.
    """
    here, whole = received_bytes(session, book_id, name)
    if whole or at != here:
        return None
    if total > MAX_BLOB_BYTES or here + len(data) > total:
        raise BookError(f"blob: over {min(total, MAX_BLOB_BYTES)} bytes", "Make the photo smaller.")
    part = session.get(BlobPart, (book_id, name))
    so_far = (part.data if part else b"") + data
    return Part(name, at, so_far, look_at(so_far, expect=name) if len(so_far) == total else None)


def store_part(session: Session, book_id: str, part: Part) -> None:
    """Keep a blob so far, unless other bytes of it have come meanwhile."""
    here, whole = received_bytes(session, book_id, part.name)
    if whole or part.at != here:
        return
    if part.whole is None:
        session.merge(BlobPart(book=book_id, sha256=part.name, data=part.so_far))
        return
    keep_sent(session, book_id, part.whole)
    discard_part(session, book_id, part.name)


def discard_part(session: Session, book_id: str, name: str) -> None:
    """Forget what has come of a blob that turned out to be another."""
    part = session.get(BlobPart, (book_id, name))
    if part is not None:
        session.delete(part)
