"""Joining a book by an invite, and sessions of devices."""

from flask import Response, jsonify

from seamwalk.book.jose import PublicKey
from seamwalk.errors import Conflict, NotFound
from seamwalk.store import access
from seamwalk.store.books import admit_device
from seamwalk.store.tables import Book
from seamwalk.web.api import api
from seamwalk.web.api.bodies import body, proof, public_key
from seamwalk.web.cookies import set_device_cookie
from seamwalk.web.errors import ApiError
from seamwalk.web.services import services

MAX_NAME = 60


@api.post("/join")
def join() -> Response:
    """Admit a phone by a single-use invite and sign it in."""
    data = body(token=str, jwk=dict, name=str, proof=str)
    key = public_key(data["jwk"])
    name = " ".join(data["name"].split())
    if not 1 <= len(name) <= MAX_NAME:
        message = f"name: 1 to {MAX_NAME} characters are needed"
        raise ApiError(400, "bad_field", message, "Type the name that the crew calls you by.", "name")
    if proof(data["proof"], key, "seamwalk-join").get("token") != data["token"]:
        raise ApiError(
            403, "bad_proof", "proof: made for another invite", "Sign this invite's token.", "proof"
        )
    return _admit(data["token"], data["jwk"], key, name)


def _admit(token: str, jwk: dict[str, str], key: PublicKey, name: str) -> Response:
    now = services().now()
    with services().store.write() as session:
        try:
            invited = access.use_invite(session, token, key.thumbprint, now)
        except (NotFound, Conflict) as error:
            raise ApiError(410, "invite", error.message, error.remedy, "token") from error
        role, person = invited.role, invited.person
        entry = admit_device(session, invited.book, jwk=jwk, name=name, role=role, now=now, person=person)
        cookie = access.make_session(session, key.thumbprint, now)
        book = session.get_one(Book, invited.book)
        answer = {
            "seamwalk": 1,
            "book": book.id,
            "title": book.title,
            "owner_fingerprint": book.owner_fingerprint,
            "device": key.thumbprint,
            "person": entry.body["person"],
            "role": invited.role,
        }
    response = jsonify(answer)
    set_device_cookie(response, cookie, int(access.SESSION_LASTS.total_seconds()))
    return response


@api.post("/nonce")
def nonce() -> dict[str, object]:
    """Give a device a challenge to sign."""
    data = body(device=str)
    made = access.make_nonce(services().settings.secret_key, data["device"], services().now())
    return {"seamwalk": 1, "nonce": made}


@api.post("/session")
def session() -> Response:
    """Sign a device in by the challenge that it signed."""
    data = body(proof=str, device=str)
    now = services().now()
    with services().store.write() as db:
        known = access.admitted_anywhere(db, data["device"])
        if known is None:
            raise ApiError(
                403, "not_admitted", "device: not admitted", "The office admits this phone.", "device"
            )
        signed = proof(data["proof"], PublicKey(known.jwk), "seamwalk-session").get("nonce")
        if access.use_nonce(db, services().settings.secret_key, str(signed), now) != known.device:
            raise ApiError(403, "bad_proof", "proof: another device's nonce", "Ask for a new nonce.", "proof")
        cookie = access.make_session(db, known.device, now)
    response = jsonify(seamwalk=1)
    set_device_cookie(response, cookie, int(access.SESSION_LASTS.total_seconds()))
    return response
