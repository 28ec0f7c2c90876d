"""A sign-off lapses when something gets worse or the plan differs, and for nothing else."""

from seamwalk.domain.findings.findings import CheckState, Rank
from seamwalk.domain.findings.signoff import SignedStates, blockers, lapse

OK, FAULT, REOPENED = (CheckState(rank, ("x",)) for rank in (Rank.OK, Rank.SHOW, Rank.REOPENED))
NOT_REACHED = CheckState(Rank.NOT_REACHED, ("x",))


def test_open_checks_and_vanished_faults_are_in_the_way() -> None:
    found = blockers(["a", "b", "c"], {"a": OK, "c": FAULT, "gone": FAULT, "old": OK})
    assert [(item.check, item.why) for item in found] == [
        ("b", "not_ok"),
        ("c", "not_ok"),
        ("gone", "vanished"),
    ]


def test_it_stands_while_nothing_changes_and_a_late_ok_is_only_noted() -> None:
    signed = SignedStates("plan", frozenset({"b"}), {"a": OK})
    assert lapse(signed, "plan", {"a": OK}) is None
    assert lapse(signed, "plan", {"a": OK, "b": OK}) is None


def test_it_lapses_by_a_fault_a_reopening_or_another_plan() -> None:
    signed = SignedStates("plan", frozenset(), {"a": OK})
    for worse in (FAULT, REOPENED, NOT_REACHED):
        found = lapse(signed, "plan", {"a": worse})
        assert found is not None
        assert found.worse == ("a",)
    found = lapse(signed, "other", {"a": OK})
    assert found is not None
    assert found.plan_differs


def test_an_excepted_check_does_not_make_it_lapse() -> None:
    assert lapse(SignedStates("plan", frozenset({"a"}), {}), "plan", {"a": FAULT}) is None
