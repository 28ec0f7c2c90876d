"""The clean show and the company's stock: a job walked through, nothing in it that any rules forbid.

Runs only under the first edition's code, like `make.py`.
"""

import io
import re
from typing import Any

from PIL import Image
from seamwalk.domain.codes import Code
from seamwalk.domain.signoff import in_the_way
from seamwalk.domain.tile_parts import TILE_GROUPS
from seamwalk.store.blobs import keep_blob
from seamwalk.store.books import salted_text, write_many_as_office
from seamwalk.store.contacts import Contact, list_contacts
from seamwalk.store.editions import company_file, list_edition
from seamwalk.store.prep import list_prep
from seamwalk.store.states import wall_states
from stage import Hand, Show, Stage

from seamwalk.book.entry import Entry, read_entry
from seamwalk.book.jose import sha256_hex
from seamwalk.store.stock import company_book, list_stock
from seamwalk.store.tables import Blob

ROLES = {
    "rosa": "crew",
    "bo": "crew",
    "nele": "chief",
    "wim": "warehouse",
    "iva": "client",
    "ole": "partner",
    "kai": "competent_person",
    "ute": "electrician",
}
WALKS = ("load_in", "base", "build", "guards", "power", "picture")


def case(number: int) -> str:
    return Code("HQ", "C", number).text


def tile(number: int) -> str:
    return Code("HQ", "T", number).text


def jpeg(shade: int) -> bytes:
    """A small photo without metadata."""
    data = io.BytesIO()
    Image.new("RGB", (24, 16), (shade, 90, 160)).save(data, "JPEG")
    return data.getvalue()


def make_company(stage: Stage) -> tuple[str, dict[str, str]]:
    """Three cases of two tiles, described, edited, undone, relabelled."""
    bodies: list[tuple[str, dict[str, Any]]] = []
    for number in (1, 2, 3):
        fields = {"tile_type": "dunlin_500", "home_case": None}
        bodies.append(("item_registered", {"item": case(number), "kind": "case", **fields}))
        for code in (tile(2 * number - 1), tile(2 * number)):
            told = {"item": code, "kind": "tile", "tile_type": "dunlin_500", "home_case": case(number)}
            bodies.append(("item_registered", told))
            bodies.append(("item_described", {"item": code, "batch": "spring", "maker_serial": f"S{code}"}))
    plain = dict.fromkeys(("mass_kg", "length_mm", "width_mm", "height_mm", "price", "currency"))
    bodies.append(("type_described", {**plain, "kind": "case", "type": "", "mass_kg": 40}))
    priced = {"mass_kg": 8.25, "price": 900, "currency": "EUR"}
    bodies.append(("type_described", {**plain, "kind": "tile", "type": "dunlin_500", **priced}))
    bodies.append(("item_relabelled", {"item": tile(6), "label": tile(7)}))
    bodies.append(("label_revoked", {"label": tile(6), "reason": "scratched"}))
    edit = {"items": [tile(1), tile(2)], "field": "batch", "value": "autumn", "undoes": None}
    company = write_company(stage, [*bodies, ("items_edited", edit)])
    edited = company[1][-1].id
    write_company(stage, [("items_edited", {**edit, "items": [tile(2)], "value": None, "undoes": edited})])
    return company[0], {"edit": edited}


def write_company(stage: Stage, bodies: list[tuple[str, dict[str, Any]]]) -> tuple[str, list[Entry]]:
    with stage.store.write() as session:
        book = company_book(session, "Morgenrain Wände", stage.at)
        return book.id, write_many_as_office(session, book.id, bodies, stage.pass_())


def open_clean(stage: Stage) -> Show:
    """The show up to the moment when its phones have joined."""
    show = Show.open(stage, "clean", "Kornspeicher, light rehearsal")
    with stage.store.write() as session:
        list_edition(session, show.book, company_file(session), stage.pass_())
        list_contacts(
            session, show.book, [Contact("Kai Dorn", "competent person", "+49 30 5550111")], stage.at
        )
        list_stock(session, show.book, stage.pass_())
        list_prep(session, show.book, 25, stage.pass_())
    for name, role in ROLES.items():
        show.bring(name, role)
    person = show.entries["admitted_rosa"].body["person"]
    show.bring("rosas_second", "crew", person)
    show.bring("pax", "crew")
    return show


