"""Parts of a thing that somebody looks at, and which of them a look or a check would have shown.

A part is `group` or `group:which`: `corner:top_left`, `face:2.1` (a module's column and row). Sides are the
audience's: `left` is the audience's left, also when the rear is looked at.
"""

from collections.abc import Iterable, Iterator

CORNERS = ("top_left", "top_right", "bottom_left", "bottom_right")
TILE_GROUPS = ("corner", "edge", "face", "connector", "lock")
# what is seen of a tile from one side: common practice, no source
SIDES = {"front": ("corner", "edge", "face"), "rear": ("corner", "edge", "connector", "lock")}
PARTS_OF_KIND = {
    "case": ("lid", "body", "latch", "handle", "wheel", "foam"),
    "module": ("face", "connector", "edge"),
    "electronics_unit": ("body", "connector"),
    "part": ("body",),
    "place": ("body",),
}
# reasons of faults in the procedures, and the group of parts that is damaged then
DAMAGE_OF_REASON = {
    "corner_broken": "corner",
    "edge_damaged": "edge",
    "led_damaged": "face",
    "module_loose": "face",
    "dark_module": "face",
    "connector_damaged": "connector",
    "lock_stuck": "lock",
    "lock_stiff": "lock",
    "lock_damaged": "lock",
}
# what a check's procedure asks to look at on each tile; a joint's facing edge comes to it (`_FACING`)
_OF_TILE = {
    "condition": TILE_GROUPS,
    "picture": ("face",),
    "struck": ("corner", "edge", "face", "connector"),
}
_OF_JOINT = {"edges": ("edge", "corner"), "locks": ("lock",), "second_look": ("lock",)}
_FACING = {"side": ("right", "left"), "stack": ("top", "bottom")}


def group_of(part: str) -> str:
    """The group that a part belongs to; a group's own is itself."""
    return part.partition(":")[0]


def covers_part(covers: Iterable[str], part: str) -> bool:
    """Whether a look at `covers` would have shown damage of a part."""
    return not {part, group_of(part)}.isdisjoint(covers)


def covered_by_check(check_id: str, tile: str) -> frozenset[str]:
    """The parts of a tile that a check's procedure asks to look at; empty where it asks for none.

    `check_id` as `A/side/3.2/4.2/locks:2`; raises nothing: a check of another tile covers no part.
    """
    _, where, *rest = check_id.split("/")
    tiles, kind = rest[:-1], rest[-1].partition(":")[0]
    if where == "tile" and tiles == [tile]:
        return frozenset(_OF_TILE.get(kind, ()))
    if where in _FACING and tile in tiles:
        return frozenset(_facing(_OF_JOINT.get(kind, ()), _FACING[where][tiles.index(tile)]))
    return frozenset()


def _facing(groups: Iterable[str], edge: str) -> Iterator[str]:
    for group in groups:
        if group == "corner":
            yield from (f"corner:{corner}" for corner in CORNERS if edge in corner.split("_"))
        else:
            yield f"{group}:{edge}"
