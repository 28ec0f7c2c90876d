"""Texts, photos and frozen files, named by the hash of their bytes."""

from sqlalchemy.orm import Session

from seamwalk.book.jose import sha256_hex
from seamwalk.errors import BookError, NotFound
from seamwalk.store.ledger.photos import check_photo, is_photo
from seamwalk.store.tables import Blob, BlobPart

MAX_BLOB_BYTES = 1_000_000


def keep_blob(session: Session, book_id: str, data: bytes, expect: str | None = None) -> str:
    """Keep bytes under their hash and return it; raise BookError when another hash was expected.

    Bytes that claim to be a photo must be one that carries nothing but its picture.
    """
    name = sha256_hex(data)
    if expect is not None and expect != name:
        raise BookError(f"blob: its bytes hash to {name}", "Send the bytes that the name was made from.")
    if is_photo(data):
        check_photo(data)
    if session.get(Blob, (book_id, name)) is None:
        session.add(Blob(book=book_id, sha256=name, data=data))
        session.flush()
    return name


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


def store_part(
    session: Session, book_id: str, name: str, at: int, data: bytes, total: int
) -> tuple[int, bool]:
    """Take the bytes of a blob from place `at` on; return how many are here, and whether that is all.

    Bytes that do not go on where the last ones ended change nothing. Raise BookError when the whole is too
    large or hashes to another name: it has to be sent again then.
    """
    here, whole = received_bytes(session, book_id, name)
    if whole or at != here:
        return here, whole
    if total > MAX_BLOB_BYTES or here + len(data) > total:
        raise BookError(f"blob: over {min(total, MAX_BLOB_BYTES)} bytes", "Make the photo smaller.")
    part = session.get(BlobPart, (book_id, name))
    so_far = (part.data if part else b"") + data
    if len(so_far) < total:
        session.merge(BlobPart(book=book_id, sha256=name, data=so_far))
        return len(so_far), False
    keep_blob(session, book_id, so_far, expect=name)
    discard_part(session, book_id, name)
    return total, True


def discard_part(session: Session, book_id: str, name: str) -> None:
    """Forget what has come of a blob that turned out to be another."""
    part = session.get(BlobPart, (book_id, name))
    if part is not None:
        session.delete(part)
