"""Entries and blobs of a book, in and out."""

from dataclasses import asdict
from typing import Any

from flask import Response, make_response, request
from sqlalchemy.orm import Session

from seamwalk.book.export_reader import is_count
from seamwalk.book.json_text import MAX_INTEGER
from seamwalk.errors import BookError
from seamwalk.store import access
from seamwalk.store.blobs import MAX_BLOB_BYTES, forget_part, get_blob, keep_blob, received, take_part
from seamwalk.store.exchange import Brought, exchange
from seamwalk.store.readers import MAX_TEXTS, may_read_blob, reader_of
from seamwalk.store.tables import Device
from seamwalk.web.api import api
from seamwalk.web.api.bodies import body
from seamwalk.web.cookies import device_token
from seamwalk.web.errors import ApiError
from seamwalk.web.services import services


@api.post("/books/<book>/sync")
def sync(book: str) -> dict[str, Any]:
    """Take a phone's entries and give it the book's from index `after` on; reading needs its cookie."""
    data = body(after=int, entries=list)
    if data["after"] < 0 or not all(isinstance(entry, str) for entry in data["entries"]):
        raise ApiError(400, "bad_field", "entries: a list of texts is needed", "Send compact JWS.", "entries")
    head = data.get("head")
    if not isinstance(head, str | None):
        raise ApiError(400, "bad_field", "head: a text or null is needed", "Send the newest head.", "head")
    texts = data.get("texts", [])
    if (
        not isinstance(texts, list)
        or len(texts) > MAX_TEXTS
        or not all(is_count(index) and index <= MAX_INTEGER for index in texts)
    ):
        message = f"texts: a list of at most {MAX_TEXTS} indexes is needed"
        raise ApiError(400, "bad_field", message, "Ask for fewer at once.", "texts")
    now = services().now()
    with services().store.read() as session:
        device = access.session_device(session, device_token(), now)
    away = services().keys.away() if data["entries"] else None
    if away is not None:
        raise away
    brought = Brought(data["after"], data["entries"], head, texts, data.get("leaves") is True)
    return {"seamwalk": 1, **asdict(exchange(services().store, book, brought, device, now))}


@api.put("/books/<book>/blobs/<name>")
def put_blob(book: str, name: str) -> Response:
    """Keep a blob under its hash."""
    data = request.get_data()
    if len(data) > MAX_BLOB_BYTES:
        message = f"blob: over {MAX_BLOB_BYTES} bytes"
        raise ApiError(413, "too_large", message, "Make the photo smaller.")
    with services().store.write() as session:
        _require_device(session, book)
        try:
            keep_blob(session, book, data, expect=name)
        except BookError as error:
            raise ApiError(422, "wrong_hash", error.message, error.remedy) from error
    return make_response({"seamwalk": 1}, 201)


@api.get("/books/<book>/blobs/<name>/part")
def blob_part(book: str, name: str) -> dict[str, Any]:
    """Tell how many bytes of a blob are here, so that a phone goes on from there."""
    with services().store.read() as session:
        _require_device(session, book)
        here, whole = received(session, book, name)
    return {"seamwalk": 1, "received": here, "whole": whole}


@api.put("/books/<book>/blobs/<name>/part")
def put_blob_part(book: str, name: str) -> dict[str, Any]:
    """Take the bytes of a blob from `at` on, of `total` in all."""
    at, total = request.args.get("at", type=int), request.args.get("total", type=int)
    if at is None or total is None or at < 0 or total < 1:
        raise ApiError(400, "bad_field", "at, total: whole numbers are needed", "Send both.", "at")
    data = request.get_data()
    try:
        with services().store.write() as session:
            _require_device(session, book)
            here, whole = take_part(session, book, name, at, data, total)
    except BookError as error:
        with services().store.write() as session:
            forget_part(session, book, name)
        raise ApiError(422, "wrong_hash", error.message, error.remedy) from error
    return {"seamwalk": 1, "received": here, "whole": whole}


@api.get("/books/<book>/blobs/<name>")
def read_blob(book: str, name: str) -> Response:
    """Give a blob's bytes."""
    with services().store.read() as session:
        reader = reader_of(session, _require_device(session, book))
        if not may_read_blob(session, book, reader, name):
            raise ApiError(403, "not_yours", "blob: it is not for this role", "There is nothing to do.")
        data = get_blob(session, book, name)
    if data is None:
        raise ApiError(410, "erased", "blob: erased on purpose", "There is nothing to do.")
    response = make_response(data)
    response.mimetype = "application/octet-stream"
    return response


def _require_device(session: Session, book: str) -> Device:
    device = access.session_device(session, device_token(), services().now())
    admitted = access.admitted(session, book, device)
    if admitted is None:
        raise ApiError(401, "sign_in", "this device is not signed in to the book", "Sign a nonce first.")
    return admitted
