"""Cases for a show: enough tiles, few batches, what speaks against a case, and the order in the truck."""

from dataclasses import replace
from typing import Any

from hypothesis import assume, given
from hypothesis import strategies as st

from any_walls import built, plans
from helpers import PLAN
from seamwalk.domain.stock.prep import Contents, Tile, case_problems, people_to_lift, prepare, substitute
from seamwalk.domain.wall.plan import parse_plan
from seamwalk.domain.wall.wall import Wall, build_wall

TYPE = PLAN["tile"]["key"]
SIX = build_wall(parse_plan(PLAN | {"columns": 3, "rows": 2}))


def case(number: int, batch: str = "A", tiles: int = 4, tile_type: str = TYPE) -> Contents:
    inside = tuple(Tile(f"T{number}{n}", tile_type, batch) for n in range(tiles))
    return Contents(f"C{number}", inside, frozenset(tile.code for tile in inside))


def test_cases_go_to_columns_and_what_is_built_first_comes_off_first() -> None:
    prep = prepare([("A", SIX)], [case(1), case(2), case(3)])
    assert [(made.case, made.tiles, made.columns) for made in prep.cases] == [
        ("C1", 4, (1, 2)),
        ("C2", 2, (3,)),
    ]
    assert prep.truck_order() == ["C2", "C1"]
    assert prep.short == {}
    assert all(made.troubles == () for made in prep.cases)


def test_what_is_left_in_a_case_serves_the_next_wall() -> None:
    prep = prepare([("A", SIX), ("B", SIX)], [case(1), case(2), case(3)])
    assert [(made.wall, made.case, made.tiles) for made in prep.cases] == [
        ("A", "C1", 4),
        ("A", "C2", 2),
        ("B", "C2", 2),
        ("B", "C3", 4),
    ]
    assert prep.truck_order() == ["C3", "C2", "C1"]


def test_tiles_without_a_case_are_told() -> None:
    assert prepare([("A", SIX)], [case(1)]).short == {("A", TYPE): 2}
    assert prepare([("A", SIX)], [replace(case(1), is_home=False)]).short == {("A", TYPE): 6}


def test_what_speaks_against_a_case_is_said_with_what_it_is_about() -> None:
    whole = case(1)
    first, *rest = whole.tiles
    assert case_problems(whole, "A") == ()
    assert [t.key for t in case_problems(replace(whole, is_home=False))] == ["away"]
    short = case_problems(replace(whole, tiles=tuple(rest)))
    assert [(t.key, t.about) for t in short] == [("incomplete", ("T10",))]
    ill = case_problems(replace(whole, tiles=(replace(first, may_go_out=False), *rest)))
    assert [(t.key, t.about) for t in ill] == [("quarantined", ("T10",))]
    mixed = case_problems(replace(whole, tiles=(replace(first, batch="B"), *rest)))
    assert [(t.key, t.about) for t in mixed] == [("mixed", ("A", "B"))]
    assert [(t.key, t.about) for t in case_problems(whole, "B")] == [("other_batch", ("A", "B"))]


def test_the_best_substitute_is_whole_free_and_of_the_batch() -> None:
    wrong = replace(case(1), is_home=False)
    others = [case(2, "B"), case(3), case(4), case(5, tile_type="other"), replace(case(6), is_home=False)]
    assert substitute(wrong, others, [], "A") == "C3"
    assert substitute(wrong, others, ["C3", "C4"], "A") == "C2"
    assert substitute(wrong, others, ["C2", "C3", "C4"], "A") is None


def test_a_case_that_a_plan_names_is_judged_and_one_that_is_not_here_is_unknown() -> None:
    named = [{"case": name, "tile": TYPE, "tiles": 4, "batch": "A"} for name in ("C1", "elsewhere")]
    wall = build_wall(parse_plan(PLAN | {"columns": 3, "rows": 2, "stock": {"cases": named}}))
    first, second = prepare([("A", wall)], [case(1, "B"), case(2)]).cases
    assert ([t.key for t in first.troubles], first.substitute) == (["other_batch"], "C2")
    assert ([t.key for t in second.troubles], second.substitute) == (["unknown"], None)


def test_a_case_that_one_plan_names_is_no_other_wall_s_and_is_not_given_twice() -> None:
    def named(*cases: str) -> Wall:
        stock = [{"case": name, "tile": TYPE, "tiles": 4, "batch": "A"} for name in cases]
        return build_wall(parse_plan(PLAN | {"columns": 2, "rows": 2, "stock": {"cases": stock}}))

    four = build_wall(parse_plan(PLAN | {"columns": 2, "rows": 2}))
    prep = prepare([("A", four), ("B", named("C1"))], [case(1), case(2)])
    assert [(made.wall, made.case) for made in prep.cases] == [("A", "C2"), ("B", "C1")]
    twice = prepare([("A", named("C1")), ("B", named("C1"))], [case(1), case(2)]).cases
    assert [[(t.key, t.about) for t in made.troubles] for made in twice] == [
        [("given_twice", ("8", "4"))]
    ] * 2
    assert {made.substitute for made in twice} == {"C2"}


@given(plans(), st.lists(st.tuples(st.sampled_from("AB"), st.integers(1, 12)), max_size=8))
def test_no_tile_is_given_twice_and_none_is_forgotten(
    source: dict[str, Any], cases: list[tuple[str, int]]
) -> None:
    wall = built(source)
    assume(wall is not None)
    assert wall
    types = sorted({tile.type.key for tile in wall.tiles})
    stock = [case(n, batch, count, types[n % len(types)]) for n, (batch, count) in enumerate(cases)]
    prep = prepare([("A", wall), ("B", wall)], stock)
    assert sum(made.tiles for made in prep.cases) + sum(prep.short.values()) == 2 * len(wall.tiles)
    for there in stock:
        assert sum(made.tiles for made in prep.cases if made.case == there.code) <= len(there.tiles)
    assert [made.first for made in prep.cases] == list(range(len(prep.cases)))
    assert sorted(prep.truck_order()) == sorted({made.case for made in prep.cases})


def test_so_many_people_that_none_lifts_more_than_the_limit() -> None:
    assert [people_to_lift(mass, 25) for mass in (24.9, 25, 25.1, 75, 76)] == [1, 1, 2, 3, 4]
