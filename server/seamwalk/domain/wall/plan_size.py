"""How large a wall may be planned, so that working it out takes some seconds at most.

Plans that stand are read whatever their size: these bounds are asked for where one comes in.
"""

from collections.abc import Iterator
from typing import Any

from seamwalk.domain.wall.grid import size_in_cells
from seamwalk.domain.wall.plan_model import Plan
from seamwalk.errors import PlanError, Problem

MAX_TILES = 5_000
MAX_CELLS = 20_000
MAX_BATCHES = 500
_REMEDY = "Plan it as several walls."


def check_size(plan: Plan) -> None:
    """Raise PlanError for a wall that is too large to be planned as one."""
    problems = tuple(_problems(plan))
    if problems:
        raise PlanError(problems)


def _problems(plan: Plan) -> Iterator[Problem]:
    sizes: list[tuple[str, int, str, int]] = [
        ("columns", plan.columns * plan.rows, "cells", MAX_CELLS),
        ("columns", _tiles(plan), "tiles", MAX_TILES),
    ]
    if plan.stock is not None:
        batches: set[Any] = {case.batch for case in plan.stock.cases}
        sizes += [
            ("stock.cases", len(plan.stock.cases), "cases", MAX_TILES),
            ("stock.cases", len(batches), "batches", MAX_BATCHES),
        ]
    for path, count, what, most in sizes:
        if count > most:
            yield Problem(path, f"{count} {what} where {most} are the most", _REMEDY)


def _tiles(plan: Plan) -> int:
    if plan.placements is not None:
        return len(plan.placements)
    w, h = size_in_cells(plan, plan.tile)
    return (plan.columns // w) * (plan.rows // h)
