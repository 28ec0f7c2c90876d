"""Books from before rules 2, with all that those let in, and what they refused as well."""

import json
from collections.abc import Iterator
from typing import Any

from forge import (
    BOOK,
    FOUND,
    JSON,
    ORDER,
    Forge,
    Forgery,
    PrivateKey,
    base64url_encode,
    entry_id,
    line,
    other_form,
    scalars_of,
    sign,
    signature_of,
    strayed,
)

HASH = "0" * 64
ARABIC = str.maketrans("0123456789", "٠١٢٣٤٥٦٧٨٩")


def old_books(book: Forge) -> Iterator[Forgery]:
    """One change of a book that was begun under rules 1, and the same after rules 2 began in it."""
    later = book.copy()
    later.begin_rules()
    for name, code, payload, header in _lax(book):
        text = book.text(payload, header)
        yield Forgery(f"accepted by rules 1: {name}", "", book.also(text).file())
        yield Forgery(f"once rules 2 began: {name}", code, later.also(text).file())
    for name, code, text in _refused(book):
        yield Forgery(f"refused by rules 1: {name}", code, book.also(text).file())
    for group in (_twins, _only_by_twins, _trust, _begun):
        yield from group(book)


def _lax(book: Forge) -> Iterator[tuple[str, str, Any, Any]]:
    good, header = book.payload(), book.header()
    for n in (2**53, 10**30):
        yield f"n of {n}", "payload", good | {"n": n}, None
    for at in ("2026-02-30T22:00:00.000Z", "2026-99-99T99:99:99.999Z", "0000-00-00T00:00:00.000Z"):
        yield f"at {at}", "payload", good | {"at": at}, None
    yield "at in Arabic digits", "payload", good | {"at": good["at"].translate(ARABIC)}, None
    for value in ("12", " 1.5e1\n", "+1_2.5", True, False):
        read = {"name": "gap", "unit": "mm", "value": value}
        yield f"a reading of {value!r}", "schema", good | {"v": 2, "body": FOUND | {"readings": [read]}}, None
    for at in ("2026-99-99T99:99Z", "٢٠٢٦-11-20T10:00Z"):
        paper = FOUND | {"paper": {"by_blob": HASH, "at": at}}
        yield f"a paper of {at}", "schema", good | {"v": 2, "body": paper}, None
    tag: JSON = {"plan": HASH, "wall": "A", "tile": "1.1", "item": None, "tag": "a\0b", "replaces": []}
    yield "NUL in a text", "payload", good | {"type": "tile_bound", "body": tag}, None
    yield "a jwk with its private d", "jwk", None, book.header(jwk=book.phone.jwk | {"d": "x"})
    yield "a jwk of another, the device being known", "jwk", None, book.header(jwk=book.stranger.jwk)
    off = book.phone.jwk | {"x": book.phone.jwk["y"]}
    yield "a jwk off the curve, the device being known", "jwk", None, book.header(jwk=off)
    yield "a header of spaces", "too_long", None, json.dumps(header).encode() + b" " * 4096
    yield "NaN in a jwk", "header", None, book.header(jwk=book.phone.jwk | {"d": float("nan")})
    deep = book.header(jwk=book.phone.jwk | {"d": [[[[1]]]]})
    yield "a header 6 deep", "header", None, deep


