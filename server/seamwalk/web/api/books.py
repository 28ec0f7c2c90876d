"""Entries and blobs of a book, in and out."""

from dataclasses import asdict
from typing import Any

from flask import Response, make_response, request

from seamwalk.errors import BookError
from seamwalk.store import access
from seamwalk.store.blobs import get_blob, keep_blob
from seamwalk.store.exchange import Brought, exchange
from seamwalk.web.api import api
from seamwalk.web.api.bodies import body
from seamwalk.web.errors import ApiError
from seamwalk.web.security import DEVICE_COOKIE
from seamwalk.web.services import services

MAX_BLOB_BYTES = 1_000_000


@api.post("/books/<book>/sync")
def sync(book: str) -> dict[str, Any]:
    """Take a phone's entries and give it the book's from index `after` on; reading needs its cookie."""
    data = body(after=int, entries=list)
    if data["after"] < 0 or not all(isinstance(entry, str) for entry in data["entries"]):
        raise ApiError(400, "bad_field", "entries: a list of texts is needed", "Send compact JWS.", "entries")
    head = data.get("head")
    if not isinstance(head, str | None):
        raise ApiError(400, "bad_field", "head: a text or null is needed", "Send the newest head.", "head")
    now = services().now()
    with services().store.read() as session:
        device = access.session_device(session, request.cookies.get(DEVICE_COOKIE), now)
    brought = Brought(data["after"], data["entries"], head)
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


@api.get("/books/<book>/blobs/<name>")
def read_blob(book: str, name: str) -> Response:
    """Give a blob's bytes."""
    with services().store.read() as session:
        _require_device(session, book)
        data = get_blob(session, book, name)
    if data is None:
        raise ApiError(410, "erased", "blob: erased on purpose", "There is nothing to do.")
    response = make_response(data)
    response.mimetype = "application/octet-stream"
    return response


def _require_device(session: Any, book: str) -> None:
    device = access.session_device(session, request.cookies.get(DEVICE_COOKIE), services().now())
    if access.admitted(session, book, device) is None:
        raise ApiError(401, "sign_in", "this device is not signed in to the book", "Sign a nonce first.")
