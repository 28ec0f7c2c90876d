"""What is to be ok before a check's turn comes, and what a fault at a check opens again."""

from bisect import bisect_right
from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from seamwalk.domain.checks.build_order import BuildAct, build_acts
from seamwalk.domain.checks.checks import Check
from seamwalk.domain.checks.file import FrozenOrder
from seamwalk.domain.checks.kinds import KINDS, Kind, Other, Where
from seamwalk.domain.wall.wall import Wall

_Positions = tuple[int, ...]


def turns(wall: Wall, checks: Sequence[Check]) -> list[FrozenOrder]:
    """Which checks are to be ok before which, by their positions in `checks`."""
    return _grouped(_pairs(wall, checks, lambda kind: kind.after))


def resting(wall: Wall, checks: Sequence[Check]) -> list[FrozenOrder]:
    """Which checks a fault at which opens again, by their positions in `checks`; also what rests on those."""
    direct = _pairs(wall, checks, lambda kind: kind.rests_on)
    on: dict[int, set[int]] = defaultdict(set)
    for check, under in direct:
        for one in under:
            on[one].add(check)
    whole = {under: _all_above(under, on) for under in sorted(on)}
    return _grouped((check, (under,)) for under, above in whole.items() for check in sorted(above))


def _all_above(under: int, on: Mapping[int, set[int]]) -> set[int]:
    found: set[int] = set()
    asked = [under]
    while asked:
        fresh = on.get(asked.pop(), set()) - found
        found |= fresh
        asked += fresh
    return found - {under}


def _grouped(pairs: Iterator[tuple[int, _Positions]]) -> list[FrozenOrder]:
    """Those that have to do with the same ones together."""
    groups: dict[_Positions, list[int]] = defaultdict(list)
    for check, before in pairs:
        groups[before].append(check)
    return [{"before": list(before), "after": after} for before, after in groups.items()]


def _pairs(
    wall: Wall, checks: Sequence[Check], others: Callable[[Kind], tuple[Other, ...]]
) -> Iterator[tuple[int, _Positions]]:
    """Each check with the checks of one other kind that have to do with it."""
    index = _Index.of(wall, checks)
    for position, check in enumerate(checks):
        for other in others(KINDS[check.kind]):
            found = tuple(at for at in index.seen_from(check, other) if at != position)
            if found:
                yield position, found


@dataclass
class _Index:
    """The checks of a wall by where they are, and when they are reached in the build."""

    keyed: dict[tuple[Where, str, str], list[int]] = field(default_factory=lambda: defaultdict(list))
    reached: dict[str, int] = field(default_factory=dict)  # by place: the act of the build that makes it
    built: dict[str, set[int]] = field(default_factory=lambda: defaultdict(set))  # by kind: those acts
    lifts: list[int] = field(default_factory=list)

    @classmethod
    def of(cls, wall: Wall, checks: Sequence[Check]) -> "_Index":
        index = cls()
        acts = build_acts(wall)
        index._take_acts(wall, acts)
        for position, check in enumerate(checks):
            for where, key in index._keys(check):
                index.keyed[where, check.kind, key].append(position)
            if check.place in index.reached:
                index.built[check.kind].add(index.reached[check.place])
        return index

    def _take_acts(self, wall: Wall, acts: Sequence[BuildAct]) -> None:
        at = {act.place: number for number, act in enumerate(acts) if act.act == "tile"}
        self.reached = {f"{act.act}/{act.place}": number for number, act in enumerate(acts)}
        self.reached |= {joint.place: max(at[tile] for tile in joint.tiles) for joint in wall.joints}
        self.lifts = [number for number, act in enumerate(acts) if act.act == "lift"]

    def _keys(self, check: Check) -> Iterator[tuple[Where, str]]:
        """Under what a check is found from elsewhere."""
        yield "place", check.place
        yield "wall", ""
        yield from (("tiles", tile) for tile in check.tiles)
        yield "column", str(check.column)
        if check.place.startswith("bar/"):
            yield "bar", check.place.partition("/")[2]
        number = self.reached.get(check.place)
        if number is not None:
            yield "built", str(number)
            yield "lifted", str(self._lift_after(number))

    def _lift_after(self, number: int) -> int:
        """The lift that takes what an act of the build made out of reach; a lift is taken by the next one."""
        later = bisect_right(self.lifts, number)
        return self.lifts[later] if later < len(self.lifts) else -1

    def seen_from(self, check: Check, other: Other) -> list[int]:
        """Positions of the checks of another kind that have to do with a check, in their order."""
        keys = self._own_keys(check, other)
        return sorted({at for key in keys for at in self.keyed.get((other.where, other.kind, key), ())})

    def _own_keys(self, check: Check, other: Other) -> Sequence[str]:
        match other.where:
            case "place":
                return (check.place,)
            case "tiles":
                return check.tiles
            case "column":
                return (str(check.column),)
            case "bar":
                return (check.place.split("/")[1],)
            case "wall":
                return ("",)
            case "lifted":
                return (str(self.reached.get(check.place, -2)),)
            case "built":
                return self._built_before(check, other.kind)

    def _built_before(self, check: Check, kind: str) -> Sequence[str]:
        now = self.reached.get(check.place, -1)
        return [str(number) for number in self.built[kind] if number < now]
