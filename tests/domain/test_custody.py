"""Windows of damage: they never exclude the true moment, and are as tight as the looks allow."""

from dataclasses import dataclass
from itertools import permutations

from hypothesis import given
from hypothesis import strategies as st

from seamwalk.domain.stock.custody import Handover, Look, Repair, holders, window, windows
from seamwalk.domain.stock.tile_parts import covered_by_check, covers_part

PART = "corner:top_left"


def _time(value: int) -> str:
    return f"{value:04d}"


@dataclass(frozen=True)
class Event:
    """What happened at a true time: break, look or mend; `early` and `late` widen what is known of it."""

    what: str
    gap: int
    early: int
    late: int


events = st.lists(
    st.builds(
        Event,
        st.sampled_from(["break", "look", "look", "look", "mend"]),
        st.integers(1, 9),
        st.integers(0, 12),
        st.integers(0, 12),
    ),
    max_size=14,
)


def _played(told: list[Event], *, exact: bool) -> tuple[list[Look], list[Repair], dict[str, int]]:
    """Looks and mends as a true course of events leaves them; by look the true moment of what it saw."""
    now, broke_at = 20, -1
    looks: list[Look] = []
    repairs: list[Repair] = []
    truth: dict[str, int] = {}
    for number, event in enumerate(told):
        now += event.gap
        early, late = (0, 0) if exact else (event.early, event.late)
        at = (_time(now - early), _time(now + late), f"e{number}", "p")
        if event.what == "break" and broke_at < 0:
            broke_at = now
        elif event.what == "mend":
            repairs.append(Repair(*at, parts=frozenset({PART})))
            broke_at = -1
        elif event.what == "look":
            saw = frozenset({PART}) if broke_at >= 0 else frozenset[str]()
            looks.append(Look(*at, covers=frozenset({"corner"}), saw=saw))
            if saw:
                truth[f"e{number}"] = broke_at
    return looks, repairs, truth


@given(events, st.booleans())
def test_a_window_never_excludes_the_true_moment(told: list[Event], exact: bool) -> None:
    looks, repairs, truth = _played(told, exact=exact)
    for look in looks:
        if look.saw:
            made = window(PART, look, looks, repairs)
            assert made.earliest <= _time(truth[look.entry]) <= made.latest


@given(events)
def test_with_clocks_that_hold_a_window_runs_from_the_last_sound_look_to_the_first_that_saw_it(
    told: list[Event],
) -> None:
    looks, repairs, truth = _played(told, exact=True)
    for look in (look for look in looks if look.saw):
        broke = _time(truth[look.entry])
        sound = [m.latest for m in (*repairs, *(o for o in looks if not o.saw)) if m.latest < broke]
        seen = [other.latest for other in looks if other.saw and other.latest > broke]
        made = window(PART, look, looks, repairs)
        assert (made.earliest, made.latest) == (max(sound, default=""), min(seen))
        assert made.overlooked == ()


moments = st.tuples(st.sampled_from(["clean", "saw"]), st.integers(0, 6), st.integers(0, 4))


@given(st.lists(moments, min_size=1, max_size=4))
def test_without_mends_no_window_can_be_made_tighter_whatever_the_clocks_leave_open(
    told: list[tuple[str, int, int]],
) -> None:
    looks: list[Look] = []
    for number, (what, early, span) in enumerate(told):
        saw = frozenset({PART}) if what == "saw" else frozenset[str]()
        at = (_time(early), _time(early + span), f"e{number}", "p")
        looks.append(Look(*at, covers=frozenset({PART}), saw=saw))
    for target, (what, _, _) in enumerate(told):
        possible = list(_possible(told, target)) if what == "saw" else []
        if possible:
            made = window(PART, looks[target], looks, [])
            least, most = min(low for low, _ in possible), max(high for _, high in possible)
            assert made.latest == _time(most)
            assert made.earliest == (_time(least) if least >= 0 else "")


