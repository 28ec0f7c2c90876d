"""The parts of a build sheet, each as the JSON-ready keys that `model.py` publishes."""

from dataclasses import asdict
from math import pi, tan
from typing import Any

from seamwalk.domain.sheet.batches import Batches
from seamwalk.domain.sheet.cables import LINES, PAIRS
from seamwalk.domain.sheet.data import Data
from seamwalk.domain.sheet.figures import Figures
from seamwalk.domain.sheet.hang import Hanging
from seamwalk.domain.sheet.hardware import Hardware
from seamwalk.domain.sheet.mass import Mass
from seamwalk.domain.sheet.power import Power
from seamwalk.domain.sheet.spares import PARTS, Rate, rate_of, spares_needed
from seamwalk.domain.sheet.statics import HeightStatics
from seamwalk.domain.wall.curve import Curve
from seamwalk.domain.wall.grid import cell_size_mm
from seamwalk.domain.wall.plan_model import Hang, Plan, Supply
from seamwalk.domain.wall.wall import Wall

_ONE_MINUTE = pi / 180 / 60
_THOUSAND = 1000


def picture(wall: Wall) -> dict[str, Any]:
    """Tiles, pixels, pitch, from where single pixels merge, and the area."""
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


def size(wall: Wall, bent: Curve) -> dict[str, Any]:
    """Rolled out flat, and as built."""
    plan = wall.plan
    cell_w, cell_h = cell_size_mm(plan)
    across, deep = bent.extent_mm()
    behind = plan.hardware.support_depth_mm if plan.support_columns else 0.0
    height = plan.rows * cell_h
    return {
        "size_mm": {"width": plan.columns * cell_w, "height": height},
        "built_mm": {"width": across, "depth": None if behind is None else deep + behind, "height": height},
    }


def chain(bent: Curve) -> dict[str, Any]:
    """The wall from above."""
    found = asdict(bent)
    found["bodies_mm"] = found.pop("bodies")
    return found


def counts(hardware: Hardware) -> dict[str, Any]:
    """Joints and parts."""
    counted = asdict(hardware)
    counted["tiles_by_type"] = counted.pop("tiles")
    return counted


def masses(mass: Mass) -> dict[str, Any]:
    """Masses, whole and by column."""
    return {
        "tiles": mass.tiles_kg,
        "hardware": mass.hardware_kg,
        "total": mass.total_kg,
        "columns": list(mass.columns_kg),
    }


def bars(figures: Figures) -> list[dict[str, Any]]:
    """Each bar with the tiles' mass on it, and what it presses on the floor with."""
    found = []
    for i, bar in enumerate(figures.wall.bars):
        pressure = figures.pressures[i] if figures.pressures else None
        own = {
            "bar": bar.id,
            "column": bar.column,
            "columns": bar.columns,
            "tiles_kg": figures.mass.bars_kg[i],
        }
        pressed = {
            "kpa": pressure and pressure.kpa,
            "edge_kpa": pressure and pressure.edge_kpa,
        }
        found.append(own | pressed)
    return found


def power(planned: Power, supply: Supply | None) -> dict[str, Any]:
    """The supply."""
    phases = planned.phases
    names = PAIRS if supply is not None and supply.connection == "LL" else LINES
    return {
        "max_w": planned.max_w,
        "typical_w": planned.typical_w,
        "circuit_w": planned.circuit_w,
        "tiles_per_circuit": max(len(circuit.tiles) for circuit in planned.circuits),
        "circuits": [
            {
                "tiles": [tile.id for tile in circuit.tiles],
                "max_w": circuit.max_w,
                "a": circuit.amperes,
                "inrush_a": circuit.inrush_a,
                "leakage_ma": circuit.leakage_ma,
                "drop_v": circuit.drop_v,
                "phase": circuit.place + 1,
                "line": phases and names[circuit.place],
            }
            for circuit in planned.circuits
        ],
        "phase_a": phases and dict(zip(LINES, phases.line_a, strict=True)),
        "neutral_a": phases and phases.neutral_a,
        "phases_exact": phases and phases.exact,
        "phases_bound_a": phases and phases.bound_a,
        "phases_gap_a": phases and max(phases.line_a) - phases.bound_a,
        "drop_v": planned.drop_v,
        "inrush_a": planned.inrush_a,
        "leakage_ma": planned.leakage_ma,
        "heat_btu_h": planned.heat_btu_h,
    }


