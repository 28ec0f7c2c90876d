"""Written-down books through the real ledger; the phone's tests run the same file."""

import json
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy.orm import Session

from scene_book import Played
from seamwalk.domain.findings.explanation import explain
from seamwalk.domain.findings.signoff import blockers
from seamwalk.store.findings.sign_offs import sign_offs
from seamwalk.store.findings.states import wall_states
from seamwalk.store.ledger.books import current_plans
from seamwalk.store.projections.check_states import load_fold

SCENES = json.loads((Path(__file__).parent.parent / "vectors" / "books.json").read_text())["scenes"]


@pytest.mark.parametrize("scene", SCENES, ids=lambda scene: scene["description"])
def test_scene(session: Session, scene: dict[str, Any]) -> None:
    played = Played(session, scene)
    expect = scene["expect"]
    states = wall_states(session, played.book, "A")
    for check, (state, weight, standing) in expect.get("states", {}).items():
        found = states.get(check)
        if found is None:
            assert (state, standing) == ("open", [])
        else:
            assert [found.state, found.weight, played.names(found.standing)] == [state, weight, standing]
    for check, expected in expect.get("why", {}).items():
        reason = explain(load_fold(session, played.book, [check]), check)
        assert [reason.key, played.names(reason.acts), played.names(reason.others)] == expected
    plans = {plan.wall: played.names([plan.entry])[0] for plan in current_plans(session, played.book)}
    assert plans == expect.get("plans", plans)
    for item in sign_offs(session, played.book):
        lapsed = item.lapsed and [item.lapsed.plan_differs, list(item.lapsed.worse)]
        assert lapsed == expect["sign_offs"][played.names([item.entry])[0]]
    if "planned" in expect:
        found_in_the_way = [[item.check, item.why] for item in blockers(expect["planned"], states)]
        assert found_in_the_way == expect["in_the_way"]
