"""The show that somebody without a login spoiled: entries pushed again with their signature's other form.

Runs only under the first edition's code, like `make.py`: today such a twin counts as a new entry.
"""

from dataclasses import replace
from typing import Any

from clean_book import tile
from seamwalk.domain.tile_parts import TILE_GROUPS
from seamwalk.store.contacts import Contact, list_contacts
from stage import Hand, Show, Stage, twist

from seamwalk.book.entry import entry_id, read_entry
from seamwalk.book.trust import Trust
from seamwalk.domain.findings import Act, CheckState, Fold
from seamwalk.store.ledger import held_entries
from seamwalk.store.projections import ActRow

ROLES = {
    "anja": "crew",
    "ben": "crew",
    "cleo": "chief",
    "dora": "warehouse",
    "emil": "crew",
    "gus": "client",
}


def open_twisted(stage: Stage) -> Show:
    show = Show.open(stage, "twisted", "Alte Post, twisted")
    for name, role in ROLES.items():
        show.bring(name, role)
    return show


def again(show: Show, name: str, expect: str = "kept") -> str:
    """Push a named entry in twisted form; the twin is named `NAME_twin`."""
    jws = twist(show.entries[name].jws)
    show.stage.pass_()
    (verdict,) = show.push(jws)
    assert verdict.verdict == expect, verdict
    show.remember(f"{name}_twin", read_entry(jws))
    return entry_id(jws)


def play_twins(show: Show) -> None:
    _findings(show)
    _references(show)
    _revoked_phone(show)
    _former_chief(show)
    _revoked_again(show)
    _let_in(show)
    _other_types(show)
    _twisted_first(show)


def _findings(show: Show) -> None:
    """A withdrawn ok that comes back, a mended stop fault that stands again."""
    ok = show.find("anja", "ok_taken_back", ["A/tile/1.1/condition:sound"])
    show.write("anja", "withdrawn", "takes_ok_back", entry=ok.id)
    again(show, "ok_taken_back")
    stop = show.fault("anja", "stop_fault", "A/side/1.1/2.1/locks:2", "stop", reason="lock_stiff")
    show.find("cleo", "stop_mended", ["A/side/1.1/2.1/locks:2"], answers=[stop.id])
    again(show, "stop_fault")
    show.find("emil", "ok_plain", ["A/tile/1.2/condition:sound"])
    again(show, "ok_plain")
    again(show, "takes_ok_back")


def _references(show: Show) -> None:
    """What names an entry by the id of its twin."""
    clean = "A/side/1.2/2.2/edges:clean"
    show.fault("anja", "fault_answered_by_twins_id", clean, "show", reason="debris")
    other = again(show, "fault_answered_by_twins_id")
    show.find("emil", "answers_twins_id", [clean], answers=[other])
    show.find("anja", "ok_taken_back_by_twins_id", ["A/tile/2.1/condition:sound"])
    show.write("anja", "withdrawn", "takes_back_twins_id", entry=again(show, "ok_taken_back_by_twins_id"))
    first = show.find("dora", "before_prev_of_twin", ["A/tile/2.2/condition:sound"])
    phone = show.phones["dora"]
    assert phone._author is not None
    phone._author = replace(phone._author, prev=entry_id(twist(first.jws)))
    show.find("dora", "prev_is_twins_id", ["A/tile/2.2/picture:clean"])


def _revoked_phone(show: Show) -> None:
    """A revoked phone is admitted again by its own old admission."""
    show.find("ben", "revoked_phones_ok_before", ["A/free/1.1/left/guard:out"])
    show.office("device_revoked", "revoked_ben", device=show.phones["ben"].key.thumbprint, reason="lost")
    held = ["A/free/1.2/left/guard:out"]
    show.find("ben", "revoked_phone_finding_held_then_let_in_by_twin", held, expect="held")
    again(show, "admitted_ben")
    after = "revoked_phone_finding_after_twin_admission"
    show.fault("ben", after, "A/free/2.2/right/guard:out", "stop", reason="guard_in")


def _former_chief(show: Show) -> None:
    """A chief who was made crew signs off after the old admission was replayed."""
    admitted = show.entries["admitted_cleo"].body
    show.office("device_admitted", "cleo_made_crew", **{**admitted, "role": "crew"})
    show.sign("cleo", "built", "former_chief_signed_held_then_let_in_by_twin", expect="held")
    again(show, "admitted_cleo")
    show.sign("cleo", "built", "former_chief_signed_after_twin_admission")
    show.find("cleo", "former_chief_ok_that_crew_may_write", ["A/bar/b1/level:true"])


def _revoked_again(show: Show) -> None:
    """A phone that was revoked and rightly admitted again is kept out by the old revocation."""
    device = {"device": show.phones["emil"].key.thumbprint}
    show.office("device_revoked", "revoked_emil", **device, reason="thought lost")
    show.office("device_admitted", "admitted_emil_again", **show.entries["admitted_emil"].body)
    show.find("emil", "emil_ok_after_return", ["A/bar/b2/level:true"])
    again(show, "revoked_emil")
    show.find("emil", "held_by_twin_revocation", ["A/bar/b2/position:planned"], expect="held")


def _let_in(show: Show) -> None:
    """Entries that the office lets in, and their twins."""
    first = show.find("gus", "client_found_let_in", ["A/free/1.2/top/guard:out"], expect="held")
    show.office("entry_admitted", "lets_client_in", entry=first.id, reason="He stood there")
    again(show, "client_found_let_in", "held")
    second = show.find("gus", "held_let_in_by_twins_id", ["A/free/2.1/right/guard:out"], expect="held")
    other = entry_id(twist(second.jws))
    show.office("entry_admitted", "lets_in_twins_id", entry=other, reason="He stood there too")
    show.find("gus", "held_role", ["A/free/2.2/top/guard:out"], expect="held")
    again(show, "held_role", "held")
    show.remember("opened", read_entry(show.texts()[0]))
    again(show, "opened", "held")


