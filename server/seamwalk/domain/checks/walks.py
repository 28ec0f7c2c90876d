"""Checks in walking order: every check is in exactly one walk, at exactly one stop."""

from collections import defaultdict
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from seamwalk.domain.checks.build_order import BuildAct, build_acts, strike_acts
from seamwalk.domain.checks.checks import Check
from seamwalk.domain.checks.kinds import WALKS
from seamwalk.domain.wall.wall import Joint, Wall

_JOINT_ORDER = {"base": 0, "hang": 0, "stack": 1, "side": 2}


@dataclass(frozen=True)
class Stop:
    """One place to stand at, with everything to look at there."""

    place: str
    column: int
    row: int
    checks: tuple[Check, ...]


@dataclass(frozen=True)
class Walk:
    """Stops in the order in which they are walked."""

    key: str
    stops: tuple[Stop, ...]


def plan_walks(wall: Wall, checks: tuple[Check, ...]) -> tuple[Walk, ...]:
    """Order checks into walks; walks without a stop are left out.

    Places that a walk's order does not know are walked last, in the order of the checks.
    """
    by_walk: dict[str, dict[str, list[Check]]] = defaultdict(lambda: defaultdict(list))
    for check in checks:
        by_walk[check.walk][check.place].append(check)
    acts = build_acts(wall)
    tiles = [f"tile/{act.place}" for act in acts if act.act == "tile"]
    build = _build_places(wall, acts)
    order = {
        "load_in": tiles,
        "build": build,
        "second_look": build,
        "guards": list(_around(by_walk["guards"])),
        "picture": tiles,
        "strike": ["feed/all", *map(_place, strike_acts(acts)), *(f"bar/{bar.id}" for bar in wall.bars)],
    }
    walks = []
    for key in WALKS:
        places = by_walk[key]
        ordered = dict.fromkeys(place for place in (*order.get(key, ()), *places) if place in places)
        stops = tuple(_stop(place, places[place]) for place in ordered)
        if stops:
            walks.append(Walk(key, stops))
    return tuple(walks)


def _stop(place: str, checks: list[Check]) -> Stop:
    return Stop(place, checks[0].column, checks[0].row, tuple(checks))


def _place(act: BuildAct) -> str:
    return f"{act.act}/{act.place}"


def _build_places(wall: Wall, acts: list[BuildAct]) -> list[str]:
    """A tile's joints when it goes on, to what hangs or stands by then; supports, clamps, lifts between."""
    at = {act.place: number for number, act in enumerate(acts) if act.act == "tile"}
    joints: dict[int, list[Joint]] = defaultdict(list)
    for joint in wall.joints:
        joints[max(at[tile] for tile in joint.tiles)].append(joint)
    places: list[str] = []
    for number, act in enumerate(acts):
        if act.act == "tile":
            places += [joint.place for joint in sorted(joints[number], key=_in_order)]
        else:
            places.append(_place(act))
    return places


def _in_order(joint: Joint) -> tuple[int, int, int]:
    return _JOINT_ORDER[joint.kind], joint.row, joint.column


def _around(places: Mapping[str, list[Check]]) -> Iterator[str]:
    """Walk free edges up the left side, along the top, down the right and back along the bottom."""
    sides = ("left", "top", "right", "bottom")

    def position(place: str) -> tuple[int, int, int]:
        side = next((s for s in sides if f"/{s}" in place), "left")
        check = places[place][0]
        return {
            "left": (0, check.row, check.column),
            "top": (1, check.column, check.row),
            "right": (2, -check.row, check.column),
            "bottom": (3, -check.column, check.row),
        }[side]

    yield from sorted(places, key=position)
