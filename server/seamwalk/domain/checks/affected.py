"""What an act at a part touches: the checks that are to be looked at again after it."""

from collections import defaultdict

from seamwalk.domain.checks.checks import Check
from seamwalk.domain.checks.kinds import KINDS, PARTS

_JOINTS = ("side/", "stack/", "base/", "hang/")


def affected_checks(checks: tuple[Check, ...]) -> dict[str, dict[str, list[int]]]:
    """For each part and where it sits, the positions in `checks` that changing it reopens.

    A part of a tile is named by the tile's id, one of a joint by the joint's place.
    """
    result: dict[str, dict[str, list[int]]] = {part: defaultdict(list) for part in PARTS}
    for position, check in enumerate(checks):
        for part in KINDS[check.kind].touched_by:
            for where in _places_of(part, check):
                result[part][where].append(position)
    return {part: dict(wheres) for part, wheres in result.items()}


def _places_of(part: str, check: Check) -> tuple[str, ...]:
    """Where a part sits that has to do with a check."""
    if PARTS[part] == "tile":
        return check.tiles
    joints = _JOINTS[:1] if PARTS[part] == "side_joint" else _JOINTS
    return (check.place,) if check.place.startswith(joints) else ()
