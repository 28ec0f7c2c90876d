"""A pace that nobody can keep: by the vectors that the phone passes too, and by crews that look."""

import json
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from make_pace import vectors

from seamwalk.domain.checks.kinds import KINDS
from seamwalk.domain.checks.pace_rule import (
    AHEAD_MS,
    FROM_AFAR,
    LOOK_MS,
    Tap,
    around_too_quick,
    least_ms,
    too_quick,
)

VECTORS = json.loads((Path(__file__).parents[1] / "vectors" / "pace.json").read_text())


def taps_of(vector: dict[str, Any]) -> list[Tap]:
    return [Tap(tap["at_ms"], tuple(tap["checks"])) for tap in vector["taps"]]


@pytest.mark.parametrize("vector", VECTORS, ids=lambda vector: vector["shows"])
def test_quick_taps(vector: dict[str, Any]) -> None:
    taps = taps_of(vector)
    assert too_quick(taps) == vector["quick"]
    assert set(vector["quick"]) <= set(around_too_quick(taps))


def test_the_vectors_are_what_their_maker_writes() -> None:
    assert vectors() == VECTORS


def test_every_kind_has_its_seconds() -> None:
    assert list(LOOK_MS) == list(KINDS)
    assert set(FROM_AFAR) <= set(KINDS)


LOOKS = st.lists(
    st.tuples(
        st.sampled_from(sorted(KINDS)),
        st.integers(1, 9),
        st.integers(0, 20_000),  # longer than the look needs, ms
        st.integers(0, AHEAD_MS),  # so much looking lies before this tap's own look and is tapped after it
    ),
    max_size=40,
)


@given(LOOKS)
def test_whoever_looks_is_never_marked(looks: list[tuple[str, int, int, int]]) -> None:
    """A look takes at least its time, and is tapped while at most 15 s of looking wait for its tap."""
    now, looked_at, taps = 0, [], [Tap(0, ())]
    for kind, row, longer, _ in looks:
        checks = (f"A/tile/1.{row}/{kind}:x",)
        now += least_ms(checks) + longer
        looked_at.append((now, checks))
    # tapped in their order, each as late as this person's patience and the rule of at most 15 s ahead allow
    at = 0
    for number, (seen, checks) in enumerate(looked_at):
        later, waiting = seen, 0
        for then, more in looked_at[number + 1 :]:
            waiting += least_ms(more)
            if waiting + least_ms(checks) > looks[number][3]:
                break
            later = then
        at = max(at, later)
        taps.append(Tap(at, checks))
    assert too_quick(taps) == []
