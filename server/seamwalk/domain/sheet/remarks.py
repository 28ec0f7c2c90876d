"""What a build sheet says besides figures: what to look at, what to mind, and what is left out and why."""

from collections.abc import Iterator

from seamwalk.domain.sheet.batches import Batches
from seamwalk.domain.sheet.figures import Figures
from seamwalk.domain.sheet.floor import Shim, floor_warnings
from seamwalk.domain.sheet.hang import hang_warnings
from seamwalk.domain.sheet.mass import bar_kg
from seamwalk.domain.sheet.moisture import Moisture
from seamwalk.domain.sheet.power import RCD_SHARE, Power
from seamwalk.domain.sheet.rates import ENOUGH_FAILURES
from seamwalk.domain.sheet.spares import PARTS, failure_count
from seamwalk.domain.sheet.statics import missing_inputs
from seamwalk.domain.wall.plan_model import FloorLevel, Plan, Spares


def warnings(figures: Figures) -> Iterator[str]:
    """What somebody has to look at."""
    plan = figures.wall.plan
    yield from figures.wall.warnings
    yield from floor_warnings(figures.wall, figures.mass, figures.pressures)
    if figures.shims and plan.floor_level:
        yield from _shim_warnings(figures.shims, plan.floor_level)
    if figures.hanging and plan.hang:
        yield from hang_warnings(plan.hang, figures.hanging)
    if figures.power:
        yield from _leakage_warnings(plan, figures.power)
    if figures.batches:
        yield from _batch_warnings(plan, figures.batches)
    if figures.moisture:
        yield from _moisture_warnings(figures.moisture)


def _shim_warnings(needed: tuple[Shim, ...], level: FloorLevel) -> Iterator[str]:
    for shim in needed:
        for end, mm in (("left", shim.left_mm), ("right", shim.right_mm)):
            if level.shim_max_mm is not None and mm > level.shim_max_mm:
                most = f"over the {level.shim_max_mm:g} of shims"
                yield f"bar {shim.bar}: {mm:g} mm under its {end} end, {most}"


def _leakage_warnings(plan: Plan, power: Power) -> Iterator[str]:
    """Circuits whose protective conductor current alone may trip their RCD (BS 7671 531.3.2: 30 % of it)."""
    if plan.supply is None or plan.supply.rcd_ma is None:
        return
    for number, circuit in enumerate(power.circuits, start=1):
        if circuit.leakage_ma is not None and circuit.leakage_ma > RCD_SHARE * plan.supply.rcd_ma:
            yield (
                f"circuit {number}: {circuit.leakage_ma:.1f} mA of protective conductor current is over 30 % "
                f"of the RCD's {plan.supply.rcd_ma:g} mA"
            )


def _batch_warnings(plan: Plan, placed: Batches) -> Iterator[str]:
    for key, count in placed.short.items():
        yield f"stock.cases: no case for tiles of {key}: {count}"
    for meeting in placed.meetings:
        if meeting.over and plan.stock:
            figures = f"{meeting.delta_uv:.4f} u'v'"
            figures += "" if meeting.delta_e00 is None else f", {meeting.delta_e00:.1f} CIEDE2000"
            cases = " and ".join(meeting.cases)
            yield f"cases {cases} meet (joints: {meeting.joints}) and differ by {figures}: over your guide"


def _moisture_warnings(found: Moisture) -> Iterator[str]:
    if not found.wait:
        return
    when = ""
    if found.not_before_min is not None:
        when = f", as it warms about {found.not_before_min:.0f} minutes after the first reading"
    yield (
        f"do not power before the surface is over {found.power_from_c:.1f} C: it is {found.surface_c:.1f} C, "
        f"the dew point {found.dew_point_c:.1f} C{when}; read it again before power"
    )


def cautions(plan: Plan) -> list[dict[str, str | None]]:
    """Keys of the texts, each with what its figures rest on."""
    found = [("structure", plan.reference), ("height", None)]
    if plan.supply:
        found.append(("mains", None))
    if plan.horizontal:
        found.append(("standing", plan.horizontal.reference))
    if plan.hang:
        found.append(("lifting", plan.hang.reference))
    if plan.support != "flown" and plan.hardware.floor_limit_kpa is not None:
        found.append(("floor", plan.hardware.reference))
    if plan.stock:
        found.append(("colour", None))
    if plan.climate:
        found.append(("moisture", plan.climate.reference))
    return [{"key": key, "rests_on": rests_on} for key, rests_on in found]


def left_out(figures: Figures) -> list[dict[str, str]]:
    """Figures that are not there, each with the field that it needs."""
    plan = figures.wall.plan
    reasons = [("mass_kg.hardware", field) for field in figures.mass.missing]
    if plan.support_columns and plan.hardware.support_depth_mm is None:
        reasons.append(("built_mm.depth", "hardware.support_depth_mm"))
    for figure in ("power", "data"):
        field = {"power": "supply", "data": "signal"}[figure]
        if getattr(plan, field) is None:
            reasons.append((figure, field))
    optional = (("spares", "spares"), ("batches", "stock"), ("moisture", "climate"))
    reasons += [(figure, field) for figure, field in optional if getattr(plan, field) is None]
    reasons += _rate_reasons(plan.spares) if plan.spares else []
    reasons += _hang_reasons(plan) if plan.support == "flown" else _floor_reasons(figures)
    for field in figures.power.missing if figures.power else ():
        figure = field.rpartition(".")[2] if field.startswith("tile.") else "drop_v"
        reasons.append((f"power.{figure}", field))
    return [{"figure": figure, "needs": field} for figure, field in reasons]


def _rate_reasons(wanted: Spares) -> Iterator[tuple[str, str]]:
    """Parts whose spares are the minimum alone: no rate is given, and too few failures were counted."""
    for part in PARTS:
        learned = failure_count(part, wanted)
        if part not in wanted.rates and learned is not None and not learned.is_enough:
            counted = f"{learned.failures} failures are counted, from {ENOUGH_FAILURES} on they are enough"
            yield f"spares_rates.{part}", f"spares.rates.{part}: {counted}"


def _hang_reasons(plan: Plan) -> Iterator[tuple[str, str]]:
    if plan.hang is None:
        yield "hang", "hang"
    elif any(plan.bends_deg):
        yield "hang", "a straight bar: this wall's bends_deg break it"
    elif bar_kg(plan)[1] is None:
        yield "hang", "hang.bar_kg"


def _floor_reasons(figures: Figures) -> Iterator[tuple[str, str]]:
    plan = figures.wall.plan
    if plan.floor_level is None:
        yield "floor_level", "floor_level"
    if plan.support != "stacked":
        return
    hardware = plan.hardware
    for field in ("base_bar_depth_mm", "base_bar_kg"):
        if getattr(hardware, field) is None:
            yield "bars.kpa", f"hardware.{field}"
    for field in missing_inputs(figures.wall):
        yield "statics", field
    if hardware.friction is None:
        yield "statics.sliding_n", "hardware.friction"
