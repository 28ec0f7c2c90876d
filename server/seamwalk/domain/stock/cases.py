"""What lies in a case, as several people wrote it down.

A sighting says that things lie in a case, or loose, at a stage, and names the sightings of them at that
stage that it saw and that hold no longer. What no live sighting names stands. So two people in one case add
to each other, and a thing that two put into different cases without knowing of each other is a question.
`static/src/walk/stock/cases.ts` adds up the same; `tests/vectors/cases.json` holds the two together.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Set
from dataclasses import dataclass

from seamwalk.domain.entry_ids import is_referenced


@dataclass(frozen=True)
class Sighting:
    """Things in a case (None: loose) at a stage, as one entry says; known by `entry` or `other`."""

    entry: str
    author: str
    items: tuple[str, ...]
    case: str | None
    stage: str
    replaces: tuple[str, ...] = ()
    other: str = ""


@dataclass(frozen=True)
class Closing:
    """Somebody shut a case, with what lay in it on the screen."""

    entry: str
    author: str
    case: str
    stage: str
    items: frozenset[str]


@dataclass(frozen=True)
class CaseState:
    """How a case stands: what is there of what is expected, what does not belong, what lies elsewhere too.

    `shut` is None while nobody shut it, "as_seen" when it was shut with just what stands now, else "changed".
    """

    there: tuple[str, ...]
    missing: tuple[str, ...]
    foreign: tuple[str, ...]
    doubles: tuple[str, ...]
    shut: str | None

    @property
    def summary(self) -> str:
        """open (nothing seen), wrong (foreign or double), short or complete."""
        if self.foreign or self.doubles:
            return "wrong"
        if self.missing:
            return "short" if self.there or self.shut else "open"
        return "complete" if self.there or self.shut else "open"


class Cases:
    """All sightings and closings of a book, added up."""

    def __init__(
        self,
        sightings: Iterable[Sighting],
        closings: Iterable[Closing] = (),
        withdrawn: Mapping[str, Set[str]] | None = None,
    ) -> None:
        """`withdrawn` has the authors who took an entry back, of whom only its own counts."""
        back = withdrawn or {}
        live = [made for made in sightings if made.author not in back.get(made.entry, frozenset())]
        self._closings = [made for made in closings if made.author not in back.get(made.entry, frozenset())]
        replaced: dict[tuple[str, str], set[str]] = defaultdict(set)
        for made in live:
            for item in made.items:
                replaced[made.stage, item].update(made.replaces)
        self._of_item: dict[tuple[str, str], list[Sighting]] = defaultdict(list)
        self._in_case: dict[tuple[str, str], set[str]] = defaultdict(set)
        for made in live:
            for item in made.items:
                if not is_referenced(made.entry, made.other, replaced[made.stage, item]):
                    self._of_item[made.stage, item].append(made)
                    self._in_case[made.stage, made.case or ""].add(item)

    def cases_of(self, stage: str, item: str) -> list[str]:
        """The cases that a thing lies in at a stage; more than one is a question; "" is loose."""
        return sorted({made.case or "" for made in self._of_item.get((stage, item), ())})

    def items_at(self, stage: str) -> list[str]:
        """Everything that was seen at a stage, in a case or loose."""
        return sorted(item for at, item in self._of_item if at == stage)

    def cases_at(self, stage: str) -> list[str]:
        """Cases of which anything was seen, or that were shut, at a stage."""
        seen = {case for at, case in self._in_case if at == stage and case}
        return sorted(seen | {made.case for made in self._closings if made.stage == stage})

    def items_in(self, stage: str, case: str) -> list[str]:
        """What lies in a case at a stage."""
        return sorted(self._in_case.get((stage, case), ()))

    def state(self, stage: str, case: str, expected: Collection[str]) -> CaseState:
        """How a case stands against what is expected in it."""
        inside = set(self.items_in(stage, case))
        wanted = set(expected)
        shuts = [made.items for made in self._closings if (made.stage, made.case) == (stage, case)]
        shut = None if not shuts else "as_seen" if frozenset(inside) in shuts else "changed"
        return CaseState(
            tuple(sorted(inside & wanted)),
            tuple(sorted(wanted - inside)),
            tuple(sorted(inside - wanted)),
            tuple(item for item in sorted(inside) if len(self.cases_of(stage, item)) > 1),
            shut,
        )
