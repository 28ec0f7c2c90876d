"""The command that looks after the office's logins."""

import argparse
import getpass
import sys
from datetime import UTC, datetime

from sqlalchemy.orm import Session

from seamwalk.cli.store_access import store_of
from seamwalk.errors import Conflict
from seamwalk.store.access import accounts, office_sessions, passwords

HELP = "Add an office login or look after one; a password is asked for or read from standard input."
ACTS = {
    "list": "list the logins",
    "new-password": "set a new password; it ends the login's sessions",
    "codes-off": "let a password alone in, as when the authenticator is lost",
    "end-sessions": "log it out everywhere",
    "remove": "remove the login",
}


def account(args: argparse.Namespace) -> None:
    """Add a login, or do one of the other acts with it."""
    if args.act == "list":
        _list(args)
        return
    if args.login is None:
        raise Conflict("account: a login's name is needed", "Name one, or use --list.")
    {None: _add, "new-password": _new_password}.get(args.act, _look_after)(args)


def _add(args: argparse.Namespace) -> None:
    password = _read_password()
    with store_of(args).write() as session:
        accounts.add_account(session, args.login, password, args.role)
    print(f"{args.login} may log in at /office/.")


def _new_password(args: argparse.Namespace) -> None:
    hashed = passwords.new_hash(_read_password(), args.login)
    with store_of(args).write() as session:
        accounts.set_password(session, args.login, hashed)
    print(f"{args.login} has a new password and is logged out everywhere.")


def _look_after(args: argparse.Namespace) -> None:
    acts = {"codes-off": _codes_off, "end-sessions": _end_sessions, "remove": _remove}
    with store_of(args).write() as session:
        print(acts[args.act](session, args.login))


def _codes_off(session: Session, login: str) -> str:
    accounts.disable_totp(session, login)
    return f"{login} is asked for no one-time code any more."


def _end_sessions(session: Session, login: str) -> str:
    accounts.account_of(session, login)
    return f"{login}: {office_sessions.end_all(session, login)} sessions ended."


def _remove(session: Session, login: str) -> str:
    accounts.remove_account(session, login)
    return f"{login} is removed."


def _list(args: argparse.Namespace) -> None:
    with store_of(args).read() as session:
        for row in accounts.list_accounts(session):
            live = len(office_sessions.sessions_of(session, row.login, datetime.now(UTC)))
            codes = "one-time codes on" if row.totp else "one-time codes off"
            print(f"{row.login}\t{row.role}\t{codes}\t{live} sessions")


def _read_password() -> str:
    return getpass.getpass("Password: ") if sys.stdin.isatty() else sys.stdin.readline().rstrip("\n")
