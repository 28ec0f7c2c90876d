"""The build sheet as it is published: its JSON Schema. Every key is always there, or null."""

from typing import Annotated, Any, Literal

from pydantic import Field

from seamwalk.domain.plan_model import Part

Point = tuple[float, float]
Amount = Annotated[float, Field(ge=0)]
Number = Annotated[int, Field(ge=0)]
TileIds = Annotated[list[str], Field(description="In the order of the cable.")]


class Pixels(Part):
    """The raster that covers the grid at the finest pitch, and the pixels that are there."""

    width: Number
    height: Number
    total: Number


class Pitch(Part):
    """From pixel to pixel, mm; of the smallest tile type."""

    x: Amount
    y: Amount


class Size(Part):
    """Rolled out flat, mm."""

    width: Amount
    height: Amount


class Built(Part):
    """As it stands, mm: along the chord, across it with the rear supports, and up."""

    width: Amount
    depth: Amount | None
    height: Amount


class Joints(Part):
    """Joints by their kind."""

    side: Number
    stack: Number
    base: Number
    hang: Number


class SheetMass(Part):
    """Mass in kg; `columns` are the tiles of each column from the audience's left."""

    tiles: Amount
    hardware: Amount | None
    total: Amount | None
    columns: list[Amount]


class Centre(Part):
    """Centre of the tiles' mass, mm: along the chord from the audience's left, towards the audience, up."""

    x: float
    y: float
    height: float


class SheetCurve(Part):
    """From above, mm: x along the chord from the audience's left, y towards the audience.

    `depth_mm` is the extent across the chord; `radius_mm` the circumradius of the turning line, null unless
    all bends are equal and not 0; `bodies_mm` each column's four corners, two of them on the turning line.
    """

    turn_deg: float
    chord_mm: Amount
    depth_mm: Amount
    radius_mm: Amount | None
    points_mm: list[Point]
    bodies_mm: list[tuple[Point, Point, Point, Point]]


class SheetCircuit(Part):
    """One breaker's tiles. `phase` is 1 to 3: L1, L2, L3, or L1-L2, L2-L3, L3-L1 between two lines."""

    tiles: TileIds
    max_w: Amount
    a: Amount
    inrush_a: Amount | None
    leakage_ma: Amount | None
    phase: Annotated[int, Field(ge=1, le=3)]


class Lines(Part):
    """Line currents, A."""

    L1: Amount
    L2: Amount
    L3: Amount


class SheetPower(Part):
    """The supply, on the tiles' maximum. `inrush_a` and `leakage_ma` are of the whole wall at once."""

    max_w: Amount
    typical_w: Amount
    circuit_w: Annotated[
        float, Field(ge=0, description="What one circuit may carry: V x A x continuous factor x pf.")
    ]
    tiles_per_circuit: Number
    circuits: list[SheetCircuit]
    phase_a: Lines | None
    neutral_a: Annotated[
        float | None, Field(description="Phasor sum; switch-mode supplies add triplen harmonics to it.")
    ]
    phases_exact: bool | None
    phases_bound_a: Annotated[
        float | None, Field(description="No assignment has a smaller largest line current than this.")
    ]
    drop_v: Annotated[float | None, Field(description="At the last tile of the worst circuit, at 70 C.")]
    inrush_a: Amount | None
    leakage_ma: Amount | None
    heat_btu_h: Amount


class SheetData(Part):
    """Data runs; with a backup loop each run takes two ports."""

    port_px: Number
    tiles_per_port: Number
    ports: Number
    runs: list[TileIds]


class Slack(Part):
    """The points' shares while one of them, counted from 1, carries nothing."""

    slack_point: Number
    points_kg: list[float]


class SheetHang(Part):
    """Each point's share of a continuous beam, kg; below 0 it would be lifted."""

    points_kg: list[float]
    slack: list[Slack]
    measured_kg: list[Amount] | None
    rated_kg: list[Amount] | None


class Overturning(Part):
    """About one edge of the footprint, Nm. `ratio` is resisting / overturning, null without a force."""

    moment_nm: float
    resisting_nm: float
    ratio: float | None


class Standing(Part):
    """The wall built to this many rows, under the horizontal force. There is no pass mark."""

    rows: Number
    height_mm: Amount
    force_n: Amount
    to_audience: Overturning
    from_audience: Overturning
    sliding_n: Amount | None
    sliding_ratio: Amount | None


class Caution(Part):
    """What to mind: a key of the texts, and the reference that its figures rest on."""

    key: Literal["structure", "height", "mains", "standing", "lifting"]
    rests_on: str | None


class LeftOut(Part):
    """A figure that is not there, and the plan's field that it needs."""

    figure: str
    needs: str


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
    curve: SheetCurve
    power: SheetPower | None
    data: SheetData | None
    hang: SheetHang | None
    statics: list[Standing] | None
    spares: Annotated[dict[str, Number] | None, Field(description="By part/tile type.")]
    warnings: list[str]
    cautions: list[Caution]
    left_out: list[LeftOut]


def sheet_json_schema() -> dict[str, Any]:
    """The sheet's JSON Schema."""
    return Sheet.model_json_schema()
