"""Any wall at all, for property tests."""

from typing import Any

from hypothesis import strategies as st

from helpers import TILE
from seamwalk.domain.wall.plan import parse_plan
from seamwalk.domain.wall.wall import Wall, build_wall
from seamwalk.errors import PlanError

TALL = TILE | {"key": "tall", "height_mm": 1000, "locks_side": 4}
WIDE = TILE | {"key": "wide", "width_mm": 1000}
SIZES = {"plover_500": (1, 1), "tall": (1, 2), "wide": (2, 1)}


@st.composite
def plans(draw: st.DrawFn) -> dict[str, Any]:
    """Walls with openings and mixed sizes, standing or hanging; bends where nothing rigid crosses."""
    columns, rows = draw(st.integers(1, 6)), draw(st.integers(1, 5))
    free = {(c, r) for c in range(1, columns + 1) for r in range(1, rows + 1)}
    placements = []
    for column in range(1, columns + 1):
        for row in range(1, rows + 1):
            key = draw(st.sampled_from(["plover_500", "plover_500", "tall", "wide", None]))
            if key is None:
                continue
            w, h = SIZES[key]
            cells = {(column + x, row + y) for x in range(w) for y in range(h)}
            if cells <= free:
                free -= cells
                placements.append({"column": column, "row": row, "w": w, "h": h, "tile": key})
    spanned = {p["column"] for p in placements if p["w"] == 2}
    bends = [0 if c in spanned else draw(st.sampled_from([0, 0, 2.5, -5])) for c in range(1, columns)]
    support = draw(st.sampled_from(["stacked", "flown", "floor"]))
    plan = {"name": "Any", "columns": columns, "rows": rows, "tile": TILE, "tiles": [TALL, WIDE]}
    return plan | {
        "placements": placements,
        "support": support,
        "bends_deg": bends,
        "clamp_rows": [rows],
        "support_columns": [1],
        "reference": "invented",
        "hardware": {"base_bar_columns": draw(st.integers(1, 3))},
    }


def built(source: dict[str, Any]) -> Wall | None:
    """The wall, or None when the plan is one that is refused: empty or floating."""
    try:
        return build_wall(parse_plan(source))
    except PlanError as error:
        assert any("floats" in str(p) or "no tile is placed" in str(p) for p in error.problems)
        return None
