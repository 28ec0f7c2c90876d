"""A wall's map as shapes: what the SVG template draws."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from seamwalk.domain.checks.checks import Check
from seamwalk.domain.checks.wall_map import wall_map
from seamwalk.domain.findings.findings import CheckState
from seamwalk.domain.wall.wall import Wall

CELL = 72
MARGIN = 44
_BAD_FIRST = ("stop", "show", "cosmetic", "reopened", "open", "not_reached", "ok")


@dataclass(frozen=True)
class Tile:
    """A tile's rectangle in drawing units."""

    id: str
    x: float
    y: float
    w: float
    h: float


@dataclass(frozen=True)
class Mark:
    """The worst state of a place, and its checks: id, state, why."""

    place: str
    x: float
    y: float
    state: str
    checks: tuple[tuple[str, str, str], ...]


@dataclass(frozen=True)
class Drawing:
    """Everything that the map shows."""

    width: float
    height: float
    tiles: tuple[Tile, ...]
    marks: tuple[Mark, ...]
    column_numbers: tuple[tuple[int, float], ...]
    row_numbers: tuple[tuple[int, float], ...]


def draw(
    wall: Wall,
    checks: Sequence[Check],
    wall_key: str,
    states: Mapping[str, CheckState],
    *,
    rear: bool,
    why: Mapping[str, str] | None = None,
) -> Drawing:
    """Lay a wall out for its SVG, from the audience's side or mirrored from the rear.

    `why` says of a check, in a sentence, why it stands as it does.
    """
    layout = wall_map(wall, checks)
    by_place: dict[str, list[tuple[str, str, str]]] = defaultdict(list)
    for check in checks:
        own = check.id(wall_key)
        state = states.get(own, CheckState())
        by_place[check.place].append((own, state.weight or state.state, (why or {}).get(own, "")))
    width = layout.columns * CELL

    def across(x: float, w: float = 0) -> float:
        return MARGIN + (width - (x + w) * CELL if rear else x * CELL)

    marks = []
    for spot in layout.spots:
        here = tuple(by_place[spot.place])
        worst = min((state for _, state, _ in here), key=_BAD_FIRST.index)
        marks.append(Mark(spot.place, across(spot.x), MARGIN + spot.y * CELL, worst, here))
    return Drawing(
        width + 2 * MARGIN,
        layout.rows * CELL + 2 * MARGIN,
        tuple(
            Tile(b.id, across(b.x, b.w), MARGIN + b.y * CELL, b.w * CELL, b.h * CELL) for b in layout.boxes
        ),
        tuple(marks),
        tuple((c, across(c - 0.5)) for c in range(1, layout.columns + 1)),
        tuple((r, MARGIN + (layout.rows - r + 0.5) * CELL) for r in range(1, layout.rows + 1)),
    )
