"""Joining a book by an invite, and sessions of devices."""

from datetime import datetime

from flask import Response, jsonify
from sqlalchemy.orm import Session

from seamwalk.book.jose import PublicKey
from seamwalk.errors import InviteRefused
from seamwalk.store.access import phones
from seamwalk.store.access.phones import InviteGrant
from seamwalk.store.ledger.books import admit_device
from seamwalk.store.tables import Book
from seamwalk.web.api.blueprint import api
from seamwalk.web.api.calls import Call, call, proven, public_key
from seamwalk.web.api.schemas import (
    JoinRequest,
    JoinResponse,
    NonceRequest,
    NonceResponse,
    OkResponse,
    SessionRequest,
)
from seamwalk.web.cookies import set_device_cookie
from seamwalk.web.error_handlers import ApiError
from seamwalk.web.services import services


@api.post("/join")
@call(Call(JoinResponse, request_body=JoinRequest, errors=(403, 409, 410, 422)))
def join(body: JoinRequest) -> Response:
    """Admit a phone by a single-use invite and sign it in."""
    jwk = body.jwk.model_dump()
    key = public_key(jwk)
    if proven(body.proof, key, "seamwalk-join", "token") != body.token:
        raise ApiError(
            403, "bad_proof", "proof: made for another invite", "Sign this invite's token.", "proof"
        )
    return _admit(body.token, jwk, key, body.name)


def _admit(token: str, jwk: dict[str, str], key: PublicKey, name: str) -> Response:
    now = services().now()
    device = key.thumbprint
    with services().store.write() as session:
        try:
            invited = phones.use_invite(session, token, device, now)
        except InviteRefused as error:
            raise ApiError(410, f"invite_{error.why}", error.message, error.remedy, "token") from error
        person = invited.person if invited.is_again else _let_in(session, invited, jwk, name, now)
        cookie = phones.make_session(session, device, now)
        book = session.get_one(Book, invited.book)
        answer = {
            "seamwalk": 1,
            "book": book.id,
            "title": book.title,
            "owner_fingerprint": book.owner_fingerprint,
            "device": device,
            "person": person,
            "role": invited.role,
        }
    response = jsonify(answer)
    set_device_cookie(response, cookie, int(phones.SESSION_LIFETIME.total_seconds()))
    return response


def _let_in(session: Session, invited: InviteGrant, jwk: dict[str, str], name: str, now: datetime) -> str:
    """Admit a phone as its invite says; return the person that it is."""
    role, person = invited.role, invited.person
    entry = admit_device(session, invited.book, jwk=jwk, name=name, role=role, now=now, person=person)
    return str(entry.body["person"])


@api.post("/nonce")
@call(Call(NonceResponse, request_body=NonceRequest))
def nonce(body: NonceRequest) -> dict[str, object]:
    """Give a device a challenge to sign."""
    made = phones.make_nonce(services().settings.secret_key, body.device, services().now())
    return {"seamwalk": 1, "nonce": made}


@api.post("/session")
@call(Call(OkResponse, request_body=SessionRequest))
def session(body: SessionRequest) -> Response:
    """Sign a device in by the challenge that it signed."""
    now = services().now()
    with services().store.write() as writing:
        known = phones.admitted_anywhere(writing, body.device)
        if known is None:
            raise ApiError(
                403, "not_admitted", "device: not admitted", "The office admits this phone.", "device"
            )
        signed = proven(body.proof, PublicKey(known.jwk), "seamwalk-session", "nonce")
        if phones.use_nonce(writing, services().settings.secret_key, str(signed), now) != known.device:
            raise ApiError(403, "bad_proof", "proof: another device's nonce", "Ask for a new nonce.", "proof")
        cookie = phones.make_session(writing, known.device, now)
    response = jsonify(seamwalk=1)
    set_device_cookie(response, cookie, int(phones.SESSION_LIFETIME.total_seconds()))
    return response
