"""The command `seamwalk`: each sub-command has its help; bad input is one clear line and a non-zero exit."""

import argparse
import getpass
import importlib.util
import json
import os
import sys
from collections.abc import Iterable, Sequence
from datetime import UTC, datetime
from itertools import chain
from pathlib import Path
from types import ModuleType

from seamwalk import __version__
from seamwalk.book.excerpt import Proven, is_excerpt, verify_excerpt
from seamwalk.book.roles import RIGHTS
from seamwalk.book.seal import Seal, read_seal
from seamwalk.book.types import entry_schemas
from seamwalk.book.verify import Report, verify_export
from seamwalk.config import Settings, load_settings
from seamwalk.domain.plan import plan_json_schema
from seamwalk.errors import BookError, Conflict, NotFound, SeamwalkError, VerifyError
from seamwalk.resources import find
from seamwalk.serving import serve
from seamwalk.store import access, ledger
from seamwalk.store.books import find_book, list_books, restore_book
from seamwalk.store.engine import Store, copy_database, make_engine
from seamwalk.store.exporting import excerpt_of, export_book
from seamwalk.store.migrations import upgrade
from seamwalk.store.phone_file import take_in
from seamwalk.store.projections import rebuild

BAD_INPUT, DOES_NOT_HOLD = 2, 1


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one sub-command; return the exit code."""
    given = parser().parse_args(arguments)
    try:
        given.run(given)
    except VerifyError as error:
        print(f"seamwalk: {error.message}. {error.remedy}", file=sys.stderr)
        return DOES_NOT_HOLD
    except SeamwalkError as error:
        print(f"seamwalk: {error.message}. {error.remedy}", file=sys.stderr)
        return BAD_INPUT
    except OSError as error:
        where = f"{error.filename}: " if error.filename else ""
        print(
            f"seamwalk: {where}{error.strerror or error}. Look at the path and its rights.", file=sys.stderr
        )
        return BAD_INPUT
    return 0


def parser() -> argparse.ArgumentParser:
    """All sub-commands and their options."""
    top = argparse.ArgumentParser(
        prog="seamwalk", description="Plan LED walls, walk their joints, keep the book."
    )
    top.add_argument("--version", action="version", version=f"seamwalk {__version__}")
    commands = top.add_subparsers(required=True, metavar="COMMAND")

    def command(name: str, run: object, text: str, *, folder: bool = True) -> argparse.ArgumentParser:
        sub = commands.add_parser(name, help=text, description=text)
        sub.set_defaults(run=run)
        if folder:
            sub.add_argument("--dir", metavar="D", help="folder of the data (default: $SEAMWALK_DIR)")
        return sub

    sub = command("demo", _demo, "Make an invented show in a fresh folder and serve it.", folder=False)
    sub.add_argument("--dir", metavar="D", default="seamwalk-demo", help="folder to make it in")
    sub.add_argument("--port", type=int, default=8460, help="port to serve on (default: 8460)")
    sub.add_argument("--no-serve", action="store_true", help="only make it")
    sub = command("serve", _serve, "Serve phones and the office.")
    sub.add_argument("--host", default="127.0.0.1", help="address to listen on (default: 127.0.0.1)")
    sub.add_argument("--port", type=int, default=8460, help="port to listen on (default: 8460)")
    sub.add_argument("--certificate", metavar="FILE", help="TLS certificate chain, PEM")
    sub.add_argument("--key", metavar="FILE", help="TLS private key, PKCS#8 PEM")
    sub = command(
        "account", _account, "Add an office login; the password is asked for, or read from standard input."
    )
    sub.add_argument("login", help="the login's name")
    sub.add_argument(
        "--role", default="office", choices=[r.value for r, rights in RIGHTS.items() if rights.areas]
    )
    command("books", _books, "List the books with their size and owner's fingerprint.")
    sub = command("export", _export, "Write a book to a file that `seamwalk verify` takes.")
    sub.add_argument("book", help="id or short name; `company` is the company's book")
    sub.add_argument("-o", metavar="FILE", required=True, help="file to write; - for standard output")
    sub = command("excerpt", _excerpt, "Write one entry with the proof that it stands in its book.")
    sub.add_argument("book", help="id or short name")
    sub.add_argument("entry", help="the entry's id, 64 hex digits")
    sub.add_argument("-o", metavar="FILE", required=True, help="file to write; - for standard output")
    text = "Check an exported book or an excerpt, with no server and no database."
    sub = command("verify", _verify, text, folder=False)
    sub.add_argument("file", help="the exported file or excerpt; - for standard input")
    sub.add_argument(
        "--seal",
        metavar="TEXT",
        action="append",
        default=[],
        help="what a print's QR says; may be given again",
    )
    sub.add_argument(
        "--trust", metavar="FINGERPRINT", help="the owner's fingerprint, from a source you trust"
    )
    sub = command("take-in", _take_in, "Take in a file that a phone saved, as if the phone had sent it.")
    sub.add_argument("book", help="id or short name")
    sub.add_argument("file", help="the phone's file; - for standard input")
    sub = command("copy", _copy, "Write a whole copy of the database, also while it is being served.")
    sub.add_argument("file", help="file to write; it must not exist yet")
    text = "Begin a new epoch of books that came back from an older copy, so that phones go on with them."
    sub = command("restore", _restore, text)
    sub.add_argument("book", nargs="*", help="ids or short names (default: all books)")
    sub.add_argument(
        "--base-size",
        type=int,
        metavar="N",
        help="entries that are vouched for (default: all here); 1 always works, phones then send more again",
    )
    command("rebuild", _rebuild, "Make the tables that come from the books again.")
    sub = command("schema", _schema, "Print a JSON Schema.", folder=False)
    sub.add_argument("what", choices=["plan", "entries"])
    return top


def _settings(given: argparse.Namespace) -> Settings:
    if given.dir:
        os.environ["SEAMWALK_DIR"] = given.dir
    return load_settings()


def _store(given: argparse.Namespace) -> Store:
    engine = make_engine(_settings(given).database_url)
    upgrade(engine)
    return Store(engine)


def _demo(given: argparse.Namespace) -> None:
    folder = Path(given.dir)
    if folder.exists() and any(folder.iterdir()):
        raise Conflict(f"--dir: {folder} is not empty", "Name a fresh folder, or delete this one.")
    os.environ["SEAMWALK_DIR"] = str(folder)
    os.environ["SEAMWALK_PUBLIC_URL"] = f"http://localhost:{given.port}"
    demo = _load_demo()
    os.environ.update(demo.ENVIRONMENT)
    demo.make_show(load_settings(), print)
    if not given.no_serve:
        serve(load_settings(), host="127.0.0.1", port=given.port, say=print)


def _load_demo() -> ModuleType:
    """Load the demo, which lies beside the package or at the checkout's top, as a package of its own."""
    folder = find("demo")
    spec = importlib.util.spec_from_file_location(
        "seamwalk_demo", folder / "__init__.py", submodule_search_locations=[str(folder)]
    )
    if spec is None or spec.loader is None:
        raise NotFound(f"{folder} holds no demo", "Install seamwalk again.")
    module = importlib.util.module_from_spec(spec)
    sys.modules["seamwalk_demo"] = module
    spec.loader.exec_module(module)
    return module


