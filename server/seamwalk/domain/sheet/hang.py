"""A wall on its hanging points: computed shares, one point slack at a time, and what the load cells say."""

from collections.abc import Iterator
from dataclasses import dataclass

from seamwalk.domain.sheet.beam import Strip, reactions_kg
from seamwalk.domain.sheet.mass import Mass
from seamwalk.domain.wall.grid import cell_size_mm
from seamwalk.domain.wall.plan_model import Hang
from seamwalk.domain.wall.wall import Wall


@dataclass(frozen=True)
class Hanging:
    """Shares in kg, hoists included; `slack` has one case for each point that carries nothing.

    `differences_kg` are the load cells' readings less the computed shares, None where nothing was read.
    """

    points_kg: tuple[float, ...]
    slack: tuple[tuple[float, ...], ...]
    differences_kg: tuple[float, ...] | None

    @property
    def total_kg(self) -> float:
        """What all points carry together."""
        return sum(self.points_kg)


def point_loads(wall: Wall, hang: Hang, mass: Mass, bar_kg: float) -> Hanging:
    """The load on each hanging point of a straight wall (kg, hoist included); `bar_kg` is one bar's own mass.

    A continuous beam over level points (`beam.py`), whole and with each point slack in turn. A negative load
    is a point that would be lifted. Precondition: no bends; `hang.points_mm` sorted, no two alike.
    """
    points, loads = hang.points_mm, _loads(wall, hang, mass, bar_kg)
    shares = tuple(kg + hang.hoist_kg for kg in reactions_kg(points, loads))
    slack = []
    for i in range(len(points) if len(points) > 1 else 0):
        left = [kg + hang.hoist_kg for kg in reactions_kg(points[:i] + points[i + 1 :], loads)]
        slack.append((*left[:i], 0.0, *left[i:]))
    read = hang.measured_kg
    differences = None if read is None else tuple(m - c for m, c in zip(read, shares, strict=True))
    return Hanging(shares, tuple(slack), differences)


def _loads(wall: Wall, hang: Hang, mass: Mass, bar_kg: float) -> list[Strip]:
    """The columns, and the bars with their cables as one even load over the length (mm, kg)."""
    cell_w, _ = cell_size_mm(wall.plan)
    length = wall.plan.columns * cell_w
    columns = [Strip(i * cell_w, (i + 1) * cell_w, kg) for i, kg in enumerate(mass.columns_kg)]
    along = len(wall.bars) * bar_kg + hang.cable_kg_per_m * length / 1000
    return [*columns, Strip(0, length, along)]


def hang_warnings(hang: Hang, hanging: Hanging) -> Iterator[str]:
    """Points that would be lifted, and those over their rating: computed, slack and read."""
    cases = [("", hanging.points_kg)]
    cases += [(f" with point {i} slack", shares) for i, shares in enumerate(hanging.slack, start=1)]
    if hang.measured_kg is not None:
        cases.append((" on its load cell", tuple(hang.measured_kg)))
    for name, shares in cases:
        for i, kg in enumerate(shares):
            if kg < 0:
                yield f"hang.points_mm[{i}]: would be lifted{name}"
            elif hang.rated_kg and kg > hang.rated_kg[i]:
                yield f"hang.points_mm[{i}]: {kg:.0f} kg is over its rated {hang.rated_kg[i]:g}{name}"
