"""Forged bodies: of members, values and keys that no schema has."""

from collections.abc import Iterator
from typing import Any

from forge import BOOK, CHECK, FOUND, JSON, Forge, Forgery, PrivateKey, strayed

from seamwalk.book.roles import RIGHTS, Role

HASH, CODE = "0" * 64, "HQT00001"


def bodies(book: Forge) -> Iterator[Forgery]:
    """One more entry of somebody who may write its type, with a body that it cannot have."""
    for name, entry_type, body, version in _bodies():
        yield Forgery(f"schema: {name}", "schema", _by_its_role(book, entry_type, body, version))
    yield from _keys_in_bodies(book)


def _by_its_role(book: Forge, entry_type: str, body: Any, version: int) -> bytes:
    """A body signed by somebody who may write its type."""
    made = book.copy()
    if entry_type in RIGHTS[Role.OFFICE].entry_types:
        return made.body(entry_type, body, made.owner, v=version, n=made.office.n, prev=made.office.prev)
    role = next(role for role, rights in RIGHTS.items() if entry_type in rights.entry_types)
    return made.body(entry_type, body, made.second(role), v=version, n=1, prev=None)


def _bodies() -> Iterator[tuple[str, str, Any, int]]:
    read = {"name": "gap", "unit": "mm", "value": 1}
    for name, change in _FOUND.items():
        yield f"found: {name}", "found", FOUND | change, 1
    value: object
    for value in ("12", True, None, [], {}, "NaN", 1e7, -1_000_001):
        yield f"a reading of {value!r}", "found", FOUND | {"readings": [read | {"value": value}]}, 2
    for at in ("2026-02-29T10:00Z", "2026-13-01T10:00Z", "2026-11-20T24:00Z", "2026-11-20T10:60Z", "now"):
        yield f"a paper of {at}", "found", FOUND | {"paper": {"by_blob": HASH, "at": at}}, 2
    arabic = "٢٠٢٦-11-20T10:00Z"
    yield "a paper in Arabic digits", "found", FOUND | {"paper": {"by_blob": HASH, "at": arabic}}, 2
    yield "found 1 with what only found 2 has", "found", FOUND | {"edition": HASH}, 1
    for name, (entry_type, body) in _OTHERS.items():
        yield name, entry_type, body, 1


