"""Texts, photos and frozen files, named by the hash of their bytes."""

from sqlalchemy.orm import Session

from seamwalk.book.jose import sha256_hex
from seamwalk.errors import BookError, NotFound
from seamwalk.store.tables import Blob


def keep_blob(session: Session, book_id: str, data: bytes, expect: str | None = None) -> str:
    """Keep bytes under their hash and return it; raise BookError when another hash was expected."""
    name = sha256_hex(data)
    if expect is not None and expect != name:
        raise BookError(f"blob: its bytes hash to {name}", "Send the bytes that the name was made from.")
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
