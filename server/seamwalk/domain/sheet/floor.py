"""The floor under a wall: its high spot and the shims from it, and what the bars press on it with.

Pressure under a strip of depth B and length L that carries N with a moment M, e = M / N: while all of it
presses (e up to B / 6, the kern of a rectangle) N / (B L) (1 + 6 e / B); beyond that 2 N / (3 L (B/2 - e));
from e = B / 2 on it overturns.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from seamwalk.domain.sheet.mass import Mass
from seamwalk.domain.sheet.statics import G_N_PER_KG
from seamwalk.domain.wall.bars import Bar
from seamwalk.domain.wall.grid import cell_size_mm
from seamwalk.domain.wall.plan_model import FloorLevel
from seamwalk.domain.wall.wall import Wall
from seamwalk.errors import PlanError, Problem


@dataclass(frozen=True)
class Shim:
    """How much goes under a bar's left and right end to bring it up to the high spot, mm."""

    bar: str
    left_mm: float
    right_mm: float


def shims(bars: tuple[Bar, ...], level: FloorLevel) -> tuple[Shim, ...]:
    """What each bar needs; where the way up to the level line is shortest the floor is highest.

    Raise PlanError when there is not one pair of readings for each bar.
    """
    if len(level.to_line_mm) != len(bars):
        message = f"{len(level.to_line_mm)} pairs for {len(bars)} bars"
        remedy = "Give one pair for each bar from the audience's left."
        raise PlanError((Problem("floor_level.to_line_mm", message, remedy),))
    high = min(mm for pair in level.to_line_mm for mm in pair)
    pairs = zip(bars, level.to_line_mm, strict=True)
    return tuple(Shim(bar.id, left - high, right - high) for bar, (left, right) in pairs)


def edge_pressure_kpa(force_kn: float, moment_knm: float, depth_m: float, length_m: float) -> float | None:
    """The largest pressure (kPa) under a strip's edge, force in kN, moment in kN m; None if it overturns."""
    if moment_knm == 0:
        return force_kn / (depth_m * length_m)
    off_m = abs(moment_knm) / force_kn if force_kn else depth_m
    if off_m >= depth_m / 2:
        return None
    if off_m <= depth_m / 6:
        return force_kn / (depth_m * length_m) * (1 + 6 * off_m / depth_m)
    return 2 * force_kn / (3 * length_m * (depth_m / 2 - off_m))


@dataclass(frozen=True)
class Pressure:
    """Under one bar, kPa: at rest, and under its edge while the horizontal force acts.

    `edge_kpa` is None without a force, and where rear supports take part of it; `overturns` says that the bar
    alone would not hold it.
    """

    kpa: float
    edge_kpa: float | None
    overturns: bool


def bar_pressures(wall: Wall, mass: Mass) -> tuple[Pressure, ...] | None:
    """The pressure of each base bar on the floor; None unless ground-stacked with a bar's depth and mass."""
    plan = wall.plan
    depth_mm, own_kg = plan.hardware.base_bar_depth_mm, plan.hardware.base_bar_kg
    if plan.support != "stacked" or depth_mm is None or own_kg is None:
        return None
    cell_w, _ = cell_size_mm(plan)
    moments = _moments_knm(wall)
    found = []
    for bar, tiles_kg, moment in zip(wall.bars, mass.bars_kg, moments, strict=True):
        force_kn = (tiles_kg + own_kg) * G_N_PER_KG / 1000
        area = depth_mm / 1000, bar.columns * cell_w / 1000
        at_rest = edge_pressure_kpa(force_kn, 0, *area) or 0.0
        edge = edge_pressure_kpa(force_kn, moment, *area) if moment else None
        found.append(Pressure(at_rest, edge, bool(moment) and edge is None))
    return tuple(found)


def _moments_knm(wall: Wall) -> list[float]:
    """The horizontal force's moment on each bar; 0 for all where rear supports share it."""
    plan = wall.plan
    if plan.horizontal is None or plan.support_columns or any(plan.bends_deg):
        return [0.0] * len(wall.bars)
    cell_w, cell_h = cell_size_mm(plan)
    height_m = plan.rows * cell_h / 1000
    by_area = plan.horizontal.pressure_n_m2 / 1000 * height_m * height_m / 2
    return [by_area * bar.columns * cell_w / 1000 for bar in wall.bars]


def floor_warnings(wall: Wall, mass: Mass, pressures: tuple[Pressure, ...] | None) -> Iterator[str]:
    """Bars that press harder than the floor may take, and feet over their rating."""
    hardware = wall.plan.hardware
    for bar, pressure in zip(wall.bars, pressures or (), strict=False):
        if pressure.overturns:
            yield f"bar {bar.id}: tips on its own depth under the horizontal force"
        most = max(pressure.kpa, pressure.edge_kpa or 0.0)
        if hardware.floor_limit_kpa is not None and most > hardware.floor_limit_kpa:
            yield f"bar {bar.id}: {most:.1f} kPa is over the floor's {hardware.floor_limit_kpa:g}"
    if wall.plan.support == "floor" and hardware.foot_rated_kg is not None:
        for bar, kg in zip(wall.bars, mass.bars_kg, strict=True):
            if kg > hardware.foot_rated_kg:
                yield f"foot {bar.id}: {kg:.0f} kg is over its rated {hardware.foot_rated_kg:g}"
