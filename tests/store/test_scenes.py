"""Written-down books through the real ledger; the phone's tests run the same file."""

import json
from pathlib import Path
from typing import Any

import pytest

from helpers import NOW
from seamwalk.book.entry import Author, Entry, format_at
from seamwalk.book.jose import PrivateKey
from seamwalk.domain.signoff import in_the_way
from seamwalk.domain.why import why
from seamwalk.store.adding_up import load_fold
from seamwalk.store.books import admit_device, current_plans, open_book
from seamwalk.store.engine import Store, make_engine
from seamwalk.store.ledger import ingest
from seamwalk.store.migrations import upgrade
from seamwalk.store.signed import sign_offs
from seamwalk.store.states import wall_states
from seamwalk.store.tables import Key
from seamwalk.store.witness import root_at

SCENES = json.loads((Path(__file__).parent.parent / "vectors" / "books.json").read_text())["scenes"]


class Played:
    """A scene that was written into a book, and the names of its entries."""

    def __init__(self, session: Any, scene: dict[str, Any]) -> None:
        self.session, self.scene = session, scene
        self.book = open_book(session, kind="show", title="Scene", slug="scene", now=NOW).id
        self.authors = {"office": Author(self._owner(), self.book, n=100)}
        for device, person in scene["devices"].items():
            key = PrivateKey.generate()
            fields = {"name": device, "role": "chief", "person": person}
            admit_device(session, self.book, jwk=key.jwk, now=NOW, **fields)
            self.authors[device] = Author(key, self.book)
        self.base = 1 + len(scene["devices"])
        self.made: dict[str, Entry] = {}
        by_id = {entry["id"]: entry for entry in scene["entries"]}
        signs_off = any(entry["type"] == "signed_off" for entry in scene["entries"])
        for name in scene.get("made", by_id):
            self._make(by_id[name])
            if signs_off:
                self._send([name])
        if not signs_off:
            self._send(list(by_id))

    def _owner(self) -> PrivateKey:
        return PrivateKey.from_pem(self.session.get_one(Key, (self.book, "owner")).pem)

    def _make(self, entry: dict[str, Any]) -> None:
        author = self.authors[entry["device"]]
        if "n" in entry:
            author = Author(author.key, self.book, entry["n"])
        body = self._filled(entry["body"])
        if "over" in body:
            size = self.base + body.pop("over")
            body |= {"epoch": 1, "size": size, "root": root_at(self.session, self.book, size)}
        made, self.authors[entry["device"]] = author.write(
            entry["type"], body, entry.get("at", format_at(NOW))
        )
        self.made[entry["id"]] = made

    def _filled(self, value: Any) -> Any:
        """Names as ids."""
        if isinstance(value, dict):
            return {key: self._filled(inner) for key, inner in value.items()}
        if isinstance(value, list):
            return [self._filled(inner) for inner in value]
        return self.made[value[1:]].id if isinstance(value, str) and value.startswith("@") else value

    def _send(self, names: list[str]) -> None:
        verdicts = ingest(self.session, self.book, [self.made[name].jws for name in names], NOW)
        assert [verdict.verdict for verdict in verdicts] == ["kept"] * len(names)

    def names(self, ids: Any) -> list[str]:
        """Ids as names, sorted."""
        known = {entry.id: name for name, entry in self.made.items()}
        return sorted(known[entry] for entry in ids)


@pytest.fixture
def session(tmp_path: Path) -> Any:
    engine = make_engine(f"sqlite:///{tmp_path / 'scene.db'}")
    upgrade(engine)
    with Store(engine).write() as session:
        yield session
    engine.dispose()


@pytest.mark.parametrize("scene", SCENES, ids=lambda scene: scene["description"])
def test_scene(session: Any, scene: dict[str, Any]) -> None:
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
        reason = why(load_fold(session, played.book, [check]), check)
        assert [reason.key, played.names(reason.acts), played.names(reason.others)] == expected
    plans = {plan.wall: played.names([plan.entry])[0] for plan in current_plans(session, played.book)}
    assert plans == expect.get("plans", plans)
    for item in sign_offs(session, played.book):
        lapsed = item.lapsed and [item.lapsed.plan_differs, list(item.lapsed.worse)]
        assert lapsed == expect["sign_offs"][played.names([item.entry])[0]]
    if "planned" in expect:
        found_in_the_way = [[item.check, item.why] for item in in_the_way(expect["planned"], states)]
        assert found_in_the_way == expect["in_the_way"]
