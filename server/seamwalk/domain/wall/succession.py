"""Which plan of a wall stands: each names the one it replaces, and the first to do so has replaced it.

After a restore a plan may come late, naming one that was replaced meanwhile. It stays in the book and counts
for nothing, whatever its place there: the chain is followed from the plan that replaced none.
"""

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True)
class PlanSet:
    """A plan of one wall, the plan it replaces, and its place in the book; known by `id` or by `other`."""

    id: str
    replaces: str | None
    index: int
    other: str = ""


def current_plan_id(plans: Iterable[PlanSet]) -> str | None:
    """The id of the plan that stands; None when there is none. All plans are of one wall."""
    ordered = sorted(plans, key=lambda plan: plan.index)
    kept = {name: plan.id for plan in ordered for name in (plan.other, plan.id) if name}
    successor: dict[str | None, str] = {}
    for plan in ordered:
        successor.setdefault(kept.get(plan.replaces or "", plan.replaces), plan.id)
    stands = None
    while stands in successor:
        stands = successor.pop(stands)
    return stands
