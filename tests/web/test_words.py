"""People read places and times, never ids and a machine's times: on every page and print of a show."""

import json
import re
from dataclasses import replace
from datetime import UTC, timedelta
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from every_page import paths
from helpers import NOW, Site, logged_in
from seamwalk.book.types import BODIES
from seamwalk.config import load_settings
from seamwalk.errors import ConfigError
from seamwalk.printing.places import check_at_place, check_at_wall, where_in_words
from seamwalk.texts import catalogue, translator
from seamwalk.web.services import EXTENSION
from seamwalk_demo.crew import SimulatedPhone

WORDS = json.loads((Path(__file__).parents[1] / "vectors" / "places.json").read_text())
T = translator("office")
LOCKS, EDGES = "A/side/1.1/2.1/locks:2", "A/side/1.1/2.1/edges:clean"
AN_ID = re.compile(r"[A-Z][A-Z0-9]*/(?:side|stack|base|hang|free|corner|tile|bar|clamp|support)/[^<>\s]*:\w+")
A_MACHINES_TIME = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d")
# whoever must know it to the letter opens this
AS_WRITTEN = re.compile(r"<details>.*?</details>", re.DOTALL)


@pytest.mark.parametrize(("check", "words"), WORDS, ids=lambda value: value if "/" in value else "")
def test_a_check_in_words(check: str, words: str) -> None:
    assert check_at_place(check, T) == words
    assert check_at_wall(check, T) == f"Wall {check[0]} · {words}"


@pytest.mark.parametrize(
    "odd", ["A/side/1.1", "A/x/y/z:1", "", "A", "A/tile/1.1/of_a_later_edition:x", "A/bar/x9/level:true"]
)
def test_what_no_plan_of_this_edition_has_stays_as_it_is_written(odd: str) -> None:
    assert check_at_place(odd, T) == odd
    assert check_at_wall(odd, T) == odd


def test_where_a_part_was_changed_is_in_words() -> None:
    assert where_in_words("3.2/1.0", T) == "Tile in column 3, row 2, module 1.0"
    assert where_in_words("3.2", T) == "Tile in column 3, row 2"
    assert where_in_words("the truck", T) == "the truck"


def test_every_entry_type_has_its_words() -> None:
    assert [kind for kind in BODIES if f"entry_types.{kind}" not in catalogue("office")] == []


def test_no_page_of_a_show_has_an_id_or_a_machines_time(site: Site) -> None:
    a_night(site)
    office = logged_in(site)
    seen = 0
    for path in paths(office, site.store, "test-show"):
        answer = office.get(path)
        if answer.status_code != 200 or answer.mimetype != "text/html" or path.endswith("plan-json"):
            continue
        page = AS_WRITTEN.sub("", answer.text)
        assert AN_ID.findall(page) == [], path
        assert A_MACHINES_TIME.findall(page) == [], path
        seen += "Between columns 1 and 2, row 1" in page
    assert seen >= 4  # the show, the wall, what is held, the sign-off


def a_night(site: Site) -> None:
    """A stop, a wall signed all the same, what is worse since, and a stranger's finding that is held."""
    phone = site.phone("chief")
    plan, _ = phone.plan("A")
    body: dict[str, Any] = {"plan": plan, "checks": [EDGES], "result": "ok", "answers": [], "weight": None}
    phone.write("found", body, NOW)
    phone.sync()
    size, root = phone.frontier.tree_size, phone.frontier.root_hash.hex()
    over = {"epoch": 1, "size": size, "root": root, "own": []}
    excepted = [{"check": LOCKS, "reason": "No rigger here", "person": "Ida Brandt"}]
    signed = {"plan": plan, "wall": "A", "statement": "built", "exceptions": excepted, **over}
    phone.write("signed_off", signed, NOW + timedelta(minutes=1))
    stop = body | {"result": "fault", "weight": "stop", "reason": "lock_open"}
    phone.write("found", stop, NOW + timedelta(minutes=2))
    phone.sync()
    stranger = SimulatedPhone(site.app.test_client(), site.book)
    stranger.write("found", body | {"checks": [LOCKS, EDGES]}, NOW)
    stranger.sync()


def test_pages_show_the_companys_clock(site: Site) -> None:
    ours = site.app.extensions[EXTENSION]
    settings = replace(ours.settings, time_zone=ZoneInfo("Europe/Berlin"))
    site.app.extensions[EXTENSION] = replace(ours, settings=settings)
    a_night(site)
    assert "Fri 20 Nov 2026, 23:02 CET" in logged_in(site).get("/office/shows/test-show/walls/A").text


def test_a_time_zone_that_nobody_knows_is_told_at_the_start(tmp_path: Path) -> None:
    env = {"SEAMWALK_DIR": str(tmp_path / "data")}
    assert load_settings(env).time_zone is UTC
    assert load_settings(env | {"SEAMWALK_TIME_ZONE": "Europe/Berlin"}).time_zone == ZoneInfo("Europe/Berlin")
    for wrong in ("Berlin", "../etc/passwd", "Europe"):
        with pytest.raises(ConfigError, match="is no time zone"):
            load_settings(env | {"SEAMWALK_TIME_ZONE": wrong})
