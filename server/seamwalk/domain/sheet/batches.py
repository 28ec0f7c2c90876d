"""Which case goes where, so that tiles of one colour batch stay together, and what meets at their borders.

As few batches as will do are used, the largest first, the last one the smallest that suffices. They follow
each other so that the largest difference between one and the next is as small as can be (tried out up to
seven, nearest next beyond), and fill the wall column by column or row by row, whichever way fewer joints lie
between two batches.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise, permutations

from seamwalk.domain.sheet.colour import difference_e00, difference_uv
from seamwalk.domain.wall.grid import PlacedTile
from seamwalk.domain.wall.plan_model import Stock, StockCase, White
from seamwalk.domain.wall.wall import Wall

_TRIED_OUT = 7


@dataclass(frozen=True)
class Placing:
    """The tiles that come out of one case, in the order in which they are hung or stood."""

    case: StockCase
    tiles: tuple[str, ...]


@dataclass(frozen=True)
class Meeting:
    """Two cases whose tiles meet, at how many joints, and how far their measured whites differ."""

    cases: tuple[str, str]
    joints: int
    delta_uv: float
    delta_e00: float | None
    over: bool


@dataclass(frozen=True)
class Batches:
    """The placing; `short` counts tiles without a case by type, `borders` joints between two batches."""

    placings: tuple[Placing, ...]
    short: dict[str, int]
    borders: int
    meetings: tuple[Meeting, ...]

    def counts(self) -> dict[tuple[str, ...], int]:
        """Tiles by type and batch."""
        found: dict[tuple[str, ...], int] = defaultdict(int)
        for placing in self.placings:
            found[placing.case.tile, placing.case.batch] += len(placing.tiles)
        return dict(sorted(found.items()))


def place_cases(wall: Wall, stock: Stock) -> Batches:
    """Give every tile its case, as far as the stock goes."""
    by_type: dict[str, list[PlacedTile]] = defaultdict(list)
    for tile in wall.tiles:
        by_type[tile.type.key].append(tile)
    joints = [joint.tiles for joint in wall.joints if joint.kind in ("side", "stack")]
    placings: list[Placing] = []
    short: dict[str, int] = {}
    for key, tiles in sorted(by_type.items()):
        takes = _takes([case for case in stock.cases if case.tile == key], len(tiles))
        ways = [list(_fill(way, takes)) for way in (_by_columns(tiles), _by_rows(tiles))]
        placings += min(ways, key=lambda way: _borders(way, joints))
        missing = len(tiles) - sum(count for _, count in takes)
        short |= {key: missing} if missing else {}
    meetings = tuple(_meetings(placings, joints, stock))
    return Batches(tuple(placings), short, _borders(placings, joints), meetings)


def _by_columns(tiles: Iterable[PlacedTile]) -> list[PlacedTile]:
    return sorted(tiles, key=lambda t: (t.column, t.row if t.column % 2 else -t.row))


def _by_rows(tiles: Iterable[PlacedTile]) -> list[PlacedTile]:
    return sorted(tiles, key=lambda t: (t.row, t.column if t.row % 2 else -t.column))


def _takes(cases: Sequence[StockCase], wanted: int) -> list[tuple[StockCase, int]]:
    """Cases in their order, and how many tiles come out of each."""
    batches: dict[str, list[StockCase]] = defaultdict(list)
    for case in cases:
        batches[case.batch].append(case)
    shares = _shares({name: sum(case.tiles for case in own) for name, own in batches.items()}, wanted)
    found = []
    for name in _in_order({name: _mean(batches[name]) for name in shares}):
        left = shares[name]
        for case in batches[name]:
            count = min(left, case.tiles)
            left -= count
            if count:
                found.append((case, count))
    return found


def _shares(sizes: dict[str, int], wanted: int) -> dict[str, int]:
    """How many tiles each chosen batch gives."""
    found: dict[str, int] = {}
    left = wanted
    rest = sorted(sizes, key=lambda name: (-sizes[name], name))
    while left > 0 and rest:
        enough = [name for name in rest if sizes[name] >= left]
        name = enough[-1] if enough else rest[0]
        rest.remove(name)
        found[name] = min(left, sizes[name])
        left -= found[name]
    return found


def _mean(cases: Sequence[StockCase]) -> White | None:
    whites = [case.white for case in cases if case.white is not None]
    if not whites:
        return None
    return White(x=sum(w.x for w in whites) / len(whites), y=sum(w.y for w in whites) / len(whites))


def _in_order(whites: dict[str, White | None]) -> Sequence[str]:
    names = sorted(whites)

    def step(first: str, second: str) -> float:
        a, b = whites[first], whites[second]
        return 0.0 if a is None or b is None else difference_uv(a, b)

    def worst(order: Sequence[str]) -> tuple[float, float]:
        steps = [step(*pair) for pair in pairwise(order)]
        return max(steps, default=0.0), sum(steps)

    if len(names) <= _TRIED_OUT:
        return min(permutations(names), key=worst)
    order = [names.pop(0)]
    while names:
        order.append(min(names, key=lambda name: step(order[-1], name)))
        names.remove(order[-1])
    return order


def _fill(way: Sequence[PlacedTile], takes: Iterable[tuple[StockCase, int]]) -> Iterator[Placing]:
    start = 0
    for case, count in takes:
        yield Placing(case, tuple(tile.id for tile in way[start : start + count]))
        start += count


def _borders(placings: Iterable[Placing], joints: Iterable[tuple[str, ...]]) -> int:
    batch_of = {
        tile: (placing.case.tile, placing.case.batch) for placing in placings for tile in placing.tiles
    }
    pairs = ((batch_of.get(first), batch_of.get(second)) for first, second in joints)
    return sum(a is not None and b is not None and a != b for a, b in pairs)


def _meetings(
    placings: Iterable[Placing], joints: Iterable[tuple[str, ...]], stock: Stock
) -> Iterator[Meeting]:
    case_of = {tile: placing.case for placing in placings for tile in placing.tiles}
    counts: dict[tuple[str, str], int] = defaultdict(int)
    for first, second in joints:
        if first in case_of and second in case_of:
            names = sorted((case_of[first].case, case_of[second].case))
            counts[names[0], names[1]] += 1
    whites = {case.case: case.white for case in stock.cases}
    for (first, second), count in sorted(counts.items()):
        a, b = whites[first], whites[second]
        if first != second and a is not None and b is not None:
            uv, e00 = difference_uv(a, b), difference_e00(a, b)
            over = (stock.limit_uv is not None and uv > stock.limit_uv) or (
                stock.limit_e00 is not None and e00 is not None and e00 > stock.limit_e00
            )
            yield Meeting((first, second), count, uv, e00, over)
