"""What failed at shows, over how many parts and days; and what the bench says of it."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from datetime import datetime
from functools import lru_cache
from itertools import combinations
from math import ceil

from sqlalchemy import func, select
from sqlalchemy.orm import Session

from seamwalk.domain.sheet.rates import FailureCount, Interval, proportion_interval
from seamwalk.domain.sheet.spares import PARTS as SPARE_PARTS
from seamwalk.domain.wall.plan import parse_plan
from seamwalk.domain.wall.wall import build_wall
from seamwalk.store.findings.states import withdrawn_entries
from seamwalk.store.ledger.blobs import read_blob
from seamwalk.store.ledger.books import current_plans, list_books
from seamwalk.store.tables import ActivityRow, ActRow, BindingRow, Item, LedgerEntry, MovementRow, WallPlan

PARTS = ("module", "electronics_unit", "tile", "lock", "angle_piece")
NO_BATCH = "unknown"
_DAY_S = 86_400


@dataclass
class Failures:
    """Failures and part-days by part, by part and batch, by a module's place in its tile; and pairs.

    A failure is a part that was changed and that the bench did not find without fault. `together` counts, of
    tiles in which the first part failed at a show, those in which the second one failed too.
    """

    by_part: dict[str, FailureCount] = field(default_factory=dict)
    by_batch: dict[tuple[str, str], FailureCount] = field(default_factory=dict)
    by_place: dict[str, FailureCount] = field(default_factory=dict)
    together: dict[tuple[str, str], tuple[int, int]] = field(default_factory=dict)

    def pair(self, first: str, second: str) -> Interval:
        """How often the second part failed where the first one did."""
        return proportion_interval(*self.together[first, second])


@dataclass(frozen=True)
class _Swap:
    book: str
    wall: str
    tile: str
    part: str
    place: str


def failures(session: Session) -> Failures:
    """Count what failed at all shows, and the exposure in part-days: parts in the walls x days of the show.

    A show without findings has no days and counts for nothing.
    """
    failed: Counter[tuple[str, ...]] = Counter()
    days: dict[tuple[str, ...], float] = defaultdict(float)
    in_tile: dict[tuple[str, str, str], set[str]] = defaultdict(set)
    sound = _found_sound(session)
    for show in list_books(session, "show"):
        span = _days(session, show.id)
        if not span:
            continue
        batches = _batches(session, show.id)
        walls = {plan.wall: plan for plan in current_plans(session, show.id)}
        for key, count in _parts_there(session, list(walls.values()), batches):
            days[key] += count * span
        for swap in _swaps(session, show.id, sound):
            failed[("part", swap.part)] += 1
            batch = batches.get((swap.wall, swap.tile), NO_BATCH)
            failed[("batch", swap.part, batch)] += 1
            if swap.place:
                failed[("place", swap.place)] += 1
            name = f"module {swap.place}" if swap.place else swap.part
            in_tile[swap.book, swap.wall, swap.tile].add(name)
    return Failures(
        {
            part: FailureCount(failed["part", part], days["part", part])
            for part in PARTS
            if days["part", part]
        },
        {
            (key[1], key[2]): FailureCount(failed[key], total)
            for key, total in sorted(days.items())
            if key[0] == "batch"
        },
        {
            key[1]: FailureCount(failed[key], total)
            for key, total in sorted(days.items())
            if key[0] == "place"
        },
        _pairs_in_tiles(in_tile.values()),
    )


def learned_rates(session: Session) -> dict[str, dict[str, float]]:
    """What a plan's `spares.learned` takes: failures and part-days of the parts that spares are kept of."""
    found = failures(session).by_part
    return {
        part: {"failures": found[part].failures, "part_days": found[part].part_days}
        for part in SPARE_PARTS
        if part in found
    }


