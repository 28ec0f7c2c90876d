"""The office: who may see what, forms that keep what was typed, walls, labels, sign-offs."""

import json
import re
from collections.abc import Iterator
from dataclasses import replace
from html.parser import HTMLParser
from importlib.metadata import version

import pytest

from helpers import NOW, PLAN, TILE, Site, logged_in, send, token
from seamwalk.book.roles import RIGHTS, Role
from seamwalk.domain.checks import checks
from seamwalk.domain.checks.checks import Check
from seamwalk.domain.wall.wall import Wall
from seamwalk.store.ledger.books import freeze_plan, set_plan
from seamwalk.web.security import CSP
from seamwalk_demo.crew import SimulatedPhone

AREAS = {
    "home": [
        "/office/",
        "/office/account",
        "/office/account/password",
        "/office/account/codes",
        "/office/account/codes/off",
        "/office/account/codes/recovery",
    ],
    "labels": [
        "/office/labels",
        "/office/labels/revoke",
        "/office/stock",
        "/office/labels/print?codes=HQT000421&page_width_mm=100&page_height_mm=50",
    ],
    "stock": [
        "/office/things",
        "/office/things?text=a&kind=tile&status=quarantined",
        "/office/things/found?text=a",
        "/office/missing",
        "/office/bench",
        "/office/shows/test-show/prep",
        "/office/shows/test-show/prep/manifests",
        "/office/shows/test-show/cases",
    ],
    "shows": [
        "/office/types",
        "/office/shows/new",
        "/office/shows/test-show",
        "/office/shows/test-show/plan",
        "/office/shows/test-show/plan-json?wall=A",
        "/office/shows/test-show/walls/A",
        "/office/shows/test-show/walls/A?view=rear",
        "/office/shows/test-show/walls/A/sheet",
        "/office/shows/test-show/walls/A/sheet?view=rear",
        "/office/shows/test-show/walls/A/cables",
        "/office/shows/test-show/pick-list",
        "/office/shows/test-show/invite",
        "/office/shows/test-show/held",
        "/office/shows/test-show/take-in",
    ],
}
PAGES = [(area, path) for area, paths in AREAS.items() for path in paths]


@pytest.mark.parametrize(("area", "path"), PAGES)
def test_each_page_is_for_the_roles_of_the_table(site: Site, area: str, path: str) -> None:
    assert site.app.test_client().get(path).status_code == 302
    for login, role in (("anna", Role.OFFICE), ("wim", Role.WAREHOUSE)):
        expected = 200 if area in RIGHTS[role].areas else 403
        response = logged_in(site, login).get(path)
        assert response.status_code == expected
        assert response.headers["Content-Security-Policy"] == CSP
        assert "style=" not in response.text
        assert not re.search(r'<script(?! src="/dist/office.js" defer></script>)', response.text)