def _refused(book: Forge) -> Iterator[tuple[str, str, Any]]:
    good, header = book.payload(), book.header()
    text = json.dumps(good)
    signed, _, end = book.text().rpartition(".")
    head, body = signed.split(".")
    r, s = scalars_of(book.phone, signed)
    yield "a number", "text", 5
    yield "too long", "too_long", book.text(text.encode() + b" " * 800_000)
    yield "payload padded", "base64url", f"{head}.{body}=.{end}"
    yield "header padded", "base64url", f"{head}=.{body}.{end}"
    yield "alg none", "header", book.text(header=header | {"alg": "none"})
    yield "a header member more", "header", book.text(header=header | {"crit": []})
    yield "alg twice", "header", book.text(header=('{"alg":"none",' + json.dumps(header)[1:]).encode())
    yield "a jwk of RSA", "jwk", book.text(header=book.header(jwk={"kty": "RSA"}))
    yield "a jwk without y", "jwk", book.text(header=book.header(jwk={"kty": "EC", "crv": "P-256", "x": "x"}))
    unknown = book.stranger
    off = book.header(unknown, jwk=unknown.jwk | {"x": unknown.jwk["y"]})
    yield "a jwk off the curve, of a device that is not known", "jwk", book.text(header=off, key=unknown)
    other = book.header(unknown, jwk=book.owner.jwk)
    yield "a jwk of another, of a device that is not known", "signature", book.text(header=other, key=unknown)
    yield "a member twice", "payload", book.text(text.replace('"n"', '"n": 1, "n"').encode())
    yield "n of 0", "payload", book.text(good | {"n": 0})
    yield "v of true", "payload", book.text(good | {"v": True})
    yield "at without its Z", "payload", book.text(good | {"at": good["at"][:-1]})
    yield "a signature padded", "signature_form", f"{signed}.{end}=="
    yield "a signature with a stray bit", "signature_form", f"{signed}.{strayed(end)}"
    longer = base64url_encode(b"\0" + r.to_bytes(32, "big") + b"\0" + s.to_bytes(32, "big"))
    for name, wrong in {
        "of 0 bytes": "",
        "of 63 bytes": base64url_encode(b"x" * 63),
        "of 66 bytes, each half one more": longer,
        "of r and 0": signature_of(r, 0),
        "of r and n": signature_of(r, ORDER),
        "of 1 and 1": signature_of(1, 1),
    }.items():
        yield f"a signature {name}", "signature", f"{signed}.{wrong}"
    yield (
        "no key",
        "key_missing",
        sign(unknown, {"alg": "ES256", "kid": unknown.thumbprint, "typ": "seamwalk-entry"}, good),
    )
    yield "a stranger", "unknown_device", book.text(key=unknown)
    yield "a book of another name", "wrong_book", book.text(good | {"book": "my book"})
    yield "a type of capitals", "unknown_type", book.text(good | {"type": "FOUND"})
    yield "version 0", "unknown_version", book.text(good | {"v": 0})
    yield "version 10^30", "unknown_version", book.text(good | {"v": 10**30})
    yield "a result that there is not", "schema", book.text(good | {"body": FOUND | {"result": "fine"}})
    for value in ("NaN", "x", " 1_2 ", "1__2", "0x10", "\u0661", None, float("inf"), 10**400, "1e400", "1e7"):
        told = FOUND | {"readings": [{"name": "gap", "unit": "mm", "value": value}]}
        yield f"a reading of {str(value)[:9]!r}", "schema", book.text(good | {"v": 2, "body": told})
    yield "a sign-off by crew", "role", book.text(good | {"type": "signed_off", "body": book.sign_off()})


def _twins(book: Forge) -> Iterator[Forgery]:
    ids = book.ids()
    for place, what in enumerate(("opening", "admission", "finding")):
        turned = other_form(book.entries[place])
        yield Forgery(f"accepted by rules 1: the {what} again, turned", "", book.also(turned).file())
        yield Forgery(f"refused by rules 1: the {what} again", "twin", book.also(book.entries[place]).file())
    made = book.also(other_form(book.entries[2]))
    seals = [_seal(made, 2, 3), _seal(made, 3, 4)]
    yield Forgery("accepted by rules 1: seals of an entry and of its twin", "", made.file(), tuple(seals))
    made.begin_rules()
    yield Forgery("accepted: rules 2 after a twin", "", made.file())
    yield Forgery("once rules 2 began: a twin", "twin", made.also(other_form(book.entries[1])).file())
    yield Forgery("once rules 2 began: a text again", "twin", made.also(book.entries[2]).file())
    bare = made.lines()
    bare[3] = line({"leaf": ids[2]}).encode()
    yield Forgery("accepted: the entry of a twin is a bare leaf", "", b"".join(bare))


def _seal(book: Forge, index: int, size: int) -> str:
    return f"SEAMWALK1:{BOOK}:1:{size}:{book.root(size)}:{book.ids()[index]}".upper()


def _only_by_twins(book: Forge) -> Iterator[Forgery]:
    gone = book.copy()
    gone.write("device_revoked", {"device": book.phone.thumbprint, "reason": "lost"})
    yield Forgery("refused by rules 1: a revoked device", "revoked_device", gone.forged())
    back = gone.also(other_form(book.entries[1]))
    after = back.also(back.text())
    yield Forgery(
        "accepted by rules 1: a revoked device that its old admission brought back", "", after.file()
    )
    seal = _seal(after, len(after.entries) - 1, len(after.entries))
    yield Forgery("accepted by rules 1: a seal of what only a twin let in", "", after.file(), (seal,))
    after.begin_rules()
    yield Forgery("once rules 2 began: it writes on", "revoked_device", after.forged(after.payload(n=9)))
    crew = book.copy()
    key = crew.second("chief")
    crew.write("device_admitted", book.admission(key, role="crew"))
    old = crew.also(other_form(crew.entries[3]))
    told = old.payload(type="signed_off", body=old.sign_off(root=HASH), n=1, prev=None)
    off = old.text(told, key=key)
    yield Forgery(
        "accepted by rules 1: a chief of before signs off over another root", "", old.also(off).file()
    )
    yield Forgery("refused by rules 1: a chief who was made crew", "role", crew.also(off).file())
    yield from _friends(book)


