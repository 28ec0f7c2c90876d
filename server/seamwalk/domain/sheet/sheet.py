"""The build sheet: every figure of a wall from one plan, as JSON-ready keys.

A figure whose inputs are missing is None and stands in `left_out` with the field that it needs. Structural
figures are indicative; `cautions` name what they rest on.
"""

from dataclasses import asdict
from typing import Any

from seamwalk.domain.sheet import parts
from seamwalk.domain.sheet.figures import Figures, calculate
from seamwalk.domain.sheet.remarks import cautions, left_out, warnings
from seamwalk.domain.wall.plan_model import Plan

SHEET_VERSION = 1
_DIGITS = 3
_DIGITS_UV = 5


def build_sheet(plan: Plan) -> dict[str, Any]:
    """Work out a plan's sheet; raise PlanError when it can not be built."""
    worked = calculate(plan)
    sheet = {"sheet": SHEET_VERSION, "name": plan.name, **_figures(worked)}
    sheet |= {"warnings": list(warnings(worked)), "cautions": cautions(plan), "left_out": left_out(worked)}
    return {key: _rounded(value, key) for key, value in sheet.items()}


def _figures(worked: Figures) -> dict[str, Any]:
    wall, mass = worked.wall, worked.mass
    return {
        **parts.picture(wall),
        **parts.size(wall, worked.curve),
        **parts.counts(worked.hardware),
        "mass_kg": parts.masses(mass),
        "centre_mm": dict(zip(("x", "y", "height"), mass.centre_mm, strict=True)),
        "bars": parts.bars(worked),
        "floor_level": worked.shims and [asdict(shim) for shim in worked.shims],
        "curve": parts.chain(worked.curve),
        "power": worked.power and parts.power(worked.power, wall.plan.supply),
        "data": worked.data and parts.data(worked.data),
        "hang": worked.hanging and wall.plan.hang and parts.hang(wall.plan.hang, worked.hanging),
        "statics": worked.statics and parts.statics(worked.statics),
        "batches": worked.batches and parts.batches(worked.batches),
        "spares": parts.spares(worked),
        "spares_rates": parts.spares_rates(wall.plan),
        "moisture": worked.moisture and asdict(worked.moisture),
    }


def _rounded(value: Any, name: str) -> Any:
    """Figures to a thousandth, differences in u'v' to a hundred thousandth: nothing is known closer."""
    if isinstance(value, float):
        return round(value, _DIGITS_UV if name.endswith("_uv") else _DIGITS) + 0.0
    if isinstance(value, dict):
        return {key: _rounded(inner, str(key)) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        return [_rounded(inner, name) for inner in value]
    return value
