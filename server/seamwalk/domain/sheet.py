"""The build sheet: every figure of a wall from one plan, as JSON-ready keys.

A figure whose inputs are missing is None and stands in `left_out` with the field that it needs. Structural
figures are indicative; `cautions` name what they rest on.
"""

from dataclasses import asdict
from math import pi, tan
from typing import Any

from seamwalk.domain.beam import Strip, reactions_kg
from seamwalk.domain.checks import wall_checks
from seamwalk.domain.curve import Curve, curve
from seamwalk.domain.data import Data, plan_data
from seamwalk.domain.grid import cell_size_mm
from seamwalk.domain.hardware import Hardware, count_hardware
from seamwalk.domain.mass import Mass, weigh
from seamwalk.domain.plan_model import Hang, Plan
from seamwalk.domain.power import RCD_SHARE, Power, plan_power
from seamwalk.domain.spares import spares_needed
from seamwalk.domain.statics import missing_inputs, stand
from seamwalk.domain.wall import Wall, build_wall

SHEET_VERSION = 1
_ONE_MINUTE = pi / 180 / 60


def build_sheet(plan: Plan) -> dict[str, Any]:
    """Work out a plan's sheet; raise PlanError when it can not be built."""
    wall = build_wall(plan)
    bent = curve(wall)
    hardware = count_hardware(wall, wall_checks(wall))
    mass = weigh(wall, bent, hardware)
    power = plan_power(wall, plan.supply) if plan.supply else None
    data = plan_data(wall, plan.signal) if plan.signal else None
    hang = None if any(plan.bends_deg) else plan.hang
    sheet = {
        "sheet": SHEET_VERSION,
        "name": plan.name,
        **_picture(wall),
        **_size(wall, bent),
        **_counts(hardware),
        "mass_kg": {
            "tiles": mass.tiles_kg,
            "hardware": mass.hardware_kg,
            "total": mass.total_kg,
            "columns": list(mass.columns_kg),
        },
        "centre_mm": dict(zip(("x", "y", "height"), mass.centre_mm, strict=True)),
        "curve": _curve(bent),
        "power": power and _power(power),
        "data": data and _data(data),
        "hang": hang and _hang(wall, hang, mass),
        "statics": _statics(wall),
        "spares": _spares(plan, hardware),
        "warnings": [*wall.warnings, *_hang_warnings(wall, hang, mass), *_leakage_warnings(plan, power)],
        "cautions": _cautions(plan),
        "left_out": _left_out(wall, mass, power),
    }
    return {key: _rounded(value) for key, value in sheet.items()}


def _picture(wall: Wall) -> dict[str, Any]:
    plan = wall.plan
    cell_w, cell_h = cell_size_mm(plan)
    smallest = min(plan.tile_types().values(), key=lambda tile: tile.width_mm * tile.height_mm)
    pitch = {"x": smallest.width_mm / smallest.px_w, "y": smallest.height_mm / smallest.px_h}
    across = round(plan.columns * cell_w / pitch["x"])
    up = round(plan.rows * cell_h / pitch["y"])
    return {
        "tiles": len(wall.tiles),
        "pixels": {
            "width": across,
            "height": up,
            "total": sum(t.type.px_w * t.type.px_h for t in wall.tiles),
        },
        "pitch_mm": pitch,
        "viewing_m": min(pitch.values()) / tan(_ONE_MINUTE) / 1000,
        "area_m2": sum(t.type.width_mm * t.type.height_mm for t in wall.tiles) / 1e6,
    }


def _size(wall: Wall, bent: Curve) -> dict[str, Any]:
    plan = wall.plan
    cell_w, cell_h = cell_size_mm(plan)
    across, deep = bent.extent_mm()
    behind = plan.hardware.support_depth_mm if plan.support_columns else 0.0
    height = plan.rows * cell_h
    return {
        "size_mm": {"width": plan.columns * cell_w, "height": height},
        "built_mm": {"width": across, "depth": None if behind is None else deep + behind, "height": height},
    }


