"""Base bars, hanging bars and feet: which columns each of them carries."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from seamwalk.domain.wall.grid import Cell, PlacedTile
from seamwalk.domain.wall.plan_model import Plan
from seamwalk.errors import PlanError, Problem


@dataclass(frozen=True)
class Bar:
    """A base bar, hanging bar or floor foot over neighbouring columns; it never crosses a bend."""

    id: str
    column: int
    columns: int

    @property
    def last_column(self) -> int:
        """The last column that the bar carries."""
        return self.column + self.columns - 1


def lay_bars(plan: Plan, grid: Mapping[Cell, PlacedTile]) -> tuple[Bar, ...]:
    """Lay the bars from the audience's left; raise PlanError when a named one would cross a bend or a gap."""
    letter, row, span = bar_line(plan)
    carried = [column for column in range(1, plan.columns + 1) if (column, row) in grid]
    if plan.hardware.bars_columns is not None:
        return _named_bars(plan, plan.hardware.bars_columns, carried, letter)
    bars: list[Bar] = []
    for column in carried:
        last = bars[-1] if bars else None
        fits = last is not None and last.last_column == column - 1 and last.columns < span
        if last is not None and fits and not _bend_before(plan, column):
            bars[-1] = Bar(last.id, last.column, last.columns + 1)
        else:
            bars.append(Bar(f"{letter}{column}", column, 1))
    return tuple(bars)


def bar_line(plan: Plan) -> tuple[str, int, int]:
    """The letter of the bars' ids, the row that they carry (from 1), and the most columns that one spans."""
    if plan.support == "flown":
        return "h", plan.rows, plan.hardware.base_bar_columns
    if plan.support == "stacked":
        return "b", 1, plan.hardware.base_bar_columns
    return "f", 1, 1


def _named_bars(plan: Plan, spans: Sequence[int], carried: Sequence[int], letter: str) -> tuple[Bar, ...]:
    if sum(spans) != len(carried):
        message = f"{sum(spans)} columns of bars where {len(carried)} columns are carried"
        raise PlanError((Problem("hardware.bars_columns", message, "Name the bars from end to end."),))
    bars: list[Bar] = []
    problems: list[Problem] = []
    start = 0
    for index, span in enumerate(spans):
        own = carried[start : start + span]
        start += span
        bars.append(Bar(f"{letter}{own[0]}", own[0], span))
        for column in own[1:]:
            gap = column - 1 not in own
            if gap or _bend_before(plan, column):
                message = f"crosses the {'gap' if gap else 'bend'} before column {column}"
                remedy = "A bar is rigid: end it there."
                problems.append(Problem(f"hardware.bars_columns[{index}]", message, remedy))
    if problems:
        raise PlanError(tuple(problems))
    return tuple(bars)


def _bend_before(plan: Plan, column: int) -> bool:
    return bool(plan.bends_deg) and plan.bends_deg[column - 2] != 0
