"""A hanging bar as a continuous beam over level points: three-moment equation (Clapeyron), uniform stiffness.

For neighbouring spans a and b of a beam: M0 a + 2 M1 (a + b) + M2 b = -(6 Aa xa / a + 6 Ab xb / b), where a
strip of load w from s to e of a span L adds w/L (L^2 (e^2 - s^2)/2 - (e^4 - s^4)/4), measured from the far
support.
"""

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise


@dataclass(frozen=True)
class Strip:
    """A load spread evenly from start to end along the bar: positions in mm, load in kg."""

    start_mm: float
    end_mm: float
    kg: float

    def part(self, start_mm: float, end_mm: float) -> "Strip | None":
        """What of it lies between two positions."""
        start, end = max(self.start_mm, start_mm), min(self.end_mm, end_mm)
        if end <= start:
            return None
        return Strip(start, end, self.kg * (end - start) / (self.end_mm - self.start_mm))


def reactions_kg(points_mm: Sequence[float], loads: Sequence[Strip]) -> list[float]:
    """The reaction at each point, kg, in their order; negative where the point would be lifted.

    Precondition: points sorted, no two alike. Loads may overhang the first and the last point. The reactions
    sum to the loads; one point carries all.
    """
    if len(points_mm) == 1:
        return [sum(load.kg for load in loads)]
    parts = _by_span(points_mm, loads)
    moments = _moments(points_mm, loads, parts)
    found = [0.0] * len(points_mm)
    for i, (left, right) in enumerate(pairwise(points_mm)):
        span, inside = right - left, parts[i]
        about_left = sum(part.kg * ((part.start_mm + part.end_mm) / 2 - left) for part in inside)
        tilt = (moments[i + 1] - moments[i]) / span
        found[i] += sum(part.kg for part in inside) - about_left / span + tilt
        found[i + 1] += about_left / span - tilt
    found[0] += _beyond(loads, float("-inf"), points_mm[0])
    found[-1] += _beyond(loads, points_mm[-1], float("inf"))
    return found


def _by_span(points_mm: Sequence[float], loads: Sequence[Strip]) -> list[list[Strip]]:
    """What of the loads lies between each two points that follow each other."""
    parts: list[list[Strip]] = [[] for _ in points_mm[1:]]
    for load in loads:
        first = max(bisect_right(points_mm, load.start_mm) - 1, 0)
        for span in range(first, len(parts)):
            if points_mm[span] >= load.end_mm:
                break
            part = load.part(points_mm[span], points_mm[span + 1])
            if part is not None:
                parts[span].append(part)
    return parts


def _beyond(loads: Sequence[Strip], start_mm: float, end_mm: float) -> float:
    return sum(part.kg for load in loads if (part := load.part(start_mm, end_mm)))


def _overhang_moment(loads: Sequence[Strip], point_mm: float, start_mm: float, end_mm: float) -> float:
    """The hogging moment (kg mm, negative) that loads beyond an outer point make there."""
    parts = [part for load in loads if (part := load.part(start_mm, end_mm))]
    return -sum(part.kg * abs((part.start_mm + part.end_mm) / 2 - point_mm) for part in parts)


def _moments(
    points_mm: Sequence[float], loads: Sequence[Strip], parts: Sequence[Sequence[Strip]]
) -> list[float]:
    """The support moment over each point, kg mm, hogging negative; the outer two follow from overhangs."""
    first = _overhang_moment(loads, points_mm[0], float("-inf"), points_mm[0])
    last = _overhang_moment(loads, points_mm[-1], points_mm[-1], float("inf"))
    spans = [right - left for left, right in pairwise(points_mm)]
    lower, diagonal, upper, right_side = [], [], [], []
    for i in range(1, len(points_mm) - 1):
        a, b = spans[i - 1], spans[i]
        lower.append(a)
        diagonal.append(2 * (a + b))
        upper.append(b)
        load = _load_term(parts[i - 1], a, far=points_mm[i - 1])
        right_side.append(-load - _load_term(parts[i], b, far=points_mm[i + 1]))
    if right_side:
        right_side[0] -= spans[0] * first
        right_side[-1] -= spans[-1] * last
    return [first, *_tridiagonal(lower, diagonal, upper, right_side), last]


def _load_term(parts: Sequence[Strip], span: float, *, far: float) -> float:
    """6 A x / L of one span (kg mm2): the closed form in this module's docstring, `far` its far support."""
    total = 0.0
    for part in parts:
        start, end = sorted((abs(part.start_mm - far), abs(part.end_mm - far)))
        density = part.kg / (end - start)
        total += density / span * (span**2 * (end**2 - start**2) / 2 - (end**4 - start**4) / 4)
    return total


def _tridiagonal(
    lower: list[float], diagonal: list[float], upper: list[float], right_side: list[float]
) -> list[float]:
    """Solve a tridiagonal system (Thomas algorithm); stable, for the matrix is diagonally dominant.

    All lists have the length of `diagonal`; `lower[0]` and `upper[-1]` are not read.
    """
    d, r = [*diagonal], [*right_side]
    for i in range(1, len(d)):
        factor = lower[i] / d[i - 1]
        d[i] -= factor * upper[i - 1]
        r[i] -= factor * r[i - 1]
    for i in reversed(range(len(d))):
        r[i] = (r[i] - (upper[i] * r[i + 1] if i + 1 < len(d) else 0)) / d[i]
    return r
