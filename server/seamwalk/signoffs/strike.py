"""Where a wall was open for strike over exactly what a sign-off covers: that part is not signed as built."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from seamwalk.book.entry import Entry
from seamwalk.domain.findings.coverage import Extent
from seamwalk.signoffs.acts import references

STRIKE_TYPES = ("strike_opened", "strike_closed")


@dataclass(frozen=True)
class StrikeAct:
    """An entry that opens a strike, closes one or takes back any of them; `names` are its references."""

    index: int
    names: tuple[str, ...]
    type: str
    author: str
    body: Mapping[str, Any]


def strike_act(index: int, entry: Entry, author: str) -> StrikeAct | None:
    """An entry as an act of strike; None when it cannot be one."""
    if entry.type not in (*STRIKE_TYPES, "withdrawn"):
        return None
    return StrikeAct(index, references(entry), entry.type, author, entry.body)


def opened_for(acts: Sequence[StrikeAct], extent: Extent, wall: str) -> list[frozenset[str] | None]:
    """What the strike of a wall is open for: the tiles of each opening that holds, None for all of them."""
    covered = [act for act in acts if act.index < extent.size or not extent.own.isdisjoint(act.names)]
    closed = {act.body["opened"] for act in _live(covered, "strike_closed")}
    openings = [act for act in _live(covered, "strike_opened") if act.body["wall"] == wall]
    marked = [act.body.get("tiles") for act in openings if closed.isdisjoint(act.names)]
    return [None if tiles is None else frozenset(tiles) for tiles in marked]


def _live(acts: Sequence[StrikeAct], entry_type: str) -> Iterator[StrikeAct]:
    """Those of a type that their own author did not take back."""
    back = {(act.body["entry"], act.author) for act in acts if act.type == "withdrawn"}
    for act in acts:
        if act.type == entry_type and back.isdisjoint((name, act.author) for name in act.names):
            yield act
