"""A build sheet as a page shows it: figures, remarks, the wall from above, its cables and its cases."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from seamwalk.domain.sheet.sheet import build_sheet
from seamwalk.domain.wall.wall import Wall
from seamwalk.printing.sheet_lists import lists
from seamwalk.printing.sheet_text import figures, remarks
from seamwalk.texts import translator
from seamwalk.web.office.context import language
from seamwalk.web.office.drawing import MARGIN
from seamwalk.web.office.sheet.batch_drawing import batch_map
from seamwalk.web.office.sheet.cable_drawing import cable_map

_VIEW_WIDTH = 1000.0
_DIMENSION_GAP = 34.0
_DIMENSION_ROOM = 190.0
_TICK = 8.0


@dataclass(frozen=True)
class Dimension:
    """A line with ticks as long as the extent that it names, in mm, and the place of the figure."""

    path: str
    mm: str
    x: float
    y: float


@dataclass(frozen=True)
class PlanView:
    """The wall from above, drawn to scale, the audience below: columns, chord, extent along and across it."""

    width: float
    height: float
    bodies: tuple[str, ...]
    chord: tuple[float, float, float, float]
    along: Dimension
    across: Dimension


def shown_sheet(wall: Wall, *, rear: bool) -> dict[str, Any]:
    """What the template of a sheet needs; raise PlanError when no sheet can be worked out."""
    worked_out = build_sheet(wall.plan)
    return {
        "figures": figures(worked_out, language()),
        "lists": lists(worked_out, translator("sheet", language())),
        "remarks": remarks(worked_out, language()),
        "view": plan_view(worked_out),
        "cables": cable_map(wall, worked_out, rear=rear),
        "batches": batch_map(wall, worked_out, rear=rear),
        "rear": rear,
    }


def plan_view(worked_out: dict[str, Any]) -> PlanView:
    """Scale the columns' outlines into the drawing."""
    bodies = worked_out["curve"]["bodies_mm"]
    corners = [corner for body in bodies for corner in body]
    left, right = min(x for x, _ in corners), max(x for x, _ in corners)
    far, near = min(y for _, y in corners), max(y for _, y in corners)
    scale = _VIEW_WIDTH / (right - left)

    def place(point: Sequence[float]) -> tuple[float, float]:
        return MARGIN + (point[0] - left) * scale, MARGIN + (point[1] - far) * scale

    outlines = tuple(" ".join("{:.1f},{:.1f}".format(*place(corner)) for corner in body) for body in bodies)
    points = worked_out["curve"]["points_mm"]
    chord = (*place(points[0]), *place(points[-1]))
    (x1, y1), (x2, y2) = place((left, far)), place((right, near))
    x, y = x2 + _DIMENSION_GAP, y2 + _DIMENSION_GAP
    along = Dimension(
        f"M{x1:.1f} {y:.1f}H{x2:.1f}"
        + "".join(f"M{end:.1f} {y - _TICK:.1f}v{2 * _TICK}" for end in (x1, x2)),
        f"{right - left:,.0f}",
        (x1 + x2) / 2,
        y + _DIMENSION_GAP,
    )
    across = Dimension(
        f"M{x:.1f} {y1:.1f}V{y2:.1f}"
        + "".join(f"M{x - _TICK:.1f} {end:.1f}h{2 * _TICK}" for end in (y1, y2)),
        f"{near - far:,.0f}",
        x + 2 * _TICK,
        (y1 + y2) / 2 + _TICK,
    )
    width, height = x + _DIMENSION_ROOM, along.y + MARGIN
    return PlanView(width, height, outlines, chord, along, across)