def play_warehouse(show: Show) -> None:
    """Cases out and back, a look with damage, a hire that the partner signs, a step at the bench."""
    inside = [tile(1), tile(2)]
    seen = {"items": inside, "case": case(1), "stage": "prep", "replaces": [], "unopened": False}
    first = show.write("wim", "item_seen", "seen", **seen)
    show.write("wim", "item_seen", "seen_again", **{**seen, "items": [tile(3)], "replaces": [first.id]})
    show.write("wim", "case_closed", "closed", case=case(1), stage="prep", items=inside, lacking=[tile(4)])
    show.write("wim", "parts_counted", "counted", stage="prep", part="lock_key", of="", count=4)
    photo = show.blob(jpeg(20))
    damage = [{"part": "corner:bottom_left", "what": "chipped", "weight": "show"}]
    look = {"item": tile(1), "stage": "load_in", "covers": list(TILE_GROUPS), "damage": damage}
    show.write(
        "wim", "item_looked_at", "looked", photo_blobs=[photo], note_blob=show.note("Bottom left"), **look
    )
    hire = {"hire": "out", "leg": "out", "items": [tile(5)], "firmware": "4.2", "configuration": None}
    handed = {**hire, "party_blob": show.note("Brink Bühnenbau"), "photo_blobs": []}
    over = show.write("wim", "hire_handed_over", "handed_over", **handed)
    show.write(
        "ole", "countersigned", "countersigned", entry=over.id, agrees=True, name_blob=show.note("Ole")
    )
    show.write("wim", "item_benched", "benched", item=tile(1), step="triage", result="repair", minutes=5)


def play_findings(show: Show) -> None:
    """The wall walked; then every way in which findings answer, take back and reopen."""
    _walk_all(show, "rosa", skip=("A/stack/1.1/1.2/locks:2", "A/tile/2.2/picture:clean"))
    locks = "A/side/1.1/2.1/locks:2"
    stop = show.fault(
        "bo", "stop_fault", locks, "stop", reason="lock_stiff", note_blob=show.note("Stiff twice")
    )
    show.find("nele", "stop_mended", [locks], answers=[stop.id])
    show.fault("bo", "show_fault_stands", "A/side/1.2/2.2/edges:clean", "show", reason="debris")
    taken = show.fault("bo", "fault_taken_back", "A/base/b1/1.1/guard:in", "cosmetic", reason="guard_damaged")
    show.write("bo", "withdrawn", "takes_back_fault", entry=taken.id)
    ok = show.find("rosa", "ok_taken_back", ["A/stack/1.1/1.2/locks:2"])
    show.write("rosas_second", "withdrawn", "takes_back_ok_from_second_phone", entry=ok.id)
    show.find("rosa", "not_reached", ["A/tile/2.2/picture:clean"], "not_reached")
    reading = {"name": "gap_mm", "unit": "mm", "value": 0.4}
    show.find(
        "nele",
        "reading_with_photo",
        ["A/side/1.2/2.2/second_look:2"],
        readings=[reading],
        photo_blobs=[show.blob(jpeg(60))],
        note_blob=show.note("With the feeler gauge"),
        paper={"by_blob": show.note("Rosa, on paper"), "at": "2026-11-20T07:30Z"},
    )
    _swaps(show)
    _old_versions(show)
    _bindings(show)
    words = {"what": show.note("The ladder slid, nobody was on it."), "told": show.note("Nele, at once")}
    told = {"procedure": "incident", "at": "A", "plan": None, "result": "fault", "reason": "nearly"}
    chosen = ["help:nobody_hurt", "kind:nearly"]
    show.write("rosa", "procedure_walked", "incident", **told, chosen=chosen, text_blobs=words)
    person = show.entries["admitted_bo"].body["person"]
    share = [{"person": person, "first": 0, "last": 5}]
    show.write("nele", "work_shared", "shared", plan=show.named["plan"], wall="A", walk="build", parts=share)


def _walk_all(show: Show, who: str, skip: tuple[str, ...] = ()) -> None:
    file = show.checks()
    for walk in (item for item in file["walks"] if item["key"] in WALKS):
        ids = [file["checks"][index]["id"] for stop in walk["stops"] for index in stop["checks"]]
        show.find(who, f"walked_{walk['key']}", [check for check in ids if check not in skip])


def _swaps(show: Show) -> None:
    swap = {"plan": show.named["plan"], "part": "module", "where": "1.2/1.1", "out": None, "in_": None}
    clean = "A/tile/1.2/picture:clean"
    swapped = show.write("bo", "swapped", "swapped", **swap, reopens=[clean], from_place="1.1")
    show.find("rosa", "swap_looked_at", [clean], answers=[swapped.id])
    again = "A/tile/2.1/picture:clean"
    show.write("bo", "swapped", "swap_stands", **{**swap, "where": "2.1/1.1"}, reopens=[again])


def _old_versions(show: Show) -> None:
    """`found` and `swapped` of version 1, which are read for ever."""
    phone = show.phones["bo"]
    author = phone._author
    assert author is not None
    hand = Hand(phone.key, show.book, show.stage, author.n, author.prev)
    plan = show.named["plan"]
    bodies = {
        "found": {"plan": plan, "checks": ["A/feed/all/dead:proved"], "result": "ok"},
        "swapped": {
            "plan": plan,
            "part": "lock",
            "where": "base/b2/2.1",
            "reopens": ["A/base/b2/2.1/locks:2"],
        },
    }
    for entry_type, body in bodies.items():
        jws = hand.text(entry_type, body)
        assert show.push(jws)[0].verdict == "kept"
        hand.kept(jws)
        entry = show.remember(f"{entry_type}_of_version_1", read_entry(jws))
        phone._author = type(author)(phone.key, show.book, hand.n, entry.id)


