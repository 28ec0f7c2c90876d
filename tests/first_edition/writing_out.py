"""What the fixture's files say of its books: exports, excerpts, states, what is void.

Runs only under the first edition's code, like `make.py`.
"""

import gzip
import tempfile
from pathlib import Path
from typing import Any

from lax_book import Lax
from seamwalk.store.books import find_book
from seamwalk.store.exporting import excerpt_of, export_book
from stage import Show, Stage, write_gz, write_json
from twisted_book import held_as_they_must_be, states_without, void_of

from seamwalk.book.seal import read_seal
from seamwalk.book.verify import verify_export
from seamwalk.store import checking
from seamwalk.store.engine import copy_database
from seamwalk.store.ledger import held_entries, newest_head
from seamwalk.store.tables import CheckStateRow

HERE = Path(__file__).resolve().parent


def tell_book(stage: Stage, slug: str, named: dict[str, str]) -> dict[str, Any]:
    with stage.store.read() as session:
        book = find_book(session, slug)
        head = newest_head(session, book.id)
        rows = session.query(CheckStateRow).filter(CheckStateRow.book == book.id).all()
        held = {row.entry: row.why for row in held_entries(session, book.id)}
        return {
            "book": book.id,
            "title": book.title,
            "fingerprint": book.owner_fingerprint,
            "epoch": head.epoch,
            "size": head.size,
            "root": head.root,
            "named": named,
            "check_states": {row.check: [row.rank, sorted(row.standing)] for row in rows},
            "held": held,
        }


def tell_twisted(told: dict[str, Any], twisted: Show) -> None:
    void, trust = void_of(twisted.texts())
    states = states_without(twisted, void)
    told["check_states_then"] = told.pop("check_states")
    told["check_states"] = {check: [int(s.rank), list(s.standing)] for check, s in states.items() if s.rank}
    told["void"] = void
    told["held_must_be"] = held_as_they_must_be(twisted, trust)
    let_in = {
        name for name, id_ in twisted.named.items() if void.get(id_, {}).get("void") == "let_in_by_twin"
    }
    assert let_in == {
        "revoked_phone_finding_held_then_let_in_by_twin",
        "revoked_phone_finding_after_twin_admission",
        "former_chief_signed_held_then_let_in_by_twin",
        "former_chief_signed_after_twin_admission",
    }, let_in


def write_export(stage: Stage, target: Path, slug: str) -> None:
    with stage.store.read() as session:
        text = "".join(export_book(session, find_book(session, slug)))
    write_gz(target / f"{slug}.export.jsonl.gz", text.encode())


def write_excerpts(stage: Stage, target: Path, clean: Show, twisted: Show) -> None:
    wanted = {
        "clean.built": (clean, "signed_built"),
        "clean.let_in": (clean, "client_found_let_in"),
        "twisted.twin": (twisted, "stop_fault_twin"),
        "twisted.let_in_by_twin": (twisted, "former_chief_signed_after_twin_admission"),
    }
    for name, (show, entry) in wanted.items():
        with stage.store.read() as session:
            text = excerpt_of(session, find_book(session, show.slug), show.named[entry])
        (target / f"{name}.excerpt.json").write_text(text, "utf-8", newline="\n")


def try_pages(stage: Stage) -> dict[str, int]:
    """How today's office answers for books that hold what it has no words for."""
    stage.app.config["PROPAGATE_EXCEPTIONS"] = False
    client = stage.office()
    paths = [
        f"/office/shows/{slug}{page}"
        for slug in ("clean", "twisted", "lax")
        for page in ("", "/log", "/held")
    ]
    return {path: client.get(path).status_code for path in paths}


def check_full(stage: Stage) -> list[str]:
    with stage.store.write() as session:
        found = checking.check(session, full=True)
        session.rollback()
    return found


def write_readme(target: Path, lax: Lax) -> None:
    """The README with the table of attempts made anew."""
    words = (HERE / "README.md").read_text("utf-8").partition("| name |")[0]
    rows = ["| name | what | today's code | index | entry |", "| --- | --- | --- | --- | --- |"]
    for item in lax.attempts:
        verdict = f"{item.verdict} ({item.why})" if item.why else item.verdict
        kept = "" if item.index is None else item.index
        what = item.what.replace("|", "\\|")
        rows.append(f"| `{item.name}` | {what} | {verdict} | {kept} | {(item.id or '')[:12]} |")
    (target / "README.md").write_text(words + "\n".join(rows) + "\n", "utf-8")


def write_database(stage: Stage, target: Path) -> None:
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / "seamwalk.db"
        copy_database(stage.store.engine, copy)
        write_gz(target / "seamwalk.db.gz", copy.read_bytes())
    (target / "secret.key").write_bytes((stage.folder / "secret.key").read_bytes())


def verify_all(target: Path, expected: dict[str, Any]) -> None:
    for slug, book in expected["books"].items():
        lines = gzip.decompress((target / f"{slug}.export.jsonl.gz").read_bytes()).splitlines(keepends=True)
        seals = [read_seal(text) for text in expected["seals"].values()] if slug == "clean" else []
        try:
            report = verify_export(lines, book["fingerprint"], seals)
            flags = list(report.flags)
        except Exception as error:
            flags = [f"refused: {error}"]
        book["verify_flags_then"] = flags
    write_json(target / "expected.json", expected)
