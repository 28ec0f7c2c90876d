"""Make the fixture of the first edition: `PYTHONPATH=server python tests/first_edition/make.py FOLDER`.

Runs only under the first edition's code (the one before rules 2), whose ledger takes what later rules refuse.
It is kept to say how the files beside it were made; what they hold must be opened by every later edition.
"""

import sys
import tempfile
from pathlib import Path
from typing import Any

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE), str(HERE.parent), str(HERE.parent / "simulation")]
import conftest  # noqa: E402, F401, I001  (makes the demo's simulated phone importable)
from clean_book import (  # noqa: E402
    hold,
    leave_doors,
    make_company,
    open_clean,
    play_findings,
    play_sign_offs,
    play_trust,
    play_warehouse,
    seal_of,
)
from lax_bodies import try_dates, try_numbers, try_texts, try_unknown_words  # noqa: E402
from lax_book import open_lax, told, try_headers, try_json, try_payloads  # noqa: E402
from lax_trust import make_ownerless, try_counting, try_trust  # noqa: E402
from stage import PASSWORD, Stage, write_json  # noqa: E402
from stored_phone import Phone, phone_sends, phone_stops  # noqa: E402
from twisted_book import open_twisted, play_twins  # noqa: E402
from writing_out import (  # noqa: E402
    check_full,
    tell_book,
    tell_twisted,
    try_pages,
    verify_all,
    write_database,
    write_excerpts,
    write_export,
    write_readme,
)

from seamwalk.book.entry import format_at  # noqa: E402
from seamwalk.store import access  # noqa: E402
from seamwalk.store.books import restore_book  # noqa: E402

LAX = (
    try_headers,
    try_payloads,
    try_json,
    try_numbers,
    try_texts,
    try_dates,
    try_unknown_words,
    try_counting,
    try_trust,
)


def main(target: Path) -> None:
    with tempfile.TemporaryDirectory() as folder:
        stage = Stage(Path(folder))
        with stage.store.write() as session:
            access.add_account(session, "anna", PASSWORD, "office")
            access.add_account(session, "wim", PASSWORD, "warehouse")
        _play(stage, target, Path(folder))
        stage.store.engine.dispose()


def _play(stage: Stage, target: Path, folder: Path) -> None:
    company, company_named = make_company(stage)
    clean, twisted = open_clean(stage), open_twisted(stage)
    phone = Phone(stage, folder)
    phone.join(clean)
    phone.join(twisted)
    play_warehouse(clean)
    play_findings(clean)
    phone_sends(phone, clean, twisted)
    play_sign_offs(clean)
    seals = {"before_restore": seal_of(clean, clean.named["signed_built"])}
    play_trust(clean)
    with stage.store.write() as session:
        clean.remember("restored", restore_book(session, clean.book, stage.pass_()))
    play_twins(twisted)
    stores = phone_stops(phone, clean, twisted, target)
    clean.find("rosa", "ok_after_the_phones_last_sync", ["A/free/2.1/right/guard:out"])
    seals["after_restore"] = seal_of(clean, clean.named["signed_built"])
    hold(clean)
    doors = leave_doors(clean)
    lax, ownerless = open_lax(stage), make_ownerless(stage)
    for attempts in LAX:
        attempts(lax)
    shows = [clean, twisted, lax.show, ownerless]
    expected: dict[str, Any] = {
        "made_at": format_at(stage.at),
        "books": {show.slug: tell_book(stage, show.slug, show.named) for show in shows},
        "phone": stores,
        "doors": {
            **doors,
            "device_cookies": stage.tokens,
            "accounts": {"anna": "office", "wim": "warehouse"},
        },
        "seals": seals,
    }
    expected["books"]["company"] = tell_book(stage, "company", company_named)
    assert expected["books"]["company"]["book"] == company
    tell_twisted(expected["books"]["twisted"], twisted)
    expected["books"]["lax"]["check_states_then"] = expected["books"]["lax"].pop("check_states")
    for slug in expected["books"]:
        write_export(stage, target, slug)
    write_excerpts(stage, target, clean, twisted)
    expected["pages_then"] = try_pages(stage)
    expected["check_full_then"] = check_full(stage)
    write_json(target / "lax.json", told(lax))
    write_readme(target, lax)
    write_json(target / "keys.json", stage.keys)
    write_json(target / "expected.json", expected)
    write_database(stage, target)
    verify_all(target, expected)


if __name__ == "__main__":
    main(Path(sys.argv[1]).resolve())
