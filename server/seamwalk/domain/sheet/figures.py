"""Everything that is calculated from a plan, before it becomes a sheet. None: its inputs are not given."""

from dataclasses import dataclass

from seamwalk.domain.checks.checks import wall_checks
from seamwalk.domain.sheet.batches import Batches, place_cases
from seamwalk.domain.sheet.data import Data, plan_data
from seamwalk.domain.sheet.floor import Pressure, Shim, bar_pressures, shims
from seamwalk.domain.sheet.hang import Hanging, point_loads
from seamwalk.domain.sheet.hardware import Hardware, count_hardware
from seamwalk.domain.sheet.mass import Mass, bar_kg, wall_mass
from seamwalk.domain.sheet.moisture import Moisture, moisture
from seamwalk.domain.sheet.power import Power, plan_power
from seamwalk.domain.sheet.statics import HeightStatics, missing_inputs, statics_by_height
from seamwalk.domain.wall.curve import Curve, curve
from seamwalk.domain.wall.plan_model import Plan
from seamwalk.domain.wall.wall import Wall, build_wall


@dataclass(frozen=True)
class Figures:
    """A wall and what follows from it."""

    wall: Wall
    curve: Curve
    hardware: Hardware
    mass: Mass
    pressures: tuple[Pressure, ...] | None
    shims: tuple[Shim, ...] | None
    power: Power | None
    data: Data | None
    hanging: Hanging | None
    statics: list[HeightStatics] | None
    batches: Batches | None
    moisture: Moisture | None


def calculate(plan: Plan) -> Figures:
    """Calculate all figures of a plan; raise PlanError when it cannot be built."""
    wall = build_wall(plan)
    bent = curve(wall)
    hardware = count_hardware(wall, wall_checks(wall))
    mass = wall_mass(wall, bent, hardware)
    return Figures(
        wall=wall,
        curve=bent,
        hardware=hardware,
        mass=mass,
        pressures=bar_pressures(wall, mass),
        shims=shims(wall.bars, plan.floor_level) if plan.floor_level else None,
        power=plan_power(wall, plan.supply) if plan.supply else None,
        data=plan_data(wall, plan.signal) if plan.signal else None,
        hanging=_hanging(wall, mass),
        statics=_statics(wall, bent),
        batches=place_cases(wall, plan.stock) if plan.stock else None,
        moisture=moisture(plan.climate) if plan.climate else None,
    )


def _hanging(wall: Wall, mass: Mass) -> Hanging | None:
    hang, one_bar_kg = wall.plan.hang, bar_kg(wall.plan)[1]
    if hang is None or one_bar_kg is None or any(wall.plan.bends_deg):
        return None
    return point_loads(wall, hang, mass, one_bar_kg)


def _statics(wall: Wall, bent: Curve) -> list[HeightStatics] | None:
    plan = wall.plan
    if plan.support != "stacked" or plan.horizontal is None or missing_inputs(wall):
        return None
    return statics_by_height(wall, bent, plan.horizontal)
