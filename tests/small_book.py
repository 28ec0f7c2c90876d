"""A small book written by hand, entry by entry, and its export."""

import json
from dataclasses import replace
from datetime import UTC, datetime
from typing import Any

from seamwalk.book.entry import ENTRY_TYP, Author, entry_id, format_at
from seamwalk.book.export import export_lines
from seamwalk.book.head import Head, sign_head
from seamwalk.book.jose import PrivateKey, other_form, sha256_hex
from seamwalk.book.merkle import Frontier

BOOK = "b0123456789abcdef"
AT = format_at(datetime(2026, 11, 20, 22, tzinfo=UTC))
PERSON = "p0123456789abcdef"
CHECK = "A/tile/1.1/condition:sound"


class Writer:
    """Writes a small book and its export; from before rules 2 with `rules` 1."""

    def __init__(self, rules: int = 2) -> None:
        self.owner, self.head, self.phone = (PrivateKey.generate() for _ in range(3))
        self.office = Author(self.owner, BOOK)
        self.crew = Author(self.phone, BOOK)
        self.epoch = 1
        self.entries: list[str] = []
        self.blobs = {sha256_hex(data): data for data in (b'{"salt":"AA","text":"Rosa"}',)}
        keys = {"owner_jwk": self.owner.jwk, "head_jwk": self.head.jwk}
        opened = {"kind": "show", "title": "T", "slug": "t", "epoch": 1, **keys}
        if rules == 1:
            self.write_raw("book_opened", opened)
        else:
            self.write("book_opened", opened | {"rules": rules})

    def write(self, entry_type: str, body: dict[str, Any], *, crew: bool = False, at: str = AT) -> str:
        author = self.crew if crew else self.office
        entry, after = author.write(entry_type, body, at, with_jwk=True)
        return self._wrote(entry.jws, after, crew=crew)

    def write_raw(self, entry_type: str, body: Any, *, crew: bool = False, **changes: Any) -> str:
        """Write what today's rules may not allow: nothing is checked, members of the payload as given."""
        author = self.crew if crew else self.office
        named = {"type": entry_type, "v": 1, "book": BOOK, "n": author.n, "prev": author.prev}
        payload = json.dumps(named | {"at": AT, "body": body} | changes)
        jws = author.key.sign(ENTRY_TYP, payload.encode(), with_jwk=True)
        return self._wrote(jws, Author(author.key, BOOK, author.n + 1, entry_id(jws)), crew=crew)

    def _wrote(self, jws: str, after: Author, *, crew: bool) -> str:
        if crew:
            self.crew = after
        else:
            self.office = after
        self.entries.append(jws)
        return entry_id(jws)

    def twist(self, at: int) -> str:
        """Let the entry at a place come again under the other form of its signature."""
        self.entries.append(other_form(self.entries[at]))
        return entry_id(self.entries[-1])

    def admit(self, role: str = "crew") -> None:
        name = sha256_hex(b'{"salt":"AA","text":"Rosa"}')
        device = {"device": self.phone.thumbprint, "jwk": self.phone.jwk}
        self.write("device_admitted", {**device, "person": PERSON, "name_blob": name, "role": role})

    def find(self) -> str:
        return self.write("found", {"plan": "0" * 64, "checks": [CHECK], "result": "ok"}, crew=True)

    def ids(self) -> list[str]:
        return [entry_id(jws) for jws in self.entries]

    def root(self, size: int) -> str:
        return Frontier().extend(bytes.fromhex(i) for i in self.ids()[:size]).root_hash.hex()

    def restore(self, base_size: int, epoch: int, root: str | None = None) -> None:
        """Begin a new epoch with a head key of its own."""
        self.head, self.epoch = PrivateKey.generate(), epoch
        fields = {"base_size": base_size, "base_root": root or self.root(base_size)}
        self.write("restored", {"epoch": epoch, "head_jwk": self.head.jwk, **fields})

    def signed_head(self, key: PrivateKey | None = None, **changes: Any) -> str:
        size = len(self.entries)
        head = replace(Head(BOOK, self.epoch, size, self.root(size), AT), **changes)
        return sign_head(key or self.head, head).jws

    def lines(self, key: PrivateKey | None = None, **changes: Any) -> list[bytes]:
        blobs = sorted(self.blobs.items())
        made = export_lines(
            book=BOOK,
            epoch=self.epoch,
            entries=self.entries,
            size=len(self.entries),
            head=self.signed_head(key, **changes),
            blobs=blobs,
            blob_count=len(blobs),
        )
        return [line.encode() for line in made]
