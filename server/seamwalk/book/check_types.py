"""What entries say of a wall's checks and of what was done at it; joined with all others in `types.py`."""

from typing import Annotated, Literal

from pydantic import Field, model_validator

from seamwalk.book.fields import (
    MOMENT,
    NO_OTHER_NAMES,
    NUMBER,
    UNIQUE,
    Body,
    CheckId,
    Code,
    Hash,
    Key,
    TileId,
    WallKey,
    absent,
    only_when,
    present,
    published,
)
from seamwalk.book.roles import Duty

_FOUND_RULES = (
    only_when("result", ["fault"], present("weight"), absent("weight")),
    only_when("result", ["ok"], {}, absent("answers")),
)


class Found(Body):
    """What somebody saw at one or more checks."""

    plan: Hash
    checks: Annotated[list[CheckId], Field(min_length=1, max_length=5000), UNIQUE]
    result: Literal["ok", "fault", "not_reached"]
    answers: Annotated[list[Hash], Field(max_length=500, default_factory=list)]
    weight: Literal["stop", "show", "cosmetic"] | None = None
    reason: Key | None = None
    note_blob: Hash | None = None
    photo_blobs: Annotated[list[Hash], Field(max_length=20, default_factory=list)]

    model_config = published(*_FOUND_RULES)

    @model_validator(mode="after")
    def _fits_together(self) -> "Found":
        if (self.weight is not None) != (self.result == "fault"):
            raise ValueError("weight: a fault has one, nothing else does")
        if self.answers and self.result != "ok":
            raise ValueError("answers: only an ok answers")
        if len(set(self.checks)) != len(self.checks):
            raise ValueError("checks: one is named twice")
        return self


Chosen = Annotated[str, Field(pattern=r"^[a-z0-9_]{1,40}:[a-z0-9_]{1,40}$")]


class Reading(Body):
    """What a step asked somebody to read off, in that step's unit."""

    name: Key
    unit: Key
    value: Annotated[float, Field(ge=-1e6, le=1e6), *NUMBER]


class Paper(Body):
    """It was written on paper first: by whom, and when the paper says."""

    by_blob: Hash
    at: Annotated[str, Field(pattern=r"^\d{4}-\d{2}-\d{2}T\d{2}:\d{2}(:\d{2}(\.\d{3})?)?Z$"), *MOMENT]


class Told(Body):
    """What stands behind an act: the edition of the procedures in use, what was read off, photos, a paper."""

    edition: Hash | None = None
    readings: Annotated[list[Reading], Field(max_length=50, default_factory=list)]
    photo_blobs: Annotated[list[Hash], Field(max_length=20, default_factory=list)]
    note_blob: Hash | None = None
    paper: Paper | None = None


class Found2(Told, Found):
    """What somebody saw, and by which edition of the procedures."""


class Ahead(Body):
    """Why an ok was given before its turn: what was not there yet, as far as that phone knew.

    `missing` are checks that should have been ok before, `held` the stop faults that held the place.
    """

    reason: Key
    missing: Annotated[list[CheckId], Field(max_length=500, default_factory=list)]
    held: Annotated[list[Hash], Field(max_length=100, default_factory=list)]


class Found3(Found2):
    """What somebody saw, what a fault opens again, and what an ok ahead of its turn was ahead of.

    `chosen` are the choices of the procedure that was walked, as `step:choice` in their order.
    """

    chosen: Annotated[list[Chosen], Field(max_length=200, default_factory=list)]
    reopens: Annotated[list[CheckId], Field(max_length=5000, default_factory=list), UNIQUE]
    ahead: Ahead | None = None

    model_config = published(
        *_FOUND_RULES,
        only_when("result", ["fault"], {}, absent("reopens")),
        only_when("result", ["ok"], {}, absent("ahead")),
    )

    @model_validator(mode="after")
    def _fits_with_its_result(self) -> "Found3":
        if self.reopens and self.result != "fault":
            raise ValueError("reopens: only a fault opens checks again")
        if self.ahead is not None and self.result != "ok":
            raise ValueError("ahead: only an ok is ahead of its turn")
        if len(set(self.reopens)) != len(self.reopens):
            raise ValueError("reopens: one is named twice")
        return self


