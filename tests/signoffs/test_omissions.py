"""What a sign-off leaves out is told by verify, on the office's pages and on its print."""

import re
from pathlib import Path
from typing import Any

import pytest

from helpers import NOW, Site, logged_in
from seamwalk.book.entry import Entry
from seamwalk.cli import main
from seamwalk.domain.frozen import canonical_json
from seamwalk.signoffs.book_claims import BookClaims
from seamwalk.signoffs.claim import Claim, Unknown
from seamwalk.signoffs.verification import verify_with_claims
from seamwalk.store.findings.sign_offs import sign_offs
from seamwalk.store.ledger.blobs import keep_blob
from seamwalk.store.ledger.books import find_book, write_as_office
from seamwalk.store.ledger.exports import excerpt_of, export_book
from seamwalk.store.tables import Blob
from seamwalk_demo.crew import SimulatedPhone

LOCKS, SECOND = "A/side/1.1/2.1/locks:2", "A/side/1.1/2.1/second_look:2"


def sign(phone: SimulatedPhone, own: list[Entry] | None = None, **fields: Any) -> Entry:
    """Sign wall A off over all that the phone has seen, and `own`."""
    plan, _ = phone.plan("A")
    size, root = phone.frontier.tree_size, phone.frontier.root_hash.hex()
    over = {"plan": plan, "epoch": 1, "size": size, "root": root, "own": [entry.id for entry in own or ()]}
    body = {"statement": "built", "wall": "A", **over, "exceptions": [], **fields}
    return phone.write("signed_off", body, NOW)


def all_ok(phone: SimulatedPhone, *but: str) -> Entry:
    plan, file = phone.plan("A")
    ids = [check["id"] for check in file["checks"] if check["id"] not in but]
    return phone.write("found", {"plan": plan, "checks": ids, "result": "ok"}, NOW)


def claim(site: Site) -> Claim:
    with site.store.read() as session:
        (state,) = sign_offs(session, site.book)
        return state.claim


def flags(site: Site) -> list[str]:
    """What verify says of the sign-offs of the exported book."""
    with site.store.read() as session:
        lines = [line.encode() for line in export_book(session, find_book(session, "test-show"))]
    told = verify_with_claims(lines, site.owner).flags
    return [flag.partition("): ")[2] for flag in told if flag.startswith("sign-off built of wall A (entry ")]


def test_what_is_left_out_is_told_everywhere(site: Site) -> None:
    chief, crew = site.phone("chief", "Lena"), site.phone("crew", "Rosa")
    all_ok(crew, LOCKS)
    crew.sync()
    chief.sync()
    signed = sign(chief)
    chief.sync()
    left_out = [(item.check, item.why) for item in claim(site).left_out]
    assert left_out[:1] == [(LOCKS, "not_ok")]
    assert {why for _, why in left_out[1:]} == {"same_hands"}
    n = len(left_out)
    said = f"{n} checks stood in the way and are not among its exceptions: {LOCKS} (open); "
    (flag,) = flags(site)
    assert flag.startswith(said)
    assert flag.endswith(f"(second look by the same hands) and {n - 3} more")
    office = logged_in(site)
    show = "/office/shows/test-show"
    for path in (show, f"{show}/walls/A", f"{show}/sign-offs/{signed.id}"):
        page = office.get(path).text
        assert f"In the way when it was signed, and not among its exceptions: {n}" in page
        assert "Between columns 1 and 2, row 1 · 2 locks shut, heard and felt" in page
        assert LOCKS not in page
    assert page.count("second look by the same person") == n - 1


def test_structural_exceptions_without_a_name_are_told_everywhere(site: Site) -> None:
    chief, crew = site.phone("chief", "Lena"), site.phone("crew", "Rosa")
    all_ok(crew, LOCKS)
    crew.sync()
    second = SimulatedPhone(site.app.test_client(), site.book)
    second.join(site.invite("crew"), "Mika")
    second.sync()
    all_ok(second, LOCKS, SECOND)
    second.sync()
    chief.sync()
    exceptions = [
        {"check": LOCKS, "reason": "one is bent"},
        {"check": SECOND, "reason": "none", "person": "I. A."},
    ]
    signed = sign(chief, exceptions=exceptions)
    chief.sync()
    assert claim(site) == Claim(unnamed=(LOCKS,), needless=(SECOND,))
    assert flags(site) == [
        f"1 structural exceptions do not name a competent person: {LOCKS}",
        f"1 exceptions were not in the way (no fault): {SECOND}",
    ]
    page = logged_in(site).get(f"/office/shows/test-show/sign-offs/{signed.id}").text
    assert "Structural exceptions without the competent person&#39;s name: 1" in page
    assert "(no competent person is named)" in page
    assert "Excepted, but not in the way when it was signed (no fault): 1" in page


