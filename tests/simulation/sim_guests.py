"""Phones that come and go: the office admits them, gives them another role, revokes and re-admits them."""

import random
from dataclasses import dataclass, field
from typing import Any

from sim_keys import NumberedKey
from sim_server import Server

from seamwalk.book.entry import Author

REVOKED = "revoked"
_AT = "2026-11-20T22:00:00.000Z"
_ANSWERS = {
    None: ("held", "unknown_device"),
    REVOKED: ("held", "revoked_device"),
    "crew": ("held", "role"),
    "chief": ("kept", None),
}


@dataclass
class Guest:
    """One of them, and what the office last made of it, by which entry; None while it knows nothing of it."""

    number: int
    standing: str | None = None
    word: str = ""
    key: NumberedKey = field(init=False)

    def __post_init__(self) -> None:
        self.key = NumberedKey(8000 + self.number)

    @property
    def person(self) -> str:
        return f"p{self.number:016x}"

    def next_standing(self, rng: random.Random) -> str:
        """What the office may make of it now."""
        choices = {None: ["chief"], REVOKED: ["chief", "crew"], "crew": [REVOKED, "chief"]}
        return rng.choice(choices.get(self.standing, ["crew", "crew", REVOKED]))

    def is_put(self, server: Server, standing: str) -> None:
        """The office makes this of it."""
        if standing == REVOKED:
            self.word = server.revoke(self.key.thumbprint).input
        else:
            self.word = server.admit(self.key.jwk, self.person, standing).input

    def is_settled(self, server: Server) -> None:
        """After a loss that took the office's last word of it for good, the office says it again."""
        found = server.standings().get(self.key.thumbprint)
        if self.standing is None or (found is not None and self.word in server.kept()):
            return
        if found is None and self.standing == REVOKED:
            self.is_put(server, "crew")
        self.is_put(server, self.standing)

    def signs(self, book: str, over: dict[str, Any]) -> str:
        """The text by which it says that the wall is built; `over` are an epoch, a size and a root."""
        body = {"statement": "built", "wall": "A", "plan": "0" * 64, **over, "own": [], "exceptions": []}
        entry, _ = Author(self.key, book).write("signed_off", body, _AT, with_jwk=True)
        return entry.jws

    @property
    def answer(self) -> tuple[str, str | None]:
        """What the server must say to that: a verdict, and why."""
        return _ANSWERS[self.standing]
