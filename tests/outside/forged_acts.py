"""Forged acts: bodies of no schema, entries that are not their writer's, twins, roots of other books."""

from collections.abc import Iterator
from typing import Any

from forge import FOUND, JSON, Forge, Forgery, PrivateKey, entry_id, other_form, sign
from forged_bodies import CLAIM, HASH, SEEN, TYPE

from seamwalk.book.trust import TRUST_TYPES

STRANGER = "p" + "f" * 16
_LATER = "2026-11-21T22:00:00.000Z"


def acts(book: Forge) -> Iterator[Forgery]:
    """Good texts that have no place in the book."""
    for group in (
        _roles,
        _trust_entries,
        _admissions,
        _revocations,
        _twins,
        _roots,
        _let_in,
    ):
        yield from group(book)


def _roles(book: Forge) -> Iterator[Forgery]:
    """Each role writes something of another's."""
    over = book.sign_off()
    tries: list[tuple[str, str, dict[str, Any]]] = [
        ("crew", "signed_off", over),
        ("crew", "blob_erased", {"blob": HASH}),
        ("crew", "claim_opened", CLAIM),
        ("chief", "signed_off", over | {"statement": "supply"}),
        ("chief", "stock_listed", {"stock_file": HASH}),
        ("competent_person", "signed_off", over),
        ("competent_person", "item_seen", SEEN),
        ("electrician", "signed_off", over | {"statement": "suspension"}),
        ("client", "found", FOUND),
        ("client", "signed_off", over | {"statement": "handover"}),
        ("partner", "found", FOUND),
        ("partner", "withdrawn", {"entry": HASH}),
        ("warehouse", "signed_off", over),
        ("warehouse", "type_described", TYPE),
    ]
    for role, entry_type, body in tries:
        data = _by_another(book, role, entry_type, body)
        yield Forgery(f"role: {role} writes {entry_type} {body.get('statement', '')}", "role", data)
    yield Forgery("role: the office writes found", "role", book.by_owner("found", FOUND))
    yield Forgery("role: the office signs off", "role", book.by_owner("signed_off", over))


def _by_another(book: Forge, role: str, entry_type: str, body: Any) -> bytes:
    made = book.copy()
    return made.body(entry_type, body, made.second(role), n=1, prev=None)


def _trust_bodies(book: Forge, key: PrivateKey) -> dict[str, dict[str, Any]]:
    keys = {"owner_jwk": key.jwk, "head_jwk": key.jwk}
    return {
        "book_opened": {"kind": "show", "title": "T", "slug": "t", "epoch": 1, **keys},
        "rules_begun": {"rules": 2},
        "device_admitted": book.admission(key),
        "device_revoked": {"device": book.phone.thumbprint, "reason": "?"},
        "entry_admitted": {"entry": HASH, "reason": "?"},
        "restored": {"epoch": 9, "base_size": 1, "base_root": book.root(1), "head_jwk": key.jwk},
        "head_key_changed": {"epoch": 1, "head_jwk": key.jwk},
    }


def _trust_entries(book: Forge) -> Iterator[Forgery]:
    """Nobody but the owner says who may write, not even let in; and a book is opened once."""
    bodies = _trust_bodies(book, book.stranger)
    assert set(bodies) == set(TRUST_TYPES)
    for entry_type, body in bodies.items():
        yield Forgery(f"{entry_type} by crew", "role", book.body(entry_type, body))
        yield Forgery(
            f"{entry_type} by crew, let in", "role", _let_in_text(book, entry_type, body, book.phone)
        )
        alone = book.body(entry_type, body, book.stranger)
        yield Forgery(f"{entry_type} by a stranger", "unknown_device", alone)
    again = bodies["book_opened"] | {"owner_jwk": book.owner.jwk}
    yield Forgery("opened again by the owner", "role", book.by_owner("book_opened", again))
    yield Forgery("opened again, let in", "role", _let_in_text(book, "book_opened", again, book.owner))
    for version, body in ((2, again | {"rules": 1}), (2, again | {"rules": "2"}), (1, again | {"rules": 2})):
        name = f"opening of version {version} with rules {body['rules']!r}"
        yield Forgery(name, "schema", _opened(book, book.owner, body, v=version))
    by_another = _opened(book, book.stranger, again, v=1)
    yield Forgery("opened by a stranger for the owner", "unknown_device", by_another)
    yield Forgery("begins with something else", "unknown_device", _alone(book, book.text(key=book.owner)))
    bare = {k: v for k, v in book.header(book.owner).items() if k != "jwk"}
    first = sign(book.owner, bare, book.payload(type="book_opened", body=again, n=1, prev=None))
    yield Forgery("opened without a jwk", "key_missing", _alone(book, first))


