"""The one tree of errors. Each carries a message (what and where) and a remedy (what to do).

SeamwalkError
├── PlanError        a plan cannot be built; `problems` lists every one by path
├── CodeError        a label code cannot be read
├── LabelError       labels cannot be printed so that they read
├── TableError       a table cannot be read; `problems` lists every one by row
├── ConfigError      a setting is not what it can be
├── ProcedureError   a procedure file is wrong at a line and field
├── BookError        an entry, head or key is not what it should be
├── VerifyError      an export does not hold; names the first bad line
├── NotFound         what was asked for is not here
├── Conflict         somebody else was first
├── InviteRefused    an invite lets nobody in; `why` says which of three it is
├── LostEntries      this server has lost entries that a phone has seen
├── KeyUnavailable   a wrapped secret cannot be opened: its key is not here
├── LimitReached     too many tries or too much outstanding; tells when to come again
└── Forbidden        the role does not allow it
"""

from dataclasses import dataclass
from typing import Literal


class SeamwalkError(Exception):
    """Base of all our errors; `message` says what and where, `remedy` what to do."""

    def __init__(self, message: str, remedy: str) -> None:
        super().__init__(message)
        self.message = message
        self.remedy = remedy


@dataclass(frozen=True)
class Problem:
    """One thing wrong with a plan: where (`bends_deg[3]`), what, and the remedy."""

    path: str
    message: str
    remedy: str

    def __str__(self) -> str:
        return f"{self.path}: {self.message}"


class PlanError(SeamwalkError):
    """A plan cannot be built."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        super().__init__("; ".join(str(problem) for problem in problems), problems[0].remedy)
        self.problems = problems


class CodeError(SeamwalkError):
    """A label code cannot be read."""


class LabelError(SeamwalkError):
    """Labels cannot be printed so that they read."""


class TableError(SeamwalkError):
    """A table cannot be read."""

    def __init__(self, problems: tuple[Problem, ...]) -> None:
        super().__init__("; ".join(str(problem) for problem in problems), problems[0].remedy)
        self.problems = problems


class ConfigError(SeamwalkError):
    """A setting is not what it can be."""


class ProcedureError(SeamwalkError):
    """A procedure file is wrong."""


class BookError(SeamwalkError):
    """An entry, a head or a key is not what it should be; `code` names the test that it failed."""

    def __init__(self, message: str, remedy: str, code: str = "malformed") -> None:
        super().__init__(message, remedy)
        self.code = code


class VerifyError(SeamwalkError):
    """An export does not hold; `code` names the test that it failed."""

    def __init__(self, message: str, remedy: str, code: str = "") -> None:
        super().__init__(message, remedy)
        self.code = code


class NotFound(SeamwalkError):
    """What was asked for is not here."""


class Conflict(SeamwalkError):
    """Somebody else was first."""


class InviteRefused(SeamwalkError):
    """An invite lets nobody in: it is `unknown` here, was `used` by another phone, or has `expired`."""

    def __init__(self, message: str, remedy: str, why: Literal["unknown", "used", "expired"]) -> None:
        super().__init__(message, remedy)
        self.why = why


class LostEntries(SeamwalkError):
    """This server has lost entries that a phone has seen."""


class KeyUnavailable(SeamwalkError):
    """A wrapped secret cannot be opened: its key is not here."""


class LimitReached(SeamwalkError):
    """Too many tries, or too much outstanding; `wait_s` is when to come again, None where nobody knows."""

    def __init__(self, message: str, remedy: str, wait_s: int | None = None) -> None:
        super().__init__(message, remedy)
        self.wait_s = wait_s


class Forbidden(SeamwalkError):
    """The role does not allow it."""
