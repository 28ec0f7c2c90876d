"""What is to be ok before a check's turn comes, and what a fault opens again: any wall, and examples."""

from collections import defaultdict
from graphlib import TopologicalSorter
from typing import Any

from hypothesis import given

from any_walls import built, plans
from domain.test_kinds import whole_walls
from seamwalk.domain.checks.checks import Check
from seamwalk.domain.checks.file import FrozenOrder
from seamwalk.domain.checks.kinds import KINDS, STRIKE
from seamwalk.domain.checks.order import resting, turns
from seamwalk.domain.frozen import plan_checks
from seamwalk.domain.wall.wall import Wall

STANDING, _, HANGING, _ = whole_walls()


def name(check: Check) -> str:
    return f"{check.place}/{check.kind}"


def before(wall: Wall) -> dict[str, set[str]]:
    """For each check that waits for others: which."""
    return _spelt(wall, turns(wall, plan_checks(wall)))


def opened(wall: Wall) -> dict[str, set[str]]:
    """For each check: what a fault there opens again."""
    checks = plan_checks(wall)
    found: dict[str, set[str]] = defaultdict(set)
    for group in resting(wall, checks):
        for at in group["before"]:
            found[name(checks[at])] |= {name(checks[then]) for then in group["after"]}
    return found


def _spelt(wall: Wall, groups: list[FrozenOrder]) -> dict[str, set[str]]:
    checks = plan_checks(wall)
    found: dict[str, set[str]] = defaultdict(set)
    for group in groups:
        for at in group["after"]:
            found[name(checks[at])] |= {name(checks[first]) for first in group["before"]}
    return found


def test_a_second_look_waits_for_the_first() -> None:
    assert before(STANDING)["side/1.1/2.1/second_look"] == {"side/1.1/2.1/locks"}


def test_a_circuit_waits_for_the_locks_of_its_own_tiles_and_for_the_supply() -> None:
    waits = before(STANDING)["circuit/C1/circuit"]
    assert {"feed/all/supply", "side/1.1/2.1/locks", "base/b1/1.1/locks"} <= waits
    assert {check.rpartition("/")[2] for check in waits} == {"supply", "locks"}


def test_a_picture_waits_for_the_guards_of_its_tile_and_for_power_and_signal() -> None:
    waits = before(STANDING)["tile/1.1/picture"]
    assert {"circuit/C1/circuit", "run/P1/signal", "free/1.1/left/guard"} <= waits
    assert not any("3." in check for check in waits)


def test_a_row_waits_for_the_supports_and_the_ballast_that_it_needs() -> None:
    waits = before(STANDING)
    held = {"support/1/support", "support/1/ballast"}
    assert held <= waits["stack/1.1/1.2/locks"]
    assert held <= waits["side/1.2/2.2/edges"]
    assert not held & waits["side/1.1/2.1/locks"]


def test_a_lift_waits_for_all_that_leaves_reach_and_for_the_lift_before() -> None:
    waits = before(HANGING)
    assert {"hang/h1/1.2/locks", "side/1.2/2.2/second_look", "clamp/1.2/clamp"} <= waits["lift/1/lift"]
    assert {"lift/1/lift", "stack/1.1/1.2/locks", "side/1.1/2.1/second_look"} <= waits["lift/2/lift"]
    assert "hang/h1/1.2/locks" not in waits["lift/2/lift"]


def test_what_comes_down_waits_for_the_proof_that_it_is_dead() -> None:
    assert before(STANDING)["tile/1.2/struck"] == {"feed/all/dead", "feed/all/unplugged"}


def test_making_safe_waits_for_nothing_of_the_build() -> None:
    for wall in whole_walls():
        for check, waits in before(wall).items():
            kind = KINDS[check.rpartition("/")[2]]
            if kind.always:
                assert all(KINDS[other.rpartition("/")[2]].walk == STRIKE for other in waits)


def test_a_fault_opens_again_what_rests_on_its_check() -> None:
    opens = opened(STANDING)
    joint = "side/1.1/2.1"
    assert opens[f"{joint}/locks"] == {f"{joint}/second_look", f"{joint}/guard"}
    assert opens[f"{joint}/edges"] == {f"{joint}/locks", f"{joint}/second_look", f"{joint}/guard"}
    assert opens["support/1/ballast"] == {"support/1/support", "clamp/1.2/clamp"}
    assert opens["feed/all/supply"] == {"circuit/C1/circuit"}
    assert not opens["tile/1.1/condition"]


@given(plans())
def test_no_check_waits_for_itself_through_others(source: dict[str, Any]) -> None:
    wall = built(source)
    if wall is not None:
        TopologicalSorter(before(wall)).prepare()


@given(plans())
def test_of_any_wall_every_second_look_waits_and_is_opened_again(source: dict[str, Any]) -> None:
    wall = built(source)
    if wall is not None:
        waits, opens = before(wall), opened(wall)
        for check in plan_checks(wall):
            if check.kind == "second_look":
                assert waits[name(check)] == {f"{check.place}/locks"}
                assert name(check) in opens[f"{check.place}/locks"]