def test_own_entries_that_come_later_are_counted_when_they_are_here(site: Site) -> None:
    chief = site.phone("chief", "Lena")
    chief.sync()
    late = all_ok(chief)
    signed = sign(chief, [late])
    chief.pending = [signed]
    chief.sync()
    assert claim(site) == Claim(unknown=Unknown.ENTRIES_MISSING)
    assert flags(site) == [
        "what stood in its way was not worked out: not all entries that it covers are here"
    ]
    page = logged_in(site).get("/office/shows/test-show").text
    assert "What was in the way was not worked out: not all entries that it covers are here yet." in page
    chief.pending = [late]
    chief.sync()
    assert {item.why for item in claim(site).left_out} == {"same_hands"}


def test_it_is_worked_out_again_when_the_checks_file_arrives(site: Site) -> None:
    chief = site.phone("chief", "Lena")
    all_ok(chief)
    chief.sync()
    plan, file = chief.plan("A")
    signed = sign(chief)
    chief.sync()
    before = claim(site)
    name = next(entry.body["checks_file"] for entry in chief.entries if entry.id == plan)
    with site.store.write() as session:
        session.delete(session.get_one(Blob, (site.book, name)))
    assert claim(site).unknown == Unknown.FILE_MISSING
    assert flags(site) == ["what stood in its way was not worked out: the plan's checks file is not here"]
    path = f"/office/shows/test-show/sign-offs/{signed.id}"
    office = logged_in(site)
    assert "the plan&#39;s checks file is not here" in office.get(path).text
    with site.store.write() as session:
        write_as_office(session, site.book, "blob_erased", {"blob": name}, NOW)
    assert claim(site).unknown == Unknown.FILE_ERASED
    assert flags(site) == ["what stood in its way was not worked out: the checks file was erased"]
    with site.store.write() as session:
        keep_blob(session, site.book, canonical_json(file))
    assert claim(site) == before
    assert before.left_out


def test_a_sign_off_over_a_plan_that_is_not_here_is_printed(site: Site) -> None:
    chief = site.phone("chief", "Lena")
    signed = sign(chief, plan="0" * 64)
    chief.sync()
    assert claim(site).unknown == Unknown.PLAN_MISSING
    page = logged_in(site).get(f"/office/shows/test-show/sign-offs/{signed.id}")
    assert page.status_code == 200
    assert "The plan&#39;s files are not here, so the wall is not drawn." in page.text


def test_one_that_the_office_let_in_is_measured_when_its_entries_are_those_here(site: Site) -> None:
    chief = site.phone("chief", "Lena")
    all_ok(chief)
    chief.sync()
    other, same = sign(chief, root="0" * 64), sign(chief)
    with site.store.write() as session:
        for entry in (other, same):
            body = {"entry": entry.id, "reason": "seen on her phone"}
            write_as_office(session, site.book, "entry_admitted", body, NOW)
    assert chief.sync() == ["kept", "kept"]
    with site.store.read() as session:
        unknown = {state.entry: state.claim.unknown for state in sign_offs(session, site.book)}
    assert unknown == {other.id: Unknown.OTHER_ENTRIES, same.id: None}
    said = "what stood in its way was not worked out: it was signed over other entries than those here"
    assert flags(site)[0] == said
    assert "second look by the same hands" in flags(site)[1]


def test_a_leaf_without_its_text_leaves_it_open(site: Site) -> None:
    chief = site.phone("chief", "Lena")
    chief.sync()
    signed = sign(chief)
    chief.sync()
    for hidden, unknown in ((True, Unknown.ENTRIES_MISSING), (False, Unknown.PLAN_MISSING)):
        claims = BookClaims()
        for index, entry in enumerate(chief.entries):
            if entry.id == signed.id:
                claims.entry(index, entry, "somebody")
            else:
                claims.leaf(index, entry.id, hidden=hidden)
        (made,) = claims.measure()
        assert made.claim == Claim(unknown=unknown)


def test_the_command_says_it(site: Site, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    chief = site.phone("chief", "Lena")
    signed = sign(chief)
    chief.sync()
    target = tmp_path / "book.txt"
    with site.store.read() as session:
        lines = export_book(session, find_book(session, "test-show"))
        target.write_text("".join(lines), encoding="utf-8", newline="\n")
    assert main(["verify", str(target)]) == 0
    told = capsys.readouterr().out
    (said,) = [line for line in told.splitlines() if line.startswith("look at: sign-off built of wall A (")]
    assert f"(entry {signed.id[:8]})" in said
    assert "Tile in column 1, row 1 · Tile sound: corners, edges, face, connectors (open)" in said
    assert not re.search(r"[a-z]+/\d|\w:\d", said), "a check by its id"


def test_the_command_says_of_one_entry_where_and_when(
    site: Site, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    crew = site.phone("crew", "Rosa")
    found = all_ok(crew)
    crew.sync()
    target = tmp_path / "entry.json"
    with site.store.read() as session:
        target.write_text(excerpt_of(session, find_book(session, "test-show"), found.id), encoding="utf-8")
    assert main(["verify", str(target)]) == 0
    first, second, *_ = capsys.readouterr().out.splitlines()
    assert first.endswith(f"{NOW:%a} {NOW.day} {NOW:%b %Y, %H:%M} UTC by its clock")
    assert second == "of Wall A · Tile in column 1, row 1 · Tile sound: corners, edges, face, connectors"
