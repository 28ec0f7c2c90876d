"""A warehouse for tests: a company's cases with tiles, and phones that write of them. All invented."""

from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

from helpers import TILE, Site
from seamwalk.book.entry import Entry
from seamwalk.domain.stock.codes import Code, parse_code
from seamwalk.store.ledger.books import write_many_as_office
from seamwalk.store.stock.labels import company_book
from seamwalk_demo.crew import SimulatedPhone


def case(number: int) -> str:
    return Code("HQ", "C", number).text


def tile(number: int) -> str:
    return Code("HQ", "T", number).text


def shown(code: str) -> str:
    """A code as pages and labels show it."""
    return parse_code(code).grouped


@dataclass
class Warehouse:
    """Cases of two tiles each: case 1 has tiles 1 and 2, case 2 has 3 and 4, and so on."""

    site: Site
    phones: dict[str, SimulatedPhone] = field(default_factory=dict)

    def stock(self, cases: int = 3, batches: str = "") -> None:
        """Register cases with their tiles; `batches` has a letter for each case."""
        bodies: list[tuple[str, dict[str, Any]]] = []
        for number in range(1, cases + 1):
            fields = {"tile_type": TILE["key"], "home_case": None}
            bodies.append(("item_registered", {"item": case(number), "kind": "case", **fields}))
            for code in (tile(2 * number - 1), tile(2 * number)):
                fields = {"tile_type": TILE["key"], "home_case": case(number)}
                bodies.append(("item_registered", {"item": code, "kind": "tile", **fields}))
                if batches:
                    bodies.append(("item_described", {"item": code, "batch": batches[number - 1]}))
        self.office(*bodies)

    def office(self, *bodies: tuple[str, dict[str, Any]]) -> list[Entry]:
        """Write into the company's book."""
        with self.site.store.write() as session:
            book = company_book(session, "Test Company", self.site.clock[0])
            return write_many_as_office(session, book.id, bodies, self.site.clock[0])

    def write(self, by: str, entry_type: str, at: datetime | None = None, **body: Any) -> Entry:
        """Let somebody of the warehouse write an entry into the show's book, an hour after the last one."""
        if by not in self.phones:
            self.phones[by] = self.site.phone("warehouse", by)
        self.pass_()
        entry = self.phones[by].write(entry_type, body, at or self.site.clock[0])
        assert self.phones[by].sync() == ["kept"]
        return entry

    def pass_(self, hours: float = 1) -> None:
        self.site.clock[0] += timedelta(hours=hours)

    def see(self, by: str, number: int | None, *tiles: int, stage: str = "prep", **more: Any) -> Entry:
        """Write tiles down in a case, or loose."""
        where = None if number is None else case(number)
        items = [tile(n) for n in tiles]
        return self.write(by, "item_seen", items=items, case=where, stage=stage, replaces=[], **more)

    def look(
        self, by: str, number: int, *damage: str, stage: str = "return", covers: tuple[str, ...] = ()
    ) -> Entry:
        """Look at a tile, all over by default, and write what is damaged so that it stays at home."""
        body: dict[str, Any] = {
            "covers": list(covers or ("corner", "edge", "face", "connector", "lock")),
            "damage": [{"part": part, "what": "broken", "weight": "show"} for part in damage],
        }
        return self.write(by, "item_looked_at", item=tile(number), stage=stage, **body)

    def bench(self, by: str, number: int, step: str, result: str, **more: Any) -> Entry:
        return self.write(by, "item_benched", item=tile(number), step=step, result=result, **more)

    def bind(self, by: str, number: int, place: str) -> Entry:
        """Write down that a tile stands at a place of wall A."""
        plan, _ = self.phone(by).plan("A")
        bound: dict[str, Any] = {"item": tile(number), "tag": None, "replaces": []}
        return self.write(by, "tile_bound", plan=plan, wall="A", tile=place, **bound)

    def find(self, by: str, check: str, result: str = "ok", **more: Any) -> Entry:
        plan, _ = self.phone(by).plan("A")
        return self.write(by, "found", plan=plan, checks=[check], result=result, **more)

    def phone(self, by: str) -> SimulatedPhone:
        if by not in self.phones:
            self.phones[by] = self.site.phone("warehouse", by)
        self.phones[by].sync()
        return self.phones[by]