def _serve(given: argparse.Namespace) -> None:
    files = {"certificate": given.certificate, "key": given.key}
    serve(_settings(given), host=given.host, port=given.port, say=print, **files)


def _account(given: argparse.Namespace) -> None:
    password = getpass.getpass("Password: ") if sys.stdin.isatty() else sys.stdin.readline().rstrip("\n")
    if len(password) < 8:
        raise Conflict("password: at least 8 characters are needed", "Choose a longer one.")
    with _store(given).write() as session:
        access.add_account(session, given.login, password, given.role)
    print(f"{given.login} may log in at /office/.")


def _books(given: argparse.Namespace) -> None:
    with _store(given).read() as session:
        for book in list_books(session):
            count = ledger.size(session, book.id)
            print(f"{book.slug}\t{book.id}\t{count} entries\towner {book.owner_fingerprint}\t{book.title}")


def _export(given: argparse.Namespace) -> None:
    with _store(given).read() as session:
        _write_lines(given.o, export_book(session, find_book(session, given.book)))


def _excerpt(given: argparse.Namespace) -> None:
    with _store(given).read() as session:
        _write_lines(given.o, [excerpt_of(session, find_book(session, given.book), given.entry)])


def _write_lines(target: str, lines: Iterable[str]) -> None:
    if target == "-":
        sys.stdout.writelines(lines)
        return
    with Path(target).open("w", encoding="utf-8", newline="\n") as file:
        file.writelines(lines)


