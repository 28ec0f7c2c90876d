"""Checks in walking order: every check is in exactly one walk, at exactly one stop."""

from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from heapq import heapify, heappop, heappush

from seamwalk.domain.checks import Check
from seamwalk.domain.grid import PlacedTile
from seamwalk.domain.wall import Joint, Wall

WALK_KEYS = ("load_in", "base", "build", "guards", "rear", "picture")
_WALK_OF_KIND = {
    "condition": "load_in",
    "level": "base",
    "clamp": "rear",
    "support": "rear",
    "picture": "picture",
}


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
    """Order checks into walks; walks without a stop are left out."""
    by_walk: dict[str, dict[str, list[Check]]] = defaultdict(lambda: defaultdict(list))
    for check in checks:
        by_walk[_walk_of(check)][check.place].append(check)
    order = {"build": _build_places(wall), "guards": _around(by_walk["guards"])}
    walks = []
    for key in WALK_KEYS:
        places = by_walk[key]
        ordered = [place for place in order[key] if place in places] if key in order else list(places)
        stops = tuple(_stop(place, places[place]) for place in ordered)
        if stops:
            walks.append(Walk(key, stops))
    return tuple(walks)


def _walk_of(check: Check) -> str:
    if check.kind in _WALK_OF_KIND:
        return _WALK_OF_KIND[check.kind]
    return "guards" if check.place.startswith(("free/", "corner/")) else "build"


def _stop(place: str, checks: list[Check]) -> Stop:
    return Stop(place, checks[0].column, checks[0].row, tuple(checks))


def build_order(wall: Wall) -> list[PlacedTile]:
    """The order in which tiles go on: nothing is asked for that nothing carries yet.

    Stacked and floor walls grow column by column upwards, flown walls row by row downwards. A tile that no
    other tile carries waits for a neighbour; where its carriers themselves wait for it, it goes on first.
    """
    flown = wall.plan.support == "flown"
    key = _flown_key if flown else _stacked_key
    carriers, neighbours = _carriers(wall.joints, flown=flown)
    tiles = wall.by_id()
    on_bar = {joint.second for joint in wall.joints if joint.kind in ("base", "hang")}
    placed: dict[str, PlacedTile] = {}
    ready = [(_missing(carriers[tile], placed), key(tiles[tile]), tile) for tile in sorted(on_bar)]
    heapify(ready)
    while ready:
        missing, order, tile_id = heappop(ready)
        if tile_id in placed:
            continue
        now_missing = _missing(carriers[tile_id], placed)
        if now_missing < missing:
            heappush(ready, (now_missing, order, tile_id))
            continue
        placed[tile_id] = tiles[tile_id]
        for other in neighbours[tile_id]:
            if other not in placed:
                heappush(ready, (_missing(carriers[other], placed), key(tiles[other]), other))
    return list(placed.values())


def _missing(carriers: list[str], placed: dict[str, PlacedTile]) -> int:
    return sum(carrier not in placed for carrier in carriers)


def _stacked_key(tile: PlacedTile) -> tuple[int, int]:
    return tile.column, tile.row


def _flown_key(tile: PlacedTile) -> tuple[int, int]:
    return -(tile.row + tile.h), tile.column


def _carriers(joints: tuple[Joint, ...], *, flown: bool) -> tuple[dict[str, list[str]], dict[str, list[str]]]:
    """Which tiles carry a tile (below it, or above when flown), and which are joined to it."""
    carriers: dict[str, list[str]] = defaultdict(list)
    neighbours: dict[str, list[str]] = defaultdict(list)
    for joint in joints:
        if joint.kind == "stack":
            carried, carrier = (joint.first, joint.second) if flown else (joint.second, joint.first)
            carriers[carried].append(carrier)
        if joint.kind in ("stack", "side"):
            neighbours[joint.first].append(joint.second)
            neighbours[joint.second].append(joint.first)
    return carriers, neighbours


def _build_places(wall: Wall) -> list[str]:
    at = {tile.id: number for number, tile in enumerate(build_order(wall))}
    latest: Callable[[Joint], int] = lambda joint: max(at[tile] for tile in joint.tiles)  # noqa: E731
    kinds = {"base": 0, "hang": 0, "stack": 1, "side": 2}
    ordered = sorted(
        wall.joints, key=lambda joint: (latest(joint), kinds[joint.kind], joint.row, joint.column)
    )
    return [joint.place for joint in ordered]


def _around(places: dict[str, list[Check]]) -> Iterator[str]:
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
