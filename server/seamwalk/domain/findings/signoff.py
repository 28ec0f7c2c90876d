"""Sign-off: what is in the way of it, and when it no longer holds."""

from collections.abc import Callable, Iterable, Mapping, Set
from dataclasses import dataclass
from typing import Literal

from seamwalk.domain.findings.findings import CheckState, Rank

OPEN = CheckState()
# why an ok is in the way all the same
WhyNot = Literal["same_hands", "too_early", "not_released", "coming_down"]


@dataclass(frozen=True)
class Blocker:
    """A check that keeps a wall from being signed without an exception."""

    check: str
    state: CheckState
    why: WhyNot | Literal["not_ok", "vanished"]


@dataclass(frozen=True)
class SignedStates:
    """A sign-off: the plan it was made over, its excepted checks, and the states that it covered.

    At the checks in `held` nobody had let the crew go on after a stop.
    """

    plan: str
    excepted: frozenset[str]
    states: Mapping[str, CheckState]
    held: frozenset[str] = frozenset()


@dataclass(frozen=True)
class Lapse:
    """Why a sign-off no longer holds: the plan differs, or these checks got worse."""

    plan_differs: bool
    worse: tuple[str, ...]


def blockers(
    checks: Iterable[str],
    states: Mapping[str, CheckState],
    why_not: Callable[[str], WhyNot | None] = lambda _check: None,
) -> tuple[Blocker, ...]:
    """List what is not ok: the plan's checks in their order, then faults of checks no longer planned.

    `states` holds those of one wall only. `why_not` tells why an ok is in the way all the same.
    """
    planned = list(checks)
    known = set(planned)
    not_ok = []
    for check in planned:
        state = states.get(check, OPEN)
        if state.rank != Rank.OK:
            not_ok.append(Blocker(check, state, "not_ok"))
        elif why := why_not(check):
            not_ok.append(Blocker(check, state, why))
    vanished = [
        Blocker(check, state, "vanished")
        for check, state in sorted(states.items())
        if check not in known and state.rank >= Rank.COSMETIC
    ]
    return (*not_ok, *vanished)


def lapse(
    signed: SignedStates,
    plan: str | None,
    states: Mapping[str, CheckState],
    held: Set[str] = frozenset(),
) -> Lapse | None:
    """Tell why a sign-off has lapsed; None while it stands. A late ok changes nothing.

    A check that `states` leaves out is open. One that a stop holds now (`held`) is worse than one that none
    held then, whatever its state: what is mended is not yet what was signed.
    """
    worse = tuple(
        check
        for check in sorted({*signed.states, *states} - signed.excepted)
        if check in held - signed.held or _got_worse(signed.states.get(check, OPEN), states.get(check, OPEN))
    )
    differs = plan != signed.plan
    return Lapse(differs, worse) if differs or worse else None


def _got_worse(then: CheckState, now: CheckState) -> bool:
    """An ok is the best there is; everything else is ordered by what would keep it from being signed."""
    return _badness(now) > _badness(then)


def _badness(state: CheckState) -> int:
    return 0 if state.rank == Rank.OK else 1 if state.rank <= Rank.NOT_REACHED else int(state.rank)
