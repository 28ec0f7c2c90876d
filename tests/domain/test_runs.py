"""Runs keep to neighbours and take every tile once; phases are as even as brute force makes them."""

from collections.abc import Set
from itertools import pairwise, product

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from helpers import PLAN, TILE
from seamwalk.domain.sheet.phases import EXACT_UP_TO, Lines, balance, lines
from seamwalk.domain.sheet.runs import Run, cable_paths, cut_into_runs
from seamwalk.domain.wall.plan import parse_plan
from seamwalk.domain.wall.wall import Wall, build_wall
from seamwalk.errors import PlanError


def wall_of(columns: int, rows: int, holes: Set[tuple[int, int]] = frozenset()) -> Wall:
    cells = [(c, r) for c in range(1, columns + 1) for r in range(1, rows + 1) if (c, r) not in holes]
    placements = [{"column": c, "row": r, "tile": TILE["key"]} for c, r in cells]
    return build_wall(parse_plan(PLAN | {"columns": columns, "rows": rows, "placements": placements}))


def neighbours(wall: Wall, run: Run) -> bool:
    joined = {frozenset((j.first, j.second)) for j in wall.joints if j.kind in ("side", "stack")}
    return all(frozenset((a.id, b.id)) in joined for a, b in pairwise(run))


@given(st.integers(1, 7), st.integers(1, 7))
def test_a_full_grid_is_one_stretch(columns: int, rows: int) -> None:
    wall = wall_of(columns, rows)
    (way,) = cable_paths(wall)
    assert len(way) == columns * rows
    assert neighbours(wall, way)


@given(st.sets(st.tuples(st.integers(1, 5), st.integers(2, 5)), max_size=9), st.integers(1, 6))
def test_with_openings_every_tile_is_in_one_run_of_neighbours(
    holes: set[tuple[int, int]], longest: int
) -> None:
    try:
        wall = wall_of(5, 5, holes)
    except PlanError:
        return
    runs = cut_into_runs(cable_paths(wall), lambda run: len(run) <= longest)
    assert sorted(tile.id for run in runs for tile in run) == sorted(tile.id for tile in wall.tiles)
    assert all(neighbours(wall, run) and len(run) <= longest for run in runs)


CIRCUITS = st.lists(st.floats(0.5, 16).map(lambda a: round(a, 2)), min_size=1, max_size=7)


def on_places(circuits: list[float], places: tuple[int, ...]) -> Lines:
    """What is on each of the three places."""
    sums = [0.0, 0.0, 0.0]
    for circuit, place in zip(circuits, places, strict=True):
        sums[place] += circuit
    return sums[0], sums[1], sums[2]


@settings(max_examples=60)
@given(CIRCUITS, st.booleans())
def test_up_to_twelve_circuits_nothing_is_more_even(circuits: list[float], line_to_line: bool) -> None:
    found = balance(circuits, line_to_line=line_to_line)
    best = min(
        max(lines(on_places(circuits, places), line_to_line=line_to_line))
        for places in product(range(3), repeat=len(circuits))
    )
    assert found.exact
    assert max(found.line_a) == pytest.approx(best)


@given(st.lists(st.floats(0.5, 16), min_size=EXACT_UP_TO + 1, max_size=60), st.booleans())
def test_beyond_twelve_the_bound_holds_and_every_circuit_counts(
    circuits: list[float], line_to_line: bool
) -> None:
    found = balance(circuits, line_to_line=line_to_line)
    assert not found.exact
    assert max(found.line_a) >= found.bound_a - 1e-9
    assert len(found.places) == len(circuits)
    if not line_to_line:
        assert sum(found.line_a) == pytest.approx(sum(circuits))
