"""The build sheet: totals are sums, a mirrored plan a mirrored sheet, and what is not given is left out."""

import json
from math import cos, radians
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from jsonschema import Draft202012Validator

from helpers import PLAN, TILE
from seamwalk.domain.sheet.cables import tile_cables
from seamwalk.domain.sheet.model import sheet_json_schema
from seamwalk.domain.sheet.sheet import build_sheet
from seamwalk.domain.wall.plan import parse_plan
from seamwalk.domain.wall.wall import build_wall
from seamwalk.errors import PlanError
from seamwalk.printing.sheet_text import sheet_lines

SUPPLY = {"volts": 230, "breaker_a": 16, "pf": 0.95, "phases": 3}
SIGNAL = {"port_mbps": 1000, "efficiency": 0.9}
HARDWARE = {"base_bar_kg": 6.5, "clamp_kg": 1.2, "support_kg": 19, "support_depth_mm": 900}

BENDING = TILE | {"max_bend_deg": 10, "inrush_a": 2, "leakage_ma": 0.7, "blocks_side": 2}
PUBLISHED = Draft202012Validator(sheet_json_schema())


def sheet_of(**changes: Any) -> dict[str, Any]:
    plan = PLAN | {"tile": BENDING, "supply": SUPPLY, "signal": SIGNAL, "hardware": HARDWARE} | changes
    sheet = build_sheet(parse_plan(plan))
    PUBLISHED.validate(json.loads(json.dumps(sheet)))
    return sheet


@st.composite
def plans(draw: st.DrawFn) -> dict[str, Any]:
    columns, rows = draw(st.integers(1, 9)), draw(st.integers(1, 6))
    bends = draw(st.lists(st.sampled_from([-5, 0, 2.5, 7.5]), min_size=columns - 1, max_size=columns - 1))
    holes = draw(st.sets(st.tuples(st.integers(1, columns), st.integers(2, 6)), max_size=4))
    cells = [(c, r) for c in range(1, columns + 1) for r in range(1, rows + 1) if (c, r) not in holes]
    placements = [{"column": c, "row": r, "tile": TILE["key"]} for c, r in cells]
    return {"columns": columns, "rows": rows, "bends_deg": bends, "placements": placements}


def mirrored(plan: dict[str, Any]) -> dict[str, Any]:
    last = plan["columns"] + 1
    placements = [{**item, "column": last - item["column"]} for item in plan["placements"]]
    return plan | {"bends_deg": plan["bends_deg"][::-1], "placements": placements}


@settings(max_examples=60)
@given(plans())
def test_totals_are_sums_and_every_tile_is_in_one_circuit_and_one_run(plan: dict[str, Any]) -> None:
    try:
        sheet = sheet_of(**plan)
    except PlanError:
        return
    tiles = sorted(f"{item['column']}.{item['row']}" for item in plan["placements"])
    assert sheet["tiles"] == len(tiles) == sum(sheet["tiles_by_type"].values())
    assert sorted(tile for circuit in sheet["power"]["circuits"] for tile in circuit["tiles"]) == tiles
    assert sorted(tile for run in sheet["data"]["runs"] for tile in run) == tiles
    assert sheet["mass_kg"]["tiles"] == pytest.approx(sum(sheet["mass_kg"]["columns"]))
    assert sheet["power"]["max_w"] == pytest.approx(sum(c["max_w"] for c in sheet["power"]["circuits"]))
    assert all(c["max_w"] <= sheet["power"]["circuit_w"] for c in sheet["power"]["circuits"])
    amperes = sum(circuit["a"] for circuit in sheet["power"]["circuits"])
    assert sum(sheet["power"]["phase_a"].values()) == pytest.approx(amperes, abs=0.01)
    assert sheet["pixels"]["total"] == len(tiles) * TILE["px_w"] * TILE["px_h"]


