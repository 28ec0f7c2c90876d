"""A simulated phone: its own key, the real API, and a witness of the book's head."""

import json
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any, Protocol

from seamwalk.book.entry import Author, Entry, format_at
from seamwalk.book.head import read_head
from seamwalk.book.jose import PrivateKey, PublicKey, sha256_hex
from seamwalk.book.merkle import Frontier
from seamwalk.book.parsing import read_kept
from seamwalk.store.ledger.books import salted_text

_CALL = {"X-Seamwalk": "1"}


class NotAsExpected(Exception):
    """The server's answer is not what a phone may accept."""


class Answer(Protocol):
    """What a phone reads of a response."""

    @property
    def status_code(self) -> int: ...
    @property
    def data(self) -> bytes: ...
    @property
    def text(self) -> str: ...
    @property
    def json(self) -> Any: ...


class Client(Protocol):
    """What sends a phone's calls: Flask's test client, or one over real HTTP."""

    def get(self, *arguments: Any, **options: Any) -> Answer: ...
    def post(self, *arguments: Any, **options: Any) -> Answer: ...
    def put(self, *arguments: Any, **options: Any) -> Answer: ...


@dataclass
class SimulatedPhone:
    """One phone in one book; `pending` is what no checked head covers yet."""

    client: Client
    book: str
    key: PrivateKey = field(default_factory=PrivateKey.generate)
    frontier: Frontier = field(default_factory=Frontier)
    lines: list[Entry | str] = field(default_factory=list)  # entries, or leaf hashes of what it may not read
    pending: list[Entry] = field(default_factory=list)
    blobs: list[bytes] = field(default_factory=list)
    acknowledged: set[str] = field(default_factory=set)
    head: str | None = None
    head_key: PublicKey | None = None
    joined: bool = False
    _author: Author | None = None

    @property
    def entries(self) -> list[Entry]:
        """What it reads of the book, in order."""
        return [line for line in self.lines if isinstance(line, Entry)]

    def join(self, token: str, name: str) -> None:
        """Become a member by an invite."""
        proof = self.key.sign("seamwalk-join", json.dumps({"token": token}).encode())
        body = {"token": token, "jwk": self.key.jwk, "name": name, "proof": proof}
        _ok(self.client.post("/api/v1/join", json=body, headers=_CALL))
        self.joined = True

    def write(self, entry_type: str, body: dict[str, Any], at: datetime) -> Entry:
        """Sign an entry, to be sent at the next sync."""
        author = self._author or Author(self.key, self.book)
        entry, self._author = author.write(entry_type, body, format_at(at), with_jwk=not self.joined)
        self.pending.append(entry)
        return entry

    def note(self, text: str) -> str:
        """Make a salted note, sent after the entries; return its name."""
        blob = salted_text(text)
        self.blobs.append(blob)
        return sha256_hex(blob)

    def sync(self) -> list[str]:
        """Send what is pending, pull the rest, compare the head; return the verdicts."""
        texts = [entry.jws for entry in self.pending]
        verdicts: list[str] = []
        more = True
        while more:
            body = {"after": self.frontier.tree_size, "entries": texts, "head": self.head, "leaves": True}
            answer = _ok(self.client.post(f"/api/v1/books/{self.book}/sync", json=body, headers=_CALL))
            verdicts += [verdict["verdict"] for verdict in answer["verdicts"]]
            self.acknowledged |= {v["id"] for v in answer["verdicts"] if v["verdict"] in ("kept", "again")}
            if answer["reading"] == "restored":
                self._cross(answer["restored"])
                return verdicts + self.sync()
            if answer["reading"] == "sign_in":
                if not self._sign_in():
                    return verdicts
                texts = []
                continue
            self._take(answer)
            more, texts = answer["more"], []
        for blob in self.blobs:
            _ok(
                self.client.put(
                    f"/api/v1/books/{self.book}/blobs/{sha256_hex(blob)}", data=blob, headers=_CALL
                )
            )
        self.blobs.clear()
        return verdicts

    def _sign_in(self) -> bool:
        device = self.key.thumbprint
        nonce = _ok(self.client.post("/api/v1/nonce", json={"device": device}, headers=_CALL))["nonce"]
        proof = self.key.sign("seamwalk-session", json.dumps({"nonce": nonce}).encode())
        body = {"device": device, "proof": proof}
        return self.client.post("/api/v1/session", json=body, headers=_CALL).status_code == 200

    def _take(self, answer: dict[str, Any]) -> None:
        for line in answer["entries"]:
            made = read_kept(line) if isinstance(line, str) else str(line["leaf"])
            if isinstance(made, Entry) and made.type in ("book_opened", "head_key_changed", "restored"):
                self.head_key = PublicKey(made.body["head_jwk"])
            self.frontier = self.frontier.append(_leaf(made))
            self.lines.append(made)
        if not answer["more"] and self.head_key is not None:
            head = read_head(answer["head"], self.head_key)
            if (head.size, head.root) != (self.frontier.tree_size, self.frontier.root_hash.hex()):
                raise NotAsExpected("the head does not fit the entries")
            self.head = answer["head"]
        seen = {entry.input for entry in self.entries}
        self.pending = [entry for entry in self.pending if entry.input not in seen]

    def _cross(self, texts: list[str]) -> None:
        """Go on behind a restore: what stood after its base is sent again."""
        restores = [read_kept(jws).body for jws in texts]
        base = min(restores, key=lambda body: int(body["base_size"]))
        kept, cut = self.lines[: base["base_size"]], self.lines[base["base_size"] :]
        frontier = Frontier().extend(map(_leaf, kept))
        if len(kept) == base["base_size"] and frontier.root_hash.hex() != base["base_root"]:
            raise NotAsExpected("the restore vouches for other entries than this phone has")
        self.lines, self.frontier, self.head = kept, frontier, None
        self.head_key = PublicKey(self.entries[0].body["head_jwk"])
        self.pending = [*(line for line in cut if isinstance(line, Entry)), *self.pending]

    def plan(self, wall: str) -> tuple[str, dict[str, Any]]:
        """The id and the checks file of a wall's newest plan."""
        entry = next(e for e in reversed(self.entries) if e.type == "plan_set" and e.body["wall"] == wall)
        response = self.client.get(f"/api/v1/books/{self.book}/blobs/{entry.body['checks_file']}")
        return entry.id, json.loads(response.data)


def _leaf(line: Entry | str) -> bytes:
    return bytes.fromhex(line.id if isinstance(line, Entry) else line)


def _ok(response: Answer) -> dict[str, Any]:
    if response.status_code >= 300 or not response.json or response.json.get("seamwalk") != 1:
        raise NotAsExpected(f"{response.status_code}: {response.text[:300]}")
    return dict(response.json)
