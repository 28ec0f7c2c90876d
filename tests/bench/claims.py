"""What sign-offs claim, in a book of 200,000 entries with ten sign-offs over a wall of 4,000 tiles.

`seamwalk verify` with its claims against the same without them; on the server, all sign-offs of the book
against reading the acts that they cover.
"""

from collections.abc import Iterator
from pathlib import Path

from bench.bench_book import BATCH, Measured, batches, measured, seconds
from helpers import NOW, PLAN
from seamwalk.book.entry import Author, format_at
from seamwalk.book.jose import PrivateKey
from seamwalk.book.verify import verify_export
from seamwalk.signoffs.verification import verify_with_claims
from seamwalk.store.findings.sign_offs import sign_offs
from seamwalk.store.findings.states import acts_of_wall
from seamwalk.store.ledger.books import admit_device, current_plan, find_book, freeze_plan, set_plan
from seamwalk.store.ledger.exports import export_book
from seamwalk.store.ledger.intake import ingest, newest_head
from seamwalk.store.projections.check_states import placed_acts

ENTRIES, SIGN_OFFS, COLUMNS, ROWS = 200_000, 10, 100, 40
TINY = 2 * BATCH, 2, 3, 2


def take(book: Measured, texts: list[str]) -> None:
    with book.site.store.write() as session:
        verdicts = ingest(session, book.site.book, texts, NOW)
    if any(verdict.verdict != "kept" for verdict in verdicts):
        raise AssertionError("not all were kept")


class Chief:
    """Signs a planned wall off, over all that is in the book."""

    def __init__(self, book: Measured, columns: int, rows: int) -> None:
        self.book, key = book, PrivateKey.generate()
        show, plan = book.site.book, PLAN | {"columns": columns, "rows": rows}
        with book.site.store.write() as session:
            before = current_plan(session, show, "A")
            replaces = before.entry if before else None
            self.plan = set_plan(session, show, freeze_plan("A", plan), replaces=replaces, now=NOW).id
            admit_device(session, show, jwk=key.jwk, name="Chief", role="chief", now=NOW)
        self.author = Author(key, show)

    def sign(self) -> None:
        with self.book.site.store.read() as session:
            head = newest_head(session, self.book.site.book)
        over = {"plan": self.plan, "epoch": head.epoch, "size": head.size, "root": head.root, "own": []}
        body = {"statement": "built", "wall": "A", **over, "exceptions": []}
        entry, self.author = self.author.write("signed_off", body, format_at(NOW))
        take(self.book, [entry.jws])


def fill(book: Measured, chief: Chief, entries: int, signed: int) -> None:
    """Findings with sign-offs spread evenly over them."""
    made = list(batches(book.texts(entries)))
    each = len(made) // signed
    for number, batch in enumerate(made, 1):
        take(book, batch)
        if number % each == 0:
            chief.sign()


def lines_of(file: Path) -> Iterator[bytes]:
    with file.open("rb") as lines:
        yield from lines


def main(*, tiny: bool = False) -> None:
    """Run and print."""
    entries, signed, columns, rows = TINY if tiny else (ENTRIES, SIGN_OFFS, COLUMNS, ROWS)
    with measured() as book:
        fill(book, Chief(book, columns, rows), entries, signed)
        show, owner, file = book.site.book, book.site.owner, book.folder / "export.txt"
        with book.site.store.read() as session, file.open("w", encoding="utf-8", newline="\n") as target:
            target.writelines(export_book(session, find_book(session, show)))
        bare = min(seconds(lambda: verify_export(lines_of(file), owner)) for _ in range(2))
        own = min(seconds(lambda: verify_with_claims(lines_of(file), owner)) for _ in range(2))
        print(f"verify with its claims {own:.1f} s, without {bare:.1f} s: x {own / bare:.2f}", flush=True)
        with book.site.store.read() as session:
            acts = acts_of_wall(show, "A")
            read = seconds(lambda: list(placed_acts(session, show, acts)))
            told = seconds(lambda: sign_offs(session, show))
        ratio = f"their acts read {read:.2f} s: x {told / read:.2f}"
        print(f"{signed} sign-offs on the server {told:.2f} s, {ratio}")
