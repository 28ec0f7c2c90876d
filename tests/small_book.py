"""A small book written by hand, entry by entry, and its export."""

from datetime import UTC, datetime
from typing import Any

from seamwalk.book.entry import Author, entry_id, format_at
from seamwalk.book.export import export_lines
from seamwalk.book.head import Head, sign_head
from seamwalk.book.jose import PrivateKey, sha256_hex
from seamwalk.book.merkle import Frontier

BOOK = "b0123456789abcdef"
AT = format_at(datetime(2026, 11, 20, 22, tzinfo=UTC))
PERSON = "p0123456789abcdef"
CHECK = "A/tile/1.1/condition:sound"


class Writer:
    """Writes a small book and its export."""

    def __init__(self) -> None:
        self.owner, self.head, self.phone = (PrivateKey.generate() for _ in range(3))
        self.office = Author(self.owner, BOOK)
        self.crew = Author(self.phone, BOOK)
        self.epoch = 1
        self.entries: list[str] = []
        self.blobs = {sha256_hex(data): data for data in (b'{"salt":"AA","text":"Rosa"}', b"other")}
        keys = {"owner_jwk": self.owner.jwk, "head_jwk": self.head.jwk}
        self.write("book_opened", {"kind": "show", "title": "T", "slug": "t", "epoch": 1, **keys})

    def write(self, entry_type: str, body: dict[str, Any], *, crew: bool = False) -> str:
        author = self.crew if crew else self.office
        entry, after = author.write(entry_type, body, AT, with_jwk=True)
        if crew:
            self.crew = after
        else:
            self.office = after
        self.entries.append(entry.jws)
        return entry.id

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
        fields = {"size": size, "root": self.root(size), "epoch": self.epoch, "book": BOOK} | changes
        return sign_head(key or self.head, Head(at=AT, **fields)).jws

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
