"""The plan as it is written: pydantic models. Fields that only a maker can give have no default."""

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

Positive = Annotated[float, Field(gt=0, le=1e6, allow_inf_nan=False)]
NotNegative = Annotated[float, Field(ge=0, le=1e6, allow_inf_nan=False)]
Angle = Annotated[float, Field(ge=-90, le=90, allow_inf_nan=False)]
Count = Annotated[int, Field(ge=0, le=1000)]
GridNumber = Annotated[int, Field(ge=1, le=1000)]
TileKey = Annotated[str, Field(pattern=r"^[a-z][a-z0-9_]{0,39}$")]
Text = Annotated[str, Field(min_length=1, max_length=200)]


class Part(BaseModel):
    """Base of all parts of a plan: frozen, unknown fields refused."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class Modules(Part):
    """How a tile is divided into modules."""

    columns: Annotated[int, Field(ge=1, le=20)] = 1
    rows: Annotated[int, Field(ge=1, le=20)] = 1


class Features(Part):
    """What a tile has; procedures show only the steps that it has."""

    magnets: bool = False
    springing_guards: bool = False
    module_retaining_nut: bool = False
    safety_cable: bool = False
    connector_cover: bool = False
    front_extraction_tool: bool = False
    adapter_before_clamp: bool = False
    module_change_live_allowed: bool = False


class LockPositions(Part):
    """Where a tile's locks sit, in mm from its lower (side) or left (stack) end."""

    side: Annotated[list[NotNegative], Field(max_length=1000)] = []
    stack: Annotated[list[NotNegative], Field(max_length=1000)] = []


class Corner(Part):
    """A tile that turns a corner: by how much, + towards the audience, and where, from its left end.

    The tile's width is that of both legs together, on the line on which the wall's seams turn.
    """

    turn_deg: Angle
    left_mm: Positive


class TileType(Part):
    """One type of tile; lengths in mm, mass in kg, power in W."""

    key: TileKey
    width_mm: Positive
    height_mm: Positive
    depth_mm: Positive
    px_w: Annotated[int, Field(ge=1, le=10000)]
    px_h: Annotated[int, Field(ge=1, le=10000)]
    mass_kg: Positive
    power_max_w: Positive
    power_typical_w: Positive
    inrush_a: NotNegative | None = None
    max_bend_deg: Annotated[float, Field(ge=0, le=90, allow_inf_nan=False)] | None = None
    bend_pivot: Literal["front", "rear"] = "rear"
    corner: Corner | None = None
    locks_side: Count
    locks_stack: Count
    lock_positions_mm: LockPositions | None = None
    blocks_side: Count = 0
    guards: Literal["edge", "corner", "none"] = "edge"
    modules: Modules = Modules()
    tiles_per_case: Annotated[int, Field(ge=1, le=100)]
    chain_max_a: Positive | None = None
    leakage_ma: NotNegative | None = None
    max_stack_rows: GridNumber | None = None
    max_hang_rows: GridNumber | None = None
    max_free_rows: GridNumber | None = None
    gap_max_mm: NotNegative | None = None
    flush_max_mm: NotNegative | None = None
    hardware_family: TileKey | None = None
    features: Features = Features()
    reference: Text | None = None


class Placement(Part):
    """One tile on the grid: the column and row of its lower-left cell, its size in cells, its type."""

    column: GridNumber
    row: GridNumber
    w: GridNumber = 1
    h: GridNumber = 1
    tile: TileKey


class Hardware(Part):
    """Bars, clamps and supports.

    Bars are laid `base_bar_columns` long, shorter where a bend or an opening cuts them; `bars_columns` names
    each bar instead, from the audience's left. `base_bar_depth_mm` is how deep a bar stands on the floor,
    `level_max_mm` by how much the heights of neighbouring bars, or of one bar's ends, may differ.
    """

    base_bar_columns: Annotated[int, Field(ge=1, le=20)] = 1
    bars_columns: Annotated[list[GridNumber], Field(max_length=1000)] | None = None
    base_bar_kg: NotNegative | None = None
    base_bar_depth_mm: Positive | None = None
    foot_rated_kg: Positive | None = None
    level_max_mm: NotNegative | None = None
    clamp_kg: NotNegative | None = None
    support_kg: NotNegative | None = None
    support_depth_mm: NotNegative | None = None
    ballast_kg: NotNegative | None = None
    floor_limit_kpa: Positive | None = None
    friction: Annotated[float, Field(gt=0, le=2, allow_inf_nan=False)] | None = None
    hardware_family: TileKey | None = None
    reference: Text | None = None


class Hang(Part):
    """Hanging points along the bar, in mm from the audience's left end.

    `measured_kg` are the load cells' readings, hoists included.
    """

    points_mm: Annotated[list[NotNegative], Field(min_length=1, max_length=200)]
    bar_kg: NotNegative | None = None
    hoist_kg: NotNegative = 0
    cable_kg_per_m: NotNegative = 0
    rated_kg: Annotated[list[Positive], Field(max_length=200)] | None = None
    measured_kg: Annotated[list[NotNegative], Field(max_length=200)] | None = None
    reference: Text


class Horizontal(Part):
    """A horizontal force on the whole face, in N for each m2, as local rules or an engineer give it."""

    pressure_n_m2: NotNegative
    reference: Text


