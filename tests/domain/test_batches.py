"""Cases so placed that batches stay together; every tile has one case, and no case gives more than it has."""

from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from helpers import PLAN, TILE
from seamwalk.domain.sheet.batches import Batches, place_cases
from seamwalk.domain.sheet.sheet import build_sheet
from seamwalk.domain.wall.plan import parse_plan
from seamwalk.domain.wall.wall import build_wall

KEY = TILE["key"]


def case(number: int, tiles: int, batch: str, **white: float) -> dict[str, Any]:
    found = {"case": f"case {number}", "tile": KEY, "tiles": tiles, "batch": batch}
    return found | ({"white": white} if white else {})


def placed(columns: int, rows: int, cases: list[dict[str, Any]], **limits: float) -> Batches:
    plan = parse_plan(PLAN | {"columns": columns, "rows": rows, "stock": {"cases": cases, **limits}})
    assert plan.stock is not None
    return place_cases(build_wall(plan), plan.stock)


STOCKS = st.lists(st.tuples(st.integers(1, 12), st.sampled_from("ABCD")), min_size=1, max_size=12)


@settings(max_examples=80)
@given(st.integers(1, 7), st.integers(1, 5), STOCKS)
def test_every_tile_has_one_case_and_as_few_batches_as_will_do(
    columns: int, rows: int, stock: list[tuple[int, str]]
) -> None:
    found = placed(columns, rows, [case(i, *given) for i, given in enumerate(stock)])
    tiles = [tile for placing in found.placings for tile in placing.tiles]
    assert len(tiles) == len(set(tiles))
    assert len(tiles) + found.short.get(KEY, 0) == columns * rows
    assert all(0 < len(placing.tiles) <= placing.case.tiles for placing in found.placings)
    sizes = sorted(
        (sum(count for count, name in stock if name == batch) for batch in {name for _, name in stock}),
        reverse=True,
    )
    used = len({placing.case.batch for placing in found.placings})
    assert used == next((n for n in range(len(sizes) + 1) if sum(sizes[:n]) >= len(tiles)), len(sizes))
    if not found.short:
        order = [placing.case.batch for placing in found.placings]
        assert len([i for i, batch in enumerate(order) if i == 0 or order[i - 1] != batch]) == used
    assert found.borders <= (used - 1) * (min(columns, rows) + 1)


def test_a_wide_wall_changes_batch_between_columns_and_a_tall_one_between_rows() -> None:
    halves = [case(1, 8, "A"), case(2, 8, "B")]
    assert placed(8, 2, halves).borders == 2
    assert placed(2, 8, halves).borders == 2


def test_batches_follow_each_other_by_their_colour() -> None:
    cases = [
        case(1, 4, "A", x=0.31, y=0.33),
        case(2, 4, "B", x=0.32, y=0.34),
        case(3, 4, "C", x=0.315, y=0.335),
    ]
    found = placed(6, 2, cases, limit_uv=0.004)
    assert [placing.case.batch for placing in found.placings] == ["A", "C", "B"]
    assert [meeting.cases for meeting in found.meetings] == [("case 1", "case 3"), ("case 2", "case 3")]
    assert all(meeting.delta_e00 is None and not meeting.over for meeting in found.meetings)
    tight = placed(6, 2, cases, limit_uv=0.002)
    assert all(meeting.over for meeting in tight.meetings)


def test_spares_are_counted_by_batch_and_what_has_no_case_is_said() -> None:
    stock = {"cases": [case(1, 4, "A"), case(2, 1, "B")]}
    spares = {"days": 1, "minimum": {"module": 2, "electronics_unit": 1}}
    sheet = build_sheet(parse_plan(PLAN | {"stock": stock, "spares": spares}))
    assert sheet["spares"] == {
        f"module/{KEY}": 2,
        f"electronics_unit/{KEY}": 1,
        f"module/{KEY}/A": 2,
        f"electronics_unit/{KEY}/A": 1,
        f"module/{KEY}/B": 2,
        f"electronics_unit/{KEY}/B": 1,
    }
    assert f"stock.cases: no case for tiles of {KEY}: 1" in sheet["warnings"]


def test_what_meets_over_a_guide_is_named_with_its_figures() -> None:
    cases = [
        case(1, 3, "A", x=0.31, y=0.33, luminance_cd_m2=1000),
        case(2, 3, "B", x=0.32, y=0.34, luminance_cd_m2=900),
    ]
    sheet = build_sheet(parse_plan(PLAN | {"stock": {"cases": cases, "limit_e00": 2}}))
    (meeting,) = sheet["batches"]["meetings"]
    assert meeting["over"]
    (warning,) = [line for line in sheet["warnings"] if "case 1 and case 2" in line]
    assert f"{meeting['delta_uv']:.4f} u'v', {meeting['delta_e00']:.1f} CIEDE2000" in warning
