"""Commands that look after the stored books."""

import argparse
import sys
from datetime import UTC, datetime
from pathlib import Path

from seamwalk.cli.store_access import settings_of, store_of
from seamwalk.errors import VerifyError
from seamwalk.store.engine import copy_database
from seamwalk.store.ledger import intake as ledger
from seamwalk.store.ledger import integrity
from seamwalk.store.ledger.books import find_book, list_books, restore_book
from seamwalk.store.projections import projections
from seamwalk.store.sync import phone_file


def books(args: argparse.Namespace) -> None:
    """List the books."""
    with store_of(args).read() as session:
        for book in list_books(session):
            count = ledger.size(session, book.id)
            print(f"{book.slug}\t{book.id}\t{count} entries\towner {book.owner_fingerprint}\t{book.title}")


def take_in(args: argparse.Namespace) -> None:
    """Take a phone's file in."""
    text = sys.stdin.read() if args.file == "-" else Path(args.file).read_text("utf-8")
    with store_of(args).write() as session:
        book = find_book(session, args.book)
        taken = phone_file.import_phone_file(session, book.id, text.splitlines(), datetime.now(UTC))
    for verdict in ("kept", "again", "held", "refused"):
        print(f"{taken.count(verdict)} {verdict}")
    for item in taken.verdicts:
        if item.verdict == "refused":
            print(f"refused {item.sha256}: {item.detail}. {item.remedy}")


def copy(args: argparse.Namespace) -> None:
    """Copy the database, and say what else must be kept."""
    copy_database(store_of(args).engine, Path(args.file))
    key = settings_of(args).key_file
    print(f"{args.file}: the books. Keep {key} too, in another place: without it they can only be read.")


def restore(args: argparse.Namespace) -> None:
    """Restore books."""
    now = datetime.now(UTC)
    with store_of(args).write() as session:
        books = [find_book(session, name) for name in args.book] or list_books(session)
        for book in books:
            body = restore_book(session, book.id, now, args.base_size).body
            print(f"{book.slug}: epoch {body['epoch']} begins after {body['base_size']} entries")


def rebuild(args: argparse.Namespace) -> None:
    """Make projections again."""
    with store_of(args).write() as session:
        for book in list_books(session):
            count = projections.rebuild(session, book.id)
            print(f"{book.slug}: {count} entries read again")


def check(args: argparse.Namespace) -> None:
    """Look at the books; raise VerifyError when something is wrong."""
    with store_of(args).write() as session:
        found = integrity.check(session, full=args.full)
        session.rollback()
    for line in found:
        print(line)
    if found:
        raise VerifyError(f"{len(found)} things are wrong", "Do as each line says.")
    print("every entry was read: nothing is wrong" if args.full else "nothing is wrong at first sight")