@settings(max_examples=40)
@given(plans(), st.booleans())
def test_every_tile_says_what_feeds_it(plan: dict[str, Any], loop: bool) -> None:
    try:
        sheet = sheet_of(**plan, signal=SIGNAL | {"port_mbps": 400, "loop": loop})
    except PlanError:
        return
    cables = tile_cables(sheet)
    assert len(cables) == sheet["tiles"]
    joined = {
        frozenset(joint.tiles) for joint in build_wall(parse_plan(PLAN | {"tile": BENDING} | plan)).joints
    }
    for tile, own in cables.items():
        for before in (own.power_from, own.data_from):
            assert before is None or frozenset((tile, before)) in joined
        circuit = sheet["power"]["circuits"][(own.circuit or 0) - 1]["tiles"]
        assert own.behind == len(circuit) - 1 - circuit.index(tile)
        assert (own.power_from is None) == (circuit[0] == tile)
    ports = {own.port for own in cables.values()} | {own.backup_port for own in cables.values()} - {None}
    assert ports == set(range(1, sheet["data"]["ports"] + 1))


@settings(max_examples=40)
@given(plans())
def test_a_mirrored_plan_gives_a_mirrored_sheet(plan: dict[str, Any]) -> None:
    try:
        here, there = sheet_of(**plan), sheet_of(**mirrored(plan))
    except PlanError:
        return
    chord = here["curve"]["chord_mm"]
    assert there["curve"]["chord_mm"] == pytest.approx(chord, abs=0.01)
    points = [(chord - x, y) for x, y in there["curve"]["points_mm"][::-1]]
    for (x1, y1), (x2, y2) in zip(here["curve"]["points_mm"], points, strict=True):
        assert (x1, y1) == pytest.approx((x2, y2), abs=0.01)
    assert there["mass_kg"]["columns"] == here["mass_kg"]["columns"][::-1]
    assert there["centre_mm"]["x"] == pytest.approx(chord - here["centre_mm"]["x"], abs=0.01)
    assert there["centre_mm"]["height"] == here["centre_mm"]["height"]
    for key in ("joints", "locks", "angle_pieces", "cases", "size_mm", "base_bars"):
        assert there[key] == here[key]


def test_what_is_not_given_is_left_out_with_the_field_it_needs() -> None:
    sheet = build_sheet(parse_plan(PLAN | {"support": "flown"}))
    assert (sheet["power"], sheet["data"], sheet["hang"], sheet["spares"]) == (None, None, None, None)
    assert sheet["mass_kg"]["total"] is None
    needs = {(item["figure"], item["needs"]) for item in sheet["left_out"]}
    assert {("power", "supply"), ("data", "signal"), ("hang", "hang")} <= needs
    assert ("mass_kg.hardware", "hang.bar_kg") in needs


def test_hardware_comes_from_the_same_checks_that_people_walk() -> None:
    sheet = sheet_of(bends_deg=[5, -2.5], clamp_rows=[2], support_columns=[1, 3], reference="sheet 1")
    assert sheet["joints"] == {"side": 4, "stack": 3, "base": 3, "hang": 0}
    assert sheet["locks"] == 2 * 10
    assert sheet["angle_pieces"] == {"-2.5": 4, "5": 4}
    assert (sheet["clamps"], sheet["supports"], sheet["base_bars"]) == (2, 2, 3)
    assert sheet["mass_kg"]["total"] == pytest.approx(6 * 8 + 3 * 6.5 + 2 * 1.2 + 2 * 19)
    assert sheet["built_mm"]["depth"] > 900


def test_the_published_schema_is_closed_and_asks_for_every_key() -> None:
    sheet = json.loads(json.dumps(sheet_of()))
    assert not PUBLISHED.is_valid(sheet | {"extra": 1})
    for key in sheet:
        assert not PUBLISHED.is_valid({name: value for name, value in sheet.items() if name != key})
    for key in sheet["power"]:
        less = {name: value for name, value in sheet["power"].items() if name != key}
        assert not PUBLISHED.is_valid(sheet | {"power": less})
    assert PUBLISHED.is_valid(json.loads(json.dumps(build_sheet(parse_plan(PLAN)))))