class FloorLevel(Part):
    """The floor under the bars: from the floor up to one level line (a laser's), mm.

    One pair for each bar from the audience's left: at its left end and at its right end.
    """

    to_line_mm: Annotated[list[tuple[NotNegative, NotNegative]], Field(min_length=1, max_length=1000)]
    shim_max_mm: Positive | None = None
    reference: Text | None = None


class Supply(Part):
    """The power connection."""

    volts: Annotated[float, Field(ge=50, le=1000, allow_inf_nan=False)]
    connection: Literal["LN", "LL"] = "LN"
    phases: Literal[1, 3] = 1
    breaker_a: Positive
    continuous_factor: Annotated[float, Field(gt=0, le=1, allow_inf_nan=False)] = 0.8
    pf: Annotated[float, Field(gt=0, le=1, allow_inf_nan=False)]
    cable_mm2: Positive | None = None
    cable_m: NotNegative | None = None
    link_mm2: Positive | None = None
    link_m: NotNegative | None = None
    rcd_ma: Positive | None = None


class Signal(Part):
    """The picture data."""

    bits: Annotated[int, Field(ge=6, le=16)] = 8
    fps: Annotated[float, Field(gt=0, le=480, allow_inf_nan=False)] = 60
    port_mbps: Positive
    efficiency: Annotated[float, Field(gt=0, le=1, allow_inf_nan=False)]
    loop: bool = False


class LearnedRate(Part):
    """What the company's own shows say of a part: how many failed, over so many parts times days."""

    failures: Annotated[int, Field(ge=0, le=1_000_000)]
    part_days: Annotated[float, Field(gt=0, le=1e9, allow_inf_nan=False)]


class Spares(Part):
    """What to carry for the days of a show.

    A rate that is not given in `rates` comes from `learned` once enough failures are counted there.
    """

    days: Positive
    confidence: Annotated[float, Field(gt=0, lt=1, allow_inf_nan=False)] = 0.95
    rates: Annotated[dict[TileKey, NotNegative], Field(max_length=100)] = {}
    learned: Annotated[dict[TileKey, LearnedRate], Field(max_length=100)] = {}
    minimum: Annotated[dict[TileKey, Count], Field(max_length=100)] = {}


class White(Part):
    """White as a colorimeter reads it: CIE 1931 x and y, and its luminance."""

    x: Annotated[float, Field(gt=0, lt=1, allow_inf_nan=False)]
    y: Annotated[float, Field(gt=0, lt=1, allow_inf_nan=False)]
    luminance_cd_m2: Positive | None = None


class StockCase(Part):
    """A case that goes to this wall: its tiles are of one type and one batch."""

    case: Text
    tile: TileKey
    tiles: Annotated[int, Field(ge=1, le=100)]
    batch: Text
    white: White | None = None


class Stock(Part):
    """The cases for this wall, and from which difference on two neighbouring tiles are named: a guide."""

    cases: Annotated[list[StockCase], Field(min_length=1, max_length=20000)]
    limit_uv: Positive | None = None
    limit_e00: Positive | None = None


class Surface(Part):
    """A surface's temperature, so many minutes after the first reading."""

    minutes: NotNegative
    surface_c: Annotated[float, Field(ge=-60, le=90, allow_inf_nan=False)]


class Climate(Part):
    """The air of the place and the tiles' surface, colder ones first out of the truck."""

    air_c: Annotated[float, Field(ge=-40, le=60, allow_inf_nan=False)]
    humidity_percent: Annotated[float, Field(gt=0, le=100, allow_inf_nan=False)]
    surface: Annotated[list[Surface], Field(min_length=1, max_length=50)]
    margin_k: NotNegative | None = None
    reference: Text | None = None


class Acceptance(Part):
    """What the client's side accepts: dark or lit pixels of one tile, and the tiles' heat after a soak."""

    dead_pixels_max: Count | None = None
    soak_minutes: Positive | None = None
    surface_max_c: Annotated[float, Field(ge=-60, le=120, allow_inf_nan=False)] | None = None
    reference: Text


class WindLimit(Part):
    """A gust in m/s, and what is done from there on."""

    gust_m_s: Positive
    action: Text


class Wind(Part):
    """The competent person's wind plan of a wall outdoors: rising gusts, and what is done at each."""

    limits: Annotated[list[WindLimit], Field(min_length=1, max_length=10)]
    reference: Text


class Plan(Part):
    """A wall as planned: columns from 1 at the audience's left, rows from 1 at the bottom."""

    name: Text
    columns: GridNumber
    rows: GridNumber
    tile: TileType
    tiles: Annotated[list[TileType], Field(max_length=50)] = []
    placements: Annotated[list[Placement], Field(max_length=20000)] | None = None
    support: Literal["stacked", "flown", "floor"]
    bends_deg: Annotated[list[Angle], Field(max_length=1000)] = []
    clamp_rows: Annotated[list[GridNumber], Field(max_length=1000)] | None = None
    support_columns: Annotated[list[GridNumber], Field(max_length=1000)] | None = None
    reference: Text | None = None
    opening_reference: Text | None = None
    hardware: Hardware = Hardware()
    hang: Hang | None = None
    horizontal: Horizontal | None = None
    supply: Supply | None = None
    signal: Signal | None = None
    spares: Spares | None = None
    floor_level: FloorLevel | None = None
    stock: Stock | None = None
    climate: Climate | None = None
    acceptance: Acceptance | None = None
    wind: Wind | None = None

    def tile_types(self) -> dict[str, TileType]:
        """All tile types by key."""
        return {tile.key: tile for tile in (self.tile, *self.tiles)}
