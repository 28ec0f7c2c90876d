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
    WallKey,
    absent,
    only_when,
    present,
    published,
)
from seamwalk.book.roles import Statement
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
    tile: Annotated[str, Field(pattern=r"^[0-9]{1,4}\.[0-9]{1,4}(x[0-9]{1,3}x[0-9]{1,3})?$")]
    item: Code | None
    tag: ShortText | None
    replaces: Annotated[list[Hash], Field(max_length=50)]

    model_config = published({"oneOf": [present("item"), present("tag")]})

    @model_validator(mode="after")
    def _one_name(self) -> "TileBound":
        if (self.item is None) == (self.tag is None):
            raise ValueError("a tile is bound by its label or by a foreign tag, one of the two")
        return self


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

    model_config = published(
        only_when("result", ["fault"], present("weight"), absent("weight")),
        only_when("result", ["ok"], {}, absent("answers")),
    )

    @model_validator(mode="after")
    def _fits_together(self) -> "Found":
        if (self.weight is not None) != (self.result == "fault"):
            raise ValueError("weight: a fault has one, nothing else does")
        if self.answers and self.result != "ok":
            raise ValueError("answers: only an ok answers")
        if len(set(self.checks)) != len(self.checks):
            raise ValueError("checks: one is named twice")
        return self


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


class Withdrawn(Body):
    """The author takes an own entry back."""

    entry: Hash


class Swapped(Body):
    """A part was changed for another; the named checks are to be looked at again."""

    plan: Hash
    part: Literal["module", "electronics_unit", "tile", "angle_piece", "lock"]
    where: Annotated[str, Field(pattern=r"^[A-Za-z0-9./+-]{1,80}$")]
    out: Code | None = None
    in_: Annotated[Code | None, Field(alias="in")] = None
    reopens: Annotated[list[CheckId], Field(max_length=500)]


class Swapped2(Told, Swapped):
    """A part was changed for another: by which edition, and from which place of a tile the spare came."""

    from_place: Annotated[str, Field(pattern=r"^[0-9]{1,2}\.[0-9]{1,2}$")] | None = None


class ProcedureWalked(Told):
    """A procedure that is an act of its own was walked, at a case, a tile or a wall.

    `chosen` are its choices as `step:choice` in their order, `text_blobs` what was told in words, by step.
    """

    procedure: Key
    at: Annotated[str, Field(pattern=r"^[A-Za-z0-9./+-]{1,80}$")]
    plan: Hash | None
    result: Literal["done", "fault"]
    reason: Key | None = None
    chosen: Annotated[
        list[Annotated[str, Field(pattern=r"^[a-z0-9_]{1,40}:[a-z0-9_]{1,40}$")]], Field(max_length=200)
    ]
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
    ("swapped", 2): Swapped2,
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
