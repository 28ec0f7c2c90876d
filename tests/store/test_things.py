"""Where things are, what was changed of them, and who had them, across the books of all shows."""

import json
from datetime import timedelta
from typing import Any

import pytest
from sqlalchemy import select
from sqlalchemy.orm import Session

from helpers import Site
from seamwalk.store.ledger.blobs import read_blob
from seamwalk.store.ledger.books import find_book
from seamwalk.store.projections import projections
from seamwalk.store.stock.bench import bench_states
from seamwalk.store.stock.custody import custody, history
from seamwalk.store.stock.listing import freeze_prep, publish, stock_file
from seamwalk.store.stock.locations import Location, locate
from seamwalk.store.stock.prep import show_prep
from seamwalk.store.tables import Item
from warehouse import Warehouse, case, tile

SOUND = "A/tile/1.1/condition:sound"


@pytest.fixture
def house(site: Site) -> Warehouse:
    made = Warehouse(site)
    made.stock()
    return made


def where(house: Warehouse, number: int) -> Location:
    with house.site.store.read() as session:
        return locate(session, [tile(number)])[tile(number)]


def batch(house: Warehouse, number: int) -> str | None:
    with house.site.store.read() as session:
        company = find_book(session, "company")
        return session.get_one(Item, (company.id, tile(number))).batch


def test_a_thing_is_where_it_was_seen_last(house: Warehouse) -> None:
    assert (where(house, 1).case, where(house, 1).is_home) == (case(1), True)
    house.see("Wim", 1, 1)
    assert (where(house, 1).case, where(house, 1).show) == (case(1), house.site.book)
    house.bind("Wim", 1, "1.1")
    assert (where(house, 1).case, where(house, 1).place) == (None, "A/1.1")
    house.see("Wim", 2, 1, stage="return")
    assert (where(house, 1).case, where(house, 1).is_home) == (case(2), True)


def test_a_thing_goes_where_its_case_goes(house: Warehouse) -> None:
    house.write("Wim", "case_closed", case=case(1), stage="prep", items=[], lacking=[])
    assert where(house, 1).show == house.site.book
    assert where(house, 3).is_home
    house.write("Wim", "case_closed", case=case(1), stage="return", items=[], lacking=[])
    assert where(house, 1).is_home
    with house.site.store.read() as session:
        assert locate(session)[tile(2)] == locate(session, [tile(2)])[tile(2)]


def test_what_its_case_came_back_without_is_still_out(house: Warehouse) -> None:
    house.see("Wim", 1, 1, 2)
    house.see("Kim", 1, 2, stage="return")
    house.write("Kim", "case_closed", case=case(1), stage="return", items=[tile(2)], lacking=[tile(1)])
    assert (where(house, 1).case, where(house, 1).show) == (None, house.site.book)
    assert where(house, 2).is_home
    house.write("Kim", "case_closed", case=case(1), stage="prep", items=[tile(2)], lacking=[tile(1)])
    assert (where(house, 1).case, where(house, 1).show) == (None, house.site.book)
    assert (where(house, 2).case, where(house, 2).show) == (case(1), house.site.book)


def test_a_sighting_that_was_taken_back_is_none(house: Warehouse) -> None:
    wrong = house.see("Wim", 2, 1)
    assert where(house, 1).case == case(2)
    house.write("Wim", "withdrawn", entry=wrong.id)
    assert where(house, 1).case == case(1)


def test_nothing_was_seen_later_than_it_came_in(house: Warehouse) -> None:
    ahead = house.site.clock[0] + timedelta(days=400)
    house.write("Wim", "item_seen", ahead, items=[tile(1)], case=case(2), stage="prep", replaces=[])
    assert where(house, 1).case == case(2)
    house.see("Kim", 3, 1)
    assert where(house, 1).case == case(3)


