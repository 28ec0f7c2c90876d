"""A pace that nobody can keep: oks that came faster than anybody can walk to the places and look.

`static/src/walk/checks/pace_rule.ts` says the same; `tests/vectors/pace.json` holds both together. Every
number here is common practice, no source, and small on purpose: what it marks nobody can do, and no quick and
honest crew is marked. It marks for another look and keeps nothing from being signed.

What it cannot catch: somebody who taps slowly and does not look, who looks at another wall meanwhile, who
taps on two phones in turn, or whose phone's clock is wrong in between.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import inf

# the least time that a look of a kind takes, ms: common practice, no source
LOOK_MS: dict[str, int] = {
    "condition": 2000,
    "position": 500,
    "level": 2000,
    "joined": 1000,
    "hung": 1000,
    "edges": 500,
    "locks": 1000,
    "guard": 300,
    "angle": 500,
    "clamp": 1000,
    "support": 1000,
    "ballast": 1000,
    "lift": 5000,
    "second_look": 1000,
    "supply": 5000,
    "circuit": 1000,
    "signal": 1000,
    "backup": 2000,
    "heat": 1000,
    "picture": 100,
    "dead": 5000,
    "unplugged": 1000,
    "lowered": 5000,
    "unclamped": 1000,
    "unsupported": 1000,
    "struck": 2000,
    "bar_cased": 2000,
}
# from one place to the one beside it, half a metre at a brisk step, ms: common practice, no source
WALK_MS = 300
# seen from where somebody stands: nobody walks for these
FROM_AFAR = ("picture", "circuit", "signal", "backup", "heat")
# so much looking may lie between a look and its tap, ms: common practice, no source
AHEAD_MS = 15_000


@dataclass(frozen=True)
class Tap:
    """What somebody wrote at a time by the phone's clock (ms; None where it says no time).

    `checks` are the ids of the checks that it finds ok. What takes no look at that moment has none: a fault,
    a paper copied in, what was taken back, what is said to have been tapped afterwards.
    """

    at_ms: int | None
    checks: tuple[str, ...]


def least_ms(checks: Sequence[str]) -> int:
    """The least time in ms that anybody needs to look at these checks, by their ids; 0 of unknown kinds."""
    kinds = [(check.rpartition("/")[0], check.rpartition("/")[2].partition(":")[0]) for check in checks]
    walked = {place for place, kind in kinds if kind in LOOK_MS and kind not in FROM_AFAR}
    return sum(LOOK_MS.get(kind, 0) for _, kind in kinds) + WALK_MS * len(walked)


def too_quick(taps: Sequence[Tap]) -> list[int]:
    """The positions of those of a phone's taps, in their order, that nobody can have looked for.

    Somewhere around them is a run of taps that asks for at least `AHEAD_MS` more than the time from the tap
    before the run to its end. A tap that had time enough by itself is left out. Before the first tap, and
    where the clock went back, there was any time.
    """
    over = _in_a_run(taps)
    return [at for at, excess in enumerate(_excesses(taps)) if over[at] and excess > 0]


def around_too_quick(taps: Sequence[Tap]) -> list[int]:
    """The positions of all taps of such runs, those that had time enough too."""
    return [at for at, is_over in enumerate(_in_a_run(taps)) if is_over]


def _in_a_run(taps: Sequence[Tap]) -> list[bool]:
    excesses = _excesses(taps)
    to, since = _best_up_to(excesses), _best_up_to(excesses[::-1])[::-1]
    return [
        excess > -inf and before + after - excess > AHEAD_MS
        for excess, before, after in zip(excesses, to, since, strict=True)
    ]


def _excesses(taps: Sequence[Tap]) -> list[float]:
    """By how much each tap asks for more time than passed since the one before, ms; -inf for any time."""
    passed = [inf, *(_passed(before, tap) for before, tap in pairwise(taps))][: len(taps)]
    return [least_ms(tap.checks) - gap for tap, gap in zip(taps, passed, strict=True)]


def _passed(before: Tap, tap: Tap) -> float:
    if before.at_ms is None or tap.at_ms is None or tap.at_ms < before.at_ms:
        return inf
    return tap.at_ms - before.at_ms


def _best_up_to(excesses: Sequence[float]) -> list[float]:
    """For each position the largest sum of a run that ends there."""
    best, found = 0.0, []
    for excess in excesses:
        best = excess + max(0.0, best)
        found.append(best)
    return found
