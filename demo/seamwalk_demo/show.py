"""Play the scenario: stock, a show that is over, and a show under way."""

import secrets
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any

import qrcode
from flask import Flask

from seamwalk.book.entry import Entry
from seamwalk.config import Settings
from seamwalk.store.access import phones
from seamwalk.store.ledger.books import find_book, freeze_plan, open_book, set_plan
from seamwalk.store.show.contacts import publish_contacts
from seamwalk.store.show.editions import company_file, publish_edition
from seamwalk.web import create_app
from seamwalk_demo import scenario
from seamwalk_demo.crew import SimulatedPhone
from seamwalk_demo.site import Clock, Crew, services_of
from seamwalk_demo.warehouse import bring_back, open_company, put_into_wall, repair, send_out, spare

ENVIRONMENT = {
    "SEAMWALK_COMPANY": scenario.COMPANY,
    "SEAMWALK_LABEL_PREFIX": scenario.PREFIX,
    "SEAMWALK_LIFT_KG": f"{scenario.LIFT_KG}",
}
BUILD_WALKS = ("load_in", "base", "build", "guards", "power", "picture")
Say = Callable[[str], None]


def make_show(settings: Settings, say: Say) -> None:
    """Make the demo in the settings' folder and say how to get in."""
    clock = Clock(datetime.now(UTC).replace(microsecond=0) - timedelta(days=33))
    app = create_app(settings, clock)
    password = secrets.token_urlsafe(12)
    open_company(app, clock, password)
    _play_over(app, clock)
    clock.at = datetime.now(UTC) - timedelta(hours=9)
    _play_under_way(app, clock)
    clock.at = datetime.now(UTC)
    _say_how(app, settings, password, say)


def _open_show(app: Flask, clock: Clock, show: tuple[str, str], walls: dict[str, dict[str, Any]]) -> Crew:
    title, slug = show
    with services_of(app).store.write() as session:
        book = open_book(session, kind="show", title=title, slug=slug, now=clock.at)
        publish_edition(session, book.id, company_file(session), clock.at)
        publish_contacts(session, book.id, scenario.CONTACTS, clock.at)
        for wall, source in walls.items():
            set_plan(session, book.id, freeze_plan(wall, source), replaces=None, now=clock.at)
    crew = Crew(app, clock, book.id)
    for name in (scenario.PREPS, scenario.TAKES_BACK):
        crew.bring(name, "warehouse")
    send_out(crew)
    clock.pass_(hours=19)
    for name, role in scenario.CREW:
        crew.bring(name, role)
    return crew


def _walk(
    crew: Crew,
    name: str,
    wall: str,
    share: float = 1.0,
    skip: tuple[str, ...] = (),
    walks: tuple[str, ...] = BUILD_WALKS,
) -> None:
    """Walk a wall's stops in order, each with one ok, nine seconds a place, up to a share of every walk."""
    phone = crew.phones[name]
    phone.sync()
    plan, file = phone.plan(wall)
    for walk in (item for item in file["walks"] if item["key"] in walks):
        stops = walk["stops"]
        for stop in stops[: round(len(stops) * share)]:
            ids = [file["checks"][index]["id"] for index in stop["checks"]]
            ids = [check for check in ids if check not in skip]
            if ids:
                body = {"plan": plan, "checks": ids, "result": "ok"}
                looked = 9 * len(stop.get("places", [stop]))
                phone.write("found", body, crew.clock.pass_(seconds=looked))
    phone.sync()


def _sign(crew: Crew, name: str, statement: str, wall: str) -> Entry:
    phone = crew.phones[name]
    phone.sync()
    plan, _ = phone.plan(wall)
    body = {"statement": statement, "wall": wall, "plan": plan, "epoch": 1, "own": [], "exceptions": []}
    over = {"size": phone.frontier.tree_size, "root": phone.frontier.root_hash.hex()}
    entry = phone.write("signed_off", {**body, **over}, crew.clock.pass_(minutes=2))
    phone.sync()
    return entry


def _fault(crew: Crew, name: str, wall: str, check: str, weight: str, reason: str, note: str = "") -> Entry:
    phone = crew.phones[name]
    plan, _ = phone.plan(wall)
    body: dict[str, Any] = {"plan": plan, "checks": [check], "result": "fault"}
    body |= {"weight": weight, "reason": reason}
    if note:
        body["note_blob"] = phone.note(note)
    entry = phone.write("found", body, crew.clock.pass_(minutes=1))
    phone.sync()
    return entry


def _mend(crew: Crew, name: str, wall: str, check: str, answers: list[str]) -> None:
    phone = crew.phones[name]
    phone.sync()
    plan, _ = phone.plan(wall)
    body = {"plan": plan, "checks": [check], "result": "ok", "answers": answers}
    phone.write("found", body, crew.clock.pass_(minutes=6))
    phone.sync()


