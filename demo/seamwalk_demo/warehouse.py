"""The company's stock, and its cases going out to a show and coming back."""

from typing import Any

from flask import Flask

from seamwalk.domain.stock.codes import Code, parse_code
from seamwalk.domain.stock.tile_parts import TILE_GROUPS
from seamwalk.store.access import accounts, passwords
from seamwalk.store.ledger.books import open_book, write_many_as_office
from seamwalk.store.stock.listing import freeze_prep, freeze_stock, publish
from seamwalk.store.stock.locations import locate
from seamwalk.store.stock.prep import show_prep
from seamwalk_demo import scenario
from seamwalk_demo.crew import SimulatedPhone
from seamwalk_demo.site import Clock, Crew, services_of

TILES_IN_CASE = 8
SPARES = {"M": 6, "E": 2}
KINDS = ("wren_500",) * 8 + ("heron_1000", "kite_500", "kite_500")


def case(number: int) -> str:
    return Code(scenario.PREFIX, "C", number).text


def tile(number: int) -> str:
    return Code(scenario.PREFIX, "T", number).text


def spare(letter: str, number: int) -> str:
    return Code(scenario.PREFIX, letter, number).text


def open_company(app: Flask, clock: Clock, password: str) -> None:
    """Label eleven cases of eight tiles; the first one also has the spare parts."""
    bodies: list[tuple[str, dict[str, Any]]] = []
    for number, kind in enumerate(KINDS, start=1):
        fields = {"tile_type": kind, "home_case": None}
        bodies.append(("item_registered", {"item": case(number), "kind": "case", **fields}))
        for code in _inside(number):
            fields = {"tile_type": kind, "home_case": case(number)}
            bodies.append(("item_registered", {"item": code, "kind": parse_code(code).kind, **fields}))
            bodies.append(("item_described", {"item": code, "batch": scenario.BATCHES[number - 1]}))
    bodies += [("type_described", {**_PLAIN, **told}) for told in scenario.TYPES]
    hashed = passwords.new_hash(password, scenario.LOGIN)
    with services_of(app).store.write() as session:
        accounts.add_account(session, scenario.LOGIN, hashed, "office")
        book = open_book(session, kind="company", title=scenario.COMPANY, slug="company", now=clock.at)
        write_many_as_office(session, book.id, bodies, clock.at)


_PLAIN = dict.fromkeys(("mass_kg", "length_mm", "width_mm", "height_mm", "price", "currency"))


def _inside(number: int) -> list[str]:
    """What has its home in a case."""
    first = (number - 1) * TILES_IN_CASE + 1
    tiles = [tile(serial) for serial in range(first, first + TILES_IN_CASE)]
    spares = [spare(letter, serial) for letter, count in SPARES.items() for serial in range(1, count + 1)]
    return tiles + (spares if number == 1 else [])


def send_out(crew: Crew) -> None:
    """The office gives the cases, the warehouse scans them out: one opened, the others by their list."""
    store = services_of(crew.app).store
    publish(
        store,
        lambda session: [
            freeze_prep(session, crew.book, scenario.LIFT_KG),
            freeze_stock(session, crew.book),
        ],
        crew.clock.at,
    )
    with store.read() as session:
        chosen = show_prep(session, crew.book, scenario.LIFT_KG).prep.truck_order()
        where = locate(session)
    phone = crew.phones[scenario.PREPS]
    phone.sync()
    for code in chosen:
        inside = [item for item, at in sorted(where.items()) if at.case == code and at.place is None]
        seen = {"items": inside, "case": code, "stage": "prep", "replaces": []}
        phone.write("item_seen", seen | {"unopened": code != case(1)}, crew.clock.pass_(minutes=3))
        lacking = [item for item in _inside(parse_code(code).serial) if item not in inside]
        shut = {"case": code, "stage": "prep", "items": inside, "lacking": lacking}
        phone.write("case_closed", shut, crew.clock.pass_(seconds=40))
    for item in _inside(1)[:3]:
        _look(crew, scenario.PREPS, item, "prep")
    phone.sync()
    publish(store, lambda session: [freeze_stock(session, crew.book)], crew.clock.at)


def put_into_wall(crew: Crew, name: str, wall: str, places: list[str]) -> None:
    """Scan the first tiles of the stock into a wall."""
    phone = crew.phones[name]
    plan, _ = phone.plan(wall)
    for serial, place in enumerate(places, start=1):
        body: dict[str, Any] = {"plan": plan, "wall": wall, "tile": place, "item": tile(serial)}
        body |= {"tag": None, "replaces": []}
        phone.write("tile_bound", body, crew.clock.pass_(seconds=20))
    phone.sync()


def bring_back(crew: Crew) -> None:
    """Two people take the cases back: one tile is missing, one lay in the wrong case, one is chipped."""
    first, second = (crew.phones[name] for name in (scenario.PREPS, scenario.TAKES_BACK))
    for phone in (first, second):
        phone.sync()
    out = sorted({entry.body["case"] for entry in first.entries if entry.type == "case_closed"})
    for number in (parse_code(code).serial for code in out):
        items = [code for code in _inside(number) if code not in (tile(12), tile(36))]
        half = len(items) // 2
        for phone, part in ((first, items[:half]), (second, items[half:])):
            _see(crew, phone, number, part)
    stray = _see(crew, second, 2, [tile(36)])
    _see(crew, second, 5, [tile(36)], replaces=[stray])
    for code in out:
        number = parse_code(code).serial
        there = [item for item in _inside(number) if item != tile(12)]
        lacking = [tile(12)] if number == 2 else []
        shut = {"case": code, "stage": "return", "items": there, "lacking": lacking}
        second.write("case_closed", shut, crew.clock.pass_(minutes=1))
    for phone in (first, second):
        phone.sync()
    _look(crew, scenario.TAKES_BACK, tile(2), "return", "corner:bottom_left", "chipped")
    _look(crew, scenario.TAKES_BACK, tile(3), "return")


def repair(crew: Crew) -> None:
    """The corner is repaired, looked at again and back in its case; a module waits for its repair."""
    _bench(crew, scenario.PREPS, tile(2), "triage", "repair", minutes=5)
    repair = {"mended": ["corner:bottom_left"], "used": {"corner_piece": 1}, "minutes": 35}
    _bench(crew, scenario.PREPS, tile(2), "repair", "mended", **repair)
    _bench(crew, scenario.TAKES_BACK, tile(2), "second_look", "sound", minutes=4)
    _see(crew, crew.phones[scenario.TAKES_BACK], 1, [tile(2)])
    _bench(crew, scenario.TAKES_BACK, spare("M", 6), "triage", "repair", minutes=8)


def _see(
    crew: Crew, phone: SimulatedPhone, number: int, items: list[str], replaces: list[str] | None = None
) -> str:
    body = {"items": items, "case": case(number), "stage": "return", "replaces": replaces or []}
    return phone.write("item_seen", body, crew.clock.pass_(seconds=50)).id


def _look(crew: Crew, name: str, item: str, stage: str, part: str = "", what: str = "") -> None:
    damage = [{"part": part, "what": what, "weight": "show"}] if part else []
    body = {"item": item, "stage": stage, "covers": list(TILE_GROUPS), "damage": damage}
    crew.phones[name].write("item_looked_at", body, crew.clock.pass_(minutes=1))
    crew.phones[name].sync()


def _bench(crew: Crew, name: str, item: str, step: str, result: str, **more: Any) -> None:
    body = {"item": item, "step": step, "result": result, **more}
    crew.phones[name].write("item_benched", body, crew.clock.pass_(hours=1))
    crew.phones[name].sync()