def test_an_edit_of_many_is_undone_but_not_where_it_was_changed_since(house: Warehouse) -> None:
    def edit(value: str | None, *numbers: int, undoes: str | None = None) -> str:
        body = {"items": [tile(number) for number in numbers], "field": "batch", "value": value}
        (entry,) = house.office(("items_edited", body | {"undoes": undoes}))
        return entry.id

    edit("old", 1)
    both = edit("new", 1, 2)
    edit("other", 2)
    assert (batch(house, 1), batch(house, 2)) == ("new", "other")
    edit(None, 1, 2, undoes=both)
    assert (batch(house, 1), batch(house, 2)) == ("old", "other")
    with house.site.store.write() as session:
        projections.rebuild(session, find_book(session, "company").id)
    assert (batch(house, 1), batch(house, 2)) == ("old", "other")


def test_what_came_out_of_a_wall_goes_back_to_stock_by_other_hands(house: Warehouse) -> None:
    plan, _ = house.phone("Wim").plan("A")
    body: dict[str, Any] = {"plan": plan, "part": "tile", "where": "1.1", "in": tile(2), "reopens": []}
    house.write("Wim", "swapped", out=tile(1), **body)

    def status() -> str:
        with house.site.store.read() as session:
            assert set(bench_states(session)) == {tile(1)}
            listed = json.loads(stock_file(session, house.site.book))["items"]
            stated = bench_states(session, [tile(1)])[tile(1)].status
            assert next(row[6] for row in listed if row[0] == tile(1)) == stated
            return stated

    assert status() == "quarantined"
    house.bench("Wim", 1, "triage", "repair")
    house.bench(
        "Wim", 1, "repair", "mended", mended=["corner:top_left"], used={"corner_piece": 1}, minutes=25
    )
    house.bench("Wim", 1, "second_look", "sound")
    assert status() == "awaits_look"
    house.bench("Kim", 1, "second_look", "sound")
    assert status() == "in_stock"


def test_a_broken_corner_has_a_window_and_names_of_who_had_it(house: Warehouse) -> None:
    house.look("Wim", 1, stage="prep")
    house.see("Wim", 1, 1, 2)
    house.bind("Rosa", 1, "1.1")
    sound = house.find("Rosa", SOUND)
    house.find("Rosa", "A/side/1.1/2.1/locks:2", "fault", weight="show", reason="lock_damaged")
    house.see("Kim", 1, 1, 2, stage="return")
    seen = house.look("Kim", 1, "corner:top_left")
    with house.site.store.read() as session:
        told = custody(session, tile(1), "tile")
    (breakage,) = told.breakages
    assert breakage.window.after is not None
    assert breakage.window.seen is not None
    assert breakage.window.part == "corner:top_left"
    assert (breakage.window.after.entry, breakage.window.seen.entry) == (sound.id, seen.id)
    assert [(step.holder, step.place, step.case) for step in breakage.holders] == [
        ("Test Show", "A/1.1", ""),
        ("Test Show", "", case(1)),
    ]
    assert (breakage.window.after.by, breakage.window.seen.by) == ("Rosa", "Kim")
    assert [record.type for record in told.entries] == [
        "item_registered",
        "item_looked_at",
        "item_seen",
        "tile_bound",
        "item_seen",
        "item_looked_at",
    ]
    house.bench("Kim", 1, "triage", "repair")
    house.bench("Kim", 1, "repair", "mended", mended=["corner:top_left"])
    house.bench("Wim", 1, "second_look", "sound")
    again = house.look("Kim", 1, "corner:top_left")
    with house.site.store.read() as session:
        told = custody(session, tile(1), "tile")
    assert [item.window.seen.entry for item in told.breakages] == [seen.id, again.id]


def test_a_tile_s_looks_at_a_wall_are_those_while_it_stood_there(house: Warehouse) -> None:
    house.find("Rosa", SOUND)
    house.bind("Rosa", 1, "1.1")
    fault = house.find("Rosa", SOUND, "fault", weight="show", reason="corner_broken")
    house.bind("Rosa", 2, "1.1")
    mended = house.find("Rosa", SOUND, answers=[fault.id])
    with house.site.store.read() as session:
        first, second = (custody(session, tile(number), "tile") for number in (1, 2))
    assert [sorted(look.saw) for look in first.looks] == [[], ["corner"]]
    assert [item.window.part for item in first.breakages] == ["corner"]
    assert [look.entry for look in second.looks] == [mended.id]
    assert second.breakages == []


