"""What an act at a part touches: the checks that are to be looked at again after it."""

from collections import defaultdict
from collections.abc import Collection, Mapping

from seamwalk.domain.checks.checks import Check
from seamwalk.domain.checks.kinds import KINDS, PARTS

_PLACES = {
    "side_joint": ("side/",),
    "joint": ("side/", "stack/", "base/", "hang/"),
}


def affected_checks(checks: tuple[Check, ...]) -> dict[str, dict[str, list[int]]]:
    """For each part and where it sits, the positions in `checks` that changing it reopens.

    A part of a tile is named by the tile's id, another by the place of its joint, circuit or support.
    """
    circuits = {tile: check.place for check in checks if check.kind == "circuit" for tile in check.tiles}
    result: dict[str, dict[str, list[int]]] = {part: defaultdict(list) for part in PARTS}
    for position, check in enumerate(checks):
        for part in KINDS[check.kind].touched_by:
            for where in _places_of(part, check, circuits):
                result[part][where].append(position)
    return {part: dict(wheres) for part, wheres in result.items()}


def _places_of(part: str, check: Check, circuits: Mapping[str, str]) -> Collection[str]:
    """Where a part sits that has to do with a check; `circuits` are those that feed each tile."""
    match PARTS[part]:
        case "tile":
            return check.tiles
        case "circuit":
            return {circuits[tile] for tile in check.tiles if tile in circuits}
        case "support":
            return (f"support/{check.column}",)
        case kind:
            return (check.place,) if check.place.startswith(_PLACES[kind]) else ()
