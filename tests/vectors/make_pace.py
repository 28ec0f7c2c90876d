"""Write tests/vectors/pace.json: runs of taps and those among them that nobody can have looked for.

What is expected is found by trying every run, beside the rule's own way of adding up.
"""

import json
import random
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from seamwalk.domain.checks.pace_rule import AHEAD_MS, FROM_AFAR, LOOK_MS, WALK_MS

HERE = Path(__file__).parent
KINDS = ("condition", "locks", "edges", "guard", "picture", "lift", "of_a_later_edition")
Given = list[tuple[int | None, list[str]]]


def least_ms(checks: Sequence[str]) -> int:
    """The least time for these checks, milliseconds."""
    total, places = 0, set()
    for check in checks:
        *place, last = check.split("/")
        kind = last.split(":")[0]
        total += LOOK_MS.get(kind, 0)
        if kind in LOOK_MS and kind not in FROM_AFAR:
            places.add(tuple(place))
    return total + WALK_MS * len(places)


def quick(taps: Given) -> list[int]:
    """Try every run of taps that has one before it and in which the clock never went back."""
    found: set[int] = set()
    for first in range(1, len(taps)):
        needed = 0
        for last in range(first, len(taps)):
            before, at = taps[last - 1][0], taps[last][0]
            if before is None or at is None or at < before:
                break
            needed += least_ms(taps[last][1])
            start = taps[first - 1][0]
            assert start is not None
            if needed - (at - start) > AHEAD_MS:
                found.update(range(first, last + 1))
    return sorted(at for at in found if least_ms(taps[at][1]) > _since_before_ms(taps, at))


def _since_before_ms(taps: Given, at: int) -> int:
    before, now = taps[at - 1][0], taps[at][0]
    assert before is not None
    assert now is not None
    return now - before


def stops(count: int, every_s: float, kinds: Sequence[str] = ("edges", "locks")) -> Given:
    """One tap for each joint up a column."""
    return [
        (round(1000 * every_s * n), [f"A/side/1.{n + 1}/2.{n + 1}/{kind}:x" for kind in kinds])
        for n in range(count)
    ]


def later(taps: Given, seconds: int) -> Given:
    """The same taps at another time."""
    return [(None if at is None else at + 1000 * seconds, checks) for at, checks in taps]


def scenes() -> dict[str, Given]:
    """Each scene by what it shows."""
    tiles = [f"A/tile/1.{row}/condition:sound" for row in range(1, 11)]
    pictures = [f"A/tile/{column}.{row}/picture:clean" for column in range(1, 41) for row in range(1, 11)]
    return {
        "nothing": [],
        "a phone's first tap, whatever it answers": [(0, tiles)],
        "290 stops at 0.1 s each": stops(290, 0.1),
        "40 stops by somebody quick who looks": stops(40, 2.2),
        "five joints looked at and then tapped one after the other": [(0, []), *later(stops(5, 0.5), 10)],
        "a case of ten tiles answered two seconds after the last tap": [(0, tiles[:1]), (2_000, tiles)],
        "a case of ten tiles answered a minute after the last tap": [(0, tiles[:1]), (62_000, tiles)],
        "one look over a picture of 400 tiles, 30 s long": [(0, []), (30_000, pictures)],
        "one tap for a picture of 400 tiles, 5 s after the last": [(0, []), (5_000, pictures)],
        "a break does not save what follows it": [(0, []), *later(stops(40, 0.1), 900)],
        "a slow one between quick ones is left out": [*stops(20, 0.1), *later(stops(20, 0.1), 8)],
        "the clock went back in the middle": [*stops(8, 0.1), *later(stops(8, 0.1), -3600)],
        "no time at all": [(None, tiles), (None, tiles)],
        "a kind that this edition does not know": [(0, []), (0, ["A/tile/1.1/of_a_later_edition:x"])],
    }


def chance(seed: int) -> Given:
    """Taps by chance."""
    dice = random.Random(seed)
    at = 0
    taps: Given = []
    for _ in range(dice.randrange(1, 25)):
        at += dice.choice([0, 100, 400, 2_000, 2_000, 9_000, 40_000, -5_000])
        checks = [
            f"A/tile/{dice.randrange(1, 9)}.{dice.randrange(1, 9)}/{dice.choice(KINDS)}:x"
            for _ in range(dice.choice([0, 1, 1, 2, 6]))
        ]
        taps.append((None if dice.random() < 0.03 else at, sorted(set(checks))))
    return taps


def vectors() -> list[dict[str, Any]]:
    """All vectors: what it shows, the taps, and the positions of the quick ones."""
    given = scenes() | {f"by chance, {seed}": chance(seed) for seed in range(60)}
    return [
        {
            "shows": shows,
            "taps": [{"at_ms": at, "checks": checks} for at, checks in taps],
            "quick": quick(taps),
        }
        for shows, taps in given.items()
    ]


if __name__ == "__main__":
    text = ",\n".join(json.dumps(vector) for vector in vectors())
    (HERE / "pace.json").write_text(f"[\n{text}\n]\n")
