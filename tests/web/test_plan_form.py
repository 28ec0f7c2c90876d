"""The plan's form: whatever it shows it gives back, and what it has no field for stays."""

import json
from collections.abc import Callable
from html.parser import HTMLParser
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from helpers import NOW, PLAN, TILE, Site, logged_in, send
from seamwalk.errors import PlanError
from seamwalk.store.ledger.blobs import read_blob
from seamwalk.store.ledger.books import current_plan, freeze_plan, set_plan
from seamwalk.web.office.wall import plan_lists

PATH = "/office/shows/test-show/plan?wall=B"
TALL = TILE | {"key": "tall", "height_mm": 1000, "px_h": 384}
EVERYTHING: dict[str, Any] = PLAN | {
    "columns": 2,
    "tile": TILE
    | {
        "inrush_a": 2.5,
        "leakage_ma": 0.35,
        "modules": {"columns": 2, "rows": 4},
        "features": {"magnets": True},
    },
    "tiles": [TALL],
    "placements": [{"column": 1, "row": 1, "h": 2, "tile": "tall"}]
    + [{"column": 2, "row": row, "tile": TILE["key"]} for row in (1, 2)],
    "bends_deg": [-2.5],
    "support_columns": [1, 2],
    "reference": "sheet 1",
    "hardware": {
        "base_bar_columns": 1,
        "support_depth_mm": 900.5,
        "ballast_kg": 40,
        "level_max_mm": 2,
        "reference": "sheet 2",
    },
    "horizontal": {"pressure_n_m2": 120, "reference": "letter"},
    "supply": {"volts": 230, "connection": "LN", "phases": 3, "breaker_a": 16, "pf": 0.93},
    "signal": {"port_mbps": 1000, "efficiency": 0.9, "loop": True},
    "spares": {
        "days": 4,
        "rates": {"module": 0.0004},
        "minimum": {"electronics_unit": 1},
        "learned": {"electronics_unit": {"failures": 12, "part_days": 9000.5}},
    },
    "floor_level": {"to_line_mm": [[512, 510.5], [505, 511]]},
    "stock": {
        "cases": [
            {"case": "c 1", "tile": TILE["key"], "tiles": 2, "batch": "A", "white": {"x": 0.31, "y": 0.33}},
            {"case": "c 2", "tile": "tall", "tiles": 1, "batch": "B"},
        ],
        "limit_uv": 0.004,
    },
    "wind": {
        "limits": [
            {"gust_m_s": 7.5, "action": "watch, tell the show caller"},
            {"gust_m_s": 11, "action": "lower the wall, all away"},
        ],
        "reference": "letter 2",
    },
    "climate": {
        "air_c": 20.5,
        "humidity_percent": 55,
        "surface": [{"minutes": 0, "surface_c": -3}, {"minutes": 20, "surface_c": 8}],
    },
}


class Fields(HTMLParser):
    """What a browser would send of a page's form."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.sent: dict[str, str] = {}
        self.name = self.area = ""
        self.feed(page)

    def handle_starttag(self, tag: str, attributes: list[tuple[str, str | None]]) -> None:
        given = dict(attributes)
        name, value = given.get("name") or "", given.get("value") or ""
        if tag == "input" and (given.get("type") != "checkbox" or "checked" in given):
            self.sent[name] = value
        elif tag in ("select", "textarea"):
            self.name, self.area = name, name if tag == "textarea" else ""
        elif tag == "option" and "selected" in given:
            self.sent[self.name] = value

    def handle_endtag(self, tag: str) -> None:
        self.area = "" if tag == "textarea" else self.area

    def handle_data(self, data: str) -> None:
        if self.area:
            self.sent[self.area] = self.sent.get(self.area, "") + data


def standing(site: Site) -> dict[str, Any]:
    with site.store.read() as session:
        plan = current_plan(session, site.book, "B")
        assert plan is not None
        data = read_blob(session, site.book, plan.plan_file)
    found: dict[str, Any] = json.loads(data or b"")
    return found


@pytest.fixture
def planned(site: Site) -> Site:
    with site.store.write() as session:
        set_plan(session, site.book, freeze_plan("B", EVERYTHING), replaces=None, now=NOW)
    return site


def test_what_the_form_shows_it_gives_back(planned: Site) -> None:
    client = logged_in(planned)
    fields = Fields(client.get(PATH).text).sent
    assert client.post(PATH, data=fields).status_code == 302
    kept = standing(planned)
    assert kept["tile"].pop("blocks_side") == 0
    assert kept["tile"].pop("guards") == "edge"
    assert kept == EVERYTHING


def test_an_emptied_section_leaves_the_plan_and_the_rest_stays(planned: Site) -> None:
    client = logged_in(planned)
    fields = Fields(client.get(PATH).text).sent
    for name in ("volts", "breaker_a", "pf", "air_c", "humidity_percent", "surface"):
        fields[name] = ""
    assert client.post(PATH, data=fields).status_code == 302
    kept = standing(planned)
    assert "supply" not in kept
    assert "climate" not in kept
    assert kept["placements"] == EVERYTHING["placements"]
    assert kept["signal"]["loop"]


def test_what_is_wrong_stands_at_its_field(planned: Site) -> None:
    client = logged_in(planned)
    fields = Fields(client.get(PATH).text).sent | {
        "pf": "",
        "to_line_mm": "512/510",
        "cases": "c 1, other, 3, A",
    }
    answer = client.post(PATH, data=fields).text
    assert "supply.pf: is missing" in answer.partition('id="pf-error"')[2][:80]
    fields |= {"pf": "0.9", "to_line_mm": "512/510"}
    answer = client.post(PATH, data=fields).text
    assert "stock.cases[0].tile: other is not a tile type" in answer.partition('id="cases-error"')[2][:120]
    fields["cases"] = "c 1, plover_500"
    assert "has 2 cells" in send(client, PATH, **fields).text


NUMBER = st.floats(0, 5000).map(lambda value: round(value, 2))


@given(st.lists(NUMBER), st.lists(st.tuples(NUMBER, NUMBER).map(list)))
def test_lists_are_read_as_they_are_written(singles: list[float], pairs: list[list[float]]) -> None:
    assert plan_lists.numbers("p", plan_lists.write_numbers(singles)) == singles
    assert plan_lists.pairs("p", plan_lists.write_pairs(pairs)) == pairs
    readings = [{"minutes": minutes, "surface_c": degrees} for minutes, degrees in pairs]
    assert plan_lists.surface("p", plan_lists.write_surface(readings)) == readings


@pytest.mark.parametrize(
    ("read", "text", "message"),
    [
        (plan_lists.whole_numbers, "1 2.5", "'2.5' is not a number"),
        (plan_lists.pairs, "512/510 505", "'505' is not a pair"),
        (plan_lists.stock, "a, b, c, d", "'c' is not a number"),
    ],
)
def test_text_that_is_no_list_is_refused(read: Callable[[str, str], object], text: str, message: str) -> None:
    with pytest.raises(PlanError, match=message):
        read("p", text)
