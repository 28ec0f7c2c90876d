"""What an act at a part touches: the checks that are to be looked at again after it."""

from collections import defaultdict
from dataclasses import dataclass

from seamwalk.domain.checks import Check


@dataclass(frozen=True)
class Touch:
    """The reach of an act: check kinds at the part's own place, and at joints and edges around its tile."""

    own: frozenset[str] = frozenset()
    around: frozenset[str] = frozenset()


_JOINT = frozenset({"edges", "locks", "second_look", "guard", "angle"})

# part -> its reach. A joint's parts are named by the joint's place, a tile's parts by the tile's id.
TOUCHES: dict[str, Touch] = {
    "module": Touch(own=frozenset({"picture"})),
    "electronics_unit": Touch(own=frozenset({"picture"})),
    "tile": Touch(own=frozenset({"condition", "picture", "guard"}), around=_JOINT | {"clamp"}),
    "angle_piece": Touch(own=_JOINT),
    "lock": Touch(own=frozenset({"edges", "locks", "second_look", "guard"})),
}
_TILE_PARTS = ("module", "electronics_unit", "tile")


def touched(checks: tuple[Check, ...]) -> dict[str, dict[str, list[int]]]:
    """For each part and where it sits, the positions in `checks` that changing it reopens."""
    result: dict[str, dict[str, list[int]]] = {part: defaultdict(list) for part in TOUCHES}
    for position, check in enumerate(checks):
        for part, where in _parts_touching(check):
            result[part][where].append(position)
    return {part: dict(wheres) for part, wheres in result.items()}


def _parts_touching(check: Check) -> list[tuple[str, str]]:
    own_tile = check.place.startswith(("tile/", "free/", "corner/"))
    side_joint = check.place.startswith("side/")
    joint = side_joint or check.place.startswith(("stack/", "base/", "hang/"))
    found = []
    for part, touch in TOUCHES.items():
        if part in _TILE_PARTS:
            kinds = touch.own if own_tile else touch.around
            found += [(part, tile) for tile in check.tiles if check.kind in kinds]
        elif check.kind in touch.own and (side_joint if part == "angle_piece" else joint):
            found.append((part, check.place))
    return found
