"""How a thing stands with the bench, from the steps in their order.

Whatever came out of a wall or was seen damaged worse than cosmetically is in quarantine. It goes back to
stock by a second look of somebody who neither judged nor repaired it. `static/src/walk/stock/bench.ts` has
the same rules; `tests/vectors/bench.json` holds the two together.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

Status = Literal["in_stock", "quarantined", "in_repair", "at_maker", "awaits_look", "scrapped"]
_AFTER: dict[tuple[str, str], Status] = {
    ("triage", "repair"): "in_repair",
    ("triage", "no_fault"): "awaits_look",
    ("triage", "to_maker"): "at_maker",
    ("triage", "scrap"): "scrapped",
    ("repair", "mended"): "awaits_look",
    ("repair", "not_mended"): "quarantined",
    ("second_look", "faulty"): "quarantined",
}


@dataclass(frozen=True)
class Step:
    """What bears on a thing's state; `what` is out, damaged, triage, repair or second_look."""

    entry: str
    by: str
    what: str
    result: str = ""


@dataclass(frozen=True)
class BenchState:
    """Where a thing stands, since which step, and who judged or repaired it: not the one to look again."""

    status: Status = "in_stock"
    since: str = ""
    worked_by: str = ""

    @property
    def may_go_out(self) -> bool:
        """Whether it may leave for a show."""
        return self.status == "in_stock"


def bench_state(steps: Iterable[Step], start: BenchState | None = None) -> BenchState:
    """Add steps up, oldest first, from where the thing stood before them."""
    state = start or BenchState()
    for step in steps:
        state = _after(state, step)
    return state


def _after(state: BenchState, step: Step) -> BenchState:
    if state.status == "scrapped":
        return state
    if step.what in ("out", "damaged"):
        return BenchState("quarantined", step.entry, "")
    if (step.what, step.result) == ("second_look", "sound"):
        passes = state.status == "awaits_look" and step.by != state.worked_by
        return BenchState("in_stock", step.entry, "") if passes else state
    status = _AFTER[step.what, step.result]
    worked_by = step.by if step.what in ("triage", "repair") else ""
    return BenchState(status, step.entry, worked_by)
