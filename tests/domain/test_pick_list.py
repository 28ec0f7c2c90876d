"""What a show takes out: the sum of its walls' sheets, nothing more and nothing less."""

from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from helpers import PLAN, TILE
from seamwalk.domain.sheet.pick_list import PICK_ORDER, Pick, pick_list
from seamwalk.domain.sheet.sheet import build_sheet
from seamwalk.domain.wall.plan import parse_plan
from seamwalk.domain.wall.plan_model import Plan

SPARES = {"days": 3, "rates": {"module": 0.001}, "minimum": {"module": 2, "electronics_unit": 1}}
SUPPORTS = st.sampled_from(["stacked", "flown", "floor"])


def plan_of(**changes: Any) -> Plan:
    return parse_plan(PLAN | {"tile": TILE | {"blocks_side": 2}, "spares": SPARES} | changes)


def test_walls_add_up_and_bars_go_by_how_the_wall_is_carried() -> None:
    flown = plan_of(support="flown", columns=2)
    bent = plan_of(bends_deg=[5, -2.5], support_columns=[1, 3], clamp_rows=[2], reference="sheet 1")
    assert pick_list([flown, bent]) == [
        Pick("case", "plover_500", 2, 0),
        Pick("tile", "plover_500", 10, 0),
        Pick("base_bar", "1", 3, 0),
        Pick("hanging_bar", "1", 2, 0),
        Pick("clamp", "", 2, 0),
        Pick("support", "", 2, 0),
        Pick("angle_piece", "-2.5", 4, 0),
        Pick("angle_piece", "0", 4, 0),
        Pick("angle_piece", "5", 4, 0),
        Pick("module", "plover_500", 0, 4),
        Pick("electronics_unit", "plover_500", 0, 2),
    ]
    assert pick_list([]) == []


@settings(max_examples=30)
@given(st.lists(st.tuples(st.integers(1, 6), st.integers(1, 4), SUPPORTS)))
def test_nothing_is_lost_or_made_up(walls: list[tuple[int, int, str]]) -> None:
    plans = [plan_of(columns=columns, rows=rows, support=support) for columns, rows, support in walls]
    sheets = [build_sheet(plan) for plan in plans]
    picks = pick_list(plans)
    assert [pick.kind for pick in picks] == sorted((pick.kind for pick in picks), key=PICK_ORDER.index)
    told = {kind: sum(pick.in_walls for pick in picks if pick.kind == kind) for kind in PICK_ORDER}
    assert told["tile"] == sum(sheet["tiles"] for sheet in sheets)
    assert told["base_bar"] + told["hanging_bar"] + told["foot"] == sum(s["base_bars"] for s in sheets)
    spares = sum(count for sheet in sheets for count in sheet["spares"].values())
    assert sum(pick.spares for pick in picks) == spares
    assert pick_list(plans[::-1]) == picks
