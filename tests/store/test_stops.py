"""What the office says became of a stop, by the books that hold sign-offs together."""

import pytest
from sqlalchemy.orm import Session

from scene_book import Played
from seamwalk.store.findings.states import walked_states, wall_states
from seamwalk.store.findings.stops import stops_of
from signoffs.test_claims import VECTORS

LOCKS = "A/side/1.1/2.1/locks:2"


@pytest.mark.parametrize(
    ("scene", "stages"),
    [
        ("a fault at locks opens the second look again", ["mended"]),
        ("mended, released by whose duty it is", ["released"]),
        ("a release by another duty", ["mended", "mended"]),
        ("a stop that its finder took back", ["taken_back"]),
        ("a release that its author takes back", ["mended"]),
    ],
)
def test_what_became_of_a_stop(session: Session, scene: str, stages: list[str]) -> None:
    found = next(item for item in VECTORS["scenes"] if item["description"].startswith(f"version 2: {scene}"))
    played = Played(session, found, VECTORS["files"])
    stops = stops_of(session, played.book)
    assert [stop.stage for stop in stops] == stages
    assert [stop.released_at is not None for stop in stops] == [stage == "released" for stage in stages]
    assert stops_of(session, played.book, "B") == []


def test_a_stop_stands_until_it_is_mended(session: Session) -> None:
    scene = next(s for s in VECTORS["scenes"] if s["description"].startswith("version 2: a fault at locks"))
    entries = [entry for entry in scene["entries"] if entry["id"] in ("p1", "o1", "f")]
    played = Played(session, scene | {"entries": entries}, VECTORS["files"])
    (stop,) = stops_of(session, played.book)
    assert (stop.check, stop.stage, stop.holds) == (LOCKS, "standing", True)


def test_a_second_look_that_counts_for_nothing_is_to_be_looked_at_again(session: Session) -> None:
    scenes = {scene["description"]: scene for scene in VECTORS["scenes"]}
    early = Played(
        session,
        scenes["version 2: a second look before any first look, by its own phone's word"],
        VECTORS["files"],
    )
    second = "A/side/1.1/2.1/second_look:2"
    states = wall_states(session, early.book, "A")
    assert states[second].state == "ok"
    assert walked_states(session, early.book, "A", states)[second].state == "reopened"
