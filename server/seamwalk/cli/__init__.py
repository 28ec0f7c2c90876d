"""The command `seamwalk`: each sub-command has its help; bad input is one clear line and a non-zero exit."""

import argparse
import re
import sys
from collections.abc import Sequence

from sqlalchemy.exc import DBAPIError

from seamwalk import __version__
from seamwalk.book.roles import RIGHTS
from seamwalk.cli import accounts, build_sheet, labelling, maintenance, proofs, run_server
from seamwalk.domain.stock.codes import KIND_OF_LETTER
from seamwalk.errors import SeamwalkError, VerifyError
from seamwalk.store.database_errors import classify, first_line

BAD_INPUT, DOES_NOT_HOLD, NO_DATABASE = 2, 1, 3

_FINGERPRINT = re.compile(r"-[A-Za-z0-9_-]{42}")


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one sub-command; return the exit code."""
    args = parser().parse_args(_with_fingerprints(sys.argv[1:] if arguments is None else arguments))
    try:
        args.run(args)
    except VerifyError as error:
        print(f"seamwalk: {error.message}. {error.remedy}", file=sys.stderr)
        return DOES_NOT_HOLD
    except SeamwalkError as error:
        print(f"seamwalk: {error.message}. {error.remedy}", file=sys.stderr)
        return BAD_INPUT
    except DBAPIError as error:
        trouble = classify(error)
        print(f"seamwalk: {trouble.message} ({first_line(error)}). {trouble.remedy}.", file=sys.stderr)
        return NO_DATABASE
    except OSError as error:
        where = f"{error.filename}: " if error.filename else ""
        print(
            f"seamwalk: {where}{error.strerror or error}. Look at the path and its rights.", file=sys.stderr
        )
        return BAD_INPUT
    return 0


def _with_fingerprints(arguments: Sequence[str]) -> list[str]:
    """Tie a fingerprint to its --trust: one in 64 begins with a dash, which argparse takes for an option."""
    tied: list[str] = []
    for argument in arguments:
        if tied and tied[-1] == "--trust" and _FINGERPRINT.fullmatch(argument):
            tied[-1] = f"--trust={argument}"
        else:
            tied.append(argument)
    return tied


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

    sub = command(
        "demo", run_server.demo, "Make an invented show in a fresh folder and serve it.", folder=False
    )
    sub.add_argument("--dir", metavar="D", default="seamwalk-demo", help="folder to make it in")
    sub.add_argument("--port", type=int, default=8460, help="port to serve on (default: 8460)")
    sub.add_argument("--no-serve", action="store_true", help="only make it")
    sub = command("serve", run_server.serve, "Serve phones and the office.")
    sub.add_argument("--host", default="127.0.0.1", help="address to listen on (default: 127.0.0.1)")
    sub.add_argument("--port", type=int, default=8460, help="port to listen on (default: 8460)")
    sub.add_argument("--certificate", metavar="FILE", help="TLS certificate chain, PEM")
    sub.add_argument("--key", metavar="FILE", help="TLS private key, PKCS#8 PEM")
    _add_account(command("account", accounts.account, accounts.HELP))
    command("books", maintenance.books, "List the books with their size and owner's fingerprint.")
    sub = command("sheet", build_sheet.sheet, "Work out a plan's build sheet.", folder=False)
    sub.add_argument("plan", help="the plan, JSON; - for standard input")
    sub.add_argument("--json", action="store_true", help="print it as JSON")
    _add_labels(
        command("labels", labelling.labels, "Give new labels out and write them as PDF in true size.")
    )
    sub = command("export", proofs.export, "Write a book to a file that `seamwalk verify` takes.")
    sub.add_argument("book", help="id or short name; `company` is the company's book")
    sub.add_argument("-o", metavar="FILE", required=True, help="file to write; - for standard output")
    sub = command("excerpt", proofs.excerpt, "Write one entry with the proof that it stands in its book.")
    sub.add_argument("book", help="id or short name")
    sub.add_argument("entry", help="the entry's id, 64 hex digits")
    sub.add_argument("-o", metavar="FILE", required=True, help="file to write; - for standard output")
    text = "Check an exported book or an excerpt, with no server and no database."
    sub = command("verify", proofs.verify, text, folder=False)
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
    sub = command("take-in", maintenance.take_in, "Take in a phone's file, as if the phone had sent it.")
    sub.add_argument("book", help="id or short name")
    sub.add_argument("file", help="the phone's file; - for standard input")
    sub = command(
        "copy", maintenance.copy, "Write a whole copy of the database, also while it is being served."
    )
    sub.add_argument("file", help="file to write; it must not exist yet")
    text = "Begin a new epoch of books that came back from an older copy, so that phones go on with them."
    sub = command("restore", maintenance.restore, text)
    sub.add_argument("book", nargs="*", help="ids or short names (default: all books)")
    sub.add_argument(
        "--base-size",
        type=int,
        metavar="N",
        help="entries that are vouched for (default: all here); 1 always works, phones then send more again",
    )
    sub = command("check", maintenance.check, "Look at the stored books for damage.")
    sub.add_argument("--full", action="store_true", help="read every entry, not the heads alone")
    command("rebuild", maintenance.rebuild, "Make the tables that come from the books again.")
    sub = command("schema", proofs.schema, "Print a JSON Schema, or the format of a book.", folder=False)
    sub.add_argument("what", choices=[*proofs.SCHEMAS, *proofs.DOCUMENTS])
    return top


def _add_account(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("login", nargs="?", help="the login's name")
    sub.add_argument(
        "--role", default="office", choices=[r.value for r, rights in RIGHTS.items() if rights.areas]
    )
    acts = sub.add_mutually_exclusive_group()
    for name, text in accounts.ACTS.items():
        acts.add_argument(f"--{name}", dest="act", action="store_const", const=name, help=text)


def _add_labels(sub: argparse.ArgumentParser) -> None:
    sub.add_argument("--kind", choices=list(KIND_OF_LETTER.values()), default="tile", help="default: tile")
    sub.add_argument("--count", type=int, default=1, metavar="N", help="how many new ones (default: 1)")
    sub.add_argument("--tile-type", metavar="KEY", help="a tile type's key, as in plans")
    sub.add_argument("--again", nargs="+", default=[], metavar="CODE", help="print these again instead")
    sub.add_argument("--page", default="A4", help="A4, Letter, or width x height in mm as in 62x29")
    sub.add_argument(
        "--grid", type=int, nargs=2, default=(1, 1), metavar=("COLUMNS", "ROWS"), help="labels on a page"
    )
    for name, text in (("margins", "left and right, top and bottom"), ("gaps", "between columns, rows")):
        sub.add_argument(
            f"--{name}", type=float, nargs=2, default=(0, 0), metavar=("X", "Y"), help=f"mm: {text}"
        )
    sub.add_argument("--start", type=int, default=1, metavar="N", help="first free label of the first page")
    sub.add_argument("-o", metavar="FILE", required=True, help="PDF to write")