def test_a_circuit_s_own_inrush_and_leakage_and_its_rcd() -> None:
    sheet = sheet_of(columns=8, rows=4, supply=SUPPLY | {"rcd_ma": 30})
    circuits = sheet["power"]["circuits"]
    assert [c["inrush_a"] for c in circuits] == [2 * len(c["tiles"]) for c in circuits]
    assert sum(c["leakage_ma"] for c in circuits) == pytest.approx(sheet["power"]["leakage_ma"])
    over = [i for i, c in enumerate(circuits, start=1) if c["leakage_ma"] > 9]
    warned = [w for w in sheet["warnings"] if "RCD" in w]
    assert [w.partition(":")[0] for w in warned] == [f"circuit {i}" for i in over]
    assert over
    assert sheet_of(columns=8, rows=4)["warnings"] == []


def test_hanging_points_are_a_beam_and_over_the_rating_is_said() -> None:
    hang = {"points_mm": [0, 750, 1500], "rated_kg": [20, 20, 20], "hoist_kg": 2, "reference": "rigger"}
    hang |= {"bar_kg": 0, "measured_kg": [12, 30, 13]}
    sheet = sheet_of(support="flown", hang=hang)
    assert sheet["hang"]["points_kg"] == pytest.approx([11, 32, 11])
    assert sheet["hang"]["slack"][1]["points_kg"] == pytest.approx([26, 0, 26])
    assert sheet["hang"]["differences_kg"] == pytest.approx([1, -2, 2])
    assert (sheet["hang"]["total_kg"], sheet["hang"]["measured_total_kg"]) == (54, 55)
    assert "hang.points_mm[1]: 32 kg is over its rated 20" in sheet["warnings"]
    assert "hang.points_mm[1]: 30 kg is over its rated 20 on its load cell" in sheet["warnings"]
    assert sheet["mass_kg"]["hardware"] == 0
    untold = sheet_of(support="flown", hang=hang | {"bar_kg": None}, hardware={})
    assert untold["hang"] is None
    assert {"figure": "hang", "needs": "hang.bar_kg"} in untold["left_out"]
    bent = sheet_of(support="flown", hang=hang, bends_deg=[5, 5])
    assert bent["hang"] is None
    assert any(item["figure"] == "hang" for item in bent["left_out"])


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        (
            {"supply": SUPPLY | {"breaker_a": 0.5}},
            "supply.breaker_a: 0.5 carries 87 W, one plover_500 takes 150",
        ),
        ({"signal": SIGNAL | {"port_mbps": 10}}, "signal.port_mbps: 10 carries 6250 pixels"),
        ({"columns": 6, "rows": 1, "bends_deg": [90] * 5}, "bends_deg[0]: 90 is over the tile's limit of 10"),
        (
            {"support": "flown", "hang": {"points_mm": [5, 5], "reference": "r"}},
            "hang.points_mm[1]: 5 does not come after 5",
        ),
        ({"supply": SUPPLY | {"volts": -230}}, "supply.volts: -230"),
        ({"supply": SUPPLY | {"pf": 1.2}}, "supply.pf: 1.2"),
    ],
)
def test_what_can_not_be_is_refused_by_path(changes: dict[str, Any], message: str) -> None:
    with pytest.raises(PlanError) as caught:
        sheet_of(**changes)
    assert message in caught.value.message


def test_a_sheet_is_json_and_no_line_of_it_calls_anything_harmless() -> None:
    hang = {"points_mm": [0, 1500], "reference": "rigger's sheet"}
    sheet = sheet_of(support="flown", hang=hang, spares={"days": 3, "rates": {"module": 0.001}})
    assert json.loads(json.dumps(sheet, allow_nan=False)) == sheet
    text = "\n".join(sheet_lines(sheet))
    assert "rigger's sheet" in text
    assert "Structural figures are indicative" in text
    assert "safe" not in text.lower()
    marked = "\n".join(sheet_lines(sheet, "pseudo"))
    bare = [line for line in marked.splitlines()[1:] if line.strip() and "⟦" not in line]
    assert bare == []


