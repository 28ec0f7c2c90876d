"""How many spares to carry: failures as a Poisson count, with a minimum of the user's."""

from dataclasses import dataclass
from math import exp, isinf
from typing import Literal

from seamwalk.domain.sheet.rates import FailureCount, Interval
from seamwalk.domain.wall.plan_model import Spares
from seamwalk.errors import PlanError, Problem

PARTS = ("module", "electronics_unit")


def spares_needed(parts: int, rate_per_day: float, days: float, confidence: float, minimum: int = 0) -> int:
    """The smallest k with P(N <= k) >= confidence, N Poisson of mean parts x rate x days; or the minimum.

    A confidence closer to 1 than the sum can come ends where a further spare adds nothing. Raise PlanError
    where so many failures are expected that no count helps.
    """
    mean = parts * rate_per_day * days
    k, term, total = 0, exp(-mean), exp(-mean)
    if term == 0 or isinf(mean):
        message = f"{mean:g} failures are expected: no count of spares helps"
        raise PlanError((Problem("spares", message, "Give fewer days, or a rate per day that is true."),))
    while total < confidence and (k < mean or total + term > total):
        k += 1
        term *= mean / k
        total += term
    return max(minimum, k)


@dataclass(frozen=True)
class Rate:
    """Failures per part and day that spares are counted with; learned ones with their interval."""

    per_day: float
    source: Literal["plan", "learned"]
    learned: FailureCount | None = None
    interval: Interval | None = None


def rate_of(part: str, wanted: Spares) -> Rate | None:
    """The plan's rate of a part, or the learned one once it is enough; None while neither is there."""
    if part in wanted.rates:
        return Rate(wanted.rates[part], "plan")
    learned = failure_count(part, wanted)
    if learned is None or not learned.is_enough:
        return None
    interval = learned.rate_per_day()
    return Rate(interval.estimate, "learned", learned, interval)


def failure_count(part: str, wanted: Spares) -> FailureCount | None:
    """What was counted of a part, enough or not."""
    counted = wanted.learned.get(part)
    return FailureCount(counted.failures, counted.part_days) if counted else None
