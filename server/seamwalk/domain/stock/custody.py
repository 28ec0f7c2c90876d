"""Who had a thing, and between which two looks it broke.

A look covers parts and says which of them it saw damaged. Looks are taken to be true: damage that is there
is seen by a look that covers it, and stays until it is repaired. When a look was made is known as an
interval; a phone's clock that nothing contradicts makes it a moment.

For damage that a look saw, the true moment lies after the earliest time of every clean look and every repair
that came before it, and not after the latest time of any look that saw the same damage. A clean look counts
as before when it surely was, or when no repair can have come between the two: then it would have seen it.
No window is tighter where clocks hold, or where nothing was repaired. Where clocks leave open whether a
repair came before a look, a window may be wider than it had to be, and still holds the true moment.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from seamwalk.domain.stock.tile_parts import covers_part, group_of


@dataclass(frozen=True)
class Moment:
    """Something that happened to a thing, at an unknown time in [`earliest`, `latest`], UTC as text.

    `entry` is the entry that says so; `by` is who wrote it.
    """

    earliest: str
    latest: str
    entry: str
    by: str

    def surely_before(self, other: "Moment") -> bool:
        """Whether it came before the other one at whatever times the two were."""
        return self.latest < other.earliest

    def may_be_before(self, other: "Moment") -> bool:
        """Whether it can have come before the other one."""
        return self.earliest <= other.latest


@dataclass(frozen=True)
class Look(Moment):
    """Somebody looked at `covers` and saw `saw` damaged; the rest of what it covers was sound."""

    covers: frozenset[str] = frozenset()
    saw: frozenset[str] = frozenset()

    def verdict(self, part: str) -> bool | None:
        """True when it saw the part damaged, False when it saw it sound, None when it does not tell.

        Damage told of a whole group may be at any part of it. A group is damaged when any part of it is.
        """
        if part in self.saw or any(group_of(seen) == part for seen in self.saw):
            return True
        return None if group_of(part) in self.saw or not covers_part(self.covers, part) else False


@dataclass(frozen=True)
class Repair(Moment):
    """Parts were repaired or replaced: sound from then on."""

    parts: frozenset[str] = frozenset()

    def repairs(self, part: str) -> bool:
        """Whether this part, its group or all of a group was repaired."""
        return covers_part(self.parts, part)


@dataclass(frozen=True)
class Handover(Moment):
    """From here on the thing was at `holder`, at a stage of a show or at none ("").

    There it stood at `place`, as in `A/3.2`, or lay in `case`, a label code; "" for neither.
    """

    holder: str = ""
    stage: str = ""
    place: str = ""
    case: str = ""


@dataclass(frozen=True)
class Window:
    """Damage of a part broke after `after` (None: nobody had looked before) and not after `seen`."""

    part: str
    after: Moment | None
    seen: Look
    overlooked: tuple[Look, ...] = field(default=())

    @property
    def earliest(self) -> str:
        """The time after which it broke; "" when nobody had looked before."""
        return self.after.earliest if self.after else ""

    @property
    def latest(self) -> str:
        """The time by which it was broken."""
        return self.seen.latest


def damaged_parts(looks: Iterable[Look]) -> list[str]:
    """Every part that a look saw damaged, groups that were told as a whole among them."""
    return sorted({part for look in looks for part in look.saw})


def window(part: str, seen: Look, looks: Sequence[Look], repairs: Sequence[Repair]) -> Window:
    """When the damage of a part that `seen` saw came about, as tightly as the looks allow."""
    of_part = [repair for repair in repairs if repair.repairs(part)]
    saw = [
        look for look in looks if look.verdict(part) is True and not _repaired_between(look, seen, of_part)
    ]
    first = min([seen, *saw], key=lambda look: (look.latest, look.entry))
    clean = [look for look in looks if look.verdict(part) is False]
    before: list[Moment] = [repair for repair in of_part if repair.surely_before(seen)]
    before += [look for look in clean if _was_before(look, seen, of_part)]
    true_bounds = [moment for moment in before if moment.earliest <= first.latest]
    after = max(true_bounds, key=lambda moment: (moment.earliest, moment.entry), default=None)
    overlooked = [
        look for look in clean if first.surely_before(look) and not _repaired_between(first, look, of_part)
    ]
    return Window(part, after, first, tuple(overlooked))


def windows(looks: Sequence[Look], repairs: Sequence[Repair]) -> list[Window]:
    """One window for each damage that was seen: looks at the same damage lead to the same window."""
    found: dict[tuple[str, str, str], Window] = {}
    for part in damaged_parts(looks):
        for look in looks:
            if part in look.saw:
                made = window(part, look, looks, repairs)
                found.setdefault((part, made.earliest, made.seen.entry), made)
    return sorted(found.values(), key=lambda made: (made.latest, made.part))


def holders(made: Window, handovers: Iterable[Handover]) -> list[Handover]:
    """Who can have had the thing in a window: the last to get it before it, and all who got it within it."""
    ordered = sorted(handovers, key=lambda step: (step.earliest, step.latest, step.entry))
    within = [step for step in ordered if step.latest > made.earliest and step.earliest < made.latest]
    surely = [step for step in ordered if step.latest <= made.earliest]
    return [*surely[-1:], *within]


def _was_before(look: Look, seen: Look, of_part: Sequence[Repair]) -> bool:
    return look.surely_before(seen) or (
        look.may_be_before(seen) and not _repaired_between(seen, look, of_part)
    )


def _repaired_between(first: Moment, second: Moment, of_part: Iterable[Repair]) -> bool:
    """Whether a repair can have come after `first` and before `second`."""
    return any(first.may_be_before(repair) and repair.may_be_before(second) for repair in of_part)
