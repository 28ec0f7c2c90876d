"""What a check's findings add up to: the same answer in any order of arrival, whatever the clocks say.

An act is a finding (ok, fault, not reached), a reopening, a release, or a withdrawal. An act is live unless
its own author withdrew it. It stands at a check while it is live and no live ok that covers the check names
it in `answers`; a fault is answered only by an ok for that check alone. The worst act that stands is the
state. What rests on a check that a fault is at is reopened by that fault: there it counts as a reopening. A
release changes no state: it says who let a wall's crew go on after a stop.
"""

from collections import defaultdict
from collections.abc import Callable, Collection, Iterable
from dataclasses import dataclass
from enum import IntEnum
from typing import Literal

from seamwalk.domain.entry_ids import is_referenced

Kind = Literal["ok", "fault", "not_reached", "reopened", "released", "withdrawn"]
Weight = Literal["stop", "show", "cosmetic"]


class Rank(IntEnum):
    """States of a check, worst last."""

    OPEN = 0
    NOT_REACHED = 1
    OK = 2
    REOPENED = 3
    COSMETIC = 4
    SHOW = 5
    STOP = 6


@dataclass(frozen=True)
class Act:
    """One act of a person, as far as the state of checks is concerned; known by `id` or by `other`.

    `checks` are all that it names; at those of them in `reopens` a fault only opens again what rests on it.
    `answers` are what an ok has seen and answers, or the stop faults that somebody of `duty` releases.
    `early` are checks that were not ok when an ok was given that should have been, by that phone's knowledge;
    `at` is its clock's word.
    """

    id: str
    author: str
    kind: Kind
    checks: tuple[str, ...] = ()
    weight: Weight | None = None
    answers: frozenset[str] = frozenset()
    target: str | None = None
    other: str = ""
    reopens: frozenset[str] = frozenset()
    duty: str | None = None
    early: frozenset[str] = frozenset()
    at: str = ""

    def kind_at(self, check: str) -> Kind:
        """What it is at one of its checks."""
        return "reopened" if check in self.reopens else self.kind


@dataclass(frozen=True)
class CheckState:
    """A check's state and the ids of the acts that stand there, sorted."""

    rank: Rank = Rank.OPEN
    standing: tuple[str, ...] = ()

    @property
    def state(self) -> str:
        """open, not_reached, ok, reopened or fault."""
        return "fault" if self.rank >= Rank.COSMETIC else self.rank.name.lower()

    @property
    def weight(self) -> str | None:
        """cosmetic, show or stop; None unless the state is fault."""
        return self.rank.name.lower() if self.rank >= Rank.COSMETIC else None


class Fold:
    """Findings added up, act by act; adding an act twice changes nothing."""

    def __init__(self, acts: Iterable[Act] = ()) -> None:
        self._acts: dict[str, Act] = {}  # by either id
        self._at_check: dict[str, list[Act]] = defaultdict(list)
        self._withdrawals: dict[str, set[str]] = defaultdict(set)
        self._stopped: set[str] = set()
        self.add(acts)

    def add(self, acts: Iterable[Act]) -> set[str]:
        """Take acts into account; return the checks whose state may have changed."""
        changed: set[str] = set()
        for act in acts:
            if act.id in self._acts:
                continue
            self._acts[act.id] = self._acts[act.other or act.id] = act
            if act.kind == "withdrawn" and act.target is not None:
                self._withdrawals[act.target].add(act.author)
                target = self._acts.get(act.target)
                changed.update(target.checks if target else ())
            for check in act.checks:
                self._at_check[check].append(act)
            if act.weight == "stop":
                self._stopped.update(act.checks)
            changed.update(act.checks)
        return changed

    def checks(self) -> list[str]:
        """Every check that any act names."""
        return list(self._at_check)

    def acts_at(self, check: str) -> list[Act]:
        """The acts that name a check, in the order in which they came."""
        return list(self._at_check.get(check, ()))

    def is_live(self, act: Act) -> bool:
        """Whether the act's own author has not withdrawn it."""
        ids = (act.id, act.other)
        return not any(act.author in self._withdrawals[name] for name in ids if name in self._withdrawals)

    def state(self, check: str) -> CheckState:
        """Add up what stands at one check."""
        live = [act for act in self._at_check.get(check, ()) if act.kind != "released" and self.is_live(act)]
        oks = [act for act in live if act.kind == "ok" and act.answers]
        standing = [act for act in live if not any(_answers(ok, act, check) for ok in oks)]
        if not standing:
            return CheckState()
        worst = max(rank(act, check) for act in standing)
        return CheckState(worst, tuple(sorted(act.id for act in standing)))

    def unreleased(self, check: str, duty: str) -> list[str]:
        """Stop faults at a check that nobody of its duty has released: their ids, in their order of arrival.

        A release counts by somebody else than the only one who answered the fault.
        """
        if check not in self._stopped:
            return []
        live = [act for act in self._at_check.get(check, ()) if self.is_live(act)]
        stops = [act for act in live if act.weight == "stop" and act.kind_at(check) == "fault"]
        return [act.id for act in stops if not _is_released(act, live, duty, check)]

    def held(self, duty_of: Callable[[str], str]) -> set[str]:
        """Checks with a stop after which nobody has let the crew go on whose duty it is there."""
        return {check for check in self._stopped if self.unreleased(check, duty_of(check))}

    def with_acts(self, acts: Collection[Act]) -> tuple[set[str], "Fold"]:
        """The checks that these acts may change, and those checks' acts added up as if they came too."""
        taken_back = [self._acts[act.target] for act in acts if act.target and act.target in self._acts]
        changed = {check for act in (*acts, *taken_back) for check in act.checks}
        here = {act.id: act for check in changed for act in self._at_check.get(check, ())}
        fold = Fold()
        for name in (name for act in (*here.values(), *acts) for name in entry_ids(act)):
            fold._withdrawals[name] |= self._withdrawals.get(name, set())
        fold.add((*here.values(), *acts))
        return changed, fold


def _is_released(fault: Act, acts: Collection[Act], duty: str, check: str) -> bool:
    menders = {act.author for act in acts if act.kind == "ok" and _answers(act, fault, check)}
    releases = [act for act in acts if act.kind == "released" and act.duty == duty]
    named = [act for act in releases if is_referenced(fault.id, fault.other, act.answers)]
    return any(menders - {act.author} for act in named)


def entry_ids(act: Act) -> tuple[str, ...]:
    """The references that mean an act."""
    return (act.id, act.other) if act.other else (act.id,)


def rank(act: Act, check: str) -> Rank:
    """The state that one standing act alone would make at a check that it names."""
    kind = act.kind_at(check)
    return _RANKS[act.weight if kind == "fault" and act.weight else kind]


_RANKS = {rank.name.lower(): rank for rank in Rank}


def _answers(ok: Act, act: Act, check: str) -> bool:
    named = is_referenced(act.id, act.other, ok.answers)
    return named and (act.kind_at(check) != "fault" or len(ok.checks) == 1)
