"""What a place makes of a plan: corners, bars, the floor under them, and the air around them."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from helpers import PLAN, TILE
from seamwalk.domain.sheet.sheet import build_sheet
from seamwalk.domain.wall.plan import parse_plan
from seamwalk.errors import PlanError

CORNER = TILE | {
    "key": "corner_90",
    "width_mm": 1000,
    "corner": {"turn_deg": 90, "left_mm": 500},
    "lock_positions_mm": {"stack": [120, 380, 620, 880]},
    "locks_stack": 4,
}


def cornered(**changes: Any) -> dict[str, Any]:
    """Two columns, a corner tile over two cells, two columns; two rows."""
    placements: list[dict[str, Any]] = [
        {"column": 3, "row": row, "w": 2, "tile": "corner_90"} for row in (1, 2)
    ]
    for column in (1, 2, 5, 6):
        placements += [{"column": column, "row": row, "tile": TILE["key"]} for row in (1, 2)]
    fields = {"columns": 6, "tiles": [CORNER], "placements": placements, "bends_deg": [0, 0, 90, 0, 0]}
    return PLAN | fields | changes


def refusal(plan: dict[str, Any]) -> str:
    with pytest.raises(PlanError) as caught:
        build_sheet(parse_plan(plan))
    return caught.value.message


def test_a_corner_tile_turns_the_wall_and_stands_on_two_bars() -> None:
    sheet = build_sheet(parse_plan(cornered(hardware={"base_bar_columns": 3})))
    assert sheet["curve"]["turn_deg"] == 90
    assert sheet["curve"]["chord_mm"] == pytest.approx(1500 * 2**0.5, abs=1e-3)
    assert sheet["tiles_by_type"] == {"corner_90": 2, TILE["key"]: 8}
    assert [(bar["column"], bar["columns"]) for bar in sheet["bars"]] == [(1, 3), (4, 3)]
    # locks: 4 side joints of flat tiles and 4 with the corner, 2 each; stack 4 x 2 + 4; base 4 x 2 + 2 + 2
    assert sheet["joints"] == {"side": 8, "stack": 5, "base": 6, "hang": 0}
    assert sheet["locks"] == 8 * 2 + (4 * 2 + 4) + (4 * 2 + 2 + 2)


def test_corners_that_can_not_be_are_refused_by_path() -> None:
    assert "bends_deg[2]: 0, but corner tile 3.1x2x1 turns 90 there" in refusal(cornered(bends_deg=[]))
    over = refusal(cornered(bends_deg=[0, 90, 90, 0, 0]))
    assert "bends_deg[1]: 90 is over the tile's limit of 5" in over
    flat = CORNER | {"corner": None}
    assert "bends_deg[2]: tile 3.1x2x1 is rigid and spans this seam" in refusal(cornered(tiles=[flat]))
    unsaid = CORNER | {"lock_positions_mm": None}
    assert "tiles[0].lock_positions_mm.stack: is missing" in refusal(cornered(tiles=[unsaid]))
    long_leg = CORNER | {"corner": {"turn_deg": 90, "left_mm": 1000}}
    assert "tiles[0].corner.left_mm: 1000 leaves nothing" in refusal(cornered(tiles=[long_leg]))


def test_named_bars_never_cross_a_bend_or_a_gap() -> None:
    plan = PLAN | {"columns": 4, "bends_deg": [0, 5, 0]}
    sheet = build_sheet(parse_plan(plan | {"hardware": {"bars_columns": [2, 1, 1]}}))
    assert [bar["columns"] for bar in sheet["bars"]] == [2, 1, 1]
    crossing = refusal(plan | {"hardware": {"bars_columns": [1, 3]}})
    assert "hardware.bars_columns[1]: crosses the bend before column 3" in crossing
    assert "5 columns of bars where 4 columns are carried" in refusal(
        plan | {"hardware": {"bars_columns": [5]}}
    )
    doorway = [
        {"column": c, "row": r, "tile": TILE["key"]} for c in (1, 2, 3) for r in (1, 2) if (c, r) != (2, 1)
    ]
    gap = refusal(PLAN | {"placements": doorway, "hardware": {"bars_columns": [2]}})
    assert "hardware.bars_columns[0]: crosses the gap before column 3" in gap


def test_a_column_over_an_opening_rests_on_both_sides() -> None:
    doorway = [
        {"column": c, "row": r, "tile": TILE["key"]} for c in (1, 2, 3) for r in (1, 2) if (c, r) != (2, 1)
    ]
    sheet = build_sheet(parse_plan(PLAN | {"placements": doorway}))
    assert [bar["tiles_kg"] for bar in sheet["bars"]] == [20, 20]


@given(st.integers(1, 8), st.integers(1, 4), st.integers(1, 4))
def test_bars_carry_all_tiles(columns: int, rows: int, span: int) -> None:
    plan = PLAN | {"columns": columns, "rows": rows, "hardware": {"base_bar_columns": span}}
    sheet = build_sheet(parse_plan(plan))
    assert sum(bar["tiles_kg"] for bar in sheet["bars"]) == pytest.approx(sheet["mass_kg"]["tiles"], abs=0.01)
    assert sum(bar["columns"] for bar in sheet["bars"]) == columns


def test_the_high_spot_needs_no_shim_and_too_much_is_said() -> None:
    level = {"to_line_mm": [[512, 509], [509, 505], [530, 505]], "shim_max_mm": 20, "reference": "sheet 2"}
    sheet = build_sheet(parse_plan(PLAN | {"floor_level": level}))
    assert sheet["floor_level"] == [
        {"bar": "b1", "left_mm": 7, "right_mm": 4},
        {"bar": "b2", "left_mm": 4, "right_mm": 0},
        {"bar": "b3", "left_mm": 25, "right_mm": 0},
    ]
    assert "bar b3: 25 mm under its left end, over the 20 of shims" in sheet["warnings"]
    short = PLAN | {"floor_level": level | {"to_line_mm": [[1, 2]]}}
    assert "floor_level.to_line_mm: 1 pairs for 3 bars" in refusal(short)
    assert "floor_level.reference: is missing" in refusal(PLAN | {"floor_level": level | {"reference": None}})


def test_pressure_on_the_floor_at_rest_and_under_a_force() -> None:
    hardware = {
        "base_bar_kg": 6,
        "base_bar_depth_mm": 400,
        "floor_limit_kpa": 1.2,
        "reference": "hall's sheet",
    }
    sheet = build_sheet(parse_plan(PLAN | {"hardware": hardware}))
    at_rest = (16 + 6) * 9.80665 / 1000 / (0.4 * 0.5)
    assert [bar["kpa"] for bar in sheet["bars"]] == pytest.approx([at_rest] * 3, abs=1e-3)
    assert not [line for line in sheet["warnings"] if "kPa" in line]
    pushed = PLAN | {"hardware": hardware, "horizontal": {"pressure_n_m2": 20, "reference": "letter"}}
    sheet = build_sheet(parse_plan(pushed))
    moment = 20 * 0.5 * 1 * 0.5 / 1000
    edge = at_rest * (1 + 6 * (moment / (22 * 9.80665 / 1000)) / 0.4)
    assert [bar["edge_kpa"] for bar in sheet["bars"]] == pytest.approx([edge] * 3, abs=1e-3)
    assert f"bar b1: {edge:.1f} kPa is over the floor's 1.2" in sheet["warnings"]
    hard = PLAN | {"hardware": hardware, "horizontal": {"pressure_n_m2": 300, "reference": "letter"}}
    assert (
        "bar b1: tips on its own depth under the horizontal force"
        in build_sheet(parse_plan(hard))["warnings"]
    )


def test_feet_over_their_rating_are_said() -> None:
    feet = PLAN | {"support": "floor", "hardware": {"foot_rated_kg": 15, "reference": "maker"}}
    assert "foot f2: 16 kg is over its rated 15" in build_sheet(parse_plan(feet))["warnings"]


def climate(*surface: tuple[float, float], **more: Any) -> dict[str, Any]:
    readings = [{"minutes": minutes, "surface_c": degrees} for minutes, degrees in surface]
    return PLAN | {"climate": {"air_c": 20, "humidity_percent": 50, "surface": readings, **more}}


def test_no_power_below_the_dew_point_and_how_long_that_may_take() -> None:
    cold = build_sheet(parse_plan(climate((0, -4), (30, 4))))
    assert cold["moisture"]["wait"]
    # the gap to 20 degrees shrinks from 24 to 16 in 30 minutes, and from 16 to 10.74 in 29.5 more
    assert cold["moisture"]["not_before_min"] == pytest.approx(59.5, abs=0.2)
    (line,) = [line for line in cold["warnings"] if line.startswith("do not power")]
    assert "over 9.3 C" in line
    assert "59 minutes after the first reading; read it again" in line or "60 minutes" in line
    warm = build_sheet(parse_plan(climate((0, 12))))
    assert (warm["moisture"]["wait"], warm["moisture"]["not_before_min"]) == (False, None)
    careful = build_sheet(parse_plan(climate((0, 12), margin_k=3, reference="maker, page 4")))
    assert careful["moisture"]["wait"]
    assert careful["moisture"]["power_from_c"] == pytest.approx(12.26, abs=0.05)
    assert build_sheet(parse_plan(climate((0, 4), (30, 3))))["moisture"]["not_before_min"] is None


def test_readings_out_of_order_and_cases_of_no_type_are_refused() -> None:
    assert "climate.surface[1].minutes: 0 does not come after 5" in refusal(climate((5, 1), (0, 2)))
    assert "climate.reference: is missing" in refusal(climate((0, 1), margin_k=2))
    gusts = [{"gust_m_s": gust, "action": "invented"} for gust in (8, 8)]
    wind = refusal(PLAN | {"wind": {"limits": gusts, "reference": "invented"}})
    assert "wind.limits[1].gust_m_s: 8 m/s does not come after 8" in wind
    assert "hardware.reference: is missing" in refusal(PLAN | {"hardware": {"level_max_mm": 1}})
    stock = {"cases": [{"case": "c", "tile": "other", "tiles": 3, "batch": "A"}] * 2}
    told = refusal(PLAN | {"stock": stock})
    assert "stock.cases[0].tile: other is not a tile type of this plan" in told
    assert "stock.cases[1].case: c is there twice" in told
