"""The parts of the published build sheet, each as it is shaped in its JSON Schema."""

from typing import Annotated, Literal

from pydantic import Field

from seamwalk.domain.wall.plan_model import Part

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


class SheetBar(Part):
    """A bar or foot: its first column, how many it carries, and the tiles' mass on it.

    A column that no bar carries rests on its neighbours. `kpa` is the pressure of a base bar at rest, its own
    mass included; `edge_kpa` that under its edge while the horizontal force acts, null with rear supports.
    """

    bar: str
    column: Number
    columns: Number
    tiles_kg: Amount
    kpa: Amount | None
    edge_kpa: Amount | None


class SheetShim(Part):
    """What goes under a bar's ends to bring it up to the floor's high spot, mm."""

    bar: str
    left_mm: Amount
    right_mm: Amount


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
    """One breaker's tiles. `phase` is 1 to 3: L1, L2, L3, or L1-L2, L2-L3, L3-L1 between two lines.

    `line` says it in letters, null on a single phase; `drop_v` is at its last tile.
    """

    tiles: TileIds
    max_w: Amount
    a: Amount
    inrush_a: Amount | None
    leakage_ma: Amount | None
    drop_v: Amount | None
    phase: Annotated[int, Field(ge=1, le=3)]
    line: str | None


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
    phases_gap_a: Annotated[
        float | None, Field(description="How far the largest line current is above that bound.")
    ]
    drop_v: Annotated[float | None, Field(description="At the last tile of the worst circuit, at 70 C.")]
    inrush_a: Amount | None
    leakage_ma: Amount | None
    heat_btu_h: Amount


class SheetData(Part):
    """Data runs, of ports 1, 2, 3 ...; with a backup loop each run ends in a second port."""

    port_px: Number
    tiles_per_port: Number
    ports: Number
    runs: list[TileIds]
    backup_ports: Annotated[list[Number] | None, Field(description="By run; null without a loop.")]


class Slack(Part):
    """The points' shares while one of them, counted from 1, carries nothing."""

    slack_point: Number
    points_kg: list[float]


class SheetHang(Part):
    """Each point's share of a continuous beam with its hoist, kg; below 0 it would be lifted.

    `differences_kg` are the load cells' readings less the computed shares.
    """

    points_kg: list[float]
    total_kg: Amount
    slack: list[Slack]
    measured_kg: list[Amount] | None
    measured_total_kg: Amount | None
    differences_kg: list[float] | None
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


class SheetPlacing(Part):
    """The tiles that come out of one case, in the order in which they are hung or stood."""

    case: str
    batch: str
    tile: str
    tiles: list[str]


class SheetMeeting(Part):
    """Two measured cases whose tiles meet: their distance in u'v', and CIEDE2000 with their luminances."""

    cases: Annotated[list[str], Field(min_length=2, max_length=2)]
    joints: Number
    delta_uv: Amount
    delta_e00: Amount | None
    over: Annotated[bool, Field(description="Over one of the plan's guides.")]


class SheetBatches(Part):
    """Cases so placed that batches stay together; `short` are tiles without a case, by type."""

    placings: list[SheetPlacing]
    short: dict[str, Number]
    borders: Annotated[int, Field(ge=0, description="Joints between two batches.")]
    meetings: list[SheetMeeting]


class SheetRate(Part):
    """Failures per 1,000 parts and days that spares rest on; a learned one with its 95 % interval."""

    source: Literal["plan", "learned"]
    per_1000_days: Amount
    low: Amount | None
    high: Amount | None
    failures: Number | None


class SheetMoisture(Part):
    """The dew point and the surface, C. `not_before_min` counts from the first reading, null if untold."""

    dew_point_c: float
    power_from_c: float
    surface_c: float
    wait: Annotated[bool, Field(description="Do not power yet.")]
    not_before_min: float | None


class Caution(Part):
    """What to mind: a key of the texts, and the reference that its figures rest on."""

    key: Literal["structure", "height", "mains", "standing", "lifting", "floor", "colour", "moisture"]
    rests_on: str | None


class LeftOut(Part):
    """A figure that is not there, and the plan's field that it needs."""

    figure: str
    needs: str
