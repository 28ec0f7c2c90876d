"""Something of everything in a fresh site: for each address something that is there."""

import io
from typing import Any

from PIL import Image

from every_page import FORMATS, STAGES, WALKS, values_of
from fuzz.fuzz_hostile import payload, signed
from fuzz.fuzz_site import CALL
from helpers import NOW, Site
from seamwalk.book.entry import Entry
from seamwalk.book.jose import PrivateKey, sha256_hex
from seamwalk.store.stock.claims import open_claim
from seamwalk.store.stock.custody import custody
from seamwalk.store.stock.labels import company_book
from seamwalk.store.stock.search import edit_items
from seamwalk.store.tables import Item
from seamwalk_demo.crew import SimulatedPhone
from warehouse import Warehouse, tile

Known = dict[str, tuple[str, ...]]
BROKEN = "corner:top_left"


def fill(site: Site) -> tuple[SimulatedPhone, Known]:
    """Fill a site; return a phone of its crew and what parts of paths can be, as `Fuzzed.known` has them."""
    warehouse = Warehouse(site)
    warehouse.stock(2, "ab")
    warehouse.see("Wim", 1, 1, 2)
    seen = warehouse.look("Wim", 1, BROKEN)
    claim, edit = _claim_and_edit(site, seen)
    phone = site.phone()
    photo = _find(phone)
    held = _held(site, phone)
    values, items = values_of(site.store, "test-show"), values_of(site.store, "company")["code"]
    parts = {"book": (site.book,), "typed": items, "code": items, "token_hash": ("0" * 64,)}
    lists = {"fmt": FORMATS, "stage": STAGES, "walk": WALKS, "seen": (seen.id,)}
    lists["device"] = (phone.key.thumbprint, held.thumbprint)
    of_routes = {
        "sign_off.entry": (_sign_off(site.phone("chief", "Kim")).id, *values["entry"]),
        "claim.entry": (claim, *values["entry"]),
        "claim_open.code": (tile(1), *items),
        "entry_file.entry": (seen.id, *values["entry"]),
        "book_photo.sha256": (photo, *values["sha256"]),
        "things_undo.entry": (edit, seen.id),
        "dist.name": ("build.json", "sw.js"),
        "assets.name": ("mark.svg", "office.css"),
    }
    return phone, values | parts | lists | of_routes


def _claim_and_edit(site: Site, seen: Entry) -> tuple[str, str]:
    """A claim for what a look saw broken, and an edit that can be taken back."""
    with site.store.write() as session:
        book = company_book(session, "Test Company", site.clock[0])
        item = session.get_one(Item, (book.id, tile(1)))
        breakage = custody(session, item.code, item.kind).breakage_of(seen.id, BROKEN)
        assert breakage is not None
        told: dict[str, Any] = {"against": "Kranich Haulage", "reference": None, "deadline": None}
        claim = open_claim(session, book, item, breakage, **told, now=site.clock[0])
        return claim, edit_items(session, book, [tile(2)], "batch", "z", site.clock[0])


def _find(phone: SimulatedPhone) -> str:
    """Findings with a note and a photo; return the photo's name."""
    plan, file = phone.plan("A")
    checks = [check["id"] for check in file["checks"]]
    phone.write("found", {"plan": plan, "checks": checks[:2], "result": "ok"}, NOW)
    picture = io.BytesIO()
    Image.effect_noise((32, 24), 50).convert("RGB").save(picture, "JPEG")
    phone.blobs.append(picture.getvalue())
    photo = sha256_hex(picture.getvalue())
    told = {"reason": "other", "note_blob": phone.note("a note"), "photo_blobs": [photo]}
    fault = {"result": "fault", "weight": "stop", **told}
    phone.write("found", {"plan": plan, "checks": checks[2:3], **fault}, NOW)
    assert phone.sync() == ["kept", "kept"]
    return photo


def _held(site: Site, phone: SimulatedPhone) -> PrivateKey:
    """The key of a phone that nobody knows, whose entry is held."""
    key = PrivateKey.generate()
    stranger: dict[str, Any] = {"after": 0, "entries": [signed(key, payload(site.book))]}
    phone.client.post(f"/api/v1/books/{site.book}/sync", json=stranger, headers=CALL)
    return key


def _sign_off(chief: SimulatedPhone) -> Entry:
    plan, _ = chief.plan("A")
    size, root = chief.frontier.tree_size, chief.frontier.root_hash.hex()
    over = {"plan": plan, "epoch": 1, "size": size, "root": root, "own": [], "exceptions": []}
    signed_off = chief.write("signed_off", {"statement": "built", "wall": "A", **over}, NOW)
    assert chief.sync() == ["kept"]
    return signed_off
