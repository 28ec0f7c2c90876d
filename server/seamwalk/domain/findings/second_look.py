"""A second person's look counts only by somebody else than who found the locks shut, and after that.

This is no rule of how findings add up: the check is ok by itself, but it stays in the way of a sign-off.
`static/src/walk/findings/second_look.ts` says the same.
"""

from collections.abc import Callable
from typing import Literal

from seamwalk.domain.entry_ids import is_referenced
from seamwalk.domain.findings.findings import Act, Fold, Rank

_KIND = "second_look"
_FIRST = "locks"

# the findings that tell of a check
FoldOf = Callable[[str], Fold]


def first_of(check: str) -> str | None:
    """The lock check that a second look belongs to; None for any other check."""
    place, _, last = check.rpartition("/")
    kind, _, expect = last.partition(":")
    return f"{place}/{_FIRST}:{expect}" if kind == _KIND else None


def is_same_hands(check: str, fold_of: FoldOf) -> bool:
    """Whether an ok second look was given by the only one who looked first.

    So it is asked of walls whose checks file is of version 1.
    """
    first = first_of(check)
    if first is None or not _are_ok(fold_of, first, check):
        return False
    return len({act.author for name in (first, check) for act in _oks(fold_of(name), name)}) == 1


def second_look_fault(check: str, fold_of: FoldOf) -> Literal["same_hands", "too_early"] | None:
    """Why an ok second look is none: by the hands that looked first or mended, or before any first look.

    Where something was answered at a check, only who answered it has looked since. A look that its own phone
    called early is none, unless a first look by another person turns out to be older, by both phones' clocks.
    """
    first = first_of(check)
    if first is None or not _are_ok(fold_of, first, check):
        return None
    firsts, seconds = (_since_answered(fold_of(name), name) for name in (first, check))
    pairs = [(one, two) for one in firsts for two in seconds if one.author != two.author]
    if not pairs:
        return "same_hands"
    return None if any(first not in two.early or one.at <= two.at for one, two in pairs) else "too_early"


def _are_ok(fold_of: FoldOf, *checks: str) -> bool:
    return all(fold_of(check).state(check).rank == Rank.OK for check in checks)


def _oks(fold: Fold, check: str) -> list[Act]:
    """The oks that stand at a check."""
    standing = set(fold.state(check).standing)
    return [act for act in fold.acts_at(check) if act.kind == "ok" and act.id in standing]


def _since_answered(fold: Fold, check: str) -> list[Act]:
    """Those of them that have looked since something was answered there; all, where nothing was."""
    here, oks = fold.acts_at(check), _oks(fold, check)
    answering = [ok for ok in oks if any(is_referenced(act.id, act.other, ok.answers) for act in here)]
    return answering or oks