def _other_types(show: Show) -> None:
    """Twins of everything else that tables are made of, and of lists whose newest holds."""
    plan = {"plan": show.named["plan"], "wall": "A"}
    bound = {**plan, "tile": "1.1", "item": tile(3), "tag": None, "replaces": []}
    show.write("anja", "tile_bound", "bound", **bound)
    swap = {
        "plan": show.named["plan"],
        "part": "module",
        "where": "1.2/1.1",
        "reopens": ["A/tile/1.2/picture:clean"],
    }
    show.write("anja", "swapped", "swapped", **swap)
    show.find("anja", "swap_looked_at", swap["reopens"], answers=[show.named["swapped"]])
    seen = {"items": [tile(4)], "case": None, "stage": "load_in", "replaces": []}
    show.write("dora", "item_seen", "seen", **seen)
    look = {"item": tile(4), "stage": "load_in", "covers": list(TILE_GROUPS), "photo_blobs": []}
    show.write("dora", "item_looked_at", "looked", **look)
    reading = {"name": "gap_mm", "unit": "mm", "value": 1.5}
    show.find("anja", "with_reading", ["A/base/b1/1.1/locks:2"], readings=[reading])
    for name, who in (("contacts_old", "Vera Lind"), ("contacts_new", "Hanno Lind")):
        with show.stage.store.write() as session:
            contact = Contact(who, "show caller", "+49 30 5550112")
            list_contacts(session, show.book, [contact], show.stage.pass_())
        show.remember(name, show.last())
    person = show.entries["admitted_anja"].body["person"]
    part = {**plan, "walk": "build", "parts": [{"person": person, "first": 0, "last": 5}]}
    show.write("anja", "work_shared", "shared", **part)
    show.write("anja", "work_shared", "shared_later", **{**part, "parts": [{**part["parts"][0], "last": 2}]})
    names = ("bound", "swapped", "seen", "looked", "with_reading", "contacts_old", "shared", "plan")
    for name in names:
        again(show, name)


def _twisted_first(show: Show) -> None:
    """The twisted text came first, and the phone's own after it."""
    phone = show.phones["anja"]
    assert phone._author is not None
    body = {"plan": show.named["plan"], "checks": ["A/base/b2/2.1/locks:2"], "result": "ok"}
    hand = Hand(phone.key, show.book, show.stage, phone._author.n, phone._author.prev)
    jws = hand.text("found", body, v=2)
    for name, text in (("twisted_came_first", twist(jws)), ("own_came_second", jws)):
        assert show.push(text)[0].verdict == "kept"
        show.remember(name, read_entry(text))
    hand.kept(jws)
    phone._author = replace(phone._author, n=hand.n, prev=hand.prev)


def void_of(texts: list[str]) -> tuple[dict[str, dict[str, str | None]], Trust]:
    """Which kept entries are twins, and which only a twin let in; and the trust without both.

    The first text over a signing input stands. The trust takes a reference to either form for the entry.
    """
    first: dict[str, str] = {}
    void: dict[str, dict[str, str | None]] = {}
    trust = Trust(read_entry(texts[0]).book)
    for jws in texts:
        entry = read_entry(jws)
        signing_input = jws.rpartition(".")[0]
        if signing_input in first:
            void[entry.id] = {"void": "twin", "of": first[signing_input]}
            continue
        first[signing_input] = entry.id
        if not trust.judge(entry).kept:
            void[entry.id] = {"void": "let_in_by_twin", "of": None}
            continue
        trust.apply(entry)
    return void, trust


def states_without(show: Show, void: dict[str, dict[str, str | None]]) -> dict[str, CheckState]:
    """How the checks stand when void entries have no effect and either id names the entry."""
    to_first = {entry_id(twist(jws)): entry_id(jws) for jws in show.texts() if entry_id(jws) not in void}
    with show.stage.store.read() as session:
        rows = session.query(ActRow).filter(ActRow.book == show.book).order_by(ActRow.idx)
        acts = [_act(row, to_first) for row in rows if row.entry not in void]
    fold = Fold(acts)
    return {check: fold.state(check) for check in sorted(fold.checks())}


def _act(row: Any, to_first: dict[str, str]) -> Act:
    answers = frozenset(to_first.get(name, name) for name in row.answers)
    target = to_first.get(row.target, row.target)
    return Act(row.entry, row.author, row.kind, tuple(row.checks), row.weight, answers, target)


def held_as_they_must_be(show: Show, trust: Trust) -> dict[str, str]:
    """Each held text, and what it is when twins have no effect: held still, kept, or a twin."""
    kept = {jws.rpartition(".")[0] for jws in show.texts()}
    found: dict[str, str] = {}
    seen: set[str] = set()
    with show.stage.store.read() as session:
        rows = held_entries(session, show.book)
    for row in rows:
        signing_input = row.jws.rpartition(".")[0]
        entry = read_entry(row.jws)
        either = {entry.id, entry_id(twist(row.jws))}
        if signing_input in kept:
            found[entry.id] = "twin_of_kept"
        elif signing_input in seen:
            found[entry.id] = "twin_of_held"
        elif trust.judge(entry).kept or either & trust.let_in:
            found[entry.id] = "to_be_kept"
        else:
            found[entry.id] = "held"
        seen.add(signing_input)
    return found
