"""Entries and blobs of a book, in and out."""

from dataclasses import asdict
from typing import Any

from flask import Response, make_response, request
from sqlalchemy.orm import Session

from seamwalk.errors import BookError
from seamwalk.store.access import phones
from seamwalk.store.ledger.blobs import (
    MAX_BLOB_BYTES,
    discard_part,
    get_blob,
    keep_blob,
    received_bytes,
    store_part,
)
from seamwalk.store.ledger.readers import may_read_blob, reader_of
from seamwalk.store.sync.exchange import SyncInput, exchange
from seamwalk.store.tables import Device
from seamwalk.web import logs
from seamwalk.web.api.blueprint import api
from seamwalk.web.api.calls import BYTES, Call, call
from seamwalk.web.api.schemas import BlobPartQuery, BlobPartResponse, OkResponse, SyncRequest, SyncResponse
from seamwalk.web.cookies import device_token
from seamwalk.web.error_handlers import ApiError
from seamwalk.web.services import services

MAX_SYNC_BYTES = 4_000_000


@api.post("/books/<book:book>/sync")
@call(Call(SyncResponse, request_body=SyncRequest, errors=(404, 409, 422), max_bytes=MAX_SYNC_BYTES))
def sync(book: str, body: SyncRequest) -> dict[str, Any]:
    """Take a phone's entries and give it the book's from index `after` on; reading needs its cookie."""
    now = services().now()
    with services().store.read() as session:
        device = phones.session_device(session, device_token(), now)
    away = services().keys.away() if body.entries else None
    if away is not None:
        raise away
    sent = SyncInput(body.after, body.entries, body.head, body.texts, body.leaves)
    result = exchange(services().store, book, sent, device, now)
    logs.warn_of(result.verdicts)
    return {"seamwalk": 1, **asdict(result)}


@api.put("/books/<book:book>/blobs/<hash:name>")
@call(Call(OkResponse, request_body=BYTES, signed_in=True, code=201, errors=(422,)))
def put_blob(book: str, name: str) -> Response:
    """Keep a blob under its hash."""
    request.max_content_length = MAX_BLOB_BYTES
    data = request.get_data()
    with services().store.write() as session:
        _require_device(session, book)
        try:
            keep_blob(session, book, data, expect=name)
        except BookError as error:
            raise ApiError(422, "wrong_hash", error.message, error.remedy) from error
    return make_response({"seamwalk": 1}, 201)


@api.get("/books/<book:book>/blobs/<hash:name>/part")
@call(Call(BlobPartResponse, signed_in=True))
def blob_part(book: str, name: str) -> dict[str, Any]:
    """Tell how many bytes of a blob are here, so that a phone goes on from there."""
    with services().store.read() as session:
        _require_device(session, book)
        here, whole = received_bytes(session, book, name)
    return {"seamwalk": 1, "received": here, "whole": whole}


@api.put("/books/<book:book>/blobs/<hash:name>/part")
@call(Call(BlobPartResponse, request_body=BYTES, query=BlobPartQuery, signed_in=True, errors=(422,)))
def put_blob_part(book: str, name: str, query: BlobPartQuery) -> dict[str, Any]:
    """Take the bytes of a blob from `at` on, of `total` in all."""
    request.max_content_length = MAX_BLOB_BYTES
    data = request.get_data()
    try:
        with services().store.write() as session:
            _require_device(session, book)
            here, whole = store_part(session, book, name, query.at, data, query.total)
    except BookError as error:
        with services().store.write() as session:
            discard_part(session, book, name)
        raise ApiError(422, "wrong_hash", error.message, error.remedy) from error
    return {"seamwalk": 1, "received": here, "whole": whole}


@api.get("/books/<book:book>/blobs/<hash:name>")
@call(Call(BYTES, signed_in=True, errors=(403, 404, 410)))
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
    response.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    return response


def _require_device(session: Session, book: str) -> Device:
    device = phones.session_device(session, device_token(), services().now())
    admitted = phones.admitted(session, book, device)
    if admitted is None:
        raise ApiError(401, "sign_in", "this device is not signed in to the book", "Sign a nonce first.")
    return admitted
