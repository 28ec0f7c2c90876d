"""Taking in a file that a phone saved: what it had not sent, or the book as it saw it."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy.orm import Session

from seamwalk.book.jose import base64url_decode
from seamwalk.book.json_text import read_json
from seamwalk.errors import BookError
from seamwalk.store.ledger.blobs import keep_blob
from seamwalk.store.ledger.intake import Verdict, ingest

_PASSED_OVER = {"head", "leaf", "seamwalk_export"}
_DEPTH = 4
_REMEDY = "Let the phone save the file again; nothing of this one was taken in."


@dataclass(frozen=True)
class ImportResult:
    """One verdict for each entry of the file, as if the phone had sent it, and the texts that came along."""

    verdicts: list[Verdict]
    blobs: int

    def count(self, verdict: str) -> int:
        """How many entries got this verdict."""
        return sum(item.verdict == verdict for item in self.verdicts)


def import_phone_file(session: Session, book_id: str, lines: Iterable[str], now: datetime) -> ImportResult:
    """Take a phone's file in, whole or not at all; raise BookError naming the line that is wrong.

    A line is `{"entry": jws}` or `{"blob": sha256, "data": base64url}`; an export's first line, its bare
    leaves and its head are passed over.
    """
    entries: list[str] = []
    blobs, number = 0, 0
    for number, text in enumerate(lines, start=1):
        if not text.strip():
            continue
        value = _read(number, text)
        if set(value) == {"entry"}:
            entries.append(str(value["entry"]))
        elif set(value) == {"blob", "data"}:
            _keep_blob(session, book_id, number, value)
            blobs += 1
        elif not _PASSED_OVER & set(value):
            raise BookError(f"line {number}: neither an entry nor a text", _REMEDY)
    if number == 0:
        raise BookError("the file is empty", _REMEDY)
    return ImportResult(ingest(session, book_id, entries, now), blobs)


def _read(number: int, text: str) -> dict[str, object]:
    try:
        value = read_json(text.encode("utf-8", "replace"), _DEPTH)
    except BookError as error:
        raise BookError(f"line {number}: {error.message}", _REMEDY) from error
    if not isinstance(value, dict):
        raise BookError(f"line {number}: a JSON object is needed", _REMEDY)
    return value


def _keep_blob(session: Session, book_id: str, number: int, value: dict[str, object]) -> None:
    try:
        keep_blob(session, book_id, base64url_decode(str(value["data"])), expect=str(value["blob"]))
    except BookError as error:
        raise BookError(f"line {number}: {error.message}", _REMEDY) from error