_FOUND: dict[str, dict[str, Any]] = {
    "a result that there is not": {"result": "fine"},
    "a fault without weight": {"result": "fault"},
    "an ok with weight": {"weight": "stop"},
    "a fault that answers": {"result": "fault", "weight": "stop", "answers": [HASH]},
    "no checks": {"checks": []},
    "a check twice": {"checks": [CHECK, CHECK]},
    "5,001 checks": {"checks": [f"A/tile/{i}/x:y" for i in range(5001)]},
    "a check with a line break": {"checks": [CHECK + "\n"]},
    "a check of small letters": {"checks": [CHECK.lower()]},
    "checks a text": {"checks": CHECK},
    "checks an object": {"checks": {CHECK: 1}},
    "a plan in capitals": {"plan": "A" * 64},
    "a plan null": {"plan": None},
    "a member more": {"weather": "rain"},
    "answers null": {"answers": None},
    "reason empty": {"reason": ""},
    "21 photos": {"photo_blobs": [HASH] * 21},
}
TYPE = {"kind": "tile", "type": "", "mass_kg": 1, "length_mm": None, "width_mm": None, "height_mm": None}
TYPE |= {"price": None, "currency": None}
CLAIM = {"item": CODE, "part": "corner", "after": None, "seen": {"book": BOOK, "entry": HASH}}
CLAIM |= {"against_blob": HASH, "reference": None, "deadline": None}
_BENCH = {"item": CODE, "step": "triage", "result": "repair"}
_LOOK = {"item": CODE, "stage": "prep", "covers": ["corner:left"]}
SEEN = {"items": [CODE], "case": None, "stage": "prep"}
_BOUND: JSON = {"plan": HASH, "wall": "A", "tile": "1.1", "item": CODE, "tag": None, "replaces": []}
_COUNT = {"stage": "prep", "part": "key", "of": "", "count": 1}
_WALKED: JSON = {"procedure": "dry", "at": "A", "plan": None, "result": "done", "chosen": []}
_OTHERS: dict[str, tuple[str, dict[str, Any]]] = {
    "a mass of 0": ("type_described", TYPE | {"mass_kg": 0}),
    "a mass of true": ("type_described", TYPE | {"mass_kg": True}),
    "a price without currency": ("type_described", TYPE | {"price": 5}),
    "a currency without price": ("type_described", TYPE | {"currency": "EUR"}),
    "a currency with a line break": ("type_described", TYPE | {"price": 5, "currency": "EUR\n"}),
    "a deadline that no calendar has": ("claim_opened", CLAIM | {"deadline": "2026-11-31"}),
    "a deadline with a time": ("claim_opened", CLAIM | {"deadline": "2026-11-30T10:00"}),
    "a triage that mends": ("item_benched", _BENCH | {"mended": ["corner"]}),
    "a triage that uses up": ("item_benched", _BENCH | {"used": {"lock": 1}}),
    "a triage that comes to sound": ("item_benched", _BENCH | {"result": "sound"}),
    "1.0 minutes": ("item_benched", _BENCH | {"minutes": 1.0}),
    "a used part with a line break": (
        "item_benched",
        {"item": CODE, "step": "repair", "result": "mended", "used": {"lock\n": 1}},
    ),
    "damage that was not looked at": (
        "item_looked_at",
        _LOOK | {"damage": [{"part": "edge", "what": "bent", "weight": "show"}]},
    ),
    "an item seen twice": ("item_seen", SEEN | {"items": [CODE, CODE]}),
    "unopened 1": ("item_seen", SEEN | {"unopened": 1}),
    "a tile bound by two names": ("tile_bound", _BOUND | {"tag": "x"}),
    "a tile bound by none": ("tile_bound", _BOUND | {"item": None}),
    "a count of true": ("parts_counted", _COUNT | {"count": True}),
    "a count of 4.0": ("parts_counted", _COUNT | {"count": 4.0}),
    "a count of text": ("parts_counted", _COUNT | {"count": "4"}),
    "a disagreement without a note": ("countersigned", {"entry": HASH, "agrees": False, "name_blob": HASH}),
    "agrees 1": ("countersigned", {"entry": HASH, "agrees": 1, "name_blob": HASH}),
    "done for a reason": ("procedure_walked", _WALKED | {"reason": "wet"}),
    "a fault for none": ("procedure_walked", _WALKED | {"result": "fault"}),
    "a text by a name in capitals": ("procedure_walked", _WALKED | {"text_blobs": {"A": HASH}}),
    "a title of 201": (
        "plan_set",
        {"wall": "A", "title": "x" * 201, "replaces": None, "plan_file": HASH, "checks_file": HASH},
    ),
    "an entry of 63 digits": ("withdrawn", {"entry": "0" * 63}),
    "rules 1 begun": ("rules_begun", {"rules": 1}),
    "rules of text": ("rules_begun", {"rules": "2"}),
    "a revocation without reason": ("device_revoked", {"device": "A" * 43}),
    "an epoch of 1 restored": ("restored", {"epoch": 1, "base_size": 1, "base_root": HASH, "head_jwk": {}}),
}


def _keys_in_bodies(book: Forge) -> Iterator[Forgery]:
    key, good = PrivateKey.generate(), book.stranger.jwk
    jwks = {
        "private": good | {"d": good["x"]},
        "off the curve": good | {"y": good["x"]},
        "with a stray bit": good | {"x": strayed(good["x"])},
        "of another curve": good | {"crv": "P-384"},
    }
    for name, jwk in jwks.items():
        body = book.admission(key, jwk=jwk)
        yield Forgery(f"admitted key {name}", "schema", book.by_owner("device_admitted", body))
        body = {"epoch": 1, "head_jwk": jwk}
        yield Forgery(f"head key {name}", "schema", book.by_owner("head_key_changed", body))