def _opened(book: Forge, key: PrivateKey, body: Any, **changes: Any) -> bytes:
    """A book of one entry."""
    told = book.payload(type="book_opened", body=body, n=1, prev=None, **changes)
    return _alone(book, book.text(told, key=key))


def _alone(book: Forge, text: str) -> bytes:
    made = book.copy()
    made.entries = [text]
    return made.file()


def _let_in_text(book: Forge, entry_type: str, body: Any, key: PrivateKey, *, other: bool = False) -> bytes:
    """An entry that the office lets in, by the id of either form, and then the entry."""
    text = book.text(book.payload(type=entry_type, body=body, n=50), key=key)
    made = book.copy()
    named = entry_id(other_form(text) if other else text)
    made.write("entry_admitted", {"entry": named, "reason": "told"})
    return made.also(text).file()


def _let_in(book: Forge) -> Iterator[Forgery]:
    wrong = book.sign_off(root=HASH)
    for other in (False, True):
        by = "its other id" if other else "its id"
        data = _let_in_text(book, "signed_off", wrong, book.phone, other=other)
        yield Forgery(f"accepted: a sign-off over another root, let in by {by}", "", data)
    yield Forgery(
        "unknown device, let in", "unknown_device", _let_in_text(book, "found", FOUND, book.stranger)
    )
    made, text = book.copy(), book.text()
    made.write("device_revoked", {"device": book.phone.thumbprint, "reason": "lost"})
    made.write("entry_admitted", {"entry": entry_id(text), "reason": "before"})
    yield Forgery("accepted: of a revoked device, let in", "", made.also(text).file())
    late = book.copy()
    held = late.text(late.payload(type="stock_listed", body={"stock_file": HASH}))
    late.entries.append(held)
    late.write("entry_admitted", {"entry": entry_id(held), "reason": "too late"})
    yield Forgery("let in only afterwards", "role", late.file())


def _admissions(book: Forge) -> Iterator[Forgery]:
    key = PrivateKey.generate()
    changes: list[tuple[str, PrivateKey, dict[str, Any]]] = [
        ("again, for another person", book.phone, {"person": STRANGER}),
        ("of the owner's device", book.owner, {}),
        ("of the owner's device as crew's person", book.owner, {"person": STRANGER}),
        ("in the office's role", key, {"role": "office"}),
        ("again, in the office's role", book.phone, {"role": "office"}),
        ("of a device that is not its key", key, {"device": book.stranger.thumbprint}),
        ("of a known device under another key", book.phone, {"jwk": key.jwk}),
    ]
    for name, admitted, change in changes:
        data = book.by_owner("device_admitted", book.admission(admitted, **change))
        yield Forgery(f"admission {name}", "admission", data)
    revoked = {"device": book.owner.thumbprint, "reason": "?"}
    yield Forgery("the owner revokes its own device", "admission", book.by_owner("device_revoked", revoked))
    yield Forgery("crew revokes the owner", "admission", book.body("device_revoked", revoked))
    chief = book.copy()
    chief.write("device_admitted", book.admission(book.phone, role="chief"))
    data = chief.body("signed_off", chief.sign_off())
    yield Forgery("accepted: crew is made chief and signs off", "", data)
    chief.write("device_admitted", book.admission(book.phone, role="crew"))
    data = chief.body("signed_off", chief.sign_off())
    yield Forgery("a chief who was made crew signs off", "role", data)


def _revocations(book: Forge) -> Iterator[Forgery]:
    gone = book.copy()
    gone.write("device_revoked", {"device": book.phone.thumbprint, "reason": "lost"})
    yield Forgery("a revoked device writes on", "revoked_device", gone.forged())
    unadmitted = gone.also(other_form(book.entries[1]))
    yield Forgery("a revoked device's old admission, turned", "twin", unadmitted.file())
    yield Forgery("a revoked device's old admission", "twin", gone.also(book.entries[1]).file())
    gone.write("device_admitted", book.admission(book.phone))
    yield Forgery("accepted: admitted again after it was revoked", "", gone.forged())
    gone.write("device_revoked", {"device": "A" * 43, "reason": "?"})
    yield Forgery("accepted: a device revoked that never was", "", gone.forged())
    yield from _late(book)


