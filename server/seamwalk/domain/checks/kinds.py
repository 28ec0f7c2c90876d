"""Kinds of checks: what is to be known of one stands in its record, and everything else follows from it."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

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
    "power_link": "tile",
    "outlet": "circuit",
    "data_link": "tile",
    "ballast": "support",
}

# Which checks of another kind have to do with a check: those at its own place, of a tile of it, of its
# column, of the bar that it is joined to, of the whole wall; for what is built, those of what was built
# before it and is needed for it; for a lift, those of all that it takes out of reach.
Where = Literal["place", "tiles", "column", "bar", "wall", "built", "lifted"]
Duty = Literal["structure", "mains", "site"]


@dataclass(frozen=True)
class Other:
    """Checks of another kind, and where they are seen from a check."""

    kind: str
    where: Where


@dataclass(frozen=True)
class Kind:
    """What a kind of check is looked at by, when, and when again.

    `procedure` and `walk` name the two; a check of a free edge goes to the walk `at_free_edge` where there is
    one. `structural`: an exception to it needs the competent person's name. `mains`: the electrician answers
    for it. After a change of one of the parts in `touched_by` it is to be looked at again, and so it is after
    a fault at a check that it `rests_on`. `after` are the checks that are to be ok before its turn comes;
    `always`: making safe, whose turn it always is. `statement` is the sign-off that covers it, beside those
    over the whole wall. A fault of a reason in `elsewhere` is none of this check: it is one of that kind, of
    the tiles that whoever found it names.
    """

    procedure: str
    walk: str
    structural: bool = False
    mains: bool = False
    at_free_edge: str | None = None
    touched_by: tuple[str, ...] = ()
    rests_on: tuple[Other, ...] = ()
    after: tuple[Other, ...] = ()
    always: bool = False
    statement: Literal["suspension", "supply", "picture"] | None = None
    elsewhere: Mapping[str, str] = field(default_factory=dict)

    @property
    def duty(self) -> Duty:
        """Whose word lets a crew go on after a stop here."""
        return "structure" if self.structural else "mains" if self.mains else "site"


_OF_JOINT = ("tile", "angle_piece", "lock")
_OF_SUPPLY = ("tile", "electronics_unit", "power_link", "outlet")
# what loses its power or its data starts anew: what it shows, and how it is fed, is looked at again
_OF_SIGNAL = (*_OF_SUPPLY, "data_link")
_WHAT_HOLDS = (Other("support", "built"), Other("ballast", "built"))
_BAR = tuple(Other(kind, "bar") for kind in ("position", "level", "joined", "hung"))
# where there is current, a tile that stays dark is a fault of its picture and none of the supply
_OF_PICTURE = {"dark_tile": "picture"}
_DEAD = (Other("dead", "wall"), Other("unplugged", "wall"))

KINDS: dict[str, Kind] = {
    "condition": Kind("tile_in", "load_in", touched_by=("tile",)),
    "position": Kind("base_bar", "base"),
    "level": Kind("base_bar", "base", statement="suspension"),
    "joined": Kind("base_bar", "base", structural=True, statement="suspension"),
    "hung": Kind("hanging_bar", "base", structural=True, statement="suspension"),
    "edges": Kind("debris", "build", touched_by=_OF_JOINT, after=_WHAT_HOLDS),
    "locks": Kind(
        "lock",
        "build",
        structural=True,
        touched_by=_OF_JOINT,
        rests_on=(Other("edges", "place"),),
        after=(*_BAR, *_WHAT_HOLDS),
        statement="suspension",
    ),
    "guard": Kind(
        "guard", "build", at_free_edge="guards", touched_by=_OF_JOINT, rests_on=(Other("locks", "place"),)
    ),
    "angle": Kind("curve", "build", touched_by=("tile", "angle_piece"), statement="suspension"),
    "clamp": Kind(
        "clamp",
        "build",
        structural=True,
        touched_by=("tile", "ballast"),
        rests_on=(Other("support", "column"),),
        statement="suspension",
    ),
    "support": Kind(
        "support",
        "build",
        structural=True,
        touched_by=("ballast",),
        rests_on=(Other("ballast", "place"),),
        statement="suspension",
    ),
    "ballast": Kind("ballast", "build", structural=True, touched_by=("ballast",), statement="suspension"),
    "lift": Kind(
        "lift",
        "build",
        structural=True,
        after=tuple(Other(kind, "lifted") for kind in ("locks", "second_look", "clamp", "lift")),
        statement="suspension",
    ),
    "second_look": Kind(
        "second_look",
        "second_look",
        structural=True,
        touched_by=_OF_JOINT,
        rests_on=(Other("locks", "place"),),
        after=(Other("locks", "place"),),
        statement="suspension",
    ),
    "supply": Kind("supply", "power", mains=True, statement="supply"),
    "circuit": Kind(
        "power_up",
        "power",
        mains=True,
        touched_by=_OF_SUPPLY,
        rests_on=(Other("supply", "wall"),),
        after=(Other("supply", "wall"), Other("locks", "tiles")),
        statement="supply",
        elsewhere=_OF_PICTURE,
    ),
    "signal": Kind(
        "signal", "power", touched_by=_OF_SIGNAL, after=(Other("circuit", "tiles"),), statement="picture"
    ),
    "backup": Kind(
        "backup", "power", touched_by=_OF_SIGNAL, after=(Other("signal", "place"),), statement="picture"
    ),
    "heat": Kind(
        "heat",
        "power",
        mains=True,
        after=(Other("circuit", "tiles"),),
        statement="supply",
        elsewhere=_OF_PICTURE,
    ),
    "picture": Kind(
        "picture",
        "picture",
        touched_by=("module", *_OF_SIGNAL),
        after=(Other("guard", "tiles"), Other("circuit", "tiles"), Other("signal", "tiles")),
        statement="picture",
    ),
    "dead": Kind("power_down", STRIKE, mains=True, always=True),
    "unplugged": Kind("unplug", STRIKE, always=True, after=(Other("dead", "wall"),)),
    "lowered": Kind("lower", STRIKE, structural=True, always=True),
    "unclamped": Kind("take_down_rear", STRIKE, structural=True, after=_DEAD),
    "unsupported": Kind("take_down_rear", STRIKE, structural=True, after=_DEAD),
    "struck": Kind("take_down", STRIKE, after=_DEAD),
    "bar_cased": Kind("bars_away", STRIKE),
}
