"""Up and down: nothing unsupported is asked for, nobody is sent under a raised wall, no needless walking."""

from collections.abc import Sequence
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given

from any_walls import built, plans
from helpers import PLAN, TILE
from seamwalk.domain.checks.build_order import (
    build_acts,
    build_order,
    carriers,
    needs_supports,
    strike_acts,
)
from seamwalk.domain.checks.checks import wall_checks
from seamwalk.domain.checks.walks import RUN_TILES, plan_walks
from seamwalk.domain.wall.grid import PlacedTile
from seamwalk.domain.wall.plan import parse_plan
from seamwalk.domain.wall.wall import Wall, build_wall


def on_bars(wall: Wall) -> set[str]:
    return {joint.second for joint in wall.joints if joint.kind in ("base", "hang")}


def joined(wall: Wall, tile: str) -> set[str]:
    return {other for joint in wall.joints if tile in joint.tiles for other in joint.tiles} - {tile}


def columns_walked(order: Sequence[PlacedTile]) -> int:
    """How many columns somebody walks along the wall from tile to tile."""
    return sum(abs(after.column - before.column) for before, after in pairwise(order))


def is_carried(wall: Wall) -> bool:
    """Whether each tile stands on, or hangs from, another or a bar."""
    return not any("nothing" in warning for warning in wall.warnings)


@given(plans())
def test_nothing_is_asked_for_that_nothing_carries_yet(source: dict[str, Any]) -> None:
    wall = built(source)
    if wall is None:
        return
    order = [tile.id for tile in build_order(wall)]
    assert sorted(order) == sorted(tile.id for tile in wall.tiles)
    at = {tile: number for number, tile in enumerate(order)}
    if is_carried(wall):
        for tile, carrying in carriers(wall).items():
            assert all(at[carrier] < at[tile] for carrier in carrying)
    bars = on_bars(wall)
    for number, tile in enumerate(order):
        assert tile in bars or any(at[other] < number for other in joined(wall, tile))


@given(plans())
def test_columns_stay_within_one_row_of_each_other(source: dict[str, Any]) -> None:
    wall = built(source)
    if wall is None or not is_carried(wall):
        return
    flown = source["support"] == "flown"
    levels = [-(tile.row + tile.h) if flown else tile.row for tile in build_order(wall)]
    assert levels == sorted(levels)


@given(plans())
def test_the_way_is_never_longer_than_plain_row_order(source: dict[str, Any]) -> None:
    wall = built(source)
    if wall is None or not is_carried(wall):
        return
    flown = source["support"] == "flown"
    level = lambda tile: (-(tile.row + tile.h) if flown else tile.row, tile.column)  # noqa: E731
    assert columns_walked(build_order(wall)) <= columns_walked(sorted(wall.tiles, key=level))


def test_a_full_wall_is_walked_there_and_back() -> None:
    wall = build_wall(parse_plan(PLAN | {"columns": 10, "rows": 4}))
    assert columns_walked(build_order(wall)) == 4 * 9
    assert columns_walked(wall.tiles) == 9
    assert columns_walked(sorted(wall.tiles, key=lambda tile: (tile.row, tile.column))) == 4 * 9 + 3 * 9


@given(plans())
def test_supports_and_clamps_come_before_the_row_that_needs_them_and_leave_after_it(
    source: dict[str, Any],
) -> None:
    wall = built(source)
    if wall is None or source["support"] == "flown":
        return
    tiles = wall.by_id()
    for acts, gone in ((build_acts(wall), False), (strike_acts(build_acts(wall))[::-1], True)):
        supports = 0
        standing: set[str] = set()
        for act in acts:
            if act.act == "support":
                supports += 1
            elif act.act == "clamp":
                assert supports == len(source["support_columns"]), gone
                assert wall.by_cell()[act.column, act.row].id in standing
            else:
                assert not needs_supports(tiles[act.place]) or supports == len(source["support_columns"])
                standing.add(act.place)


@given(plans())
def test_nothing_is_taken_away_from_under_what_it_carries(source: dict[str, Any]) -> None:
    wall = built(source)
    if wall is None or not is_carried(wall):
        return
    carry = carriers(wall)
    left = set(wall.by_id())
    bars = on_bars(wall)
    for act in strike_acts(build_acts(wall)):
        if act.act != "tile":
            continue
        left.remove(act.place)
        assert not any(act.place in carry[other] for other in left)
        assert all(other in bars or joined(wall, other) & left for other in left)
    assert not left


@given(plans())
def test_nobody_is_sent_under_a_raised_wall(source: dict[str, Any]) -> None:
    """All that is done at a row of a hanging wall is done while that row is at working height."""
    wall = built(source)
    if wall is None or source["support"] != "flown" or not is_carried(wall):
        return
    tiles = wall.by_id()
    for acts in (build_acts(wall), strike_acts(build_acts(wall))):
        tops: dict[int, int] = {}
        stage = 0
        for act in acts:
            if act.act == "lift":
                stage += 1
            elif act.act in ("tile", "clamp"):
                tile = tiles[act.place] if act.act == "tile" else wall.by_cell()[act.column, act.row]
                top = tile.row + tile.h
                assert tops.setdefault(top, stage) == stage
        assert len(set(tops.values())) == len(tops), "two rows with the same height of the wall"
    assert build_acts(wall)[-1].act == strike_acts(build_acts(wall))[0].act == "lift", "behind a raised wall"


