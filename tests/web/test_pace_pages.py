"""What came too quickly, and what was found ok ahead of its turn, on the wall's page and the print."""

from datetime import timedelta
from typing import Any

from helpers import NOW, Site, logged_in

LOCKS, EDGES = "A/side/1.1/2.1/locks:2", "A/side/1.1/2.1/edges:clean"


def wall_page(site: Site) -> str:
    return logged_in(site).get("/office/shows/test-show/walls/A").text


def test_taps_that_nobody_can_keep_up_with_are_on_the_walls_page(site: Site) -> None:
    phone = site.phone("chief")
    plan, _ = phone.plan("A")
    tiles = [f"A/tile/{column}.{row}/condition:sound" for column in (1, 2, 3) for row in (1, 2)]
    body: dict[str, Any] = {"plan": plan, "result": "ok", "answers": [], "weight": None}
    phone.write("found", body | {"checks": [EDGES]}, NOW)
    for number in range(9):
        checks = [f"B/tile/1.{number + 1}/condition:sound"]
        phone.write("found", body | {"checks": checks}, NOW + timedelta(milliseconds=100 * number))
    quick = phone.write("found", body | {"checks": tiles}, NOW + timedelta(seconds=1))
    paper = {"at": "2026-11-20T20:00Z", "by_blob": "0" * 64}
    phone.write(
        "found", body | {"checks": [LOCKS], "edition": None, "paper": paper}, NOW + timedelta(seconds=1)
    )
    phone.sync()
    page = wall_page(site)
    assert "Quicker than anybody can look" in page
    assert "<strong>6 checks</strong>" in page
    assert "common practice, no source" in page
    assert "Rosa, Fri 20 Nov 2026, 22:00 UTC" in page
    phone.write("pace_answered", {"entries": [quick.id], "answer": "tapped_afterwards"}, NOW)
    other = site.phone("crew", "Mika")
    other.write("pace_answered", {"entries": [quick.id], "answer": "tapped_afterwards"}, NOW)
    other.sync()
    assert "tapped afterwards, they say" not in wall_page(site)
    phone.sync()
    assert "6 checks, looked at first and tapped afterwards, they say" in wall_page(site)


def test_what_is_ahead_of_its_turn_is_listed_until_it_proves_to_be_later(site: Site) -> None:
    phone, other = site.phone("chief"), site.phone("crew", "Mika")
    plan, _ = phone.plan("A")
    body: dict[str, Any] = {"plan": plan, "result": "ok", "answers": [], "weight": None}
    ahead = {"reason": "order", "missing": [EDGES], "held": []}
    phone.write("found", body | {"checks": [LOCKS], "ahead": ahead}, NOW + timedelta(minutes=5))
    other.write("found", body | {"checks": [EDGES]}, NOW + timedelta(minutes=9))
    phone.sync()
    other.sync()
    page = wall_page(site)
    assert "They built in another order here" in page
    assert "Not OK before: Between columns 1 and 2, row 1 · Both mating edges clean" in page
    size, root = phone.frontier.tree_size, phone.frontier.root_hash.hex()
    over = {"epoch": 1, "size": size, "root": root, "own": [], "exceptions": []}
    signed = phone.write("signed_off", {"plan": plan, "wall": "A", "statement": "built", **over}, NOW)
    phone.sync()
    path = f"/office/shows/test-show/sign-offs/{signed.id}"
    assert "Ahead of their turn" in logged_in(site).get(path).text
    third = site.phone("crew", "Tom")
    third.write("found", body | {"checks": [EDGES]}, NOW + timedelta(minutes=1))
    third.sync()
    assert "Ahead of their turn" not in wall_page(site)
