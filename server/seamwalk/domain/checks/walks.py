"""Checks in walking order: every check is in exactly one walk, at exactly one stop."""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby

from seamwalk.domain.checks.build_order import BuildAct, build_acts, build_rows, row_of, strike_acts
from seamwalk.domain.checks.checks import Check
from seamwalk.domain.checks.kinds import WALKS
from seamwalk.domain.wall.grid import PlacedTile
from seamwalk.domain.wall.wall import Joint, Wall

_JOINT_ORDER = {"base": 0, "hang": 0, "stack": 1, "side": 2}
# how much of a row is looked at before somebody says so: a few steps along it; common practice, no source
RUN_TILES = 10


@dataclass(frozen=True)
class Stop:
    """What one look takes in, with everything to look at there.

    `place` names it, the place of its checks or a tile or a row whose joints they are; `column` and `row` say
    where to stand. Checks of one place lie beside each other.
    """

    place: str
    column: int
    row: int
    checks: tuple[Check, ...]

    def places(self) -> list[tuple[Check, ...]]:
        """The checks place by place, none of them empty."""
        return [tuple(here) for _, here in groupby(self.checks, key=lambda check: check.place)]


@dataclass(frozen=True)
class Walk:
    """Stops in the order in which they are walked."""

    key: str
    stops: tuple[Stop, ...]


@dataclass(frozen=True)
class _Look:
    """A stop before it is known what there is to look at: its name and the places that it takes in."""

    place: str
    column: int
    row: int
    places: tuple[str, ...]


def plan_walks(wall: Wall, checks: tuple[Check, ...]) -> tuple[Walk, ...]:
    """Order checks into walks; walks without a stop are left out.

    A first look is one stop for each tile as it goes on, with the joints that it closes, a second look one
    for each finished row, or run of one. Places that a walk's order does not know are walked last, each by
    itself, in the order of the checks.
    """
    by_walk: dict[str, dict[str, list[Check]]] = defaultdict(lambda: defaultdict(list))
    for check in checks:
        by_walk[check.walk][check.place].append(check)
    acts = build_acts(wall)
    closed = _closed_joints(wall, acts)
    tiles = [f"tile/{act.place}" for act in acts if act.act == "tile"]
    strike = ["feed/all", *map(_place, strike_acts(acts)), *(f"bar/{bar.id}" for bar in wall.bars)]
    order: dict[str, list[_Look]] = {
        "load_in": _alone(tiles, by_walk["load_in"]),
        "build": [_build_look(act, closed) for act in acts],
        "second_look": list(_row_looks(wall, closed)),
        "guards": _alone(_around(by_walk["guards"]), by_walk["guards"]),
        "picture": _alone(tiles, by_walk["picture"]),
        "strike": _alone(strike, by_walk["strike"]),
    }
    walks = []
    for key in WALKS:
        stops = tuple(_stops(order.get(key, []), by_walk[key]))
        if stops:
            walks.append(Walk(key, stops))
    return tuple(walks)


def _stops(looks: Sequence[_Look], places: Mapping[str, list[Check]]) -> Iterator[Stop]:
    known = {place for look in looks for place in look.places}
    for look in (*looks, *_alone((place for place in places if place not in known), places)):
        checks = tuple(check for place in look.places for check in places.get(place, ()))
        if checks:
            yield Stop(look.place, look.column, look.row, checks)


def _alone(order: Iterable[str], places: Mapping[str, list[Check]]) -> list[_Look]:
    """Each place is a look of its own; one without a check is passed over."""
    return [
        _Look(place, places[place][0].column, places[place][0].row, (place,))
        for place in order
        if place in places
    ]


def _place(act: BuildAct) -> str:
    return f"{act.act}/{act.place}"


def _build_look(act: BuildAct, closed: Mapping[str, list[Joint]]) -> _Look:
    """A tile with its joints to what hangs or stands by then; a support, a clamp, a lift by itself."""
    places = tuple(joint.place for joint in closed[act.place]) if act.act == "tile" else (_place(act),)
    return _Look(_place(act), act.column, act.row, places)


def _closed_joints(wall: Wall, acts: Sequence[BuildAct]) -> dict[str, list[Joint]]:
    """Which joints each tile closes when it goes on."""
    at = {act.place: number for number, act in enumerate(acts) if act.act == "tile"}
    closed: dict[str, list[Joint]] = {tile: [] for tile in at}
    for joint in sorted(wall.joints, key=_in_order):
        closed[max(joint.tiles, key=at.__getitem__)].append(joint)
    return closed


def _row_looks(wall: Wall, closed: Mapping[str, list[Joint]]) -> Iterator[_Look]:
    """The joints of each row as it was built, a long row in runs of about the same length."""
    for row in build_rows(wall):
        for run in _runs(row):
            places = tuple(joint.place for tile in run for joint in closed[tile.id])
            first, last = min(tile.column for tile in run), max(tile.column + tile.w - 1 for tile in run)
            number = row_of(wall, row[0])
            yield _Look(f"row/{number}/{first}-{last}", run[0].column, number, places)


def _runs(row: list[PlacedTile]) -> Iterator[list[PlacedTile]]:
    count = -(-len(row) // RUN_TILES)
    for number in range(count):
        yield row[len(row) * number // count : len(row) * (number + 1) // count]


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