def _play_over(app: Flask, clock: Clock) -> None:
    """A show of last month: built, repaired, signed, struck, cases home."""
    crew = _open_show(app, clock, scenario.OVER, {"A": scenario.curved()})
    seam = "A/side/3.2/4.2/locks:2"
    fault = _fault(crew, "Tarik Osei", "A", seam, "show", "debris", "Grit on the right edge, brushed off")
    put_into_wall(crew, "Mila Brandt", "A", ["1.1", "2.1", "3.1", "4.1"])
    picture = "A/tile/2.1/picture:clean"
    changed = _swap(crew, "Mila Brandt", "A", "2.1", out=spare("M", 6), spare_in=spare("M", 1))
    _walk(crew, "Mila Brandt", "A", skip=(seam, picture))
    _mend(crew, "Mila Brandt", "A", picture, [changed.id])
    _mend(crew, "Tarik Osei", "A", seam, [fault.id])
    _walk(crew, "Ronja Feld", "A", walks=("second_look",))
    _sign(crew, "Jonas Wiek", "suspension", "A")
    _sign(crew, "Ines Kolb", "supply", "A")
    _sign(crew, "Ronja Feld", "built", "A")
    clock.pass_(days=3)
    _walk(crew, "Tarik Osei", "A", walks=("strike",))
    clock.pass_(hours=14)
    bring_back(crew)
    repair(crew)


def _play_under_way(app: Flask, clock: Clock) -> None:
    """Tonight's show: one wall signed and lapsed, one half walked, a phone that nobody admitted yet."""
    clock.pass_(hours=-21)
    walls = {"A": scenario.curved(), "B": scenario.portal()}
    crew = _open_show(app, clock, scenario.UNDER_WAY, walls)
    _walk(crew, "Mila Brandt", "A")
    _walk(crew, "Tarik Osei", "A", walks=("second_look",))
    _sign(crew, "Jonas Wiek", "suspension", "A")
    _sign(crew, "Ronja Feld", "built", "A")
    guard = "A/free/8.4/right/guard:out"
    _fault(crew, "Tarik Osei", "A", guard, "show", "guard_in", "Stays in after the ladder touched it")
    _walk(crew, "Tarik Osei", "B", share=0.55)
    _swap(crew, "Mila Brandt", "B", "2.3")
    _nearly(crew, "Tarik Osei")
    _take_back(crew, "Tarik Osei", "B")
    locks = "B/side/7.2/8.2/locks:2"
    _fault(
        crew,
        "Mila Brandt",
        "B",
        locks,
        "stop",
        "lock_stiff",
        "Stiff twice, tile is held by the rear clamp only",
    )
    stranger = SimulatedPhone(app.test_client(), crew.book)
    plan, _ = crew.phones["Tarik Osei"].plan("B")
    body = {"plan": plan, "checks": ["B/tile/9.1x1x2/condition:sound"], "result": "ok"}
    stranger.write("found", body, clock.pass_(minutes=3))
    stranger.sync()


def _nearly(crew: Crew, name: str) -> None:
    """Write down what nearly went wrong."""
    phone = crew.phones[name]
    words = {
        "told": "Ronja Feld, at once",
        "present": "Mila Brandt and two stagehands",
        "what": "The ladder slid on the wet floor behind wall B. Nobody was on it.",
    }
    body: dict[str, Any] = {"procedure": "incident", "at": "B", "plan": None, "result": "fault"}
    body |= {"reason": "nearly", "chosen": ["help:nobody_hurt", "kind:nearly"]}
    body["text_blobs"] = {step: phone.note(text) for step, text in words.items()}
    phone.write("procedure_walked", body, crew.clock.pass_(minutes=4))
    phone.sync()


def _swap(
    crew: Crew, name: str, wall: str, tile: str, out: str | None = None, spare_in: str | None = None
) -> Entry:
    phone = crew.phones[name]
    plan, file = phone.plan(wall)
    reopens = [file["checks"][index]["id"] for index in file["touches"]["module"][tile]]
    body = {
        "plan": plan,
        "part": "module",
        "where": f"{tile}/1.1",
        "out": out,
        "in": spare_in,
        "reopens": reopens,
    }
    entry = phone.write("swapped", body, crew.clock.pass_(minutes=12))
    phone.sync()
    return entry


def _take_back(crew: Crew, name: str, wall: str) -> None:
    """Write a fault at the wrong joint, and take it back."""
    entry = _fault(crew, name, wall, f"{wall}/side/1.1x1x2/2.1/guard:in", "cosmetic", "guard_damaged")
    phone = crew.phones[name]
    phone.write("withdrawn", {"entry": entry.id}, crew.clock.pass_(seconds=20))
    phone.sync()


def _say_how(app: Flask, settings: Settings, password: str, say: Say) -> None:
    say(f"The demo is in {settings.dir}")
    say(f"Address: {settings.public_url}/   office login: {scenario.LOGIN}   password: {password}")
    with services_of(app).store.write() as session:
        book = find_book(session, scenario.UNDER_WAY[1])
        for role in ("chief", "crew", "warehouse", "competent_person", "electrician", "client", "partner"):
            token = phones.make_invite(session, book.id, role, 24, datetime.now(UTC))
            link = f"{settings.public_url}/phone/#join={token}.{book.owner_fingerprint}"
            say(f"Join as {role} (one phone): {link}")
        say(f"Books: company, {scenario.OVER[1]}, {scenario.UNDER_WAY[1]}")
        say(f"Owner of {scenario.UNDER_WAY[1]}, for verify --trust: {book.owner_fingerprint}")
    code = qrcode.QRCode(border=2)
    code.add_data(settings.public_url)
    code.print_ascii(invert=True)
