"""How often parts fail, from what was counted, with exact intervals; and when that is enough to plan with.

Proportions (Clopper and Pearson 1934) and counts over an exposure (Garwood 1936), both with equal tails.
"""

from collections.abc import Callable
from dataclasses import dataclass
from math import exp, lgamma, log, log1p

CONFIDENCE = 0.95
# From ten failures on the upper end of a 95 % interval is under four times its lower end.
ENOUGH_FAILURES = 10


@dataclass(frozen=True)
class Interval:
    """An estimate and the ends of its interval, in the estimate's unit."""

    estimate: float
    low: float
    high: float


@dataclass(frozen=True)
class FailureCount:
    """Failures of a part that were counted over so many part-days."""

    failures: int
    part_days: float

    @property
    def is_enough(self) -> bool:
        """Whether it may feed a plan's spares."""
        return self.failures >= ENOUGH_FAILURES and self.part_days > 0

    def rate_per_day(self, confidence: float = CONFIDENCE) -> Interval:
        """Failures per part and day; raise ValueError without any exposure."""
        if self.part_days <= 0:
            raise ValueError("part_days: 0 days of any part tell no rate")
        found = count_interval(self.failures, confidence)
        return Interval(*(value / self.part_days for value in (found.estimate, found.low, found.high)))


def proportion_interval(hits: int, tries: int, confidence: float = CONFIDENCE) -> Interval:
    """The exact interval of a proportion (Clopper-Pearson); raise ValueError for impossible counts."""
    if not 0 <= hits <= tries or tries == 0:
        raise ValueError(f"{hits} of {tries} is not a proportion")
    tail = (1 - confidence) / 2
    low = 0.0 if hits == 0 else _root(lambda p: 1 - _binomial_cdf(hits - 1, tries, p) - tail, 0.0, 1.0)
    high = 1.0 if hits == tries else _root(lambda p: tail - _binomial_cdf(hits, tries, p), 0.0, 1.0)
    return Interval(hits / tries, low, high)


def count_interval(events: int, confidence: float = CONFIDENCE) -> Interval:
    """The exact interval of a Poisson mean (Garwood), in events; raise ValueError for a negative count."""
    if events < 0:
        raise ValueError(f"{events} events cannot have been counted")
    tail, most = (1 - confidence) / 2, 2.0 * events + 50
    low = 0.0 if events == 0 else _root(lambda mean: 1 - _poisson_cdf(events - 1, mean) - tail, 0.0, most)
    return Interval(float(events), low, _root(lambda mean: tail - _poisson_cdf(events, mean), 0.0, most))


def _root(rising: Callable[[float], float], low: float, high: float) -> float:
    """Where a rising function crosses zero, to the last bit that halving gives."""
    while True:
        middle = (low + high) / 2
        if middle in (low, high):
            return middle
        if rising(middle) < 0:
            low = middle
        else:
            high = middle


def _binomial_cdf(k: int, n: int, p: float) -> float:
    if p <= 0 or p >= 1:
        return 1.0 if p <= 0 else 0.0
    whole = lgamma(n + 1)
    terms = (
        exp(whole - lgamma(i + 1) - lgamma(n - i + 1) + i * log(p) + (n - i) * log1p(-p))
        for i in range(k + 1)
    )
    return min(1.0, sum(terms))


def _poisson_cdf(k: int, mean: float) -> float:
    if mean <= 0:
        return 1.0
    return min(1.0, sum(exp(i * log(mean) - mean - lgamma(i + 1)) for i in range(k + 1)))
