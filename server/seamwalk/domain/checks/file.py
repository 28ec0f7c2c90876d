"""What a frozen checks file holds, as phones read it; files of older plans lack what is not required.

Tiles and checks are named by their positions in `tiles` and `checks`.
"""

from typing import Literal, NotRequired

from typing_extensions import TypedDict


class FrozenTile(TypedDict):
    """A tile: its lower left cell, its size in cells, and its type's key."""

    id: str
    column: int
    row: int
    w: int
    h: int
    type: str


class FrozenCheck(TypedDict):
    """A check; files that lack `kinds` say at each what holds of its kind."""

    id: str
    kind: str
    expect: str
    tiles: list[str]
    procedure: NotRequired[str]
    structural: NotRequired[bool]


class FrozenKind(TypedDict):
    """What holds of every check of a kind; version 1 knows no more than its procedure and `structural`.

    `duty` is whose word lets a crew go on after a stop, `statement` the sign-off that covers the kind beside
    those over the whole wall, `always` true where it is always its turn. `elsewhere` has reasons of faults
    that are none of this kind, with the kind that they are of.
    """

    procedure: str
    structural: bool
    duty: NotRequired[str]
    statement: NotRequired[str | None]
    always: NotRequired[bool]
    elsewhere: NotRequired[dict[str, str]]


class FrozenOrder(TypedDict):
    """Checks by their positions: those `after` rest on, or wait for, all `before`."""

    before: list[int]
    after: list[int]


class FrozenPlace(TypedDict):
    """A place that a stop takes in, and how many of its checks are of it."""

    place: str
    column: int
    row: int
    count: int


class FrozenStop(TypedDict):
    """Where to stand, and the positions of the checks to answer there.

    `place` names the stop: the place of its checks, or a tile or a row. `places` says whose the checks are,
    one place after the other in their order; where it is left out, all are of `place`.
    """

    place: str
    column: int
    row: int
    checks: list[int]
    places: NotRequired[list[FrozenPlace]]


class FrozenWalk(TypedDict):
    """Stops in the order in which they are walked."""

    key: str
    stops: list[FrozenStop]


class FrozenCircuit(TypedDict):
    """A circuit: the line it is on, None where the supply has one, and its tiles from the feed on."""

    line: str | None
    tiles: list[int]


class FrozenCables(TypedDict):
    """Circuits, data runs from the port on, and for each run the port that backs it up."""

    circuits: list[FrozenCircuit]
    runs: list[list[int]]
    backup_ports: list[int] | None


class FrozenModules(TypedDict):
    """How a tile is divided into modules."""

    columns: int
    rows: int


class FrozenPixels(TypedDict):
    """A tile's pixels."""

    width: int
    height: int


class FrozenTileType(TypedDict):
    """What procedures ask of a tile type; `limits` are the maker's, in the unit that each name ends in.

    `tiles_per_case` is how many come out of a case at load-in.
    """

    features: list[str]
    modules: FrozenModules
    pixels: FrozenPixels
    limits: dict[str, float | None]
    tiles_per_case: NotRequired[int]


class FrozenWindLimit(TypedDict):
    """A gust of the competent person's wind plan, and what is done from there on."""

    gust_m_s: float
    action: str


class ChecksFile(TypedDict):
    """Everything a phone needs of a plan.

    `bends_deg` are the angles between neighbouring columns. `touches` says for each part, and where it sits,
    which checks changing it reopens; `turns` which checks are to be ok before which, `rests` which a fault
    opens again; version 1 has neither. `limits` are what readings of the whole wall are held to, None where
    nobody has said. `warnings` are what the planning named.
    """

    v: Literal[1, 2]
    wall: str
    title: str
    columns: int
    rows: int
    bends_deg: list[float]
    support: str
    tiles: list[FrozenTile]
    checks: list[FrozenCheck]
    kinds: NotRequired[dict[str, FrozenKind]]
    walks: list[FrozenWalk]
    touches: dict[str, dict[str, list[int]]]
    turns: NotRequired[list[FrozenOrder]]
    rests: NotRequired[list[FrozenOrder]]
    cables: NotRequired[FrozenCables]
    types: NotRequired[dict[str, FrozenTileType]]
    limits: NotRequired[dict[str, float | None]]
    wind: NotRequired[list[FrozenWindLimit]]
    warnings: NotRequired[list[str]]
