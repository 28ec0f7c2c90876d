"""What the frozen files of a show's stock and of its prep hold, as phones read them."""

from typing import Literal, NamedTuple

from typing_extensions import TypedDict

from seamwalk.domain.stock.bench import Status

At = Literal["here", "away", "home"]


class StockItem(NamedTuple):
    """A thing, as a list. `at`: at this show, at another one, or at home; `in_case`: where it lies.

    `status` and `worked_by` say how it stands with the bench and who worked on it there last. Lists of
    version 1 end after `at`: a thing lies in its home case then, and is in stock.
    """

    code: str
    tile_type: str | None
    home_case: str | None
    batch: str | None
    at: At
    in_case: str | None = None
    status: Status = "in_stock"
    worked_by: str = ""


class StockFile(TypedDict):
    """What phones need to know of labels: all things, the thing of each later label, why one is revoked."""

    v: Literal[1, 2]
    items: list[StockItem]
    labels: dict[str, str]
    revoked: dict[str, str]


class ListedTrouble(TypedDict):
    """What speaks against a case, and the things or the batch that it is about."""

    key: str
    about: list[str]


class ListedCase(TypedDict):
    """A case that goes to the show: its wall, columns and place in the build, and what speaks against it.

    `mass_kg` is its mass with what is planned to lie in it, `people` how many lift it; both are None where
    the company has not said what an empty case and a tile weigh, or what one may lift.
    """

    case: str
    wall: str
    tile_type: str
    batch: str
    tiles: int
    columns: list[int]
    first: int
    troubles: list[ListedTrouble]
    substitute: str | None
    mass_kg: float | None
    people: int | None


class ListedPick(TypedDict):
    """A kind of part to pick; `of` is its tile type, its angle, a bar's columns, or ""."""

    kind: str
    of: str
    in_walls: int
    spares: int
    count: int


class PrepFile(TypedDict):
    """What a show takes out of the warehouse; `truck` are case codes in the order of loading."""

    v: Literal[1]
    cases: list[ListedCase]
    truck: list[str]
    picks: list[ListedPick]
