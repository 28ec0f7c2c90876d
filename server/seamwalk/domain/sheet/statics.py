"""A standing wall under a horizontal force: overturning both ways and sliding, at every height on the way.

The wall is taken as one rigid body, bent or straight. Its footprint is the convex hull of the columns that
stand on bars and of the ends of the rear supports, where the ballast is taken to lie. The force acts across
the chord, on each column by the cosine of its angle to it, at half the built height. It tips the wall about
an edge of the footprint: tipping moment = force x height / 2 x the part of the force across that edge,
holding moment = sum of weight x distance from the edge; the edge with the least ratio governs.
Weight = mass x 9.80665 m/s2 (standard gravity). There is no pass mark: what is enough is for a competent
person and local rules to say.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import hypot, inf

from seamwalk.domain.wall.curve import Corners, Curve, Point
from seamwalk.domain.wall.grid import PlacedTile, cell_size_mm
from seamwalk.domain.wall.plan_model import Horizontal
from seamwalk.domain.wall.wall import Wall

G_N_PER_KG = 9.80665
_ALONG = 1e-9


@dataclass(frozen=True)
class Overturning:
    """The moment that would tip the wall and the one that holds it, N m."""

    moment_nm: float
    resisting_nm: float

    @property
    def ratio(self) -> float | None:
        """Resisting over tipping; None without a force."""
        return self.resisting_nm / self.moment_nm if self.moment_nm else None


@dataclass(frozen=True)
class HeightStatics:
    """The wall built to a number of rows; sliding is None without a friction."""

    rows: int
    height_mm: float
    force_n: float
    to_audience: Overturning
    from_audience: Overturning
    sliding_n: float | None

    @property
    def sliding_ratio(self) -> float | None:
        """What friction holds over the force."""
        return None if self.sliding_n is None or not self.force_n else self.sliding_n / self.force_n


def missing_inputs(wall: Wall) -> list[str]:
    """The fields that statics need and that the plan does not give."""
    plan = wall.plan
    fields = [] if plan.horizontal else ["horizontal"]
    if plan.support_columns:
        named = ("support_depth_mm", "ballast_kg")
        fields += [f"hardware.{name}" for name in named if getattr(plan.hardware, name) is None]
    return fields


def statics_by_height(wall: Wall, curve: Curve, horizontal: Horizontal) -> list[HeightStatics]:
    """Overturning and sliding of a ground-stacked wall at 1 to `rows` built rows, in that order.

    Precondition: `missing_inputs` is empty.
    """
    return [_at_height(wall, curve, horizontal, rows) for rows in range(1, wall.plan.rows + 1)]


def overturning(weights: Sequence[tuple[float, float]], force_n: float, height_mm: float) -> Overturning:
    """The overturning moment of a force (N at mm) and the resisting moment of masses (kg, lever mm), N m."""
    resisting = sum(kg * G_N_PER_KG * lever_mm for kg, lever_mm in weights) / 1000
    return Overturning(force_n * height_mm / 1000, resisting)


def _at_height(wall: Wall, curve: Curve, horizontal: Horizontal, rows: int) -> HeightStatics:
    plan = wall.plan
    _, cell_h = cell_size_mm(plan)
    height = rows * cell_h
    built = [tile for tile in wall.tiles if tile.row + tile.h - 1 <= rows]
    masses = [(tile.type.mass_kg / tile.w, body) for tile in built for body in _bodies(tile, curve)]
    ends = _support_ends(wall, curve)
    ballast = [(plan.hardware.ballast_kg or 0.0, end) for end in ends]
    placed = [*((kg, _middle(body)) for kg, body in masses), *ballast]
    force = horizontal.pressure_n_m2 * sum(_across_m2(tile, curve) for tile in built)
    carried = [curve.bodies[c - 1] for bar in wall.bars for c in range(bar.column, bar.last_column + 1)]
    hull = convex_hull([*(corner for body in carried for corner in body), *ends])
    friction = plan.hardware.friction
    weight = sum(kg for kg, _ in placed) * G_N_PER_KG
    towards, away = (_governing_edge(hull, placed, force, height / 2, way) for way in (1, -1))
    return HeightStatics(rows, height, force, towards, away, None if friction is None else friction * weight)


def _governing_edge(
    hull: Sequence[Point], placed: Sequence[tuple[float, Point]], force_n: float, height_mm: float, way: int
) -> Overturning:
    """The tipping edge with the least ratio for a force towards the audience (1) or away from it (-1)."""
    found: list[Overturning] = []
    for (x1, y1), (x2, y2) in pairwise([*hull, hull[0]]):
        length = hypot(x2 - x1, y2 - y1)
        out_x, out_y = (y2 - y1) / length, (x1 - x2) / length
        across = out_y * way
        if across > _ALONG:
            weights = [(kg, (x1 - x) * out_x + (y1 - y) * out_y) for kg, (x, y) in placed]
            found.append(overturning(weights, force_n * across, height_mm))
    return min(found, key=lambda edge: inf if edge.ratio is None else edge.ratio)


def convex_hull(points: Sequence[Point]) -> list[Point]:
    """The corners around a set of points, counter-clockwise (Andrew's monotone chain)."""
    ordered = sorted(set(points))

    def half(way: Sequence[Point]) -> list[Point]:
        chain: list[Point] = []
        for x, y in way:
            while len(chain) > 1 and _cross_product(chain[-2], chain[-1], (x, y)) <= _ALONG:
                chain.pop()
            chain.append((x, y))
        return chain[:-1]

    return half(ordered) + half(ordered[::-1])


def _cross_product(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def _bodies(tile: PlacedTile, curve: Curve) -> Sequence[Corners]:
    return curve.bodies[tile.column - 1 : tile.column - 1 + tile.w]


def _middle(points: Sequence[Point]) -> Point:
    return sum(x for x, _ in points) / len(points), sum(y for _, y in points) / len(points)


def _across_m2(tile: PlacedTile, curve: Curve) -> float:
    """A tile's face as the force across the chord sees it."""
    share = tile.type.width_mm * tile.type.height_mm / 1e6 / tile.w
    return sum(share * abs(_facing(body)[1]) for body in _bodies(tile, curve))


def _facing(body: Corners) -> Point:
    """The unit vector from a column's seam line to its other face."""
    dx, dy = body[3][0] - body[0][0], body[3][1] - body[0][1]
    depth = hypot(dx, dy)
    return dx / depth, dy / depth


def _support_ends(wall: Wall, curve: Curve) -> list[Point]:
    """Where the rear supports end, behind the middles of their columns."""
    found = []
    for column in sorted(set(wall.plan.support_columns or ())):
        body = curve.bodies[column - 1]
        from_rear = wall.plan.tile.bend_pivot == "rear"
        x, y = _middle(body[:2] if from_rear else body[2:])
        dx, dy = _facing(body)
        back = (wall.plan.hardware.support_depth_mm or 0.0) * (-1 if from_rear else 1)
        found.append((x + dx * back, y + dy * back))
    return found
