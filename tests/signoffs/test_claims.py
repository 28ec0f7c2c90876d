"""What sign-offs claim: the server and verify say of every written-down book what the vectors say."""

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy.orm import Session

from scene_book import Played
from seamwalk.book.verify import verify_export
from seamwalk.domain.checks.checks import is_strike_check
from seamwalk.domain.checks.kinds import KINDS, STRIKE
from seamwalk.signoffs.book_claims import BookClaims
from seamwalk.signoffs.claim import Claim
from seamwalk.signoffs.frozen_checks import FrozenChecks
from seamwalk.store.engine import Store
from seamwalk.store.findings.sign_offs import sign_offs
from seamwalk.store.ledger.books import find_book
from seamwalk.store.ledger.exports import export_book

VECTORS = json.loads((Path(__file__).parent.parent / "vectors" / "claims.json").read_text())


@pytest.fixture
def session(new_store: Store) -> Iterator[Session]:
    with new_store.write() as session:
        yield session


def claims_of_export(session: Session, book: str) -> dict[str, Claim]:
    claims = BookClaims()
    lines = (line.encode() for line in export_book(session, find_book(session, book)))
    verify_export(lines, observer=claims)
    return {made.entry: made.claim for made in claims.measure()}


def expected(sign_off: dict[str, Any], expect: dict[str, Any]) -> dict[str, Any]:
    """What a claim must say, from what was in the way and the exceptions."""
    if "unknown" in expect:
        return {"left_out": [], "unnamed": [], "needless": [], "unknown": expect["unknown"]}
    excepted = {item["check"] for item in sign_off["body"]["exceptions"]}
    way = expect["in_the_way"]
    return {
        "left_out": [item for item in way if item[0] not in excepted],
        "unnamed": expect["unnamed"],
        "needless": sorted(excepted - {check for check, _ in way}),
        "unknown": None,
    }


def said(claim: Claim) -> dict[str, Any]:
    left_out = [[item.check, item.why] for item in claim.left_out]
    lists = {"unnamed": list(claim.unnamed), "needless": list(claim.needless)}
    return {"left_out": left_out, **lists, "unknown": claim.unknown}


@pytest.mark.long
def test_every_scene_on_the_server_and_in_its_export(session: Session) -> None:
    for number, scene in enumerate(VECTORS["scenes"]):
        check_scene(session, scene, f"scene-{number}")


def check_scene(session: Session, scene: dict[str, Any], slug: str) -> None:
    played = Played(session, scene, VECTORS["files"], slug)
    made = {state.entry: state for state in sign_offs(session, played.book)}
    on_server = {name: state.claim for name, state in made.items()}
    wanted = {}
    for entry in scene["entries"]:
        if entry["type"] == "signed_off":
            name, expect = played.made[entry["id"]].id, scene["expect"][entry["id"]]
            wanted[name] = expected(entry, expect)
            lapsed = made[name].lapsed
            still = lapsed and [lapsed.plan_differs, list(lapsed.worse)]
            assert still == expect.get("lapse", still), scene["description"]
    assert {name: said(claim) for name, claim in on_server.items()} == wanted, scene["description"]
    assert claims_of_export(session, played.book) == on_server, scene["description"]


def test_kinds_of_taking_down_are_those_that_version_1_says() -> None:
    file = FrozenChecks(1, (), frozenset())
    for kind, known in KINDS.items():
        check = f"A/tile/1.1/{kind}:x"
        assert file.signs_for(check) == (not is_strike_check(check)) == (known.walk != STRIKE)
