"""The build sheet with its drawings, at growing walls, against the checks file of the same wall."""

from statistics import median
from typing import Any

from bench.bench_book import seconds
from helpers import PLAN, TILE
from seamwalk.domain.frozen import checks_file
from seamwalk.domain.sheet.sheet import build_sheet
from seamwalk.domain.wall.plan import parse_plan
from seamwalk.domain.wall.wall import build_wall
from seamwalk.web.office.sheet.batch_drawing import batch_map
from seamwalk.web.office.sheet.cable_drawing import cable_map
from seamwalk.web.office.sheet.plan_drawing import plan_view

WALLS = ((10, 10), (40, 25), (100, 50), (200, 80))
ROUNDS = 3
TINY = ((10, 10),), 1


def plan_of(columns: int, rows: int) -> dict[str, Any]:
    supply = {"volts": 230, "breaker_a": 16, "pf": 0.95, "phases": 3}
    fields: dict[str, Any] = {
        "supply": supply,
        "signal": {"port_mbps": 1000, "efficiency": 0.9, "loop": True},
    }
    cases = [case_of(number) for number in range(columns * rows // 8 + 1)]
    fields |= {"stock": {"cases": cases, "limit_uv": 0.004}, "spares": {"days": 3}}
    tile = TILE | {"max_bend_deg": 5}
    return (
        PLAN | fields | {"columns": columns, "rows": rows, "tile": tile, "bends_deg": [1.0] * (columns - 1)}
    )


def case_of(number: int) -> dict[str, Any]:
    white = {"x": 0.31 + number % 7 / 1000, "y": 0.33, "luminance_cd_m2": 1000 + number % 5}
    return {
        "case": f"c{number}",
        "tile": TILE["key"],
        "tiles": 8,
        "batch": f"b{number // 40}",
        "white": white,
    }


def draw(source: dict[str, Any]) -> None:
    plan = parse_plan(source)
    worked_out = build_sheet(plan)
    plan_view(worked_out)
    wall = build_wall(plan)
    cable_map(wall, worked_out, rear=False)
    batch_map(wall, worked_out, rear=False)


def main(*, tiny: bool = False) -> None:
    """Run and print."""
    walls, rounds = TINY if tiny else (WALLS, ROUNDS)
    for columns, rows in walls:
        source = plan_of(columns, rows)
        own = median(seconds(lambda: draw(source)) for _ in range(rounds))  # noqa: B023
        checks = median(seconds(lambda: checks_file("A", parse_plan(source))) for _ in range(rounds))  # noqa: B023
        tiles = columns * rows
        each = own / tiles * 1e6
        print(f"{tiles:6} tiles: {own:.2f} s, {each:.0f} us a tile, x {own / checks:.2f} of the checks file")
