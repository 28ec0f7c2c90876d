"""Which cases a show takes out, to which columns they go, what speaks against one, and which is better.

Cases are chosen wall by wall as `batches.py` places them: as few colour batches as will do, neighbours
together. What a wall's plan names itself is taken as it is.
"""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from math import ceil

from seamwalk.domain.checks.build_order import build_acts
from seamwalk.domain.sheet.batches import Placing, place_cases
from seamwalk.domain.stock.codes import parse_code
from seamwalk.domain.wall.plan_model import Stock, StockCase
from seamwalk.domain.wall.wall import Wall
from seamwalk.errors import CodeError

NO_BATCH = "unknown"


@dataclass(frozen=True)
class Tile:
    """A tile in a case: its type, its colour batch or "", and whether it may go out."""

    code: str
    tile_type: str
    batch: str
    may_go_out: bool = True


@dataclass(frozen=True)
class Contents:
    """A case as it stands in the warehouse: what lies in it and what should."""

    code: str
    tiles: tuple[Tile, ...]
    belongs: frozenset[str]
    is_home: bool = True

    @property
    def tile_type(self) -> str:
        """The type of most of its tiles; "" for none."""
        return _most(tile.tile_type for tile in self.tiles)

    @property
    def batch(self) -> str:
        """The batch of most of its tiles; "" for none."""
        return _most(tile.batch for tile in self.tiles)


@dataclass(frozen=True)
class CaseProblem:
    """What speaks against a case: its key, and the things or the batch that it is about."""

    key: str
    about: tuple[str, ...] = ()


@dataclass(frozen=True)
class PrepCase:
    """A case for a wall: how many of its tiles are built in, into which columns, in which place of the build.

    `first` counts from 0 over all walls; `substitute` is the best other case where something speaks against
    this one, None where there is none or nothing does.
    """

    case: str
    wall: str
    tile_type: str
    batch: str
    tiles: int
    columns: tuple[int, ...]
    first: int
    troubles: tuple[CaseProblem, ...] = ()
    substitute: str | None = None


@dataclass(frozen=True)
class Prep:
    """The cases of a show in the order of the build, and tiles that no case is left for, by wall and type."""

    cases: tuple[PrepCase, ...]
    short: dict[tuple[str, str], int]

    def truck_order(self) -> list[str]:
        """Cases in the order of loading: what is built first goes in last and comes off first."""
        seen = dict.fromkeys(case.case for case in self.cases)
        return list(reversed(seen))


def case_problems(case: Contents, batch: str = "") -> tuple[CaseProblem, ...]:
    """What speaks against a case, for a place where tiles of `batch` are wanted ("" for any)."""
    inside = {tile.code for tile in case.tiles}
    batches = sorted({tile.batch for tile in case.tiles})
    quarantined = tuple(tile.code for tile in case.tiles if not tile.may_go_out)
    found = [] if case.is_home else [CaseProblem("away")]
    found += [CaseProblem("quarantined", quarantined)] if quarantined else []
    missing = tuple(sorted(case.belongs - inside))
    found += [CaseProblem("incomplete", missing)] if missing else []
    found += [CaseProblem("mixed", tuple(batches))] if len(batches) > 1 else []
    if len(batches) == 1 and batch and batches[0] != batch:
        found.append(CaseProblem("other_batch", (batches[0] or NO_BATCH, batch)))
    return tuple(found)


def substitute(case: Contents, others: Iterable[Contents], taken: Iterable[str], batch: str) -> str | None:
    """The best whole case at home of the same tile type that is not taken: of the batch before any other."""
    used = {case.code, *taken}
    whole = (
        other
        for other in others
        if other.code not in used and other.tile_type == case.tile_type and not case_problems(other)
    )
    best = min(whole, key=lambda o: (o.batch != batch, -len(o.tiles), o.code), default=None)
    return best.code if best else None


def prepare(walls: Sequence[tuple[str, Wall]], cases: Sequence[Contents]) -> Prep:
    """Choose the cases of all walls, in their order; a case that is left over in part serves the next.

    Cases that a plan names are left to its wall.
    """
    named = {_plain(case.case) for _, wall in walls if wall.plan.stock for case in wall.plan.stock.cases}
    left = {case.code: sum(tile.may_go_out for tile in case.tiles) for case in cases}
    open_ = [case for case in cases if case.code not in named]
    chosen: list[PrepCase] = []
    short: dict[tuple[str, str], int] = {}
    for key, wall in walls:
        stock = wall.plan.stock or _stock_of(wall, open_, left)
        placed = place_cases(wall, stock).placings if stock else ()
        for made in _in_build_order(key, wall, placed, len(chosen)):
            chosen.append(made)
            left[made.case] = left.get(made.case, 0) - made.tiles
        wanted = Counter(tile.type.key for tile in wall.tiles)
        for placing in placed:
            wanted[placing.case.tile] -= len(placing.tiles)
        short |= {(key, tile): count for tile, count in wanted.items() if count > 0}
    return Prep(tuple(_with_problems(chosen, {case.code: case for case in cases})), short)


def people_to_lift(mass_kg: float, limit_kg: float) -> int:
    """How many people a mass takes when each lifts up to a limit; whether they can is for others to say."""
    return ceil(round(mass_kg / limit_kg, 9))


def _stock_of(wall: Wall, cases: Sequence[Contents], left: Mapping[str, int]) -> Stock | None:
    """The cases at home as a plan would name them, whole ones first."""
    wanted = {tile.type.key for tile in wall.tiles}
    free = [case for case in cases if case.is_home and case.tile_type in wanted and left[case.code] > 0]
    free.sort(key=lambda case: (bool(case_problems(case)), case.code))
    named = [
        StockCase(case=case.code, tile=case.tile_type, tiles=left[case.code], batch=case.batch or NO_BATCH)
        for case in free
    ]
    return Stock(cases=named) if named else None


def _in_build_order(key: str, wall: Wall, placed: Iterable[Placing], first: int) -> list[PrepCase]:
    at = {act.place: number for number, act in enumerate(build_acts(wall)) if act.act == "tile"}
    column = {tile.id: tile.column for tile in wall.tiles}
    ordered = sorted(placed, key=lambda placing: min(at[tile] for tile in placing.tiles))
    return [
        PrepCase(
            _plain(placing.case.case),
            key,
            placing.case.tile,
            placing.case.batch,
            len(placing.tiles),
            tuple(sorted({column[tile] for tile in placing.tiles})),
            first + number,
        )
        for number, placing in enumerate(ordered)
    ]


def _with_problems(chosen: Sequence[PrepCase], known: Mapping[str, Contents]) -> list[PrepCase]:
    taken = Counter[str]()
    for made in chosen:
        taken[made.case] += made.tiles
    found = []
    for made in chosen:
        case = known.get(made.case)
        if case is None:
            found.append(replace(made, troubles=(CaseProblem("unknown"),)))
            continue
        wrong = case_problems(case, "" if made.batch == NO_BATCH else made.batch)
        if taken[made.case] > len(case.tiles):
            wrong += (CaseProblem("given_twice", (str(taken[made.case]), str(len(case.tiles)))),)
        better = substitute(case, known.values(), taken, made.batch) if wrong else None
        found.append(replace(made, troubles=wrong, substitute=better))
    return found


def _plain(name: str) -> str:
    """A case as its code is stored, or what the plan calls it where that is no code."""
    try:
        return parse_code(name).text
    except CodeError:
        return name


def _most(names: Iterable[str]) -> str:
    counts = Counter(names)
    return min(counts, key=lambda name: (-counts[name], name), default="")
