"""Random books: the server and verify say of each sign-off what a second, slow and obvious check says."""

import itertools
import json
import random
from typing import Any

from hypothesis import HealthCheck, example, given, settings
from hypothesis import strategies as st
from sqlalchemy.orm import Session

from scene_book import Played
from seamwalk.signoffs.claim import Claim
from seamwalk.store.engine import Store
from seamwalk.store.findings.sign_offs import sign_offs
from signoffs.test_claims import VECTORS, claims_of_export
from volume import drawn

Scene = dict[str, Any]
EntryOf = dict[str, Any]
A, B, C = (f"p000000000000000{letter}" for letter in "abc")
DEVICES = {"a": A, "b": B, "c": C, "c2": C}
FILES = VECTORS["files"]
PLANNED = [check["id"] for check in FILES["more"]["checks"]]
CHECKS = [*PLANNED, "A/lift/r2/lowered:called", "A/tile/9.9/condition:sound", "B/tile/1.1/condition:sound"]
NO_ENTRY = "0" * 64
_numbers = itertools.count()


class Chance:
    """Makes a scene whose entries, references, order and sign-offs are left to chance."""

    def __init__(self, seed: int) -> None:
        self.random = random.Random(seed)
        self.made: dict[str, EntryOf] = {}
        self.book: list[str] = []
        self.unsent: list[str] = []

    def scene(self, length: int) -> Scene:
        self.plan()
        self.add("found", "b", {"plan": "@e0", "checks": PLANNED, "result": "ok"})
        for _ in range(length):
            chosen = self.random.choices([self.plan, self.sync, self.sign, self.act], [4, 6, 15, 75])
            chosen[0]()
        order = [self.made[name] for name in (*self.book, *self.unsent)]
        return {"devices": DEVICES, "entries": order, "made": list(self.made)}

    def add(self, entry_type: str, device: str, body: dict[str, Any]) -> None:
        """Make an entry; some of the signer's come into the book later."""
        name = f"e{len(self.made)}"
        self.made[name] = {"id": name, "type": entry_type, "device": device, "body": body}
        late = device == "a" and entry_type in ("found", "withdrawn") and self.random.random() < 0.4
        (self.unsent if late else self.book).append(name)

    def some(self, values: list[str], most: int) -> list[str]:
        return self.random.sample(values, self.random.randint(0, min(most, len(values))))

    def reference(self, name: str) -> str:
        """An entry's name in either form."""
        return f"{self.random.choice('@@@~')}{name}"

    def plan(self) -> None:
        file = self.random.choice(["file", "older", "more"])
        fields = {"wall": "A", "title": "W", "replaces": None, "plan_file": NO_ENTRY}
        self.add("plan_set", "office", {**fields, "checks_file": f"%{file}"})

    def sync(self) -> None:
        self.book += self.unsent
        self.unsent.clear()

    def act(self) -> None:
        device = self.random.choice(["a", *DEVICES])
        earlier = [self.reference(name) for name in self.made]
        kind = self.random.choice(
            ["ok"] * 6 + ["fault", "fault", "not_reached", "swapped"] + ["withdrawn"] * 4
        )
        checks = self.some(CHECKS, 4) or [self.random.choice(CHECKS)]
        found: dict[str, Any] = {"plan": "@e0", "checks": checks, "result": kind}
        if kind == "withdrawn":
            own = [self.reference(name) for name, entry in self.made.items() if who(entry) == DEVICES[device]]
            self.add("withdrawn", device, {"entry": self.random.choice(own or earlier)})
        elif kind == "swapped":
            part = {"plan": "@e0", "part": "tile", "where": "A/1.1"}
            self.add("swapped", device, {**part, "reopens": checks})
        elif kind == "fault":
            weight = self.random.choice(["stop", "show", "cosmetic"])
            self.add("found", device, {**found, "checks": checks[:1], "weight": weight, "reason": "gap"})
        elif kind == "ok":
            self.add("found", device, {**found, "answers": self.some(earlier, 3)})
        else:
            self.add("found", device, found)

    def sign(self) -> None:
        plans = [self.reference(name) for name, entry in self.made.items() if entry["type"] == "plan_set"]
        exceptions = [
            {"check": check, "reason": "agreed", "person": self.random.choice([None, " ", "Ilse Adler"])}
            for check in self.some(CHECKS, 6)
        ]
        own = [self.reference(name) for name in self.unsent if self.random.random() < 0.9]
        own += [NO_ENTRY] if self.random.random() < 0.03 else []
        size = self.random.randint(max(0, len(self.book) - 8), len(self.book))
        over = {"plan": self.random.choice(plans), "over": size, "own": own}
        self.add("signed_off", "a", {"statement": "built", "wall": "A", **over, "exceptions": exceptions})


RANKS = ["open", "not_reached", "ok", "reopened", "cosmetic", "show", "stop"]
STRIKE = ("dead", "unplugged", "lowered", "unclamped", "unsupported", "struck", "bar_cased")


