"""What is said of a kind of check, of a walk and of a part is enough: nothing of them can be forgotten."""

from collections import Counter
from typing import Any

from hypothesis import given

from any_walls import built, plans
from helpers import PLAN, SUPPLY, TILE
from seamwalk.domain.checks.affected import affected_checks
from seamwalk.domain.checks.kinds import KINDS, PARTS, WALKS
from seamwalk.domain.checks.walks import plan_walks
from seamwalk.domain.frozen import plan_checks
from seamwalk.domain.wall.plan import parse_plan
from seamwalk.domain.wall.wall import Wall, build_wall
from seamwalk.texts import catalogue

SIGNAL = {"bits": 8, "fps": 60, "port_mbps": 1000, "efficiency": 0.95, "loop": True}


def whole_walls() -> list[Wall]:
    """Walls that have every kind of check between them."""
    more: dict[str, Any] = {"supply": SUPPLY, "signal": SIGNAL, "bends_deg": [5, 0], "reference": "invented"}
    more |= {
        "clamp_rows": [2],
        "support_columns": [1],
        "hardware": {"ballast_kg": 40, "reference": "invented"},
    }
    tiles = ({"guards": "edge", "blocks_side": 1}, {"guards": "corner"})
    return [
        build_wall(parse_plan(PLAN | more | {"support": support, "tile": TILE | tile}))
        for support in ("stacked", "flown")
        for tile in tiles
    ]


def test_every_kind_is_made_and_has_a_walk_of_the_day() -> None:
    made = {check.kind for wall in whole_walls() for check in plan_checks(wall)}
    assert made == set(KINDS)
    walks = {kind.walk for kind in KINDS.values()} | {kind.at_free_edge for kind in KINDS.values()}
    assert walks - {None} == set(WALKS)


def test_every_check_is_at_one_stop_of_one_walk() -> None:
    for wall in whole_walls():
        checks_are_walked_once(wall)


@given(plans())
def test_every_check_of_any_wall_is_at_one_stop_of_one_walk(source: dict[str, Any]) -> None:
    wall = built(source)
    if wall is not None:
        checks_are_walked_once(wall)


def checks_are_walked_once(wall: Wall) -> None:
    checks = plan_checks(wall)
    walked = [check for walk in plan_walks(wall, checks) for stop in walk.stops for check in stop.checks]
    assert Counter(walked) == Counter(checks)
    assert max(Counter(walked).values()) == 1


def test_every_part_that_can_be_changed_touches_a_check() -> None:
    assert {part for kind in KINDS.values() for part in kind.touched_by} == set(PARTS)
    for part in PARTS:
        assert any(affected_checks(plan_checks(wall))[part] for wall in whole_walls()), part


def test_every_part_that_can_be_changed_has_a_word() -> None:
    assert [part for part in PARTS if f"kinds.{part}" not in catalogue("office")] == []


def test_a_changed_link_or_outlet_opens_all_that_it_feeds() -> None:
    wall = build_wall(parse_plan(PLAN | {"supply": SUPPLY, "signal": SIGNAL, "reference": "invented"}))
    checks = plan_checks(wall)
    touched = affected_checks(checks)

    def kinds(part: str, where: str) -> set[str]:
        return {checks[at].kind for at in touched[part][where]}

    fed = {"circuit", "signal", "backup", "picture"}
    tile = wall.tiles[0].id
    circuit = next(check for check in checks if check.kind == "circuit" and tile in check.tiles)
    assert kinds("power_link", tile) == kinds("outlet", circuit.place) == fed
    assert kinds("data_link", tile) == fed - {"circuit"}
    pictures = [
        checks[at].tiles[0] for at in touched["outlet"][circuit.place] if checks[at].kind == "picture"
    ]
    assert sorted(pictures) == sorted(circuit.tiles)


def test_every_kind_and_walk_has_its_words() -> None:
    texts = catalogue("office")
    assert [kind for kind in KINDS if f"checks.{kind}" not in texts] == []
    assert [walk for walk in WALKS if f"walks.{walk}" not in texts] == []