def data(planned: Data) -> dict[str, Any]:
    """The data runs; backup ports are numbered on from the others."""
    runs = [[tile.id for tile in run] for run in planned.runs]
    return {
        "port_px": planned.port_px,
        "tiles_per_port": max(len(run) for run in runs),
        "ports": planned.ports,
        "runs": runs,
        "backup_ports": list(range(len(runs) + 1, planned.ports + 1)) or None,
    }


def hang(given: Hang, hanging: Hanging) -> dict[str, Any]:
    """The points: computed, one slack at a time, and read."""
    slack = [{"slack_point": i, "points_kg": list(shares)} for i, shares in enumerate(hanging.slack, start=1)]
    read = given.measured_kg
    return {
        "points_kg": list(hanging.points_kg),
        "total_kg": hanging.total_kg,
        "slack": slack,
        "measured_kg": read,
        "measured_total_kg": None if read is None else sum(read),
        "differences_kg": hanging.differences_kg and list(hanging.differences_kg),
        "rated_kg": given.rated_kg,
    }


def statics(heights: list[HeightStatics]) -> list[dict[str, Any]]:
    """The wall at every height on the way."""
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
        for built in heights
    ]


def batches(placed: Batches) -> dict[str, Any]:
    """Which tiles come out of which case, and what meets."""
    return {
        "placings": [
            {"case": p.case.case, "batch": p.case.batch, "tile": p.case.tile, "tiles": list(p.tiles)}
            for p in placed.placings
        ],
        "short": placed.short,
        "borders": placed.borders,
        "meetings": [{**asdict(meeting), "cases": list(meeting.cases)} for meeting in placed.meetings],
    }


def spares(figures: Figures) -> dict[str, int] | None:
    """Spare parts by part and tile type, and by colour batch where the cases' batches are given."""
    plan = figures.wall.plan
    if plan.spares is None:
        return None
    wanted, types = plan.spares, plan.tile_types()
    left = figures.hardware.tiles if figures.batches is None else figures.batches.short
    groups: dict[tuple[str, ...], int] = {(key,): count for key, count in left.items()}
    if figures.batches is not None:
        groups.update(figures.batches.counts())
    found = {}
    for of, count in groups.items():
        modules = types[of[0]].modules.columns * types[of[0]].modules.rows
        for part, number in (("module", count * modules), ("electronics_unit", count)):
            rate, minimum = rate_of(part, wanted), wanted.minimum.get(part, 0)
            name = "/".join((part, *of))
            per_day = rate.per_day if rate else 0.0
            found[name] = spares_needed(number, per_day, wanted.days, wanted.confidence, minimum)
    return found


def spares_rates(plan: Plan) -> dict[str, dict[str, Any]] | None:
    """What the spares were counted with, in failures per 1,000 parts and days, and where that is from."""
    if plan.spares is None:
        return None
    rates = {part: rate_of(part, plan.spares) for part in PARTS}
    return {part: _rate_keys(rate) for part, rate in rates.items() if rate is not None}


def _rate_keys(rate: Rate) -> dict[str, Any]:
    interval = rate.interval
    return {
        "source": rate.source,
        "per_1000_days": rate.per_day * _THOUSAND,
        "low": interval and interval.low * _THOUSAND,
        "high": interval and interval.high * _THOUSAND,
        "failures": rate.learned and rate.learned.failures,
    }
