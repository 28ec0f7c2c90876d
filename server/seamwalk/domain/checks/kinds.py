"""Kinds of checks: what is to be known of one stands in its record, and everything else follows from it."""

from dataclasses import dataclass

# in the order of the day
WALKS = ("load_in", "base", "build", "second_look", "guards", "power", "picture", "strike")
STRIKE = "strike"
# what can be changed in a wall, and where it sits
PARTS = {
    "module": "tile",
    "electronics_unit": "tile",
    "tile": "tile",
    "angle_piece": "side_joint",
    "lock": "joint",
}


@dataclass(frozen=True)
class Kind:
    """What a kind of check is looked at by, and when again.

    `procedure` and `walk` name the two; a check of a free edge goes to the walk `at_free_edge` where there is
    one. `structural`: an exception to it needs the competent person's name. After a change of one of the
    parts in `touched_by` it is to be looked at again.
    """

    procedure: str
    walk: str
    structural: bool = False
    at_free_edge: str | None = None
    touched_by: tuple[str, ...] = ()


_OF_JOINT = ("tile", "angle_piece", "lock")
KINDS: dict[str, Kind] = {
    "condition": Kind("tile_in", "load_in", touched_by=("tile",)),
    "position": Kind("base_bar", "base"),
    "level": Kind("base_bar", "base"),
    "joined": Kind("base_bar", "base", structural=True),
    "hung": Kind("hanging_bar", "base", structural=True),
    "edges": Kind("debris", "build", touched_by=_OF_JOINT),
    "locks": Kind("lock", "build", structural=True, touched_by=_OF_JOINT),
    "guard": Kind("guard", "build", at_free_edge="guards", touched_by=_OF_JOINT),
    "angle": Kind("curve", "build", touched_by=("tile", "angle_piece")),
    "clamp": Kind("clamp", "build", structural=True, touched_by=("tile",)),
    "support": Kind("support", "build", structural=True),
    "ballast": Kind("ballast", "build", structural=True),
    "lift": Kind("lift", "build", structural=True),
    "second_look": Kind("second_look", "second_look", structural=True, touched_by=_OF_JOINT),
    "supply": Kind("supply", "power"),
    "circuit": Kind("power_up", "power"),
    "signal": Kind("signal", "power"),
    "backup": Kind("backup", "power"),
    "heat": Kind("heat", "power"),
    "picture": Kind("picture", "picture", touched_by=("module", "electronics_unit", "tile")),
    "dead": Kind("power_down", STRIKE),
    "unplugged": Kind("unplug", STRIKE),
    "lowered": Kind("lower", STRIKE, structural=True),
    "unclamped": Kind("take_down_rear", STRIKE, structural=True),
    "unsupported": Kind("take_down_rear", STRIKE, structural=True),
    "struck": Kind("take_down", STRIKE),
    "bar_cased": Kind("bars_away", STRIKE),
}