def _friends(book: Forge) -> Iterator[Forgery]:
    """A phone that was made office, revoked and brought back by a twin, admits its friend."""
    made = book.copy()
    boss, friend = made.second("office"), PrivateKey.generate()
    admitted = made.entries[-1]
    made.write("device_revoked", {"device": boss.thumbprint, "reason": "?"})
    made.entries.append(other_form(admitted))
    body = made.admission(friend, person="p" + "1" * 16)
    made.entries.append(made.text(made.payload(type="device_admitted", body=body, n=1, prev=None), key=boss))
    header = {"alg": "ES256", "kid": friend.thumbprint, "typ": "seamwalk-entry"}
    text = sign(friend, header, made.payload(n=1, prev=None))
    yield Forgery("accepted by rules 1: a friend whom only a twin let in", "", made.also(text).file())
    made.begin_rules()
    yield Forgery("once rules 2 began: the friend", "unknown_device", made.also(text).file())


def _trust(book: Forge) -> Iterator[Forgery]:
    """Admissions that rules 2 refuse are flagged, and hold."""
    key, made = PrivateKey.generate(), book.copy()
    made.write("device_admitted", book.admission(key, device=book.stranger.thumbprint, person="p" + "2" * 16))
    by_key = made.text(key=key)
    yield Forgery("accepted by rules 1: admitted by its key", "", made.also(by_key).file())
    yield Forgery(
        "refused by rules 1: admitted by its name", "unknown_device", made.forged(key=book.stranger)
    )
    made = book.copy()
    made.write("device_admitted", book.admission(book.phone, person="p" + "3" * 16))
    yield Forgery("accepted by rules 1: admitted again for another person", "", made.forged())
    boss = made.second("office")
    listed = made.payload(type="stock_listed", body={"stock_file": HASH}, n=1, prev=None)
    yield Forgery("accepted by rules 1: another office", "", made.forged(listed, key=boss))
    gone = {"device": made.owner.thumbprint, "reason": "?"}
    revoked = made.also(made.text(made.payload(type="device_revoked", body=gone, n=1, prev=None), key=boss))
    yield Forgery("accepted by rules 1: the owner revoked", "", revoked.file())
    shut = revoked.copy()
    shut.write("stock_listed", {"stock_file": HASH})
    yield Forgery("refused by rules 1: the owner after it was revoked", "revoked_device", shut.file())
    revoked.begin_rules()
    revoked.write("stock_listed", {"stock_file": HASH})
    yield Forgery("accepted: the owner begins rules 2, and writes again", "", revoked.file())
    text = book.text(book.payload(type="head_key_changed", body={"epoch": 1, "head_jwk": key.jwk}))
    made = book.copy()
    made.write("entry_admitted", {"entry": entry_id(text), "reason": "?"})
    yield Forgery("accepted by rules 1: a head key by crew, let in", "", made.also(text).file(key))
    chief = book.copy()
    phone = chief.second("chief")
    told = chief.payload(type="signed_off", body=chief.sign_off(epoch=9), n=1, prev=None)
    yield Forgery(
        "accepted by rules 1: a sign-off of an epoch that never was", "", chief.forged(told, key=phone)
    )
    told["body"] |= {"root": HASH}
    yield Forgery(
        "refused by rules 1: a sign-off over another root", "other_root", chief.forged(told, key=phone)
    )


def _begun(book: Forge) -> Iterator[Forgery]:
    crew = book.body("rules_begun", {"rules": 2})
    yield Forgery("rules 2 begun by crew", "role", crew)
    twice = book.copy()
    twice.begin_rules()
    twice.begin_rules()
    yield Forgery("accepted: rules 2 begun twice", "", twice.file())
    more = book.copy()
    more.write("rules_begun", {"rules": 1000})
    yield Forgery("accepted: rules of a number that nobody knows yet", "", more.file())
    yield Forgery(
        "rules of a number that nobody knows yet: a twin",
        "twin",
        more.also(other_form(book.entries[2])).file(),
    )
