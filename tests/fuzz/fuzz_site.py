"""A site with something of everything, and a client that counts what it asks for and stops at a 5xx."""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, Protocol, TypeVar

from flask.testing import FlaskClient
from hypothesis import HealthCheck, settings

from every_page import FORMATS, STAGES, WALKS, values_of
from fuzz.fuzz_hostile import payload, signed
from helpers import NOW, Site, logged_in, token
from seamwalk.book.jose import PrivateKey
from seamwalk_demo.crew import SimulatedPhone
from warehouse import Warehouse

CALL = {"X-Seamwalk": "1"}


class HasStatus(Protocol):
    """An answer of a test client or of a generated request."""

    @property
    def status_code(self) -> int: ...


Answered = TypeVar("Answered", bound=HasStatus)


@dataclass
class Fuzzed:
    """A site under generated requests, one phone of it, and what each part of a path can be there."""

    site: Site
    phone: SimulatedPhone
    known: dict[str, tuple[str, ...]]
    is_large: bool
    asked: int = 0
    failed: int = 0
    office: FlaskClient = field(init=False)
    csrf: str = field(init=False)

    def __post_init__(self) -> None:
        self.log_in()

    def log_in(self) -> None:
        """Log in again: some forms end the session."""
        self.office = logged_in(self.site)
        self.csrf = token(self.office.get("/office/").text)

    def ask(self, send: Callable[..., Answered], *arguments: Any, **options: Any) -> Answered:
        """Send one generated request; no answer may be a 5xx."""
        answer = send(*arguments, **options)
        self.asked += 1
        self.failed += answer.status_code >= 500
        assert answer.status_code < 500, (arguments, options)
        return answer

    def rounds(self, large: int) -> settings:
        """How many requests a test makes: the same ones in each run, fewer on PostgreSQL."""
        return settings(
            max_examples=large if self.is_large else max(3, large // 8),
            derandomize=True,
            database=None,
            deadline=None,
            suppress_health_check=list(HealthCheck),
        )


def fill(site: Site) -> tuple[SimulatedPhone, dict[str, tuple[str, ...]]]:
    """Put something of everything into a fresh site."""
    warehouse = Warehouse(site)
    warehouse.stock(2, "ab")
    warehouse.see("Wim", 1, 1, 2)
    seen = warehouse.look("Wim", 1, "corner:top_left")
    phone = site.phone()
    plan, file = phone.plan("A")
    checks = [check["id"] for check in file["checks"]]
    phone.write("found", {"plan": plan, "checks": checks[:2], "result": "ok"}, NOW)
    fault = {"result": "fault", "weight": "stop", "reason": "other", "note_blob": phone.note("a note")}
    phone.write("found", {"plan": plan, "checks": checks[2:3], **fault}, NOW)
    assert phone.sync() == ["kept", "kept"]
    held = PrivateKey.generate()
    stranger = {"after": 0, "entries": [signed(held, payload(site.book))]}
    phone.client.post(f"/api/v1/books/{site.book}/sync", json=stranger, headers=CALL)
    values, items = values_of(site.store, "test-show"), values_of(site.store, "company")["code"]
    parts = {"book": (site.book,), "typed": items, "code": items, "token_hash": ("0" * 64,)}
    lists = {"fmt": FORMATS, "stage": STAGES, "walk": WALKS, "seen": (seen.id,)}
    lists["device"] = (held.thumbprint, phone.key.thumbprint)
    return phone, values | parts | lists