def _take_in(given: argparse.Namespace) -> None:
    text = sys.stdin.read() if given.file == "-" else Path(given.file).read_text("utf-8")
    with _store(given).write() as session:
        book = find_book(session, given.book)
        taken = take_in(session, book.id, text.splitlines(), datetime.now(UTC))
    for verdict in ("kept", "again", "held", "refused"):
        print(f"{taken.count(verdict)} {verdict}")
    for item in taken.verdicts:
        if item.verdict == "refused":
            print(f"refused {item.sha256}: {item.detail}. {item.remedy}")


def _copy(given: argparse.Namespace) -> None:
    copy_database(_store(given).engine, Path(given.file))


def _restore(given: argparse.Namespace) -> None:
    now = datetime.now(UTC)
    with _store(given).write() as session:
        books = [find_book(session, name) for name in given.book] or list_books(session)
        for book in books:
            body = restore_book(session, book.id, now, given.base_size).body
            print(f"{book.slug}: epoch {body['epoch']} begins after {body['base_size']} entries")


def _verify(given: argparse.Namespace) -> None:
    seals = [read_seal(text) for text in given.seal]
    if given.file == "-":
        _verify_lines(sys.stdin.buffer, given.trust, seals)
    else:
        with Path(given.file).open("rb") as file:
            _verify_lines(file, given.trust, seals)


def _verify_lines(lines: Iterable[bytes], trust: str | None, seals: list[Seal]) -> None:
    first = next(iter(lines), b"")
    if is_excerpt(first):
        if seals:
            raise BookError("--seal: an excerpt can not bear one out", "Give the whole exported book.")
        _tell_excerpt(verify_excerpt(first, trust))
    else:
        _tell(verify_export(chain([first], lines), trust, seals))


def _tell_excerpt(proven: Proven) -> None:
    entry = proven.entry
    print(f"{entry.type} by device {entry.device}, at {entry.at} by its clock")
    print(json.dumps(entry.body, ensure_ascii=False))
    print(f"stands as entry {proven.index + 1} of {proven.size} in book {proven.book}, epoch {proven.epoch}")
    _tell_owner(proven.owner_fingerprint, trusted=proven.trusted)


def _tell(report: Report) -> None:
    print(f"{report.title}: {report.size} entries, {report.blobs} texts and files, epoch {report.epoch}")
    print(f"book {report.book}, root {report.root}")
    for flag in report.flags:
        print(f"look at: {flag}")
    _tell_owner(report.owner_fingerprint, trusted=report.trusted)


def _tell_owner(fingerprint: str, *, trusted: bool) -> None:
    if trusted:
        print(f"holds: all that is here is signed and in its place, under the owner {fingerprint}")
    else:
        print("consistent: all that is here fits; whose book it is was not checked (--trust FINGERPRINT)")
        print(f"it says its owner is {fingerprint}")


def _rebuild(given: argparse.Namespace) -> None:
    with _store(given).write() as session:
        for book in list_books(session):
            count = rebuild(session, book.id)
            print(f"{book.slug}: {count} entries read again")


def _schema(given: argparse.Namespace) -> None:
    schema = plan_json_schema() if given.what == "plan" else entry_schemas()
    print(json.dumps(schema, indent=2))
