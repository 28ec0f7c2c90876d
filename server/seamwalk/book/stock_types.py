"""What entries about the stock hold: things, their labels, cases and where they went."""

from typing import Annotated, Literal

from pydantic import Field

from seamwalk.book.fields import Body, BookId, Code, Key, ShortText


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


STOCK_BODIES: dict[str, type[Body]] = {
    "item_registered": ItemRegistered,
    "item_relabelled": ItemRelabelled,
    "item_described": ItemDescribed,
    "label_revoked": LabelRevoked,
    "case_packed": CasePacked,
    "case_sent": CaseSent,
    "case_returned": CaseReturned,
}