def kind_of(check: str) -> str:
    return check.split("/")[-1].split(":")[0]


def who(entry: EntryOf) -> str:
    return DEVICES.get(entry["device"], "office")


class Slow:
    """What a sign-off covers, from what was written down alone; each check by itself, entry by entry."""

    def __init__(self, covered: list[EntryOf]) -> None:
        self.covered = covered

    def is_live(self, entry: EntryOf) -> bool:
        back = [other for other in self.covered if other["type"] == "withdrawn" and who(other) == who(entry)]
        return all(other["body"]["entry"] != f"@{entry['id']}" for other in back)

    def standing(self, check: str) -> list[EntryOf]:
        def names(body: dict[str, Any]) -> bool:
            return check in body.get("checks", ()) or check in body.get("reopens", ())

        acts = [entry for entry in self.covered if names(entry["body"]) and self.is_live(entry)]
        oks = [entry["body"] for entry in acts if entry["body"].get("result") == "ok"]
        return [entry for entry in acts if not any(answers(ok, entry) for ok in oks)]

    def state(self, check: str) -> str:
        found = ["open"]
        for entry in self.standing(check):
            body = entry["body"]
            found.append(body.get("weight") or body.get("result") or "reopened")
        return max(found, key=RANKS.index)

    def lookers(self, check: str) -> set[str]:
        return {who(entry) for entry in self.standing(check) if entry["body"].get("result") == "ok"}

    def why(self, check: str) -> str | None:
        """Why a planned check is in the way; None when it is not."""
        if self.state(check) != "ok":
            return "not_ok"
        first = check.replace("/second_look:", "/locks:")
        if kind_of(check) != "second_look" or self.state(first) != "ok":
            return None
        return "same_hands" if len(self.lookers(first) | self.lookers(check)) == 1 else None

    def way(self, planned: list[str]) -> list[list[str]]:
        checks = [[check, why] for check in planned if (why := self.why(check))]
        gone = sorted({check for check in CHECKS if check.startswith("A/") and kind_of(check) not in STRIKE})
        bad = [check for check in gone if check not in planned and RANKS.index(self.state(check)) > 3]
        return [*checks, *([check, "vanished"] for check in bad)]


def answers(ok: dict[str, Any], entry: EntryOf) -> bool:
    one_by_one = entry["body"].get("result") != "fault" or len(ok["checks"]) == 1
    return f"@{entry['id']}" in ok.get("answers", ()) and one_by_one


def one_form(value: Any) -> Any:
    """The same with every reference in one form."""
    return json.loads(json.dumps(value).replace('"~', '"@'))


def slow_claim(scene: Scene, sign_off: EntryOf) -> dict[str, Any]:
    """What the claim of a sign-off must come to."""
    body = sign_off["body"]
    here = {f"@{entry['id']}": entry for entry in scene["entries"]}
    if any(name not in here for name in body["own"]):
        return {"unknown": "entries_missing"}
    own = [here[name] for name in body["own"]]
    before = scene["entries"][: body["over"]]
    slow = Slow([*before, *(entry for entry in own if entry not in before)])
    file = FILES[here[body["plan"]]["body"]["checks_file"][1:]]
    way = slow.way([check["id"] for check in file["checks"] if kind_of(check["id"]) not in STRIKE])
    excepted = {item["check"] for item in body["exceptions"]}
    nameless = {item["check"] for item in body["exceptions"] if item["person"] in (None, " ")}
    structural = [check["id"] for check in file["checks"] if check["kind"] in ("locks", "second_look")]
    return {
        "left_out": [item for item in way if item[0] not in excepted],
        "unnamed": [check for check, _ in way if check in structural and check in nameless],
        "needless": sorted(excepted - {check for check, _ in way}),
    }


def said(claim: Claim) -> dict[str, Any]:
    if claim.unknown is not None:
        return {"unknown": claim.unknown}
    left_out = [[item.check, item.why] for item in claim.left_out]
    return {"left_out": left_out, "unnamed": list(claim.unnamed), "needless": list(claim.needless)}


def check_scene(session: Session, scene: Scene) -> None:
    played = Played(session, scene, FILES, f"random-{next(_numbers)}")
    on_server = {state.entry: state.claim for state in sign_offs(session, played.book)}
    plain = one_form(scene)
    signed = [entry for entry in plain["entries"] if entry["type"] == "signed_off"]
    wanted = {played.made[entry["id"]].id: slow_claim(plain, entry) for entry in signed}
    assert {entry: said(claim) for entry, claim in on_server.items()} == wanted
    assert claims_of_export(session, played.book) == on_server


@settings(max_examples=drawn(8), suppress_health_check=list(HealthCheck))
@given(st.integers(0, 2**32), st.integers(1, 40))
@example(7, 60)
def test_a_second_slow_check_agrees(new_store: Store, seed: int, length: int) -> None:
    with new_store.write() as session:
        check_scene(session, Chance(seed).scene(length))