def _curve(bent: Curve) -> dict[str, Any]:
    told = asdict(bent)
    told["bodies_mm"] = told.pop("bodies")
    return told


def _counts(hardware: Hardware) -> dict[str, Any]:
    counted = asdict(hardware)
    counted["tiles_by_type"] = counted.pop("tiles")
    return counted


def _power(power: Power) -> dict[str, Any]:
    phases = power.phases
    return {
        "max_w": power.max_w,
        "typical_w": power.typical_w,
        "circuit_w": power.circuit_w,
        "tiles_per_circuit": max(len(circuit.tiles) for circuit in power.circuits),
        "circuits": [
            {
                "tiles": [tile.id for tile in circuit.tiles],
                "max_w": circuit.max_w,
                "a": circuit.amperes,
                "inrush_a": circuit.inrush_a,
                "leakage_ma": circuit.leakage_ma,
                "phase": circuit.place + 1,
            }
            for circuit in power.circuits
        ],
        "phase_a": phases and dict(zip(("L1", "L2", "L3"), phases.line_a, strict=True)),
        "neutral_a": phases and phases.neutral_a,
        "phases_exact": phases and phases.exact,
        "phases_bound_a": phases and phases.bound_a,
        "drop_v": power.drop_v,
        "inrush_a": power.inrush_a,
        "leakage_ma": power.leakage_ma,
        "heat_btu_h": power.heat_btu_h,
    }


def _data(data: Data) -> dict[str, Any]:
    runs = [[tile.id for tile in run] for run in data.runs]
    most = max(len(run) for run in runs)
    return {"port_px": data.port_px, "tiles_per_port": most, "ports": data.ports, "runs": runs}


def _hang_loads(wall: Wall, hang: Hang, mass: Mass) -> list[Strip]:
    """Columns, the bars and their cables, spread over the length."""
    cell_w, _ = cell_size_mm(wall.plan)
    length = wall.plan.columns * cell_w
    columns = [Strip(i * cell_w, (i + 1) * cell_w, kg) for i, kg in enumerate(mass.columns_kg)]
    along = len(wall.bars) * hang.bar_kg + hang.cable_kg_per_m * length / 1000
    return [*columns, Strip(0, length, along)]


def _hang(wall: Wall, hang: Hang, mass: Mass) -> dict[str, Any]:
    points = hang.points_mm
    loads = _hang_loads(wall, hang, mass)
    shares = [kg + hang.hoist_kg for kg in reactions_kg(points, loads)]
    slack = []
    for i in range(len(points) if len(points) > 1 else 0):
        left = [kg + hang.hoist_kg for kg in reactions_kg(points[:i] + points[i + 1 :], loads)]
        slack.append({"slack_point": i + 1, "points_kg": [*left[:i], 0.0, *left[i:]]})
    return {"points_kg": shares, "slack": slack, "measured_kg": hang.measured_kg, "rated_kg": hang.rated_kg}


def _hang_warnings(wall: Wall, hang: Hang | None, mass: Mass) -> list[str]:
    if hang is None:
        return []
    found = []
    figures = _hang(wall, hang, mass)
    cases = [("", figures["points_kg"])]
    cases += [(f" with point {case['slack_point']} slack", case["points_kg"]) for case in figures["slack"]]
    for name, shares in cases:
        for i, kg in enumerate(shares):
            if kg < 0:
                found.append(f"hang.points_mm[{i}]: would be lifted{name}")
            elif hang.rated_kg and kg > hang.rated_kg[i]:
                found.append(f"hang.points_mm[{i}]: {kg:.0f} kg is over its rated {hang.rated_kg[i]:g}{name}")
    return found


