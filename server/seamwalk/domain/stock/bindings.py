"""Which tile of the stock stands where in a wall, as `walk/stock/bindings.ts` adds it up on the phone.

A binding names those it replaces, as they were on the screen; what no live binding names stands. So two that
were made without each other's knowledge both stand, and are a question. `tests/vectors/bindings.json` holds
the two together.
"""

from collections.abc import Iterable, Mapping, Set
from dataclasses import dataclass

from seamwalk.domain.entry_ids import is_referenced


@dataclass(frozen=True)
class Binding:
    """A tile at a place: `name` is its label's code, or what a foreign tag says.

    It is known by `entry` or by `other`.
    """

    entry: str
    author: str
    wall: str
    tile: str
    name: str
    replaces: tuple[str, ...]
    other: str = ""


def current_bindings(bindings: Iterable[Binding], withdrawn: Mapping[str, Set[str]]) -> list[Binding]:
    """What stands; `withdrawn` has the authors who took an entry back, of whom only its own counts."""
    live = [item for item in bindings if item.author not in withdrawn.get(item.entry, frozenset())]
    replaced = {name for item in live for name in item.replaces}
    return [item for item in live if not is_referenced(item.entry, item.other, replaced)]
