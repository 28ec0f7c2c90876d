"""A standing wall under a horizontal force: overturning both ways and sliding, at every height on the way.

Moments are taken about the front edge of the lowest row (towards the audience) and about the rear end of the
supports (away from it); ballast is taken to lie at that rear end, so it holds against the first and not
against the second. Weight = mass x 9.80665 m/s2 (standard gravity). There is no pass mark: what is enough is
for a competent person and local rules to say.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from seamwalk.domain.grid import cell_size_mm
from seamwalk.domain.plan_model import Horizontal
from seamwalk.domain.wall import Wall

G_N_PER_KG = 9.80665


@dataclass(frozen=True)
class Turning:
    """The moment that would tip the wall and the one that holds it, N m."""

    moment_nm: float
    resisting_nm: float

    @property
    def ratio(self) -> float | None:
        """Resisting over tipping; None without a force."""
        return self.resisting_nm / self.moment_nm if self.moment_nm else None


@dataclass(frozen=True)
class Height:
    """The wall built to a number of rows; sliding is None without a friction."""

    rows: int
    height_mm: float
    force_n: float
    to_audience: Turning
    from_audience: Turning
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


def stand(wall: Wall, horizontal: Horizontal) -> list[Height]:
    """Work out every height of a straight stacked wall; precondition: `missing_inputs` is empty."""
    return [_at_height(wall, horizontal, rows) for rows in range(1, wall.plan.rows + 1)]


def turning(weights: Sequence[tuple[float, float]], force_n: float, height_mm: float) -> Turning:
    """Moments of masses (kg, lever mm) against a force at a height."""
    resisting = sum(kg * G_N_PER_KG * lever_mm for kg, lever_mm in weights) / 1000
    return Turning(force_n * height_mm / 1000, resisting)


def _at_height(wall: Wall, horizontal: Horizontal, rows: int) -> Height:
    plan = wall.plan
    _, cell_h = cell_size_mm(plan)
    built = [tile for tile in wall.tiles if tile.row + tile.h - 1 <= rows]
    height = rows * cell_h
    area_m2 = sum(tile.type.width_mm * tile.type.height_mm for tile in built) / 1e6
    force = horizontal.pressure_n_m2 * area_m2
    supports = len(set(plan.support_columns or ()))
    behind = (plan.hardware.support_depth_mm or 0.0) if supports else 0.0
    ballast = supports * (plan.hardware.ballast_kg or 0.0)
    depth = max(tile.type.depth_mm for tile in wall.tiles)
    mass = sum(tile.type.mass_kg for tile in built)
    front = [(mass, depth / 2), (ballast, depth + behind)]
    rear = [(mass, depth / 2 + behind), (ballast, 0.0)]
    friction = plan.hardware.friction
    holds = None if friction is None else friction * (mass + ballast) * G_N_PER_KG
    to_audience, from_audience = (turning(weights, force, height / 2) for weights in (front, rear))
    return Height(rows, height, force, to_audience, from_audience, holds)
