"""Intervals of failure rates against published tables and a statistics library."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import betaincinv, gammaincinv

from seamwalk.domain.sheet.rates import ENOUGH_FAILURES, FailureCount, count_interval, proportion_interval


@pytest.mark.parametrize(
    ("hits", "tries", "low", "high", "places"),
    [
        # Newcombe, Statistics in Medicine 17 (1998) 857-872, table I, method 5; from memory
        (81, 263, 0.2527, 0.3676, 4),
        (15, 148, 0.0578, 0.1617, 4),
        (0, 20, 0.0, 0.1684, 4),
        (1, 29, 0.0009, 0.1776, 4),
        # 10 of 10: 0.025 ** (1 / 10), worked out by hand
        (10, 10, 0.6915, 1.0, 4),
        # Conover (1999) as quoted in influentialpoints.com, "Confidence intervals of proportions"; seen
        (5, 25, 0.068, 0.407, 3),
    ],
)
def test_proportions_as_published(hits: int, tries: int, low: float, high: float, places: int) -> None:
    found = proportion_interval(hits, tries)
    assert (round(found.low, places), round(found.high, places)) == (low, high)


@pytest.mark.parametrize(
    ("confidence", "low", "high"),
    # 25 events: graphpad.com, "How QuickCalcs computes the confidence interval of a count"; seen
    [(0.90, 17.38, 34.92), (0.95, 16.18, 36.90), (0.99, 14.00, 41.00)],
)
def test_counts_as_published(confidence: float, low: float, high: float) -> None:
    found = count_interval(25, confidence)
    assert (round(found.low, 2), round(found.high, 2)) == (low, high)


@given(st.integers(1, 3000), st.data(), st.sampled_from([0.8, 0.9, 0.95, 0.99]))
def test_proportions_as_scipy_has_them(tries: int, data: st.DataObject, confidence: float) -> None:
    hits = data.draw(st.integers(0, tries))
    tail = (1 - confidence) / 2
    low = betaincinv(hits, tries - hits + 1, tail) if hits else 0.0
    high = betaincinv(hits + 1, tries - hits, 1 - tail) if hits < tries else 1.0
    found = proportion_interval(hits, tries, confidence)
    assert found.low == pytest.approx(low, rel=1e-7, abs=1e-12)
    assert found.high == pytest.approx(high, rel=1e-7)


@given(st.integers(0, 400), st.sampled_from([0.8, 0.9, 0.95, 0.99]))
def test_counts_as_scipy_has_them(events: int, confidence: float) -> None:
    tail = (1 - confidence) / 2
    found = count_interval(events, confidence)
    assert found.low == pytest.approx(gammaincinv(events, tail) if events else 0.0, rel=1e-8)
    assert found.high == pytest.approx(gammaincinv(events + 1, 1 - tail), rel=1e-8)


def test_enough_is_where_an_interval_spans_less_than_a_factor_of_four() -> None:
    just = count_interval(ENOUGH_FAILURES)
    short = count_interval(ENOUGH_FAILURES - 1)
    assert just.high < 4 * just.low
    assert short.high > 4 * short.low
    assert FailureCount(10, 5000).is_enough
    assert not FailureCount(9, 5000).is_enough


def test_a_rate_is_failures_over_part_days() -> None:
    rate = FailureCount(10, 5000).rate_per_day()
    assert rate.estimate == 0.002
    assert rate.low == pytest.approx(4.7954 / 5000, rel=1e-4)
    with pytest.raises(ValueError, match="part_days"):
        FailureCount(0, 0).rate_per_day()
    with pytest.raises(ValueError, match="3 of 2"):
        proportion_interval(3, 2)
    with pytest.raises(ValueError, match="-1 events"):
        count_interval(-1)
