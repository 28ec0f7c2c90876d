"""A bent wall seen from above: a chain of flat columns that turn at their seams.

Frame: x along the chord from the audience's left end, y towards the audience, mm. The chain runs along the
line on which the seams turn, the tiles' front or rear face (`bend_pivot`). + bends towards the audience.
Regular chains are parts of a polygon: R = w / (2 sin(t/2)), chord = 2 R sin(n t/2) (CRC Standard
Mathematical Tables).
"""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations, pairwise
from math import atan2, cos, hypot, inf, radians, sin

from seamwalk.domain.wall.grid import cell_size_mm
from seamwalk.domain.wall.wall import Wall
from seamwalk.errors import PlanError, Problem

Point = tuple[float, float]
Corners = tuple[Point, Point, Point, Point]
_TOUCH_MM = 1.0


@dataclass(frozen=True)
class Curve:
    """The chain: its total turn, chord, extent across the chord, radius where there is one, and its seams.

    `radius_mm` is the circumradius of the turning line, None unless all bends are equal and not 0. `bodies`
    are the columns from above: two corners on the turning line, two on the other face.
    """

    turn_deg: float
    chord_mm: float
    depth_mm: float
    radius_mm: float | None
    points_mm: tuple[Point, ...]
    bodies: tuple[Corners, ...]

    def extent_mm(self) -> tuple[float, float]:
        """How far the columns' bodies reach along the chord and across it."""
        corners = [corner for body in self.bodies for corner in body]
        across, deep = [x for x, _ in corners], [y for _, y in corners]
        return max(across) - min(across), max(deep) - min(deep)


def curve(wall: Wall) -> Curve:
    """Lay out a wall's columns from above, in the frame of this module.

    With n columns: `points_mm` has n + 1 seams, `bodies` n rectangles. Without `bends_deg` the wall is
    straight. Raise PlanError when two columns overlap by more than 1 mm.
    """
    plan = wall.plan
    width_mm, _ = cell_size_mm(plan)
    bends = plan.bends_deg or [0.0] * (plan.columns - 1)
    points, headings = _chain(width_mm, bends)
    points, headings = _onto_chord(points, headings)
    depth = max(tile.type.depth_mm for tile in wall.tiles)
    side = depth if plan.tile.bend_pivot == "rear" else -depth
    bodies = tuple(
        _body(start, end, heading, side)
        for (start, end), heading in zip(pairwise(points), headings, strict=True)
    )
    _refuse_collisions(wall, bodies)
    deep = [y for _, y in points]
    even = bends and bends[0] != 0 and all(bend == bends[0] for bend in bends)
    radius = width_mm / (2 * sin(radians(abs(bends[0])) / 2)) if even else None
    chord = hypot(points[-1][0] - points[0][0], points[-1][1] - points[0][1])
    return Curve(sum(bends), chord, max(deep) - min(deep), radius, tuple(points), bodies)


def _chain(width_mm: float, bends_deg: list[float]) -> tuple[list[Point], list[float]]:
    """The seams from a start at 0, 0 along x, mm, and each column's heading, radians."""
    points, headings, turned = [(0.0, 0.0)], [], 0.0
    for bend in [0.0, *bends_deg]:
        turned += bend
        heading = radians(turned)
        x, y = points[-1]
        points.append((x + width_mm * cos(heading), y + width_mm * sin(heading)))
        headings.append(heading)
    return points, headings


def _onto_chord(points: list[Point], headings: list[float]) -> tuple[list[Point], list[float]]:
    """Turn a chain so that its last seam lies on the x axis; a closed one stays as it is."""
    x, y = points[-1]
    if hypot(x, y) < _TOUCH_MM:
        return points, headings
    angle = -atan2(y, x)
    turned = [(px * cos(angle) - py * sin(angle), px * sin(angle) + py * cos(angle)) for px, py in points]
    return turned, [heading + angle for heading in headings]


def _body(start: Point, end: Point, heading: float, side: float) -> Corners:
    """A column's rectangle: its seam line, then its other face, `side` mm to the left of the heading."""
    dx, dy = -side * sin(heading), side * cos(heading)
    return (start, end, (end[0] + dx, end[1] + dy), (start[0] + dx, start[1] + dy))


def _refuse_collisions(wall: Wall, bodies: tuple[Corners, ...]) -> None:
    """Raise PlanError when two columns that are no neighbours overlap (a closed ring's ends are)."""
    if not any(wall.plan.bends_deg):
        return
    boxes = [(min(x), max(x), min(y), max(y)) for x, y in (zip(*body, strict=True) for body in bodies)]
    closed = hypot(bodies[-1][1][0] - bodies[0][0][0], bodies[-1][1][1] - bodies[0][0][1]) < _TOUCH_MM
    around = len(bodies) - 1 if closed else 1
    for first, second in combinations(range(len(bodies)), 2):
        a, b = boxes[first], boxes[second]
        if second - first in (1, around) or a[1] < b[0] or b[1] < a[0] or a[3] < b[2] or b[3] < a[2]:
            continue
        if overlap_mm(bodies[first], bodies[second]) > _TOUCH_MM:
            message = f"columns {first + 1} and {second + 1} run into each other"
            raise PlanError((Problem("bends_deg", message, "Turn less, or over more seams."),))


def overlap_mm(first: Corners, second: Corners) -> float:
    """How deep two rectangles lie in each other, mm; 0 or less when they are apart.

    Separating axis theorem: the least overlap of their projections on the normals of their sides.
    """
    least = inf
    for axis in (*_axes(first), *_axes(second)):
        a = [x * axis[0] + y * axis[1] for x, y in first]
        b = [x * axis[0] + y * axis[1] for x, y in second]
        least = min(least, min(max(a), max(b)) - max(min(a), min(b)))
    return least


def _axes(corners: Corners) -> Iterator[Point]:
    """The unit normals of a rectangle's two directions."""
    for (x1, y1), (x2, y2) in ((corners[0], corners[1]), (corners[1], corners[2])):
        length = hypot(x2 - x1, y2 - y1)
        yield (-(y2 - y1) / length, (x2 - x1) / length)
