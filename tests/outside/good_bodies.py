"""One good body of each type and version, with all that it may hold."""

from typing import Any

from seamwalk.book.jose import PrivateKey

HASH, CODE, PERSON, BOOK = "0" * 64, "HQT00001", "p0123456789abcdef", "b0123456789abcdef"
KEY = PrivateKey.generate()
OTHER = PrivateKey.generate()
CHECK = "A/tile/1.1/condition:sound"
_PHOTOS = {"photo_blobs": [HASH], "note_blob": HASH}
_TOLD = {
    "edition": HASH,
    "readings": [{"name": "gap_mm", "unit": "mm", "value": 1.5}],
    "paper": {"by_blob": HASH, "at": "2026-11-20T22:00:00.000Z"},
    **_PHOTOS,
}
_FOUND: dict[str, Any] = {
    "plan": HASH,
    "checks": [CHECK, "A/free/1.1/left/guard:out"],
    "result": "ok",
    "answers": [HASH],
}
_FOUND |= {"weight": None, "reason": "late"}
_SWAPPED = {"plan": HASH, "part": "lock", "where": "1.1", "out": CODE, "in": CODE, "reopens": [CHECK]}
_KEYS = {"owner_jwk": KEY.jwk, "head_jwk": OTHER.jwk}
_OPENED = {"kind": "show", "title": "T", "slug": "t-1", "epoch": 1, **_KEYS}
_LOOK = {"book": BOOK, "entry": HASH}

GOOD: dict[str, dict[str, Any]] = {
    "book_opened": _OPENED,
    "book_opened/2": _OPENED | {"rules": 2},
    "rules_begun": {"rules": 2},
    "device_admitted": {
        "device": KEY.thumbprint,
        "jwk": KEY.jwk,
        "person": PERSON,
        "name_blob": HASH,
        "role": "crew",
    },
    "device_revoked": {"device": KEY.thumbprint, "reason": "lost"},
    "entry_admitted": {"entry": HASH, "reason": "he stood there"},
    "blob_erased": {"blob": HASH},
    "restored": {"epoch": 2, "base_size": 1, "base_root": HASH, "head_jwk": OTHER.jwk},
    "head_key_changed": {"epoch": 1, "head_jwk": OTHER.jwk},
    "plan_set": {"wall": "A", "title": "T", "replaces": HASH, "plan_file": HASH, "checks_file": HASH},
    "stock_listed": {"stock_file": HASH},
    "tile_bound": {
        "plan": HASH,
        "wall": "A",
        "tile": "1.2x3x4",
        "item": CODE,
        "tag": None,
        "replaces": [HASH],
    },
    "found": _FOUND | _PHOTOS,
    "found/2": _FOUND | _TOLD,
    "found/3": _FOUND
    | _TOLD
    | {"chosen": ["look:wet"]}
    | {"ahead": {"reason": "weather", "missing": [CHECK], "held": [HASH]}},
    "stop_released": {"plan": HASH, "fault": HASH, "check": CHECK, "duty": "structure", "note_blob": HASH},
    "circuits_switched": {"plan": HASH, "wall": "A", "circuits": ["C1"], "live": True, "note_blob": HASH},
    "strike_opened": {"plan": HASH, "wall": "A", "tiles": ["1.2"], "reason": "weather", "note_blob": HASH},
    "strike_closed": {"opened": HASH},
    "pace_answered": {"entries": [HASH], "answer": "tapped_afterwards", "note_blob": HASH},
    "withdrawn": {"entry": HASH},
    "swapped": _SWAPPED,
    "swapped/2": _SWAPPED | _TOLD | {"from_place": "1.2"},
    "swapped/3": _SWAPPED | _TOLD | {"from_place": "1.2", "part": "power_link"},
    "procedure_walked": {
        "procedure": "dry",
        "at": "A/1",
        "plan": HASH,
        "result": "fault",
        "reason": "wet",
        "chosen": ["look:wet"],
        "text_blobs": {"look": HASH},
        **_TOLD,
    },
    "work_shared": {
        "plan": HASH,
        "wall": "A",
        "walk": "build",
        "parts": [{"person": PERSON, "first": 0, "last": 5}],
    },
    "contacts_listed": {"contacts_blob": HASH},
    "procedures_listed": {"edition_file": HASH},
    "signed_off": {
        "statement": "built",
        "wall": "A",
        "plan": HASH,
        "epoch": 1,
        "size": 1,
        "root": HASH,
        "own": [HASH],
        "exceptions": [{"check": CHECK, "reason": "late", "person": "Rosa"}],
    },
    "item_registered": {"item": CODE, "kind": "tile", "tile_type": "slim", "home_case": CODE},
    "item_relabelled": {"item": CODE, "label": CODE},
    "item_described": {"item": CODE, "batch": "A", "maker_serial": "4711"},
    "label_revoked": {"label": CODE, "reason": "misprinted"},
    "case_packed": {"case": CODE, "tiles": [CODE]},
    "case_sent": {"case": CODE, "show": BOOK},
    "case_returned": {"case": CODE, "show": BOOK, "tiles": [CODE]},
    "type_described": {
        "kind": "tile",
        "type": "slim",
        "mass_kg": 7.5,
        "length_mm": 500,
        "width_mm": 500,
        "height_mm": 80,
        "price": 900,
        "currency": "EUR",
    },
    "items_edited": {"items": [CODE], "field": "batch", "value": "A", "undoes": HASH},
    "claim_opened": {
        "item": CODE,
        "part": "corner:bottom_left",
        "after": _LOOK,
        "seen": _LOOK,
        "against_blob": HASH,
        "reference": "C 1",
        "deadline": "2026-12-24",
    },
    "prep_listed": {"prep_file": HASH},
    "item_seen": {"items": [CODE], "case": CODE, "stage": "prep", "replaces": [HASH], "unopened": True},
    "case_closed": {"case": CODE, "stage": "return", "items": [CODE], "lacking": [CODE]},
    "parts_counted": {"stage": "prep", "part": "lock_key", "of": "m-6", "count": 4},
    "item_looked_at": {
        "item": CODE,
        "stage": "prep",
        "covers": ["corner:left", "edge"],
        "damage": [{"part": "corner:right", "what": "chipped", "weight": "show"}],
        **_PHOTOS,
    },
    "hire_handed_over": {
        "hire": "in",
        "leg": "out",
        "party_blob": HASH,
        "items": [CODE],
        "firmware": "1.2",
        "configuration": "a",
        **_PHOTOS,
    },
    "countersigned": {"entry": HASH, "agrees": False, "name_blob": HASH, "note_blob": HASH},
    "item_benched": {
        "item": CODE,
        "step": "repair",
        "result": "mended",
        "mended": ["corner:left"],
        "used": {"lock": 2},
        "minutes": 5,
        **_PHOTOS,
    },
}
