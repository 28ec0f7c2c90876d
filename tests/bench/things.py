"""The stock's history and search in the office, on SQLite, up to 50,000 things and 200,000 entries.

A fifth of the entries register things and a fifth their batches, the rest are sightings in the books of 20
shows. Baseline: the ledger rows of one case's history read by their primary keys, one by one, as nothing that
shows them can avoid.
"""

import tempfile
from collections.abc import Callable
from pathlib import Path
from statistics import median
from time import perf_counter

from sqlalchemy import select
from sqlalchemy.orm import Session

from helpers import NOW, Site, make_site_anew
from seamwalk.book.entry import Author, format_at
from seamwalk.book.jose import PrivateKey
from seamwalk.domain.stock.codes import Code
from seamwalk.store.ledger.books import admit_device, open_book, write_many_as_office
from seamwalk.store.ledger.intake import ingest
from seamwalk.store.stock.custody import custody, history
from seamwalk.store.stock.labels import company_book
from seamwalk.store.stock.listing import stock_file
from seamwalk.store.stock.locations import locate
from seamwalk.store.stock.search import ItemQuery, rows_of, search
from seamwalk.store.tables import LedgerEntry

Body = tuple[str, dict[str, object]]
SIZES, TINY = (12_500, 25_000, 50_000), (80,)
SHOWS = 20
PER_CASE = 8
ROUNDS = 9
BATCH = 2_000


def tile(number: int) -> str:
    return Code("HQ", "T", number).text


def case(number: int) -> str:
    return Code("HQ", "C", number).text


def ms(work: Callable[[], object]) -> float:
    times = []
    for _ in range(ROUNDS):
        started = perf_counter()
        work()
        times.append((perf_counter() - started) * 1000)
    return median(times)


def fill(site: Site, things: int) -> None:
    """Register things, then let their cases go out and come back, show by show."""
    tiles = range(1, things + 1)
    home = {number: case((number - 1) // PER_CASE + 1) for number in tiles}
    registered: list[Body] = [
        (
            "item_registered",
            {"item": tile(n), "kind": "tile", "tile_type": "plover_500", "home_case": home[n]},
        )
        for n in tiles
    ]
    described: list[Body] = [("item_described", {"item": tile(n), "batch": f"lot {n % 40}"}) for n in tiles]
    with site.store.write() as session:
        book = company_book(session, "Bench", NOW).id
    write(site, book, registered + described)
    for show in range(SHOWS):
        with site.store.write() as session:
            name = f"show-{show}"
            book = open_book(session, kind="show", title=name, slug=name, now=NOW).id
            key = PrivateKey.generate()
            admit_device(session, book, jwk=key.jwk, name="Wim", role="warehouse", now=NOW)
        seen: list[Body] = []
        for number in list(tiles)[show :: SHOWS // 2]:
            stage = "prep" if show % 2 else "return"
            body: dict[str, object] = {
                "items": [tile(number)],
                "case": home[number],
                "stage": stage,
                "replaces": [],
            }
            seen.append(("item_seen", body))
        write_as(site, Author(key, book), seen)


def write(site: Site, book: str, bodies: list[Body]) -> None:
    for start in range(0, len(bodies), BATCH):
        with site.store.write() as session:
            write_many_as_office(session, book, bodies[start : start + BATCH], NOW)


def write_as(site: Site, author: Author, bodies: list[Body]) -> None:
    for start in range(0, len(bodies), BATCH):
        texts = []
        for entry_type, body in bodies[start : start + BATCH]:
            entry, author = author.write(entry_type, body, format_at(NOW))
            texts.append(entry.jws)
        with site.store.write() as session:
            verdicts = ingest(session, author.book, texts, NOW)
        if any(verdict.verdict != "kept" for verdict in verdicts):
            raise AssertionError("not all were kept")


def by_key(site: Site, keys: list[tuple[str, int]]) -> None:
    with site.store.read() as session:
        for book, idx in keys:
            where = (LedgerEntry.book == book, LedgerEntry.idx == idx)
            session.scalar(select(LedgerEntry.jws).where(*where))


def first_page(session: Session) -> None:
    rows_of(session, session.scalars(search(session, ItemQuery(text="plover lot 7")).limit(50)).all())


def measure(things: int) -> None:
    with tempfile.TemporaryDirectory() as folder:
        site = make_site_anew(Path(folder), f"sqlite:///{folder}/bench.db")
        fill(site, things)
        some, one = case(7), tile(50)
        with site.store.read() as session:
            entries = history(session, some, case=True)
            total = session.query(LedgerEntry).count()
        keys = [(record.book, record.idx) for record in entries]
        floor = ms(lambda: by_key(site, keys))

        def reading(work: Callable[..., object]) -> float:
            def once() -> None:
                with site.store.read() as session:
                    work(session)

            return ms(once)

        told = reading(lambda session: history(session, some, case=True))
        chain = reading(lambda session: custody(session, one, "tile"))
        found = reading(first_page)
        where = reading(lambda session: locate(session, [one]))
        listed = reading(lambda session: stock_file(session, site.book))
        print(
            f"{things:,} things, {total:,} entries: a case's history, {len(entries)} entries, {told:.1f} ms, "
            f"x {told / floor:.1f} of its rows by key; a tile's custody {chain:.1f} ms; "
            f"a search {found:.0f} ms; where one is {where:.1f} ms; "
            f"the whole stock list {listed / 1000:.1f} s",
            flush=True,
        )


def main(*, tiny: bool = False) -> None:
    """Run and print."""
    for things in TINY if tiny else SIZES:
        measure(things)