def test_a_standing_wall_is_worked_out_at_every_height_and_has_no_pass_mark() -> None:
    hardware = HARDWARE | {"ballast_kg": 50, "friction": 0.4, "reference": "sheet 4"}
    fields = {"support_columns": [1, 3], "clamp_rows": [2], "reference": "sheet 4", "hardware": hardware}
    horizontal = {"pressure_n_m2": 100, "reference": "engineer's letter 7"}
    sheet = sheet_of(**fields, horizontal=horizontal)
    low, high = sheet["statics"]
    assert (low["rows"], low["force_n"], high["force_n"]) == (1, 75, 150)
    g = 9.80665
    assert high["to_audience"]["moment_nm"] == pytest.approx(150 * 0.5)
    assert high["to_audience"]["resisting_nm"] == pytest.approx((48 * 0.04 + 100 * 0.98) * g, abs=0.01)
    assert high["from_audience"]["resisting_nm"] == pytest.approx(48 * 0.94 * g, abs=0.01)
    assert high["sliding_n"] == pytest.approx(0.4 * 148 * g, abs=0.01)
    assert high["to_audience"]["ratio"] < low["to_audience"]["ratio"]
    text = "\n".join(sheet_lines(sheet))
    assert "There is no pass mark here" in text
    assert "engineer's letter 7" in text
    needs = {item["needs"] for item in sheet_of(support_columns=[1], reference="r")["left_out"]}
    assert {"horizontal", "hardware.ballast_kg", "hardware.friction"} <= needs


def test_a_bent_wall_tips_about_the_edges_of_its_footprint() -> None:
    """Its ends lie ahead of its middle: it holds more towards the audience and less away from it."""
    fields = {"horizontal": {"pressure_n_m2": 100, "reference": "letter"}, "columns": 4, "hardware": {}}
    straight, bent = sheet_of(**fields), sheet_of(**fields, bends_deg=[10, 10, 10])
    here, there = straight["statics"][-1], bent["statics"][-1]
    assert there["force_n"] == pytest.approx(
        here["force_n"] * (cos(radians(15)) + cos(radians(5))) / 2, abs=0.01
    )
    assert there["to_audience"]["ratio"] > here["to_audience"]["ratio"]
    assert here["to_audience"] == here["from_audience"]
    mirrored_there = sheet_of(**fields, bends_deg=[-10, -10, -10])["statics"][-1]
    assert mirrored_there["from_audience"]["ratio"] > here["from_audience"]["ratio"]


def test_a_learned_rate_feeds_the_spares_once_enough_failures_are_counted() -> None:
    def spares(failures: int, **more: object) -> dict[str, Any]:
        learned = {"module": {"failures": failures, "part_days": 1000}}
        return sheet_of(spares={"days": 3, "learned": learned, **more})

    few, enough = spares(9), spares(10)
    named = f"module/{PLAN['tile']['key']}"
    assert (few["spares"][named], few["spares_rates"]) == (0, {})
    assert any("9 failures are counted" in item["needs"] for item in few["left_out"])
    assert enough["spares"][named] > 0
    rate = enough["spares_rates"]["module"]
    assert (rate["source"], rate["per_1000_days"], rate["failures"]) == ("learned", 10.0, 10)
    assert (rate["low"], rate["high"]) == (4.795, 18.390)
    assert any("4.795 to 18.390" in line for line in sheet_lines(enough))
    typed = spares(10, rates={"module": 0.001})["spares_rates"]["module"]
    assert (typed["source"], typed["per_1000_days"], typed["low"]) == ("plan", 1.0, None)
