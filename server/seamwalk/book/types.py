"""What entries hold: one pydantic model for each type and version, published as JSON Schema."""

from collections.abc import Callable
from functools import lru_cache, partial
from typing import Annotated, Any, Literal, cast

from pydantic import Field, model_validator

from seamwalk.book.book_types import BOOK_BODIES, BookOpened2
from seamwalk.book.fields import (
    MOMENT,
    NO_OTHER_NAMES,
    NUMBER,
    UNIQUE,
    Body,
    CheckId,
    Code,
    Count,
    Hash,
    Key,
    PersonId,
    ShortText,
    TileId,
    WallKey,
    absent,
    only_when,
    present,
    published,
)
from seamwalk.book.roles import Duty, Statement
from seamwalk.book.stock_types import STOCK_BODIES
from seamwalk.book.warehouse_types import WAREHOUSE_BODIES


class PlanSet(Body):
    """A wall's plan and its frozen checks; replaces the plan it names."""

    wall: WallKey
    title: ShortText
    replaces: Hash | None
    plan_file: Hash
    checks_file: Hash


class StockListed(Body):
    """What phones need to know of labels at this show: a frozen file, the newest of which stands."""

    stock_file: Hash


class TileBound(Body):
    """A tile of the stock stands at a place of a wall: by its label, or by what a foreign tag says.

    `replaces` names the bindings of this tile or of this place that were on the screen and hold no longer.
    """

    plan: Hash
    wall: WallKey
    tile: TileId
    item: Code | None
    tag: ShortText | None
    replaces: Annotated[list[Hash], Field(max_length=50)]

    model_config = published({"oneOf": [present("item"), present("tag")]})

    @model_validator(mode="after")
    def _one_name(self) -> "TileBound":
        if (self.item is None) == (self.tag is None):
            raise ValueError("a tile is bound by its label or by a foreign tag, one of the two")
        return self


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


class SharedPart(Body):
    """One person's stretch of a walk: stops `first` to `last`, counted from 0."""

    person: PersonId
    first: Annotated[int, Field(ge=0, le=200000)]
    last: Annotated[int, Field(ge=0, le=200000)]


class WorkShared(Body):
    """A walk is shared out among people; the newest sharing of a walk holds."""

    plan: Hash
    wall: WallKey
    walk: Key
    parts: Annotated[list[SharedPart], Field(min_length=1, max_length=200)]


class ContactsListed(Body):
    """Whom to call at this show: a file, the newest of which holds."""

    contacts_blob: Hash


class ProceduresListed(Body):
    """The edition of the procedures that holds from here on: a frozen file, named by its hash."""

    edition_file: Hash


class SignOffException(Body):
    """A check that was not ok when it was signed, and why it was signed all the same."""

    check: CheckId
    reason: ShortText
    person: ShortText | None = None


class SignedOff(Body):
    """A statement over an exact set of entries."""

    statement: Annotated[Statement, Field(strict=False)]
    wall: WallKey
    plan: Hash
    epoch: Count
    size: Count
    root: Hash
    own: Annotated[list[Hash], Field(max_length=5000)]
    exceptions: Annotated[list[SignOffException], Field(max_length=5000)]


BODIES: dict[str, type[Body]] = {
    "plan_set": PlanSet,
    "stock_listed": StockListed,
    "tile_bound": TileBound,
    "found": Found,
    "withdrawn": Withdrawn,
    "swapped": Swapped,
    "stop_released": StopReleased,
    "circuits_switched": CircuitsSwitched,
    "strike_opened": StrikeOpened,
    "strike_closed": StrikeClosed,
    "pace_answered": PaceAnswered,
    "procedure_walked": ProcedureWalked,
    "work_shared": WorkShared,
    "contacts_listed": ContactsListed,
    "procedures_listed": ProceduresListed,
    "signed_off": SignedOff,
    **BOOK_BODIES,
    **STOCK_BODIES,
    **WAREHOUSE_BODIES,
}


# later versions of a type; what was written under an older one is read forever
LATER: dict[tuple[str, int], type[Body]] = {
    ("book_opened", 2): BookOpened2,
    ("found", 2): Found2,
    ("found", 3): Found3,
    ("swapped", 2): Swapped2,
    ("swapped", 3): Swapped3,
}


def body_model(entry_type: str, version: int) -> type[Body] | None:
    """The model of a type's version; None when it is unknown here."""
    return BODIES.get(entry_type) if version == 1 else LATER.get((entry_type, version))


def _same(value: Any) -> Any:
    return value


@lru_cache(maxsize=256)
def _optional(entry_type: str, version: int) -> dict[str, Callable[[], Any]]:
    """What a body may leave out, by the name that it has in the body, and how its default is made."""
    model = body_model(entry_type, version)
    fields = model.model_fields if model is not None else {}
    return {
        field.alias or name: cast(Callable[[], Any], field.default_factory or partial(_same, field.default))
        for name, field in fields.items()
        if not field.is_required()
    }


def filled(entry_type: str, version: int, body: dict[str, Any]) -> dict[str, Any]:
    """A body as it is read: what its writer left out stands at its default."""
    optional = _optional(entry_type, version)
    return body | {name: default() for name, default in optional.items() if name not in body}


def newest_version(entry_type: str) -> int:
    """The version that is written now."""
    return max([1, *(version for name, version in LATER if name == entry_type)])


def entry_schemas() -> dict[str, object]:
    """The JSON Schema of every body, by entry type; later versions as `type/version`."""
    later = {f"{name}/{version}": model for (name, version), model in LATER.items()}
    return {name: model.model_json_schema() for name, model in (BODIES | later).items()}
