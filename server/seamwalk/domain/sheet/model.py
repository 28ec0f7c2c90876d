"""The build sheet as it is published: its JSON Schema. Every key is always there, or null."""

from typing import Annotated, Any, Literal

from pydantic import Field

from seamwalk.domain.sheet.shapes import (
    Amount,
    Built,
    Caution,
    Centre,
    Joints,
    LeftOut,
    Number,
    Pitch,
    Pixels,
    SheetBar,
    SheetBatches,
    SheetCurve,
    SheetData,
    SheetHang,
    SheetMass,
    SheetMoisture,
    SheetPower,
    SheetRate,
    SheetShim,
    Size,
    Standing,
)
from seamwalk.domain.wall.plan_model import Part


class Sheet(Part):
    """Every figure of a wall. Columns count from 1 at the audience's left, rows from 1 at the bottom."""

    sheet: Annotated[Literal[1], Field(description="The version of this shape.")]
    name: str
    tiles: Number
    tiles_by_type: dict[str, Number]
    pixels: Pixels
    pitch_mm: Pitch
    viewing_m: Annotated[float, Field(description="Beyond it the pitch is under 1 arc minute.")]
    area_m2: Amount
    size_mm: Size
    built_mm: Built
    joints: Joints
    locks: Number
    angle_pieces: Annotated[dict[str, Number], Field(description="By their angle in degrees.")]
    clamps: Number
    supports: Number
    base_bars: Number
    cases: Annotated[dict[str, Number], Field(description="By tile type.")]
    mass_kg: SheetMass
    centre_mm: Centre
    bars: list[SheetBar]
    floor_level: list[SheetShim] | None
    curve: SheetCurve
    power: SheetPower | None
    data: SheetData | None
    hang: SheetHang | None
    statics: list[Standing] | None
    batches: SheetBatches | None
    spares: Annotated[
        dict[str, Number] | None,
        Field(description="By part/tile type, or part/tile type/batch where cases are given."),
    ]
    spares_rates: Annotated[dict[str, SheetRate] | None, Field(description="By part.")]
    moisture: SheetMoisture | None
    warnings: list[str]
    cautions: list[Caution]
    left_out: list[LeftOut]


def sheet_json_schema() -> dict[str, Any]:
    """The sheet's JSON Schema."""
    return Sheet.model_json_schema()