@given(plans())
def test_every_act_of_the_build_is_a_stop_in_its_order(source: dict[str, Any]) -> None:
    wall = built(source)
    if wall is None:
        return
    walks = {walk.key: walk for walk in plan_walks(wall, wall_checks(wall))}
    acts = [f"{act.act}/{act.place}" for act in build_acts(wall)]
    places = [stop.place for stop in walks["build"].stops] if "build" in walks else []
    closing = {place for place in places if place.startswith("tile/")}
    assert places == [place for place in acts if place in closing or not place.startswith("tile/")]
    assert [stop.place for stop in walks["load_in"].stops] == [p for p in acts if p.startswith("tile/")]
    bars = [f"bar/{bar.id}" for bar in wall.bars]
    assert [stop.place for stop in walks["strike"].stops] == ["feed/all", *acts[::-1], *bars]


@given(plans())
def test_a_tile_is_looked_at_once_as_it_is_set_with_the_joints_that_it_closes(source: dict[str, Any]) -> None:
    wall = built(source)
    if wall is None:
        return
    at = {tile.id: number for number, tile in enumerate(build_order(wall))}
    joints = {joint.place: joint for joint in wall.joints}
    walks = {walk.key: walk for walk in plan_walks(wall, wall_checks(wall))}
    seen: list[str] = []
    for stop in walks["build"].stops if "build" in walks else ():
        if not stop.place.startswith("tile/"):
            assert {check.place for check in stop.checks} == {stop.place}
            continue
        tile = stop.place.removeprefix("tile/")
        for here in stop.places():
            joint = joints[here[0].place]
            assert tile in joint.tiles
            assert all(at[other] <= at[tile] for other in joint.tiles), "a joint to what is not there yet"
            seen.append(joint.place)
    assert len(seen) == len(set(seen)), "a place in two stops"


@given(plans())
def test_second_looks_go_by_finished_row(source: dict[str, Any]) -> None:
    """A stop holds joints that one row closed, so all is there before the next row or lift."""
    wall = built(source)
    if wall is None:
        return
    walks = {walk.key: walk for walk in plan_walks(wall, wall_checks(wall))}
    order = build_order(wall)
    at = {tile.id: number for number, tile in enumerate(order)}
    joints = {joint.place: joint for joint in wall.joints}
    flown = source["support"] == "flown"
    last = -1
    for stop in walks["second_look"].stops if "second_look" in walks else ():
        closing = [max(at[t] for t in joints[here[0].place].tiles) for here in stop.places()]
        levels = {order[n].row + order[n].h if flown else order[n].row for n in closing}
        assert len(levels) == 1
        assert len({*closing}) <= RUN_TILES
        assert min(closing) > last
        last = max(closing)
    assert len(
        {stop.place for walk in walks.values() if walk.key == "second_look" for stop in walk.stops}
    ) == (len(walks["second_look"].stops) if "second_look" in walks else 0)


def test_a_wall_of_ten_by_four_has_a_first_look_for_each_tile_and_a_second_for_each_row() -> None:
    wall = build_wall(parse_plan(PLAN | {"columns": 10, "rows": 4}))
    stops = {walk.key: [stop.place for stop in walk.stops] for walk in plan_walks(wall, wall_checks(wall))}
    assert sum(place.startswith("tile/") for place in stops["build"]) == 40
    assert stops["second_look"] == [f"row/{row}/1-10" for row in (1, 2, 3, 4)]
    long = build_wall(parse_plan(PLAN | {"columns": 24, "rows": 1}))
    second = next(walk for walk in plan_walks(long, wall_checks(long)) if walk.key == "second_look")
    assert [stop.place for stop in second.stops] == ["row/1/1-8", "row/1/9-16", "row/1/17-24"]


@pytest.mark.parametrize(("free_rows", "before"), [(None, "1.2"), (2, "3.3")])
def test_the_maker_s_free_rows_say_when_supports_are_due(free_rows: int | None, before: str) -> None:
    tile = TILE | ({"max_free_rows": free_rows} if free_rows else {})
    plan = PLAN | {"rows": 4, "tile": tile, "support_columns": [1], "clamp_rows": [1, 4], "reference": "x"}
    acts = [f"{act.act} {act.place}" for act in build_acts(build_wall(parse_plan(plan)))]
    at = acts.index("support 1")
    assert acts[at + 1] == "clamp 1.1"
    assert acts[at + 2] in (f"tile {before}", f"tile {4 - int(before[0])}{before[1:]}")
