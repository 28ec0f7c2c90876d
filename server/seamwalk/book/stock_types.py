"""What entries about the stock hold: things, their labels, cases and where they went."""

from typing import Annotated, Literal

from pydantic import Field, model_validator

from seamwalk.book.fields import (
    MOMENT,
    NUMBER,
    Body,
    BookId,
    Code,
    Hash,
    Key,
    ShortText,
    absent,
    present,
    published,
)


class ItemRegistered(Body):
    """A labelled thing of the company's stock."""

    item: Code
    kind: Literal["case", "tile", "module", "electronics_unit", "part", "place"]
    tile_type: Key | None = None
    home_case: Code | None = None


class ItemDescribed(Body):
    """What else is known of a thing; what is null stays as it was."""

    item: Code
    batch: Annotated[str, Field(min_length=1, max_length=60)] | None = None
    maker_serial: Annotated[str, Field(min_length=1, max_length=60)] | None = None


class ItemRelabelled(Body):
    """A thing got another label; the ones it had stay good."""

    item: Code
    label: Code


class LabelRevoked(Body):
    """A label must not be used any more: misprinted, lost, or its thing was scrapped."""

    label: Code
    reason: ShortText


class CasePacked(Body):
    """What lies in a case, by label."""

    case: Code
    tiles: Annotated[list[Code], Field(max_length=100)]


class CaseSent(Body):
    """A case left for a show."""

    case: Code
    show: BookId


class CaseReturned(Body):
    """A case came back from a show, with these tiles in it."""

    case: Code
    show: BookId
    tiles: Annotated[list[Code], Field(max_length=100)]


class TypeDescribed(Body):
    """What the company says of things of a kind and type: mass, size when packed, and what one costs.

    `type` is "" for all of the kind; a case's mass is that of the empty case.
    """

    kind: Literal["case", "tile", "module", "electronics_unit", "part", "place"]
    type: Annotated[str, Field(pattern=r"^([a-z][a-z0-9_]{0,39})?$")]
    mass_kg: Annotated[float, Field(gt=0, le=100_000), *NUMBER] | None
    length_mm: Annotated[float, Field(gt=0, le=100_000), *NUMBER] | None
    width_mm: Annotated[float, Field(gt=0, le=100_000), *NUMBER] | None
    height_mm: Annotated[float, Field(gt=0, le=100_000), *NUMBER] | None
    price: Annotated[float, Field(ge=0, le=1e9), *NUMBER] | None
    currency: Annotated[str, Field(pattern=r"^[A-Z]{3}$")] | None

    model_config = published({"oneOf": [present("price", "currency"), absent("price", "currency")]})

    @model_validator(mode="after")
    def _priced_in_something(self) -> "TypeDescribed":
        if (self.price is None) != (self.currency is None):
            raise ValueError("currency: a price has one, nothing else does")
        return self


class ItemsEdited(Body):
    """One field of many things was set; or, with `undoes`, got back what it was before that entry.

    An undo leaves alone what was changed again since.
    """

    items: Annotated[list[Code], Field(min_length=1, max_length=5000)]
    field: Literal["batch", "home_case", "tile_type"]
    value: Annotated[str, Field(min_length=1, max_length=60)] | None
    undoes: Hash | None = None


class LookNamed(Body):
    """An entry of a book that says what somebody saw."""

    book: BookId
    entry: Hash


class ClaimOpened(Body):
    """Damage is claimed: of what, between which looks, by when, under whose reference."""

    item: Code
    part: Annotated[str, Field(pattern=r"^[a-z_]{1,20}(:[a-z0-9_.]{1,20})?$")]
    after: LookNamed | None
    seen: LookNamed
    against_blob: Hash
    reference: ShortText | None
    deadline: Annotated[str, Field(pattern=r"^\d{4}-\d{2}-\d{2}$"), *MOMENT] | None


STOCK_BODIES: dict[str, type[Body]] = {
    "item_registered": ItemRegistered,
    "item_relabelled": ItemRelabelled,
    "item_described": ItemDescribed,
    "label_revoked": LabelRevoked,
    "case_packed": CasePacked,
    "case_sent": CaseSent,
    "case_returned": CaseReturned,
    "type_described": TypeDescribed,
    "items_edited": ItemsEdited,
    "claim_opened": ClaimOpened,
}
