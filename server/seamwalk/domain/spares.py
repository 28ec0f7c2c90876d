"""How many spares to carry: failures as a Poisson count, with a minimum of the user's."""

from math import exp, isinf


def spares_needed(parts: int, rate_per_day: float, days: float, confidence: float, minimum: int = 0) -> int:
    """The smallest k with P(N <= k) >= confidence, N Poisson of mean parts x rate x days; or the minimum."""
    mean = parts * rate_per_day * days
    k, term, total = 0, exp(-mean), exp(-mean)
    if term == 0 or isinf(mean):
        raise OverflowError(f"{mean:g} failures are expected: no count of spares helps")
    while total < confidence:
        k += 1
        term *= mean / k
        total += term
    return max(minimum, k)
