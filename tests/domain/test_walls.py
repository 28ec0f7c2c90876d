"""Any set of rectangles becomes joints, checks and walks without a gap or a double."""

import json
from collections import Counter
from typing import Any

import pytest
from hypothesis import given

from any_walls import built, plans
from helpers import PLAN, TILE
from seamwalk.domain.checks.checks import wall_checks
from seamwalk.domain.checks.walks import plan_walks
from seamwalk.domain.frozen import checks_file
from seamwalk.domain.wall.plan import parse_plan
from seamwalk.domain.wall.wall import build_wall
from seamwalk.errors import PlanError
from seamwalk_demo import scenario


@given(plans())
def test_every_edge_cell_is_in_exactly_one_joint_or_free_edge(source: dict[str, Any]) -> None:
    wall = built(source)
    if wall is None:
        return
    grid = wall.by_cell()
    shared: Counter[tuple[str, str, str]] = Counter()
    for (column, row), tile in grid.items():
        for kind, other in (("side", grid.get((column + 1, row))), ("stack", grid.get((column, row + 1)))):
            if other is not None and other is not tile:
                shared[kind, tile.id, other.id] += 1
    found = Counter(
        {(j.kind, j.first, j.second): j.cells for j in wall.joints if j.kind in ("side", "stack")}
    )
    assert found == shared
    assert len({joint.place for joint in wall.joints}) == len(wall.joints)
    outline = 2 * sum(tile.w + tile.h for tile in wall.tiles)
    on_bars = sum(joint.cells for joint in wall.joints if joint.kind in ("base", "hang"))
    assert outline == 2 * sum(shared.values()) + on_bars + sum(edge.cells for edge in wall.free_edges)


@given(plans())
def test_every_joint_has_checks_and_every_check_is_at_one_stop_of_one_walk(source: dict[str, Any]) -> None:
    wall = built(source)
    if wall is None:
        return
    checks = wall_checks(wall)
    ids = [check.id("A") for check in checks]
    assert len(set(ids)) == len(ids)
    assert {joint.place for joint in wall.joints} <= {check.place for check in checks}
    walked = [
        check.id("A") for walk in plan_walks(wall, checks) for stop in walk.stops for check in stop.checks
    ]
    assert sorted(walked) == sorted(ids)


def test_no_bar_crosses_a_bend() -> None:
    plan = PLAN | {"columns": 4, "bends_deg": [0, 5, 0], "hardware": {"base_bar_columns": 4}}
    assert [(bar.column, bar.columns) for bar in build_wall(parse_plan(plan)).bars] == [(1, 2), (3, 2)]


def test_a_changed_expectation_is_a_new_check() -> None:
    straight, bent = ({**PLAN, "bends_deg": [angle, 0]} for angle in (2.5, 5))
    first, second = (json.loads(checks_file("A", parse_plan(plan)))["checks"] for plan in (straight, bent))
    differing = {c["id"] for c in first} ^ {c["id"] for c in second}
    assert differing == {f"A/side/1.{row}/2.{row}/angle:{angle}" for row in (1, 2) for angle in ("2.5", "5")}


def test_a_swapped_module_touches_its_picture_alone() -> None:
    file = json.loads(checks_file("A", parse_plan(PLAN)))
    touched = [file["checks"][i]["id"] for i in file["touches"]["module"]["1.1"]]
    assert touched == ["A/tile/1.1/picture:clean"]


def test_a_moved_tile_touches_its_joints_and_no_others() -> None:
    file = json.loads(checks_file("A", parse_plan(PLAN)))
    touched = {file["checks"][i]["id"] for i in file["touches"]["tile"]["1.1"]}
    expected = {c["id"] for c in file["checks"] if "1.1" in c["tiles"] and c["kind"] != "struck"}
    assert touched == expected


