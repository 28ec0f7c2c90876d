"""Commands that show what a book says, and check it far from any server."""

import argparse
import json
import sys
from collections.abc import Iterable
from datetime import UTC
from importlib.resources import files
from itertools import chain
from pathlib import Path

from seamwalk.book.excerpt import VerifiedExcerpt, is_excerpt, verify_excerpt
from seamwalk.book.judgement import Void
from seamwalk.book.seal import Seal, read_seal
from seamwalk.book.types import entry_schemas
from seamwalk.book.verify import Report
from seamwalk.cli.store_access import store_of
from seamwalk.domain.sheet.model import sheet_json_schema
from seamwalk.domain.wall.plan import plan_json_schema
from seamwalk.errors import BookError
from seamwalk.printing.moments import moment_in_words
from seamwalk.printing.places import check_at_place, check_at_wall
from seamwalk.signoffs.verification import verify_with_claims
from seamwalk.store.ledger.books import find_book
from seamwalk.store.ledger.exports import excerpt_of, export_book
from seamwalk.texts import translator

_VOID = {
    Void.TWIN: "it stands there before under another signature",
    Void.LET_IN_BY_TWIN: "only such a second text of another entry let it in",
    Void.OUTDATED: "something newer was said of this device before it came in",
}
SCHEMAS = {"plan": plan_json_schema, "sheet": sheet_json_schema, "entries": entry_schemas}
DOCUMENTS = {"format": ("seamwalk.book", "FORMAT.md")}


def export(args: argparse.Namespace) -> None:
    """Write a book out."""
    with store_of(args).read() as session:
        _write_lines(args.o, export_book(session, find_book(session, args.book)))


def excerpt(args: argparse.Namespace) -> None:
    """Write one entry out, with its proof."""
    with store_of(args).read() as session:
        _write_lines(args.o, [excerpt_of(session, find_book(session, args.book), args.entry)])


def _write_lines(target: str, lines: Iterable[str]) -> None:
    if target == "-":
        sys.stdout.writelines(lines)
        return
    with Path(target).open("w", encoding="utf-8", newline="\n") as file:
        file.writelines(lines)


def verify(args: argparse.Namespace) -> None:
    """Check an export or an excerpt."""
    seals = [read_seal(text) for text in args.seal]
    if args.file == "-":
        _verify_lines(sys.stdin.buffer, args.trust, seals)
    else:
        with Path(args.file).open("rb") as file:
            _verify_lines(file, args.trust, seals)


def _verify_lines(lines: Iterable[bytes], trust: str | None, seals: list[Seal]) -> None:
    first = next(iter(lines), b"")
    if is_excerpt(first):
        if seals:
            raise BookError("--seal: an excerpt cannot bear one out", "Give the whole exported book.")
        _print_excerpt(verify_excerpt(b"".join([first, *lines]), trust))
    else:
        _print_report(verify_with_claims(chain([first], lines), trust, seals, _check))


def _check(check: str) -> str:
    """A check of a wall in words."""
    return check_at_place(check, translator("office"))


def _print_excerpt(proven: VerifiedExcerpt) -> None:
    entry = proven.entry
    print(f"{entry.type} by device {entry.device}, {moment_in_words(entry.at, UTC)} by its clock")
    for check in entry.body.get("checks", []):
        print(f"of {check_at_wall(check, translator('office'))}")
    print(json.dumps(entry.body, ensure_ascii=False))
    if proven.void is not None:
        print("look at: it has no effect: another text of the same entry stands before it, or let it in")
    print(f"stands as entry {proven.index + 1} of {proven.size} in book {proven.book}, epoch {proven.epoch}")
    if proven.void is not None:
        print(f"look at: it has no effect in this book: {_VOID[proven.void]}")
    _print_owner(proven.owner_fingerprint, trusted=proven.trusted)


def _print_report(report: Report) -> None:
    print(f"{report.title}: {report.size} entries, {report.blobs} texts and files, epoch {report.epoch}")
    print(f"book {report.book}, root {report.root}")
    for flag in report.flags:
        print(f"look at: {flag}")
    _print_owner(report.owner_fingerprint, trusted=report.trusted)


def _print_owner(fingerprint: str, *, trusted: bool) -> None:
    if trusted:
        print(f"holds: all that is here is signed and in its place, under the owner {fingerprint}")
    else:
        print("consistent: all that is here fits; whose book it is was not checked (--trust FINGERPRINT)")
        print(f"it says its owner is {fingerprint}")


def schema(args: argparse.Namespace) -> None:
    """Print a JSON Schema, or the document of the book's format."""
    if args.what in DOCUMENTS:
        package, name = DOCUMENTS[args.what]
        print(files(package).joinpath(name).read_text(encoding="utf-8"), end="")
    else:
        print(json.dumps(SCHEMAS[args.what](), indent=2))