class StopReleased(Body):
    """After a stop: somebody whose duty it is has looked, and lets the crew go on at what was held.

    `fault` is the stop, `check` where it was.
    """

    plan: Hash
    fault: Hash
    check: CheckId
    duty: Annotated[Duty, Field(strict=False)]
    note_blob: Hash | None = None


class Withdrawn(Body):
    """The author takes an own entry back."""

    entry: Hash


class _Change(Body):
    plan: Hash
    where: Annotated[str, Field(pattern=r"^[A-Za-z0-9./+-]{1,80}$")]
    out: Code | None = None
    in_: Annotated[Code | None, Field(alias="in")] = None


class Swapped(_Change):
    """A part was changed for another; the named checks are to be looked at again."""

    part: Literal["module", "electronics_unit", "tile", "angle_piece", "lock"]
    reopens: Annotated[list[CheckId], Field(max_length=500)]


class _FromPlace(Body):
    from_place: Annotated[str, Field(pattern=r"^[0-9]{1,2}\.[0-9]{1,2}$")] | None = None


class Swapped2(_FromPlace, Told, Swapped):
    """A part was changed for another: by which edition, and from which place of a tile the spare came."""


class Swapped3(_FromPlace, Told, _Change):
    """A part was changed for another, or ballast moved; links of supply and signal are parts too."""

    part: Literal[
        "module",
        "electronics_unit",
        "tile",
        "angle_piece",
        "lock",
        "power_link",
        "outlet",
        "data_link",
        "ballast",
    ]
    reopens: Annotated[list[CheckId], Field(max_length=5000)]


class CircuitsSwitched(Body):
    """Circuits of a wall were switched on to test them, or off again; no word that anything is in order."""

    plan: Hash
    wall: WallKey
    circuits: Annotated[
        list[Annotated[str, Field(pattern=r"^C[0-9]{1,4}$")]], Field(min_length=1, max_length=500)
    ]
    live: bool
    note_blob: Hash | None = None


class StrikeOpened(Body):
    """A wall, or those tiles of it, may come down from here on; null for the whole wall."""

    plan: Hash
    wall: WallKey
    tiles: Annotated[list[TileId], Field(min_length=1, max_length=5000)] | None
    reason: Literal["show_over", "cancelled", "weather", "rebuild"]
    note_blob: Hash | None = None


class StrikeClosed(Body):
    """What was opened for strike is being built again, and may be signed again."""

    opened: Hash


class PaceAnswered(Body):
    """What somebody says of oks that came too fast to be looks: it was looked at first, and tapped after."""

    entries: Annotated[list[Hash], Field(min_length=1, max_length=5000)]
    answer: Literal["tapped_afterwards"]
    note_blob: Hash | None = None


class ProcedureWalked(Told):
    """A procedure that is an act of its own was walked, at a case, a tile or a wall.

    `chosen` are its choices as `step:choice` in their order, `text_blobs` what was told in words, by step.
    """

    procedure: Key
    at: Annotated[str, Field(pattern=r"^[A-Za-z0-9./+-]{1,80}$")]
    plan: Hash | None
    result: Literal["done", "fault"]
    reason: Key | None = None
    chosen: Annotated[list[Chosen], Field(max_length=200)]
    text_blobs: Annotated[dict[Key, Hash], Field(max_length=10, default_factory=dict), NO_OTHER_NAMES]

    model_config = published(only_when("result", ["fault"], present("reason"), absent("reason")))

    @model_validator(mode="after")
    def _fault_has_reason(self) -> "ProcedureWalked":
        if (self.reason is None) != (self.result == "done"):
            raise ValueError("reason: a fault has one, nothing else does")
        return self


CHECK_BODIES: dict[str, type[Body]] = {
    "found": Found,
    "withdrawn": Withdrawn,
    "swapped": Swapped,
    "stop_released": StopReleased,
    "circuits_switched": CircuitsSwitched,
    "strike_opened": StrikeOpened,
    "strike_closed": StrikeClosed,
    "pace_answered": PaceAnswered,
    "procedure_walked": ProcedureWalked,
}
LATER_CHECK_BODIES: dict[tuple[str, int], type[Body]] = {
    ("found", 2): Found2,
    ("found", 3): Found3,
    ("swapped", 2): Swapped2,
    ("swapped", 3): Swapped3,
}