def _leakage_warnings(plan: Plan, power: Power | None) -> list[str]:
    """Circuits that may trip an RCD of their own by what always leaks (IEC 60364-5-53, 30 %, from memory)."""
    if power is None or plan.supply is None or plan.supply.rcd_ma is None:
        return []
    most_ma = RCD_SHARE * plan.supply.rcd_ma
    return [
        f"circuit {number}: {circuit.leakage_ma:.1f} mA always leak, over 30 % of an RCD's "
        f"{plan.supply.rcd_ma:g} mA"
        for number, circuit in enumerate(power.circuits, start=1)
        if circuit.leakage_ma is not None and circuit.leakage_ma > most_ma
    ]


def _statics(wall: Wall) -> list[dict[str, Any]] | None:
    plan = wall.plan
    if plan.support != "stacked" or plan.horizontal is None or _no_statics(wall):
        return None
    return [
        {
            "rows": built.rows,
            "height_mm": built.height_mm,
            "force_n": built.force_n,
            "to_audience": {**asdict(built.to_audience), "ratio": built.to_audience.ratio},
            "from_audience": {**asdict(built.from_audience), "ratio": built.from_audience.ratio},
            "sliding_n": built.sliding_n,
            "sliding_ratio": built.sliding_ratio,
        }
        for built in stand(wall, plan.horizontal)
    ]


def _no_statics(wall: Wall) -> list[str]:
    """What keeps statics from being worked out."""
    bent = ["a straight wall: bends_deg are for an engineer"] if any(wall.plan.bends_deg) else []
    return [*missing_inputs(wall), *bent]


def _spares(plan: Plan, hardware: Hardware) -> dict[str, int] | None:
    if plan.spares is None:
        return None
    wanted = plan.spares
    types = plan.tile_types()
    found = {}
    for key, count in hardware.tiles.items():
        modules = types[key].modules.columns * types[key].modules.rows
        for part, parts in (("module", count * modules), ("electronics_unit", count)):
            rate, minimum = wanted.rates.get(part, 0.0), wanted.minimum.get(part, 0)
            found[f"{part}/{key}"] = spares_needed(parts, rate, wanted.days, wanted.confidence, minimum)
    return found


def _cautions(plan: Plan) -> list[dict[str, str | None]]:
    """Keys of the texts, each with what its figures rest on."""
    found = [("structure", plan.reference), ("height", None)]
    if plan.supply:
        found.append(("mains", None))
    if plan.horizontal:
        found.append(("standing", plan.horizontal.reference))
    if plan.hang:
        found.append(("lifting", plan.hang.reference))
    return [{"key": key, "rests_on": rests_on} for key, rests_on in found]


def _left_out(wall: Wall, mass: Mass, power: Power | None) -> list[dict[str, str]]:
    plan = wall.plan
    reasons = [("mass_kg.hardware", field) for field in mass.missing]
    if plan.support_columns and plan.hardware.support_depth_mm is None:
        reasons.append(("built_mm.depth", "hardware.support_depth_mm"))
    for figure, field in (("power", "supply"), ("data", "signal"), ("spares", "spares")):
        if getattr(plan, field) is None:
            reasons.append((figure, field))
    if plan.support == "flown" and plan.hang is None:
        reasons.append(("hang", "hang"))
    if plan.support == "stacked":
        reasons += [("statics", field) for field in _no_statics(wall)]
        if plan.hardware.friction is None:
            reasons.append(("statics.sliding_n", "hardware.friction"))
    if plan.hang and any(plan.bends_deg):
        reasons.append(("hang", "a straight bar: this wall's bends_deg break it"))
    for field in power.missing if power else ():
        figure = field.rpartition(".")[2] if field.startswith("tile.") else "drop_v"
        reasons.append((f"power.{figure}", field))
    return [{"figure": figure, "needs": field} for figure, field in reasons]


def _rounded(value: Any) -> Any:
    """Figures to a thousandth: nothing of a plan is known closer."""
    if isinstance(value, float):
        return round(value, 3) + 0.0
    if isinstance(value, dict):
        return {key: _rounded(inner) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        return [_rounded(inner) for inner in value]
    return value
