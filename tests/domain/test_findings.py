"""Findings add up the same in any order; an unseen fault is never hidden."""

import json
from pathlib import Path
from random import Random
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from seamwalk.domain.findings.explanation import KEYS, explain
from seamwalk.domain.findings.findings import Act, CheckState, Fold, Kind, Rank, Weight

CASES = json.loads((Path(__file__).parent.parent / "vectors" / "findings.json").read_text())["cases"]
RANDOM = json.loads((Path(__file__).parent.parent / "vectors" / "random_findings.json").read_text())["cases"]
CHECKS = ["A/tile/1.1/condition:sound", "A/tile/1.2/condition:sound", "A/tile/1.3/condition:sound"]


def read_act(data: dict[str, Any]) -> Act:
    sets = {name: frozenset(data[name]) for name in ("answers", "reopens", "early")}
    return Act(**{**data, "checks": tuple(data["checks"]), **sets})


def told(state: CheckState) -> dict[str, Any]:
    return {"state": state.state, "weight": state.weight, "standing": list(state.standing)}


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["description"])
def test_scene(case: dict[str, Any]) -> None:
    fold = Fold(read_act(act) for act in case["acts"])
    for check, expected in case["expect"].items():
        found = told(fold.state(check))
        reason = explain(fold, check)
        found["why"] = {"key": reason.key, "acts": list(reason.acts), "others": list(reason.others)}
        assert found == expected


KINDS: list[Kind] = ["ok", "ok", "fault", "not_reached", "reopened", "withdrawn"]
WEIGHTS: list[Weight] = ["stop", "show", "cosmetic"]


@st.composite
def histories(draw: st.DrawFn) -> list[Act]:
    """Acts that name earlier, later and unknown ids."""
    count = draw(st.integers(1, 9))
    ids = [f"{n:02}" for n in range(count + 1)]
    people = st.sampled_from(["p", "q"])
    acts = []
    for number in range(count):
        kind: Kind = draw(st.sampled_from(KINDS))
        checks = tuple(draw(st.lists(st.sampled_from(CHECKS), min_size=1, max_size=2, unique=True)))
        weight: Weight | None = draw(st.sampled_from(WEIGHTS)) if kind == "fault" else None
        answers = frozenset(draw(st.lists(st.sampled_from(ids), max_size=3))) if kind == "ok" else frozenset()
        target = draw(st.sampled_from(ids)) if kind == "withdrawn" else None
        own = () if kind == "withdrawn" else checks
        reopens = frozenset(own[1:] if kind == "fault" else ())
        acts.append(Act(ids[number], draw(people), kind, own, weight, answers, target, reopens=reopens))
    return acts


def states(acts: list[Act]) -> dict[str, CheckState]:
    fold = Fold(acts)
    return {check: fold.state(check) for check in CHECKS}


@given(histories(), st.randoms())
def test_order_and_doubles_do_not_matter(acts: list[Act], random: Random) -> None:
    shuffled = acts + acts[:3]
    random.shuffle(shuffled)
    assert states(shuffled) == states(acts)


@given(histories())
def test_adding_one_by_one_tells_every_check_that_changed(acts: list[Act]) -> None:
    fold, known = Fold(), states([])
    for act in acts:
        changed = fold.add([act])
        for check in CHECKS:
            if check not in changed:
                assert fold.state(check) == known[check]
        known = {check: fold.state(check) for check in CHECKS}
    assert known == states(acts)


@given(histories())
def test_an_ok_that_does_not_name_a_fault_never_hides_it(acts: list[Act]) -> None:
    fold = Fold(acts)
    named = {answer for act in acts if act.kind == "ok" and len(act.checks) == 1 for answer in act.answers}
    for act in acts:
        if act.kind == "fault" and act.id not in named and fold.is_live(act):
            own = [check for check in act.checks if check not in act.reopens]
            assert all(fold.state(check).rank >= Rank.COSMETIC for check in own)


def test_histories_at_random_add_up_as_the_plain_rules_say() -> None:
    for case in RANDOM:
        fold = Fold(map(read_act, case["acts"]))
        for check, expected in case["expect"].items():
            assert told(fold.state(check)) == expected, case["acts"]


def test_the_scenes_show_every_reason() -> None:
    assert {state["why"]["key"] for case in CASES for state in case["expect"].values()} == set(KEYS)


@given(histories())
def test_a_reason_always_fits_the_state(acts: list[Act]) -> None:
    fold = Fold(acts)
    for check in CHECKS:
        state, reason = fold.state(check), explain(fold, check)
        assert reason.key.removeprefix("mended").split("_")[0] in ("", state.state.split("_")[0])
        assert set(reason.acts) <= set(state.standing)
        assert not set(reason.acts) & set(reason.others)
