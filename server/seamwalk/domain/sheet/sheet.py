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
    """Work out a plan's sheet; raise PlanError when it cannot be built."""
    figures = calculate(plan)
    sheet = {"sheet": SHEET_VERSION, "name": plan.name, **_figures(figures)}
    sheet |= {"warnings": list(warnings(figures)), "cautions": cautions(plan), "left_out": left_out(figures)}
    return {key: _rounded(value, key) for key, value in sheet.items()}


def _figures(figures: Figures) -> dict[str, Any]:
    wall, mass = figures.wall, figures.mass
    return {
        **parts.picture(wall),
        **parts.size(wall, figures.curve),
        **parts.counts(figures.hardware),
        "mass_kg": parts.masses(mass),
        "centre_mm": dict(zip(("x", "y", "height"), mass.centre_mm, strict=True)),
        "bars": parts.bars(figures),
        "floor_level": figures.shims and [asdict(shim) for shim in figures.shims],
        "curve": parts.chain(figures.curve),
        "power": figures.power and parts.power(figures.power, wall.plan.supply),
        "data": figures.data and parts.data(figures.data),
        "hang": figures.hanging and wall.plan.hang and parts.hang(wall.plan.hang, figures.hanging),
        "statics": figures.statics and parts.statics(figures.statics),
        "batches": figures.batches and parts.batches(figures.batches),
        "spares": parts.spares(figures),
        "spares_rates": parts.spares_rates(wall.plan),
        "moisture": figures.moisture and asdict(figures.moisture),
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
