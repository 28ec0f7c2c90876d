"""A second person's look counts only by somebody else than who found the locks shut.

This is no rule of how findings add up: the check is ok by itself, but it stays in the way of a sign-off.
`static/src/walk/findings/second_look.ts` says the same.
"""

from collections.abc import Mapping

from seamwalk.domain.findings.findings import Act, CheckState, Rank

_KIND = "second_look"
_FIRST = "locks"


def first_of(check: str) -> str | None:
    """The lock check that a second look belongs to; None for any other check."""
    place, _, last = check.rpartition("/")
    kind, _, expect = last.partition(":")
    return f"{place}/{_FIRST}:{expect}" if kind == _KIND else None


def is_same_hands(check: str, states: Mapping[str, CheckState], acts: Mapping[str, Act]) -> bool:
    """Whether an ok second look was given by the only one who looked first; `acts` has those that stand."""
    first = first_of(check)
    if first is None or not all(name in states and states[name].rank == Rank.OK for name in (first, check)):
        return False
    standing = [acts[entry] for name in (first, check) for entry in states[name].standing]
    return len({act.author for act in standing if act.kind == "ok"}) == 1