def test_a_clock_that_ran_ahead_tells_no_earliest_time(house: Warehouse) -> None:
    ahead = house.site.clock[0] + timedelta(days=9)
    body = {"item": tile(1), "stage": "prep", "covers": ["corner"], "damage": []}
    house.write("Wim", "item_looked_at", ahead, **body)
    house.look("Kim", 1, "corner:top_left")
    with house.site.store.read() as session:
        (breakage,) = custody(session, tile(1), "tile").breakages
    assert breakage.window.earliest == ""


def test_the_history_of_a_case_has_what_lay_in_it(house: Warehouse) -> None:
    house.see("Wim", 1, 1, 2)
    house.write("Wim", "case_closed", case=case(1), stage="prep", items=[tile(1), tile(2)], lacking=[])
    with house.site.store.read() as session:
        types = [record.type for record in history(session, case(1), case=True)]
    assert types == ["item_registered"] * 3 + ["item_seen", "case_closed"]


def test_prep_says_what_speaks_against_a_case_and_which_is_better(site: Site) -> None:
    house = Warehouse(site)
    house.stock(5, "AAABA")
    mass = {"length_mm": None, "width_mm": None, "height_mm": None, "price": None, "currency": None}
    house.office(
        ("type_described", {"kind": "case", "type": "", "mass_kg": 40, **mass}),
        ("type_described", {"kind": "tile", "type": "plover_500", "mass_kg": 8, **mass}),
    )
    house.look("Wim", 1, "edge:left")
    with site.store.read() as session:
        made = show_prep(session, site.book, 25)
    assert [(item.case, item.tiles) for item in made.prep.cases] == [(case(2), 2), (case(3), 2), (case(5), 2)]
    assert (made.loaded[case(2)].mass_kg, made.loaded[case(2)].people) == (56, 3)
    counts = publish(site.store, lambda session: [freeze_prep(session, site.book, None)], site.clock[0])
    assert counts == [3]
    listed = house.phone("Wim").entries[-1]
    with site.store.read() as session:
        data = read_blob(session, site.book, listed.body["prep_file"])
    file = json.loads(data or b"")
    assert file["truck"] == [case(5), case(3), case(2)]
    assert file["cases"][0]["people"] is None
    assert {"kind": "tile", "of": "plover_500", "in_walls": 6, "spares": 0, "count": 6} in file["picks"]


@pytest.mark.parametrize("at_once", [True, False])
def test_things_are_the_same_whether_entries_come_at_once_or_one_by_one(site: Site, at_once: bool) -> None:
    def registered(number: int, home: str | None) -> tuple[str, dict[str, object]]:
        fields = {"kind": "tile", "tile_type": "plover_500", "home_case": home}
        return "item_registered", {"item": tile(number), **fields}

    def described(number: int, batch: str | None, serial: str | None) -> tuple[str, dict[str, object]]:
        return "item_described", {"item": tile(number), "batch": batch, "maker_serial": serial}

    def edited(*numbers: int) -> tuple[str, dict[str, object]]:
        items = [tile(number) for number in numbers]
        return "items_edited", {"items": items, "field": "batch", "value": "E", "undoes": None}

    bodies = [
        described(1, "too early", None),
        registered(1, None),
        registered(2, case(1)),
        described(2, "A", None),
        described(2, None, "4711"),
        registered(2, case(2)),
        edited(2, 3),
        registered(3, None),
        described(3, "B", "4712"),
        described(1, None, "4713"),
        registered(1, case(3)),
        described(9, "nobody's", None),
    ]
    house = Warehouse(site)
    for batch in [bodies] if at_once else [[body] for body in bodies]:
        house.office(*batch)
    told = [
        (tile(1), case(3), None, "4713"),
        (tile(2), case(2), "E", "4711"),
        (tile(3), None, "B", "4712"),
    ]
    with site.store.write() as session:
        assert rows_of_items(session) == told
        projections.rebuild(session, find_book(session, "company").id)
        assert rows_of_items(session) == told


def rows_of_items(session: Session) -> list[tuple[str | None, ...]]:
    rows = session.scalars(select(Item).order_by(Item.code))
    return [(row.code, row.home_case, row.batch, row.maker_serial) for row in rows]