def _bindings(show: Show) -> None:
    bound = {"plan": show.named["plan"], "wall": "A", "tile": "1.1", "item": tile(1), "tag": None}
    first = show.write("rosa", "tile_bound", "bound", **bound, replaces=[])
    show.write("rosa", "tile_bound", "bound_again", **{**bound, "item": tile(2)}, replaces=[first.id])
    foreign = {**bound, "tile": "2.1", "item": None, "tag": "guest 17"}
    show.write("bo", "tile_bound", "bound_foreign", **foreign, replaces=[])


def play_sign_offs(show: Show) -> None:
    """Every statement, each with what stands in its way as its exceptions."""
    planned = [check["id"] for check in show.checks()["checks"] if not check["id"].endswith("cased")]
    with show.stage.store.read() as session:
        found = in_the_way(planned, wall_states(session, show.book, "A"))
    exceptions = [{"check": item.check, "reason": "rehearsal only", "person": "Nele Varga"} for item in found]
    show.sign("kai", "suspension", "signed_suspension", exceptions=exceptions)
    show.sign("ute", "supply", "signed_supply", exceptions=exceptions)
    show.sign("nele", "built", "signed_built", exceptions=exceptions)
    show.sign("iva", "picture", "signed_picture", exceptions=exceptions)
    show.sign("nele", "handover", "signed_handover", exceptions=exceptions)
    show.fault("bo", "fault_after_signing", "A/free/1.2/top/guard:out", "show", reason="guard_in")


def play_trust(show: Show) -> None:
    """A phone revoked, one with another role, an entry held and let in, a text erased."""
    show.find("pax", "revoked_phones_ok", ["A/free/2.2/top/guard:out"])
    show.office("device_revoked", "revoked_pax", device=show.phones["pax"].key.thumbprint, reason="lost")
    jwk = {key: show.entries["admitted_bo"].body[key] for key in ("device", "jwk", "person", "name_blob")}
    show.office("device_admitted", "bo_made_chief", **jwk, role="chief")
    held = show.find("iva", "client_found_let_in", ["A/free/2.1/right/guard:out"], expect="held")
    show.office("entry_admitted", "lets_client_in", entry=held.id, reason="She stood there")
    erased = show.note("A name that was asked to go")
    show.office("blob_erased", "erased", blob=erased)
    with show.stage.store.write() as session:
        session.get_one(Blob, (show.book, erased)).data = None


def hold(show: Show) -> None:
    """What has no place in the book: one of each reason."""
    show.stranger("stranger")
    show.find("stranger", "held_unknown_device", ["A/tile/1.1/condition:sound"], expect="held")
    show.find("iva", "held_role", ["A/tile/1.1/condition:sound"], expect="held")
    show.find("pax", "held_revoked_device", ["A/tile/1.1/condition:sound"], expect="held")
    show.sign("bo", "built", "held_other_root", "held", root="0" * 64)
    hand = Hand(show.stranger("newer").key, show.book, show.stage)
    jwk = {"jwk": hand.key.jwk}
    texts = {
        "held_unknown_type": hand.text("weather_seen", {"sky": "grey"}, jwk),
        "held_unknown_version": hand.text("found", {"plan": None}, jwk, v=3),
        "held_type_with_lone_surrogate": hand.text("weather\ud800", {"sky": "grey"}, jwk),
    }
    for name, jws in texts.items():
        (verdict,) = show.push(jws)
        assert verdict.verdict == "held", verdict
        show.named[name] = verdict.id or ""


def leave_doors(show: Show) -> dict[str, Any]:
    """An invite not used yet, a nonce, half a photo, a claim in the company's book."""
    token = show.invite("crew")
    client = show.phones["rosa"].client
    photo = jpeg(200)
    where = f"/api/v1/books/{show.book}/blobs/{sha256_hex(photo)}/part?at=0&total={len(photo)}"
    called = {"X-Seamwalk": "1"}
    assert client.put(where, data=photo[:100], headers=called).status_code == 200
    device = show.phones["rosa"].key.thumbprint
    nonce = client.post("/api/v1/nonce", json={"device": device}, headers=called).json["nonce"]
    looked = {"book": show.book, "entry": show.named["looked"]}
    claim = {"item": tile(1), "part": "corner:bottom_left", "after": None, "seen": looked}
    claim |= {"against_blob": "", "reference": "B-17", "deadline": "2026-12-04"}
    company = write_company(show.stage, [("label_revoked", {"label": tile(7), "reason": "doubled"})])[0]
    with show.stage.store.write() as session:
        claim["against_blob"] = keep_blob(session, company, salted_text("Brink Bühnenbau"))
    write_company(show.stage, [("claim_opened", claim)])
    return {"invite": token, "nonce": {"nonce": nonce, "device": device}, "half_photo": sha256_hex(photo)}


def seal_of(show: Show, entry: str) -> str:
    """The seal's text on the print of a sign-off."""
    client = show.stage.office()
    text = client.get(f"/office/shows/{show.slug}/sign-offs/{entry}").text
    seal = re.search(r"SEAMWALK1:[0-9A-F:]+", text)
    assert seal is not None, text[:2000]
    return seal.group()
