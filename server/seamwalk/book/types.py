"""What entries hold: one pydantic model for each type and version, published as JSON Schema."""

from collections.abc import Callable
from functools import lru_cache, partial
from typing import Annotated, Any, cast

from pydantic import Field, model_validator

from seamwalk.book.book_types import BOOK_BODIES, BookOpened2
from seamwalk.book.check_types import CHECK_BODIES, LATER_CHECK_BODIES
from seamwalk.book.fields import (
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
    **CHECK_BODIES,
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
    **LATER_CHECK_BODIES,
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
