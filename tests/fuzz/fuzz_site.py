"""A site with something of everything, and a client that counts what it asks for and stops at a 5xx."""

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, Protocol, TypeVar

from flask.testing import FlaskClient
from hypothesis import HealthCheck, seed, settings

from helpers import Site, logged_in, token
from seamwalk_demo.crew import SimulatedPhone
from volume import TURN, drawn

CALL = {"X-Seamwalk": "1"}


class HasStatus(Protocol):
    """An answer of a test client or of a generated request."""

    @property
    def status_code(self) -> int: ...


Answered = TypeVar("Answered", bound=HasStatus)
Test = TypeVar("Test", bound=Callable[..., None])


@dataclass
class Fuzzed:
    """A site under generated requests, one phone of it, and what each part of a path can be there.

    `known` has parts by their name, or by route and name where a route's is another: `claim.entry`.
    """

    site: Site
    phone: SimulatedPhone
    known: dict[str, tuple[str, ...]]
    is_large: bool
    asked: int = 0
    failed: int = 0
    taken: int = 0
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
        self.taken += answer.status_code < 400
        assert answer.status_code < 500, (arguments, options)
        return answer

    def rounds(self, everyday: int) -> Callable[[Test], Test]:
        """How many requests a test makes, the same ones in each run of a turn; fewer on PostgreSQL.

        The first is the simplest one: something that is there, and a form that is taken.
        """
        rounds = drawn(everyday)
        how = settings(
            max_examples=rounds if self.is_large else max(3, rounds // 8),
            database=None,
            suppress_health_check=list(HealthCheck),
        )
        return lambda test: seed(TURN)(how(test))
