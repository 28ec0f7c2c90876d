"""What a show takes out of the warehouse: the counts of its walls' sheets, with their spares."""

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Any

from seamwalk.domain.sheet.sheet import build_sheet
from seamwalk.domain.wall.plan_model import Plan

_BARS = {"stacked": "base_bar", "flown": "hanging_bar", "floor": "foot"}
PICK_ORDER = (
    "case",
    "tile",
    *_BARS.values(),
    "clamp",
    "support",
    "angle_piece",
    "module",
    "electronics_unit",
)


@dataclass(frozen=True)
class Pick:
    """A kind of part, how many the walls take, and how many spares.

    `of` is its tile type, its angle, a bar's columns, or "".
    """

    kind: str
    of: str
    in_walls: int
    spares: int


def pick_list(plans: Iterable[Plan]) -> list[Pick]:
    """Add the walls of a show up, kinds in the order of KINDS; raise PlanError as a sheet does.

    Modules and electronics units are counted as spares alone: the others sit in their tiles. Spares and cases
    add up wall by wall: each wall keeps its own batch, confidence and minimum.
    """
    in_walls: Counter[tuple[str, str]] = Counter()
    spares: Counter[tuple[str, str]] = Counter()
    for plan in plans:
        sheet = build_sheet(plan)
        for part, count in _parts(plan, sheet):
            in_walls[part] += count
        for name, count in (sheet["spares"] or {}).items():
            kind, _, of = name.partition("/")
            spares[kind, of] += count
    parts = sorted(
        {*(+in_walls), *(+spares)}, key=lambda part: (PICK_ORDER.index(part[0]), *_by_size(part[1]))
    )
    return [Pick(kind, of, in_walls[kind, of], spares[kind, of]) for kind, of in parts]


def _parts(plan: Plan, sheet: dict[str, Any]) -> Iterator[tuple[tuple[str, str], int]]:
    for key, kind in (("cases", "case"), ("tiles_by_type", "tile"), ("angle_pieces", "angle_piece")):
        for of, count in sheet[key].items():
            yield (kind, of), count
    for bar in sheet["bars"]:
        yield (_BARS[plan.support], str(bar["columns"])), 1
    for key, kind in (("clamps", "clamp"), ("supports", "support")):
        yield (kind, ""), sheet[key]


def _by_size(of: str) -> tuple[float, str]:
    """Angles and bars by their size, names by their letters."""
    try:
        return float(of), ""
    except ValueError:
        return 0.0, of
