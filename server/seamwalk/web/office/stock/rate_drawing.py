"""Rates with their intervals as a drawing: a line from low to high, a mark at the estimate, one row each."""

from collections.abc import Sequence
from dataclasses import dataclass

from seamwalk.domain.sheet.rates import Interval

WIDTH, ROW, LEFT, RIGHT, TOP = 720, 30, 210, 150, 10


@dataclass(frozen=True)
class Bar:
    """One row: its name, its ends and its mark in pixels, its figures in words."""

    name: str
    y: float
    low: float
    high: float
    mark: float
    told: str
    counted: str


@dataclass(frozen=True)
class Drawing:
    """All rows on one scale from 0 to `most`."""

    bars: tuple[Bar, ...]
    height: float
    most: float
    zero: float
    end: float


def draw_intervals(rows: Sequence[tuple[str, Interval, str]]) -> Drawing:
    """Draw rates; the longest interval ends at the right edge."""
    most = max(rate.high for _, rate, _ in rows) or 1.0
    scale = (WIDTH - LEFT - RIGHT) / most
    bars = tuple(
        Bar(
            name,
            TOP + ROW * (number + 0.5),
            LEFT + rate.low * scale,
            LEFT + rate.high * scale,
            LEFT + rate.estimate * scale,
            f"{rate.estimate:.3g} ({rate.low:.3g} to {rate.high:.3g})",
            counted,
        )
        for number, (name, rate, counted) in enumerate(rows)
    )
    return Drawing(bars, TOP * 2 + ROW * len(rows), most, LEFT, WIDTH - RIGHT)