def _late(book: Forge) -> Iterator[Forgery]:
    """The owner's older words about a device, which come in after a newer one."""
    revocation = {"device": book.phone.thumbprint, "reason": "lost"}
    gone = book.copy()
    gone.write("device_revoked", revocation, at=_LATER)
    gone.write("device_admitted", book.admission(book.phone, role="chief"))
    yield Forgery("accepted: an older admission comes in late", "", gone.file())
    yield Forgery("a revoked device writes after its older admission", "revoked_device", gone.forged())
    back = book.copy()
    back.write("device_admitted", book.admission(book.phone), at=_LATER)
    back.write("device_revoked", revocation)
    yield Forgery("accepted: an older revocation comes in late", "", back.forged())
    early = book.payload(type="device_revoked", body=revocation, at="2026-01-01T00:00:00.000Z")
    yield Forgery("an older revocation by crew", "role", book.forged(early))
    first = book.copy()
    key = book.stranger
    first.write("device_revoked", {"device": key.thumbprint, "reason": "lost"}, at=_LATER)
    first.write("device_admitted", book.admission(key, person=STRANGER))
    yield Forgery("accepted: its revocation came in before its admission", "", first.file())
    by_it = first.payload(n=1, prev=None)
    yield Forgery(
        "a device writes whose revocation came first", "unknown_device", first.forged(by_it, key=key)
    )


def _twins(book: Forge) -> Iterator[Forgery]:
    for place, what in enumerate(("opening", "admission", "finding")):
        turned = other_form(book.entries[place])
        yield Forgery(f"the {what} again, turned", "twin", book.also(turned).file())
        yield Forgery(f"the {what} again", "twin", book.also(book.entries[place]).file())
        instead = book.copy()
        instead.entries[place] = turned
        yield Forgery(f"accepted: the {what} in its other form alone", "", instead.file())
    fresh = book.text()
    again = book.text()
    assert fresh != again
    yield Forgery("signed twice", "twin", book.also(fresh, again).file())
    yield Forgery("turned first, its own after it", "twin", book.also(other_form(fresh), fresh).file())


def _roots(book: Forge) -> Iterator[Forgery]:
    chief = book.copy()
    key = chief.second("chief", STRANGER)
    here = len(chief.entries)
    offs: dict[str, JSON] = {
        "of another root": {"root": HASH},
        "of a root before": {"root": chief.root(1)},
        "over more than there is": {"size": here + 1, "root": chief.root(here)},
        "over 10^15": {"size": 10**15},
        "of an epoch that never was": {"epoch": 2},
    }
    for name, change in offs.items():
        data = chief.body("signed_off", chief.sign_off(**change), key, n=1, prev=None)
        yield Forgery(f"sign-off {name}", "other_root", data)
    own = chief.sign_off(size=here + 1)
    text = chief.text(chief.payload(type="signed_off", body=own, n=1, prev=None), key=key)
    yield Forgery("sign-off over itself", "other_root", chief.also(text).file())
    data = chief.body("signed_off", chief.sign_off(size=2, root=chief.root(2)), key, n=1, prev=None)
    yield Forgery("accepted: a sign-off over what was there before", "", data)
    for name, size, root in (("of another root", 2, HASH), ("of more than there is", 99, book.root(3))):
        bad = book.copy()
        bad.restore(size, 7, root)
        yield Forgery(f"restore {name}", "other_root", bad.file())
    yield from _epochs(book)


def _epochs(book: Forge) -> Iterator[Forgery]:
    old = book.head
    after = book.copy()
    after.restore(2, 7)
    yield Forgery("accepted: a restore", "", after.file())
    yield Forgery("restore, the head by the key before", "head_key", after.file(old))
    yield Forgery("restore, the head of the epoch before", "head_claim", after.file(epoch=1))
    new = after.head
    after.restore(2, 3, HASH)
    after.head, after.epoch = new, 7
    yield Forgery("accepted: a restore of an older epoch, which begins nothing", "", after.file())
    changed = book.copy()
    key = PrivateKey.generate()
    changed.write("head_key_changed", {"epoch": 1, "head_jwk": key.jwk})
    yield Forgery("accepted: another head key", "", changed.file(key))
    yield Forgery("the head by a key that was changed", "head_key", changed.file())
    other = book.copy()
    other.write("head_key_changed", {"epoch": 2, "head_jwk": key.jwk})
    yield Forgery("accepted: a head key of an epoch that is not", "", other.file())
    yield Forgery("the head by a key of an epoch that is not", "head_key", other.file(key))