def _swaps(session: Session, book: str, sound: set[str]) -> Iterator[_Swap]:
    back = withdrawn_entries(session, book)
    rows = session.scalars(select(ActivityRow).where(ActivityRow.book == book, ActivityRow.type == "swapped"))
    for body in (row.body for row in rows if (row.entry, row.author) not in back):
        if body.get("out") in sound:
            continue
        wall = body["reopens"][0].split("/")[0] if body["reopens"] else _wall_of(session, book, body["plan"])
        tile, _, place = str(body["where"]).partition("/")
        yield _Swap(book, wall, tile, body["part"], place if body["part"] == "module" else "")


def _wall_of(session: Session, book: str, plan: str) -> str:
    row = session.get(WallPlan, (book, plan))
    return row.wall if row else ""


def _found_sound(session: Session) -> set[str]:
    """Things whose newest judgement at the bench was that there is no fault."""
    judged = MovementRow.told.like("triage/%")
    query = (
        select(MovementRow.item, MovementRow.told)
        .where(judged)
        .order_by(MovementRow.seen_at, MovementRow.idx)
    )
    newest = {row[0]: row[1] for row in session.execute(query)}
    return {item for item, told in newest.items() if told == "triage/no_fault"}


def _days(session: Session, book: str) -> float:
    """For how many days a show was worked at: from its first finding to its last, whole ones."""
    came = func.coalesce(LedgerEntry.kept_at, ActRow.at)
    query = select(func.min(came), func.max(came)).select_from(ActRow).where(ActRow.book == book)
    query = query.join(LedgerEntry, (LedgerEntry.book == ActRow.book) & (LedgerEntry.idx == ActRow.idx))
    first, last = session.execute(query).one()
    if first is None:
        return 0.0
    seconds = (datetime.fromisoformat(last) - datetime.fromisoformat(first)).total_seconds()
    return float(max(1, ceil(seconds / _DAY_S)))


def _batches(session: Session, book: str) -> dict[tuple[str, str], str]:
    """The batch of what stood at each place of a show's walls, where it was scanned and has one."""
    query = select(BindingRow.wall, BindingRow.tile, Item.batch).join(Item, Item.code == BindingRow.name)
    rows = session.execute(query.where(BindingRow.book == book).order_by(BindingRow.at))
    return {(wall, tile): batch for wall, tile, batch in rows if batch}


def _parts_there(
    session: Session, plans: list[WallPlan], batches: dict[tuple[str, str], str]
) -> Iterator[tuple[tuple[str, ...], int]]:
    """How many of each part stood in the walls: in all, by batch, and by a module's place."""
    for plan in plans:
        data = read_blob(session, plan.book, plan.plan_file)
        for tile, columns, rows, locks in _tiles_of(data) if data else ():
            counts = {"tile": 1, "electronics_unit": 1, "module": columns * rows, "lock": locks}
            batch = batches.get((plan.wall, tile), NO_BATCH)
            for part, count in counts.items():
                yield ("part", part), count
                yield ("batch", part, batch), count
            for column in range(1, columns + 1):
                for row in range(1, rows + 1):
                    yield ("place", f"{column}.{row}"), 1


@lru_cache(maxsize=512)
def _tiles_of(plan: bytes) -> tuple[tuple[str, int, int, int], ...]:
    """Each tile of a plan: its id, its modules' columns and rows, its locks. A plan's file never changes."""
    return tuple(
        (
            tile.id,
            tile.type.modules.columns,
            tile.type.modules.rows,
            tile.type.locks_side + tile.type.locks_stack,
        )
        for tile in build_wall(parse_plan(plan.decode())).tiles
    )


def _pairs_in_tiles(tiles: Iterable[set[str]]) -> dict[tuple[str, str], tuple[int, int]]:
    groups = [sorted(names) for names in tiles]
    alone = Counter(name for names in groups for name in names)
    both: Counter[tuple[str, str]] = Counter()
    for names in groups:
        for first, second in combinations(names, 2):
            both[first, second] += 1
            both[second, first] += 1
    return {pair: (count, alone[pair[0]]) for pair, count in sorted(both.items())}
