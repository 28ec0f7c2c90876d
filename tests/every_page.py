"""All that the office shows of one book: every page, print and file that its routes name."""

from collections.abc import Iterator
from itertools import product
from typing import Any

from flask.testing import FlaskClient
from sqlalchemy import select

from seamwalk.store.engine import Store
from seamwalk.store.tables import Blob, Book, Device, HeldEntry, Item, LedgerEntry, SignOff, WallPlan

FORMATS = ("csv", "xlsx", "json", "pdf")
STAGES = ("prep", "load_in", "load_out", "return")
WALKS = ("build", "picture", "strike", "edges", "power")


def every_page(office: FlaskClient, store: Store, slug: str) -> Iterator[tuple[str, int]]:
    """Ask for each; give its path and the code of its answer."""
    for path in paths(office, store, slug):
        yield path, office.get(path).status_code


def paths(office: FlaskClient, store: Store, slug: str) -> list[str]:
    values = values_of(store, slug)
    found = []
    for rule in office.application.url_map.iter_rules():
        if "GET" in (rule.methods or ()) and rule.rule.startswith("/office/") and "logout" not in rule.rule:
            names = sorted(rule.arguments)
            for chosen in product(*(values.get(name, ("x",)) for name in names)):
                built = rule.build(dict(zip(names, chosen, strict=True)))
                found.append(built[1] if built else rule.rule)
    return sorted(set(found))


def values_of(store: Store, slug: str, most: int = 12) -> dict[str, tuple[str, ...]]:
    """What each part of a path can be for this book; of many the newest."""
    with store.read() as session:
        book = session.scalars(select(Book).where(Book.slug == slug)).one().id

        def of(column: Any, *where: Any) -> list[str]:
            return [str(value) for value in session.scalars(select(column).where(*where).limit(most))]

        entries = [
            *of(SignOff.entry, SignOff.book == book),
            *of(HeldEntry.entry, HeldEntry.book == book),
            *of(LedgerEntry.entry, LedgerEntry.book == book, LedgerEntry.type == "claim_opened"),
        ]
        return {
            "name": (slug,),
            "wall": tuple(sorted(set(of(WallPlan.wall, WallPlan.book == book)))) or ("A",),
            "device": tuple(of(Device.device, Device.book == book)) or ("x",),
            "entry": tuple(entries) or ("0" * 64,),
            "code": tuple(of(Item.code, Item.book == book)) or ("HQT00001",),
            "sha256": tuple(of(Blob.sha256, Blob.book == book)[:3]) or ("0" * 64,),
            "fmt": FORMATS,
            "stage": STAGES,
            "walk": WALKS,
        }
