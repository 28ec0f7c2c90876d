"""What lies in cases and how things stand with the bench, by the vectors that the phone passes too."""

import json
from dataclasses import asdict
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from seamwalk.domain.stock.bench import Step, bench_state
from seamwalk.domain.stock.cases import Cases, Closing, Sighting

VECTORS = Path(__file__).parents[1] / "vectors"
CASES = json.loads((VECTORS / "cases.json").read_text())
BENCH = json.loads((VECTORS / "bench.json").read_text())


@pytest.mark.parametrize("vector", CASES, ids=lambda vector: vector["description"])
def test_cases(vector: dict[str, Any]) -> None:
    sightings = [
        Sighting(
            made["entry"],
            made["author"],
            tuple(made["items"]),
            made["case"],
            "return",
            tuple(made["replaces"]),
        )
        for made in vector["sightings"]
    ]
    closings = [
        Closing(made["entry"], made["author"], made["case"], "return", frozenset(made["items"]))
        for made in vector["closings"]
    ]
    withdrawn: dict[str, set[str]] = {}
    for item in vector["withdrawn"]:
        withdrawn.setdefault(item["entry"], set()).add(item["author"])
    for order in (sightings, sightings[::-1]):
        state = Cases(order, closings, withdrawn).state("return", "C1", vector["expected"])
        told = {name: list(value) for name, value in asdict(state).items() if name != "shut"}
        assert {**told, "shut": state.shut, "summary": state.summary} == vector["state"]


@pytest.mark.parametrize("vector", BENCH, ids=lambda vector: vector["description"])
def test_bench(vector: dict[str, Any]) -> None:
    assert asdict(bench_state(Step(*step) for step in vector["steps"])) == vector["state"]


scans = st.lists(st.tuples(st.sampled_from(["mika", "rosa"]), st.sampled_from("TUVW"), st.sampled_from("XY")))


@given(scans)
def test_what_two_people_saw_is_the_same_whoever_saw_it_and_stages_keep_apart(
    told: list[tuple[str, str, str]],
) -> None:
    made = [
        Sighting(str(number), author, (item,), case, "return")
        for number, (author, item, case) in enumerate(told)
    ]
    cases = Cases(made)
    for case in "XY":
        assert cases.items_in("return", case) == sorted({item for _, item, where in told if where == case})
        assert cases.items_in("prep", case) == []
    for item in "TUVW":
        assert cases.cases_of("return", item) == sorted({where for _, what, where in told if what == item})


@given(
    st.lists(
        st.sampled_from(BENCH).flatmap(
            lambda vector: st.sampled_from(vector["steps"] or [["z", "z", "out", ""]])
        )
    )
)
def test_nothing_is_back_in_stock_by_the_hands_that_judged_it(steps: list[list[str]]) -> None:
    made = [Step(*step) for step in steps]
    for end in range(1, len(made) + 1):
        state = bench_state(made[:end])
        if state.status == "in_stock" and state.since:
            worked = [step.by for step in made[:end] if step.what in ("triage", "repair")]
            assert worked
            assert worked[-1] != made[end - 1].by or state == bench_state(made[: end - 1])
