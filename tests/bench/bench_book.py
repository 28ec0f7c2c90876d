"""A book to measure with: four phones that look at the 5,000 tiles of a wall, again and again."""

import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from sim_keys import NumberedKey

from helpers import NOW, Site, make_site_anew
from seamwalk.book.entry import Author, format_at
from seamwalk.store.ledger.books import admit_device

PHONES = 4
BATCH = 500


@dataclass(frozen=True)
class Measured:
    """A site over a fresh SQLite file, and the keys of its phones."""

    site: Site
    folder: Path
    keys: list[NumberedKey]

    def texts(self, count: int) -> list[str]:
        """Signed findings, the phones by turns."""
        authors = [Author(key, self.site.book) for key in self.keys]
        made = []
        for number in range(count):
            column, row = number % 100 + 1, number // 100 % 50 + 1
            check = f"A/tile/{column}.{row}/condition:sound"
            body = {"plan": "0" * 64, "checks": [check], "result": "ok", "answers": []}
            entry, authors[number % PHONES] = authors[number % PHONES].write("found", body, format_at(NOW))
            made.append(entry.jws)
        return made


@contextmanager
def measured() -> Iterator[Measured]:
    """Make it on the disk, as it would be."""
    with tempfile.TemporaryDirectory() as folder:
        site = make_site_anew(Path(folder), f"sqlite:///{folder}/seamwalk.db")
        keys = [NumberedKey(number) for number in range(1, PHONES + 1)]
        with site.store.write() as session:
            for number, key in enumerate(keys):
                fields = {"name": f"Crew {number}", "role": "crew"}
                admit_device(session, site.book, jwk=key.jwk, now=NOW, **fields)
        yield Measured(site, Path(folder), keys)
        site.store.engine.dispose()


def seconds(work: Callable[[], object]) -> float:
    """How long it takes."""
    started = time.perf_counter()
    work()
    return time.perf_counter() - started


def batches(texts: list[str]) -> Iterator[list[str]]:
    """Cut into batches as phones send them."""
    for start in range(0, len(texts), BATCH):
        yield texts[start : start + BATCH]