class Words(HTMLParser):
    """Collects what a page says."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []
        self.skipping = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.skipping = tag if tag in ("title", "option", "code", "textarea", "text") else ""

    def handle_endtag(self, tag: str) -> None:
        self.skipping = ""

    def handle_data(self, data: str) -> None:
        if data.strip() and not self.skipping:
            self.found.append(data.strip())


@pytest.mark.parametrize(("_area", "path"), PAGES)
def test_every_text_comes_from_the_catalogue(site: Site, _area: str, path: str) -> None:
    client = logged_in(site)
    words = Words()
    words.feed(client.get(f"{path}{'&' if '?' in path else '?'}lang=pseudo").text)
    data = {
        "Seamwalk",
        "anna",
        "Test Show",
        "Test Company · Test Show",
        "·",
        "A · Back wall",
        "test-show ·",
        "XLSX",
        "JSON",
        f"Werkzeug/{version('werkzeug')}",  # the browser, as it calls itself
    }
    figures = re.compile(r"[\d,.]+")
    bare = [text for text in words.found if "⟦" not in text and not figures.fullmatch(text)]
    bare = [text for text in bare if text not in data and len(text) > 3]
    assert bare == []


def test_a_form_of_another_login_is_refused(site: Site) -> None:
    client = logged_in(site)
    response = client.post("/office/shows/new", data={"title": "Kept title", "slug": "x", "csrf_token": "no"})
    assert "open too long" in response.text
    assert "Kept title" in response.text


def test_a_wrong_plan_stands_at_its_fields_and_keeps_what_was_typed(site: Site) -> None:
    client = logged_in(site)
    path = "/office/shows/test-show/plan?wall=A"
    page = client.get(path).text
    fields = dict(re.findall(r'<input[^>]*name="(\w+)"[^>]*value="([^"]*)"', page))
    fields |= {"support": "stacked", "guards": "edge", "bends": "0 7", "rows": "2"}
    answer = client.post(path, data=fields).text
    assert "bends_deg[1]: 7 is over the tile&#39;s limit of 5" in answer
    assert 'value="0 7"' in answer
    answer = client.post(path, data=fields | {"bends": "0 x"}).text
    assert "&#39;x&#39; is not a number" in answer
    assert client.post(path, data=fields | {"bends": "0 2.5"}).status_code == 302
    assert "is &#39;Back wall&#39; by now" in client.post(path, data=fields | {"bends": ""}).text


def test_a_plan_in_json_is_refused_with_every_problem(site: Site) -> None:
    client = logged_in(site)
    answer = send(client, "/office/shows/test-show/plan-json", wall="B", text='{"name": "Kept"').text
    assert "plan: not JSON" in answer
    assert "Kept" in answer
    answer = send(client, "/office/shows/test-show/plan-json", wall="b", text="{}").text
    assert "a letter first" in answer


def test_the_sheet_of_what_is_typed_is_shown_and_nothing_is_set(site: Site) -> None:
    client = logged_in(site)
    by_json, by_form = "/office/shows/test-show/plan-json", "/office/shows/test-show/plan"
    wide = json.dumps(PLAN | {"columns": 7})
    answer = send(client, by_json, wall="D", text=wide, sheet_only="yes")
    assert answer.status_code == 200
    assert "3,500.0 mm" in answer.text
    assert client.get("/office/shows/test-show/walls/D").status_code == 404
    assert "1,500.0 mm" in client.get(f"{by_json}?wall=A").text
    filled = client.get(f"{by_form}?wall=A").text
    assert "1,500.0 mm" in filled
    tile = {f"tile_{key}" if key in ("key", "reference") else key: value for key, value in TILE.items()}
    typed = {"wall": "D", "name": "Side", "columns": 4, "rows": 2, "support": "stacked", "guards": "edge"}
    fields = {**tile, **typed, "sheet_only": "yes"}
    assert "2,000.0 mm" in send(client, by_form, **fields).text
    bent = send(client, by_form, **{**fields, "bends": "9 9 9"}).text
    assert "9 is over the tile&#39;s limit of 5" in bent.partition('id="sheet"')[2]
    assert "Give the mass." in send(client, by_form, **{**fields, "mass_kg": ""}).text
    assert "is not a JSON object" in send(client, by_json, wall="D", text="[]", sheet_only="yes").text


def test_a_plan_that_no_sheet_can_be_worked_out_for_is_not_set(site: Site) -> None:
    client = logged_in(site)
    weak = PLAN | {"supply": {"volts": 230, "breaker_a": 0.5, "pf": 0.9}}
    ring = PLAN | {"columns": 90, "rows": 1, "bends_deg": [5] * 89}
    for plan, problem in ((weak, "supply.breaker_a: 0.5 carries"), (ring, "run into each other")):
        answer = send(client, "/office/shows/test-show/plan-json", wall="C", text=json.dumps(plan))
        assert problem in answer.text
        assert client.get("/office/shows/test-show/walls/C").status_code == 404


def fault(site: Site, phone: SimulatedPhone, check: str) -> None:
    plan, _ = phone.plan("A")
    note = phone.note("<b>grit</b>")
    body = {"plan": plan, "checks": [check], "result": "fault", "weight": "stop", "reason": "lock_stiff"}
    phone.write("found", body | {"note_blob": note}, NOW)
    phone.sync()


def test_the_map_and_the_show_say_what_stands(site: Site) -> None:
    phone = site.phone(name="Rosa")
    fault(site, phone, "A/side/1.1/2.1/locks:2")
    client = logged_in(site)
    page = client.get("/office/shows/test-show/walls/A").text
    assert 'class="fault stop"' in page
    assert "Lock stiff twice" in page
    assert "&lt;b&gt;grit&lt;/b&gt;" in page
    assert "Rosa" in page
    assert "Nobody lifts or stands near" in client.get("/office/shows/test-show").text


def test_a_sign_off_is_printed_and_lapses_visibly(site: Site) -> None:
    phone = site.phone("chief", "Lena")
    plan, file = phone.plan("A")
    ids = [check["id"] for check in file["checks"]]
    phone.write("found", {"plan": plan, "checks": ids, "result": "ok"}, NOW)
    phone.sync()
    root = phone.frontier.root_hash.hex()
    over = {"size": phone.frontier.tree_size, "root": root, "own": []}
    body = {"statement": "built", "wall": "A", "plan": plan, "epoch": 1, **over, "exceptions": []}
    entry = phone.write("signed_off", body, NOW)
    phone.sync()
    client = logged_in(site)
    path = f"/office/shows/test-show/sign-offs/{entry.id}"
    page = client.get(path).text
    assert "Standing" in page
    for said in (root, site.book, entry.id, site.owner, "Lena"):
        assert said in page
    assert "competent person" in page
    fault(site, phone, "A/side/1.1/2.1/locks:2")
    page = client.get(path).text
    assert "Lapsed" in page
    assert "Between columns 1 and 2, row 1 · 2 locks shut, heard and felt" in page
    assert 'class="fault' not in page.split("The wall as it was signed")[1].split("</ul>")[1]
    assert "Lapsed" in client.get("/office/shows/test-show").text


def test_what_was_planned_before_is_drawn_as_it_was_planned(
    site: Site, monkeypatch: pytest.MonkeyPatch
) -> None:
    phone = site.phone("chief", "Lena")
    plan, _ = phone.plan("A")
    over = {"size": phone.frontier.tree_size, "root": phone.frontier.root_hash.hex(), "own": []}
    body = {"statement": "built", "wall": "A", "plan": plan, "epoch": 1, **over, "exceptions": []}
    entry = phone.write("signed_off", body, NOW)
    phone.sync()
    client, wall = logged_in(site), "/office/shows/test-show/walls/A"
    paths = [
        f"/office/shows/test-show/sign-offs/{entry.id}",
        wall,
        f"{wall}/blank/build",
        f"{wall}/blank/strike",
    ]
    before = [client.get(path).text for path in paths]
    asked = checks._tile_checks

    def more(planned: Wall) -> Iterator[Check]:
        """A later edition looks at one thing more of each tile."""
        yield from asked(planned)
        yield from (replace(check, expect="dusted") for check in asked(planned))

    monkeypatch.setattr(checks, "_tile_checks", more)
    assert [client.get(path).text for path in paths] == before
    assert all(page.count("<") > 50 for page in before)


def test_a_held_phone_is_admitted_on_the_page(site: Site) -> None:
    stranger = SimulatedPhone(site.app.test_client(), site.book)
    plan, file = site.phone().plan("A")
    stranger.write("found", {"plan": plan, "checks": [file["checks"][0]["id"]], "result": "ok"}, NOW)
    stranger.sync()
    known = site.phone()
    body = {"after": 0, "entries": []}
    path = f"/api/v1/books/{site.book}/sync"
    assert known.client.post(path, json=body, headers={"X-Seamwalk": "1"}).json["held"] == 1
    client = logged_in(site)
    page = client.get("/office/shows/test-show/held").text
    assert "Unknown phone" in page
    path = f"/office/shows/test-show/devices/{stranger.key.thumbprint}/admit"
    assert "Say whose phone it is" in client.post(path, data={"csrf_token": token(page), "role": "crew"}).text
    answer = client.post(path, data={"csrf_token": token(page), "role": "crew", "name": "Pavel"})
    assert answer.status_code == 302
    assert "Nothing is held" in client.get("/office/shows/test-show/held").text
    assert "Pavel" in client.get("/office/shows/test-show").text


def test_a_plan_is_kept_as_it_was_written(site: Site) -> None:
    page = logged_in(site).get("/office/shows/test-show/plan-json?wall=A").text
    assert PLAN["name"] in page
    assert "plover_500" in page


def test_a_phone_is_revoked_and_its_entry_let_in_with_a_reason(site: Site) -> None:
    phone = site.phone(name="Rosa")
    plan, file = phone.plan("A")
    client = logged_in(site)
    path = f"/office/shows/test-show/devices/{phone.key.thumbprint}/revoke"
    assert "it stays in the book" in send(client, path, reason="").text
    assert send(client, path, reason="left on the bus").status_code == 302
    assert "Revoked" in client.get("/office/shows/test-show").text
    entry = phone.write("found", {"plan": plan, "checks": [file["checks"][0]["id"]], "result": "ok"}, NOW)
    assert phone.sync() == ["held"]
    assert "Revoked phone" in client.get("/office/shows/test-show/held").text
    path = f"/office/shows/test-show/held/{entry.id}/let-in"
    assert send(client, path, reason="made before it was lost").status_code == 302
    assert "Nothing is held" in client.get("/office/shows/test-show/held").text


def test_the_sheet_draws_every_tile_with_its_circuit_and_port(site: Site) -> None:
    supply = {"volts": 230, "breaker_a": 2, "pf": 1}
    source = PLAN | {"supply": supply, "signal": {"port_mbps": 200, "efficiency": 1}, "bends_deg": [5, 5]}
    tile = PLAN["tile"] | {"max_bend_deg": 5}
    with site.store.write() as session:
        set_plan(session, site.book, freeze_plan("B", source | {"tile": tile}), replaces=None, now=NOW)
    client = logged_in(site)
    front = client.get("/office/shows/test-show/walls/B/sheet").text
    assert front.count('class="circuit"') == front.count('class="port"') == 6
    assert [front.count(f">C{n}<") for n in (1, 2, 3, 4)] == [2, 2, 2, 0]
    assert front.count("<polygon") == 3
    assert "5,731.4 mm" in front
    rear = client.get("/office/shows/test-show/walls/B/sheet?view=rear").text
    assert "mirrored" in rear
    assert re.findall(r'points="([^"]+)"', rear)[-1] != re.findall(r'points="([^"]+)"', front)[-1]


def test_a_tapped_tile_says_what_feeds_it(site: Site) -> None:
    supply = {"volts": 230, "breaker_a": 2, "pf": 1, "phases": 3}
    source = PLAN | {"supply": supply, "signal": {"port_mbps": 200, "efficiency": 1, "loop": True}}
    with site.store.write() as session:
        set_plan(session, site.book, freeze_plan("B", source), replaces=None, now=NOW)
    client = logged_in(site)
    path = "/office/shows/test-show/walls/B/cables"
    plan = client.get(path).text
    assert plan.count("<svg") == 2
    assert plan.count("→P") == plan.count(">→P") == 2 * 2
    assert plan.count(f'href="{path}?tile=2.1#tapped"') == 2
    tapped = re.sub(r"<[^>]+>|\s+", " ", client.get(f"{path}?tile=2.1").text.partition('id="tapped"')[2])
    assert "C2, breaker 2 A" in " ".join(tapped.split())
    assert "Power comes from 2.2" in " ".join(tapped.split())
    assert client.get(f"{path}?tile=9.9").status_code == 404