def _possible(told: list[tuple[str, int, int]], target: int) -> list[tuple[int, int]]:
    """By trying every order that the clocks allow: between which times what `target` saw can have broken."""
    found = []
    for order in permutations(range(len(told))):
        least, most = _pressed(told, order)
        if any(least[number] > most[number] for number in order):
            continue
        before, first_seen, bound = -1, -1, (0, 0)
        for number in order:
            if told[number][0] == "saw":
                first_seen = number if first_seen < 0 else first_seen
            elif first_seen >= 0:
                break
            else:
                before = number
            if number == target:
                bound = (least[before] if before >= 0 else -1, most[first_seen])
        else:
            found.append(bound)
    return found


def _pressed(
    told: list[tuple[str, int, int]], order: tuple[int, ...]
) -> tuple[dict[int, int], dict[int, int]]:
    """The earliest and the latest time of each event when they come in this order."""
    least: dict[int, int] = {}
    most: dict[int, int] = {}
    for now, number in zip((-1, *order), order, strict=False):
        least[number] = max(told[number][1], least.get(now, 0))
    later = [*order[1:], -1]
    for number, then in reversed(list(zip(order, later, strict=True))):
        most[number] = min(told[number][1] + told[number][2], most.get(then, 10**6))
    return least, most


def test_a_fault_told_of_a_whole_group_is_a_question_for_each_part_of_it() -> None:
    look = Look("1", "1", "e", "p", covers=frozenset({"corner"}), saw=frozenset({"corner"}))
    assert look.verdict("corner") is True
    assert look.verdict("corner:top_left") is None
    one = Look("1", "1", "e", "p", covers=frozenset({"corner"}), saw=frozenset({"corner:top_left"}))
    assert (one.verdict("corner"), one.verdict("corner:top_right")) == (True, False)
    assert one.verdict("face:1.1") is None


def test_two_looks_at_the_same_damage_lead_to_one_window() -> None:
    def look(at: str, *saw: str) -> Look:
        return Look(at, at, f"e{at}", "p", covers=frozenset({"corner"}), saw=frozenset(saw))

    looks = [look("1"), look("3", PART), look("4", PART), look("7", PART, "corner:top_right")]
    made = windows(looks, [Repair("5", "5", "m", "p", parts=frozenset({PART}))])
    assert [(w.part, w.earliest, w.latest) for w in made] == [
        (PART, "1", "3"),
        (PART, "5", "7"),
        ("corner:top_right", "4", "7"),
    ]


def test_a_sound_look_after_damage_is_told_as_overlooked_and_changes_no_window() -> None:
    sound = Look("4", "4", "late", "p", covers=frozenset({"corner"}))
    seen = Look("3", "3", "seen", "p", covers=frozenset({"corner"}), saw=frozenset({PART}))
    made = window(PART, seen, [seen, sound], [])
    assert (made.after, made.seen, made.overlooked) == (None, seen, (sound,))


def test_whoever_had_it_in_the_window_is_named() -> None:
    seen = Look("6", "6", "s", "p", covers=frozenset({"corner"}), saw=frozenset({PART}))
    sound = Look("3", "3", "c", "p", covers=frozenset({"corner"}))
    steps = [
        Handover(at, at, at, "p", holder)
        for at, holder in (("1", "store"), ("2", "truck"), ("5", "show"), ("7", "bench"))
    ]
    made = window(PART, seen, [sound, seen], [])
    assert [step.holder for step in holders(made, steps)] == ["truck", "show"]


def test_what_a_check_shows_of_a_tile_is_what_its_procedure_asks_to_look_at() -> None:
    assert covers_part(covered_by_check("A/tile/2.3/condition:sound", "2.3"), "corner:top_left")
    assert not covered_by_check("A/tile/2.3/condition:sound", "3.3")
    left = covered_by_check("A/side/3.2/4.2/edges:clean", "3.2")
    assert left == {"edge:right", "corner:top_right", "corner:bottom_right"}
    assert covered_by_check("A/side/3.2/4.2/locks:2", "4.2") == {"lock:left"}
    assert covered_by_check("A/stack/3.1/3.2/edges:clean", "3.2") >= {"edge:bottom"}
    assert covered_by_check("A/base/1/3.1/locks:2", "3.1") == frozenset()
    assert covered_by_check("A/free/3.1/left/guard:out", "3.1") == frozenset()
