"""Why a check stands as it does: the acts that make its state, and those that seem to speak against it."""

from collections.abc import Set
from dataclasses import dataclass

from seamwalk.domain.entry_ids import is_referenced
from seamwalk.domain.findings.findings import Act, Fold, Rank, rank

KEYS = (
    "open",
    "not_reached",
    "ok",
    "mended",
    "reopened",
    "reopened_since",
    "fault",
    "fault_unseen",
    "fault_shared",
    "fault_revived",
)


@dataclass(frozen=True)
class Explanation:
    """One of KEYS, the ids of the acts that make the state, and of those that bear on it, each sorted.

    mended: `others` are what its oks answer; reopened_since: oks that do not name it;
    fault_unseen: oks of people who had not seen it; fault_shared: oks for many checks that name it;
    fault_revived: oks that answered it and were taken back; empty for the others.
    """

    key: str
    acts: tuple[str, ...] = ()
    others: tuple[str, ...] = ()


def explain(fold: Fold, check: str) -> Explanation:
    """Tell why a check stands as it does."""
    state = fold.state(check)
    here = fold.acts_at(check)
    standing = [act for act in here if act.id in state.standing and rank(act, check) == state.rank]
    if not standing:
        return Explanation("open")
    acts = _ids(standing)
    named = {name for act in standing for name in (act.id, act.other)}
    oks = [act for act in here if act.kind == "ok" and fold.is_live(act)]
    if state.rank == Rank.NOT_REACHED:
        return Explanation("not_reached", acts)
    if state.rank == Rank.OK:
        answered = {answer for ok in oks for answer in ok.answers}
        asking = [act for act in here if act.kind_at(check) in _ASKING and fold.is_live(act)]
        mended = [act for act in asking if is_referenced(act.id, act.other, answered)]
        return Explanation("mended" if mended else "ok", acts, _ids(mended))
    if state.rank == Rank.REOPENED:
        return Explanation("reopened_since", acts, _ids(oks)) if oks else Explanation("reopened", acts)
    return _explain_fault(fold, here, acts, oks, named)


def _explain_fault(
    fold: Fold, here: list[Act], acts: tuple[str, ...], oks: list[Act], named: Set[str]
) -> Explanation:
    shared = [ok for ok in oks if len(ok.checks) > 1 and ok.answers & named]
    if shared:
        return Explanation("fault_shared", acts, _ids(shared))
    if oks:
        return Explanation("fault_unseen", acts, _ids(oks))
    taken_back = [act for act in here if act.kind == "ok" and not fold.is_live(act) and act.answers & named]
    return Explanation("fault_revived", acts, _ids(taken_back)) if taken_back else Explanation("fault", acts)


_ASKING = ("fault", "reopened")


def _ids(acts: list[Act]) -> tuple[str, ...]:
    return tuple(sorted(act.id for act in acts))