def test_demo_walls_have_an_opening_that_is_vouched_for() -> None:
    wall = build_wall(parse_plan(scenario.portal()))
    assert len(wall.tiles) == 32
    assert not [warning for warning in wall.warnings if "lintel" in warning]


@pytest.mark.parametrize(
    ("change", "expected"),
    [
        ({"columns": -1}, "columns: -1: Input should be greater than or equal to 1"),
        ({"rows": 10**9}, "rows: 1000000000: Input should be less than or equal to 1000"),
        ({"colums": 3}, "colums: is not a field of a plan"),
        ({"bends_deg": [5]}, "bends_deg: 1 angles where 2 are needed"),
        ({"bends_deg": [0, 7]}, "bends_deg[1]: 7 is over the tile's limit of 5"),
        ({"bends_deg": [0, float("nan")]}, "bends_deg[1]: nan: Input should be a finite number"),
        ({"clamp_rows": [3], "reference": "x"}, "clamp_rows[0]: 3 is outside the grid"),
        ({"clamp_rows": [1]}, "reference: is missing, though clamp_rows is given"),
        ({"tile": TILE | {"reference": None}}, "tile.reference: is missing, though max_bend_deg is given"),
        (
            {"tile": TILE | {"max_bend_deg": None}, "bends_deg": [1, 0]},
            "bends_deg[0]: tile plover_500 gives no",
        ),
        (
            {"placements": [{"column": 1, "row": 1, "tile": "owl"}]},
            "placements[0].tile: owl is not a tile type of this plan",
        ),
        (
            {"placements": [{"column": 1, "row": 1, "tile": "plover_500"}] * 2},
            "placements[1]: tile 1.1 lies on tile 1.1 (placements[0])",
        ),
        ({"placements": [{"column": 3, "row": 2, "tile": "plover_500"}]}, "placements: tile 3.2 floats"),
        ({"hang": {"points_mm": [0], "reference": "x"}}, "hang: a stacked wall does not hang"),
        (
            {"rows": 5, "tile": TILE | {"max_stack_rows": 4}},
            "rows: 5 rows of plover_500 are over its limit of 4 stacked",
        ),
        (
            {"tile": TILE | {"max_free_rows": 1}},
            "rows: 2 rows of plover_500 are over its limit of 1 without rear supports",
        ),
        (
            {"support": "flown", "tile": TILE | {"max_hang_rows": 1, "max_stack_rows": 1}},
            "rows: 2 rows of plover_500 are over its limit of 1 hanging",
        ),
        (
            {"tile": TILE | {"hardware_family": "kelp"}, "hardware": {"hardware_family": "moss"}},
            "tile.hardware_family: kelp would meet moss in one wall",
        ),
    ],
)
def test_a_bad_plan_is_refused_by_path(change: dict[str, Any], expected: str) -> None:
    with pytest.raises(PlanError) as caught:
        build_wall(parse_plan(PLAN | change))
    assert expected in caught.value.message
    assert all(problem.remedy for problem in caught.value.problems)


def test_a_limit_counts_rows_of_the_tile_s_own_height() -> None:
    tall = TILE | {"key": "plover_1000", "height_mm": 1000, "px_h": 384, "max_stack_rows": 2}
    placements = [{"column": 1, "row": row, "h": 2, "tile": "plover_1000"} for row in (1, 3)]
    plan = PLAN | {"columns": 1, "rows": 4, "tiles": [tall], "placements": placements}
    assert len(build_wall(parse_plan(plan)).tiles) == 2
    more = plan | {"rows": 6, "placements": [*placements, {**placements[0], "row": 5}]}
    with pytest.raises(PlanError, match="3 rows of plover_1000 are over its limit of 2"):
        parse_plan(more)


def test_every_problem_is_told_at_once() -> None:
    with pytest.raises(PlanError) as caught:
        parse_plan(PLAN | {"columns": 0, "support": "glued"})
    assert [problem.path for problem in caught.value.problems] == ["columns", "support"]
