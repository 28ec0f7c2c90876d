"""Circuits on three phases: the largest line current as small as can be, and what flows back in the neutral.

A circuit between line and neutral loads one line. One between two lines loads both: with equal angles the
line that two of them share carries sqrt(a^2 + b^2 + a b). The neutral carries
sqrt(a^2 + b^2 + c^2 - ab - bc - ca).
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import sqrt

EXACT_UP_TO = 12
Lines = tuple[float, float, float]


@dataclass(frozen=True)
class Balance:
    """Where each circuit goes (0, 1, 2: a line, or pair L1-L2, L2-L3, L3-L1), and the lines' currents in A.

    `bound_a` is what no assignment can go below; equal to the largest line current when `exact`.
    """

    places: tuple[int, ...]
    line_a: Lines
    neutral_a: float | None
    bound_a: float
    exact: bool


def balance(circuits_a: Sequence[float], *, line_to_line: bool) -> Balance:
    """Assign circuits (A, any order) to three phases so that the largest line current is least.

    Up to `EXACT_UP_TO` circuits by branch and bound; beyond that largest first, with a lower bound.
    Currents are taken to have equal power factors.
    """
    order = sorted(range(len(circuits_a)), key=lambda i: -circuits_a[i])
    loads = [circuits_a[i] for i in order]
    exact = len(loads) <= EXACT_UP_TO
    chosen = _largest_first(loads, line_to_line)
    if exact:
        chosen = _Search(loads, line_to_line, chosen).run()
    places = [0] * len(loads)
    for position, place in zip(order, chosen, strict=True):
        places[position] = place
    line_a = lines(_sums(loads, chosen), line_to_line=line_to_line)
    bound = max(line_a) if exact else _bound(loads, line_to_line)
    return Balance(tuple(places), line_a, None if line_to_line else neutral_a(line_a), bound, exact)


def lines(sums_a: Lines, *, line_to_line: bool) -> Lines:
    """The line currents (A) from the sums on the three places; between lines as the module says."""
    if not line_to_line:
        return sums_a
    ab, bc, ca = sums_a
    return (_shared(ab, ca), _shared(ab, bc), _shared(bc, ca))


def neutral_a(line_a: Lines) -> float:
    """The neutral's current at equal power factors, without harmonics."""
    a, b, c = line_a
    return sqrt(max(0.0, a * a + b * b + c * c - a * b - b * c - c * a))


def _shared(a: float, b: float) -> float:
    """The current of the line that two line-to-line loads share: 60 degrees between them (law of cosines)."""
    return sqrt(a * a + b * b + a * b)


def _sums(loads: Sequence[float], places: Sequence[int]) -> Lines:
    sums = [0.0, 0.0, 0.0]
    for load, place in zip(loads, places, strict=True):
        sums[place] += load
    return (sums[0], sums[1], sums[2])


def _largest_first(loads: Sequence[float], line_to_line: bool) -> list[int]:
    """Each load, in descending order, on the place where the largest line current grows least."""
    sums = [0.0, 0.0, 0.0]
    places = []
    for load in loads:
        place = min(range(3), key=lambda p: (_worst(sums, p, load, line_to_line), sums[p]))
        sums[place] += load
        places.append(place)
    return places


def _worst(sums: Sequence[float], place: int, load: float, line_to_line: bool) -> float:
    """The largest line current with one more load on a place."""
    tried = [*sums]
    tried[place] += load
    return max(lines((tried[0], tried[1], tried[2]), line_to_line=line_to_line))


def _bound(loads: Sequence[float], line_to_line: bool) -> float:
    """An even split is the best there could be, and the largest circuit is somewhere."""
    even = sum(loads) / 3 * (sqrt(3) if line_to_line else 1)
    return max([even, *loads[:1]])


class _Search:
    """Branch and bound: adding a circuit never makes a line's current smaller."""

    def __init__(self, loads: Sequence[float], line_to_line: bool, first: list[int]) -> None:
        self._loads, self._line_to_line = loads, line_to_line
        self._best = first
        self._least = max(lines(_sums(loads, first), line_to_line=line_to_line))
        self._bound = _bound(loads, line_to_line) * (1 + 1e-12)

    def run(self) -> list[int]:
        self._place(0, [0.0, 0.0, 0.0], [])
        return self._best

    def _place(self, index: int, sums: list[float], places: list[int]) -> None:
        if self._least <= self._bound:
            return
        if index == len(self._loads):
            self._least = max(lines((sums[0], sums[1], sums[2]), line_to_line=self._line_to_line))
            self._best = [*places]
            return
        load, tried = self._loads[index], set()
        for place in range(3):
            if not self._line_to_line and sums[place] in tried:
                continue
            tried.add(sums[place])
            if _worst(sums, place, load, self._line_to_line) < self._least:
                sums[place] += load
                self._place(index + 1, sums, [*places, place])
                sums[place] -= load
