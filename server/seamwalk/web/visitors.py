"""Who is asking: somebody logged in at the office, a phone of a show, or a stranger."""

from contextlib import suppress
from dataclasses import dataclass

from flask import g
from flask import session as cookie
from sqlalchemy.exc import DBAPIError

from seamwalk.book.roles import RIGHTS, Role
from seamwalk.store.access import office_sessions, phones
from seamwalk.store.tables import Account
from seamwalk.web.cookies import device_token
from seamwalk.web.services import services

TOKEN = "token"  # noqa: S105 - the name of a field
# who comes from outside: what a label says to strangers is enough
_OUTSIDERS = frozenset({Role.PARTNER, Role.CLIENT})


@dataclass(frozen=True)
class Visitor:
    """Somebody logged in at the office; `session` is the hash that names the login's row."""

    login: str
    role: Role
    session: str

    @property
    def areas(self) -> frozenset[str]:
        """The areas of the office that the role may enter."""
        return RIGHTS[self.role].areas


def office_visitor() -> Visitor | None:
    """Who is logged in at the office, looked up once in a request."""
    if "visitor" not in g:
        g.visitor = _look_up()
    found: Visitor | None = g.visitor
    return found


def is_company_staff() -> bool:
    """Whether it is somebody of the office, or a phone that a book admits and that is no outsider's."""
    if office_visitor() is not None:
        return True
    with services().store.read() as session:
        device = phones.session_device(session, device_token(), services().now())
        row = phones.admitted_anywhere(session, device) if device else None
        return row is not None and Role(row.role) not in _OUTSIDERS


def _look_up() -> Visitor | None:
    token, now = cookie.get(TOKEN), services().now()
    if not isinstance(token, str):
        return None
    with services().store.read() as session:
        row = office_sessions.find(session, token, now)
        account = session.get(Account, row.login) if row else None
        if row is None or account is None:
            return None
        found = Visitor(account.login, Role(account.role), row.token_hash)
        needs_touch = office_sessions.needs_touch(row, now)
    if needs_touch:
        _touch(found)
    return found


def _touch(visitor: Visitor) -> None:
    """Write the use down; a database that can only be read keeps nobody from reading."""
    with suppress(DBAPIError), services().store.write() as session:
        office_sessions.touch(session, visitor.session, services().now())
