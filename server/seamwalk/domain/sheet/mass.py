"""What a wall weighs, column by column, and where its centre of mass is.

Frame of the centre: x along the chord from the audience's left end, y towards the audience from the chord,
height from the underside of the lowest row; mm. A tile's mass is taken to sit in the middle of its body.
A column that no bar carries (over an opening) rests on the nearest carried columns beside it, by the law of
the lever.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from seamwalk.domain.sheet.hardware import Hardware
from seamwalk.domain.wall.curve import Curve, Point
from seamwalk.domain.wall.grid import PlacedTile, cell_size_mm
from seamwalk.domain.wall.plan_model import Plan
from seamwalk.domain.wall.wall import Wall


@dataclass(frozen=True)
class Mass:
    """Masses in kg; hardware and total are None where a weight is not given, and `missing` names it.

    `bars_kg` is what each bar carries in tiles, without the bar itself.
    """

    tiles_kg: float
    columns_kg: tuple[float, ...]
    bars_kg: tuple[float, ...]
    hardware_kg: float | None
    missing: tuple[str, ...]
    centre_mm: tuple[float, float, float]

    @property
    def total_kg(self) -> float | None:
        """Tiles and hardware together."""
        return None if self.hardware_kg is None else self.tiles_kg + self.hardware_kg


def wall_mass(wall: Wall, curve: Curve, hardware: Hardware) -> Mass:
    """The masses of a wall (kg) and its centre of mass (mm, in the frame of this module).

    A wide tile's mass is spread evenly over its columns. The centre is that of the tiles alone.
    """
    columns = [0.0] * wall.plan.columns
    for tile in wall.tiles:
        for column in range(tile.column, tile.column + tile.w):
            columns[column - 1] += tile.type.mass_kg / tile.w
    stated = wall.plan.hardware
    field, one_bar_kg = bar_kg(wall.plan)
    wanted = (
        (field, hardware.base_bars, one_bar_kg),
        ("hardware.clamp_kg", hardware.clamps, stated.clamp_kg),
        ("hardware.support_kg", hardware.supports, stated.support_kg),
    )
    missing = tuple(field for field, count, kg in wanted if count and kg is None)
    parts = None if missing else sum(count * (kg or 0.0) for _, count, kg in wanted)
    tiles = sum(tile.type.mass_kg for tile in wall.tiles)
    bars = _bars_kg(wall, columns)
    return Mass(tiles, tuple(columns), bars, parts, missing, _centre(wall, curve, tiles))


def bar_kg(plan: Plan) -> tuple[str, float | None]:
    """The plan's field for a bar's own mass, and what it says."""
    if plan.support == "flown" and plan.hang is not None and plan.hang.bar_kg is not None:
        return "hang.bar_kg", plan.hang.bar_kg
    return "hang.bar_kg" if plan.support == "flown" else "hardware.base_bar_kg", plan.hardware.base_bar_kg


def _bars_kg(wall: Wall, columns_kg: Sequence[float]) -> tuple[float, ...]:
    """What each bar carries; a column between two bars is shared by the law of the lever."""
    bar_of = {c: i for i, bar in enumerate(wall.bars) for c in range(bar.column, bar.last_column + 1)}
    carried = sorted(bar_of)
    found = [0.0] * len(wall.bars)
    for column, kg in enumerate(columns_kg, start=1):
        left = max((c for c in carried if c <= column), default=carried[0])
        right = min((c for c in carried if c >= column), default=carried[-1])
        share = (column - left) / (right - left) if left < right else 0.0
        found[bar_of[left]] += kg * (1 - share)
        found[bar_of[right]] += kg * share
    return tuple(found)


def _centre(wall: Wall, curve: Curve, total_kg: float) -> tuple[float, float, float]:
    _, cell_h = cell_size_mm(wall.plan)
    x = y = height = 0.0
    for tile in wall.tiles:
        at = _middle(tile, curve)
        x += tile.type.mass_kg * at[0]
        y += tile.type.mass_kg * at[1]
        height += tile.type.mass_kg * (tile.row - 1 + tile.h / 2) * cell_h
    return (x / total_kg, y / total_kg, height / total_kg)


def _middle(tile: PlacedTile, curve: Curve) -> Point:
    bodies = curve.bodies[tile.column - 1 : tile.column - 1 + tile.w]
    corners = [corner for body in bodies for corner in body]
    return (sum(x for x, _ in corners) / len(corners), sum(y for _, y in corners) / len(corners))
