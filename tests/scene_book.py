"""A written-down book, played into the real ledger."""

import json
from typing import Any

from helpers import NOW
from seamwalk.book.entry import Author, Entry, format_at
from seamwalk.book.jose import PrivateKey, sha256_hex
from seamwalk.store.ledger.blobs import keep_blob
from seamwalk.store.ledger.books import admit_device, open_book
from seamwalk.store.ledger.intake import ingest
from seamwalk.store.ledger.keys import private_key
from seamwalk.store.ledger.witness import root_at


class Played:
    """A scene that was written into a book, and the names of its entries; `files` are named `%x` in it."""

    def __init__(
        self, session: Any, scene: dict[str, Any], files: dict[str, Any] | None = None, slug: str = "scene"
    ) -> None:
        self.session, self.scene = session, scene
        self.book = open_book(session, kind="show", title="Scene", slug=slug, now=NOW).id
        self.files = {name: json.dumps(file).encode() for name, file in (files or {}).items()}
        for name in self.files.keys() - scene.get("absent", ()):
            keep_blob(session, self.book, self.files[name])
        self.authors = {"office": Author(self._owner(), self.book, n=100)}
        for device, person in scene["devices"].items():
            key = PrivateKey.generate()
            fields = {"name": device, "role": scene.get("roles", {}).get(device, "chief"), "person": person}
            admit_device(session, self.book, jwk=key.jwk, now=NOW, **fields)
            self.authors[device] = Author(key, self.book)
        self.base = 1 + len(scene["devices"])
        self.made: dict[str, Entry] = {}
        by_id = {entry["id"]: entry for entry in scene["entries"]}
        waiting = list(by_id)
        for name in scene.get("made", by_id):
            self._make(by_id[name])
            while waiting and waiting[0] in self.made:
                self._send(waiting.pop(0))

    def _owner(self) -> PrivateKey:
        return private_key(self.session, self.book, "owner")

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
        """Names as ids; `~` stands before one that is meant by its other form."""
        if isinstance(value, dict):
            return {key: self._filled(inner) for key, inner in value.items()}
        if isinstance(value, list):
            return [self._filled(inner) for inner in value]
        if isinstance(value, str) and value.startswith("%"):
            return sha256_hex(self.files[value[1:]])
        if isinstance(value, str) and value.startswith("~"):
            return self.made[value[1:]].other_id
        return self.made[value[1:]].id if isinstance(value, str) and value.startswith("@") else value

    def _send(self, name: str) -> None:
        (verdict,) = ingest(self.session, self.book, [self.made[name].jws], NOW)
        assert verdict.verdict == "kept"

    def names(self, ids: Any) -> list[str]:
        """Ids as names, sorted."""
        known = {entry.id: name for name, entry in self.made.items()}
        return sorted(known[entry] for entry in ids)
