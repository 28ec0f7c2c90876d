"""Which things an entry speaks of, and where it says they were: one movement for each (table `traces`)."""

from collections.abc import Callable, Iterable, Iterator
from typing import Any

from seamwalk.book.entry import Entry

HERE = ("prep", "load_in", "load_out")
BENCH, HIRE = "bench", "hire"
OUT, DAMAGED = "out", "damaged"
# what a look tells that keeps nothing from going out
SOUND, COSMETIC = "sound", "cosmetic"
HARMLESS = (SOUND, COSMETIC)
Movement = dict[str, Any]


def movements_of(book: str, idx: int, entry: Entry, author: str, kept_at: str | None) -> Iterator[Movement]:
    """The movements that an entry tells of, each thing once.

    `seen_at` is the phone's time, but never later than when the entry came in: nothing is seen after that.
    """
    facts = _FACTS_OF.get(entry.type)
    if facts is None:
        return
    same = {
        "book": book,
        "idx": idx,
        "entry": entry.id,
        "type": entry.type,
        "author": author,
        "device": entry.device,
        "at": entry.at,
        "kept_at": kept_at,
        "seen_at": min(entry.at, kept_at or entry.at),
    }
    seen: set[str] = set()
    for item, where in facts(book, entry.body):
        if item not in seen:
            seen.add(item)
            yield {
                "case_code": None,
                "show": None,
                "place": None,
                "stage": None,
                "told": None,
                **same,
                "item": item,
                **where,
            }


Facts = Iterable[tuple[str, dict[str, Any]]]


def _seen(book: str, body: dict[str, Any]) -> Facts:
    where = {"stage": body["stage"], "show": book if body["stage"] in HERE else None}
    if body["case"]:
        yield body["case"], where
    for item in body["items"]:
        yield item, {**where, "case_code": body["case"]}


def _closed(book: str, body: dict[str, Any]) -> Facts:
    yield body["case"], {"stage": body["stage"], "show": book if body["stage"] in HERE else None}


def _looked_at(_: str, body: dict[str, Any]) -> Facts:
    weights = {damage["weight"] for damage in body.get("damage") or ()}
    outcome = DAMAGED if weights - {"cosmetic"} else COSMETIC if weights else SOUND
    yield body["item"], {"stage": body["stage"], "told": outcome}


def _bound(book: str, body: dict[str, Any]) -> Facts:
    if body["item"]:
        yield body["item"], {"show": book, "place": f"{body['wall']}/{body['tile']}"}


def _swapped(book: str, body: dict[str, Any]) -> Facts:
    if body.get("out"):
        yield body["out"], {"show": book, "told": OUT}
    if body.get("in"):
        yield body["in"], {"show": book, "place": body["where"]}


def _benched(_: str, body: dict[str, Any]) -> Facts:
    home = body["step"] == "second_look" and body["result"] == "sound"
    outcome = f"{body['step']}/{body['result']}"
    yield body["item"], {"place": None if home else BENCH, "told": outcome}


def _handed_over(_: str, body: dict[str, Any]) -> Facts:
    away = (body["hire"] == "out") == (body["leg"] == "out")
    for item in body["items"]:
        yield item, {"place": HIRE if away else None}


def _packed(_: str, body: dict[str, Any]) -> Facts:
    for item in body["tiles"]:
        yield item, {"case_code": body["case"], "stage": "prep"}
    yield body["case"], {"stage": "prep"}


def _sent(_: str, body: dict[str, Any]) -> Facts:
    yield body["case"], {"show": body["show"], "stage": "prep"}


def _returned(_: str, body: dict[str, Any]) -> Facts:
    for item in body["tiles"]:
        yield item, {"case_code": body["case"], "stage": "return"}
    yield body["case"], {"stage": "return"}


def _registered(_: str, body: dict[str, Any]) -> Facts:
    yield body["item"], {"case_code": body.get("home_case")}


def _item(_: str, body: dict[str, Any]) -> Facts:
    yield body["item"], {}


def _items(_: str, body: dict[str, Any]) -> Facts:
    for item in body["items"]:
        yield item, {}


_FACTS_OF: dict[str, Callable[[str, dict[str, Any]], Facts]] = {
    "item_registered": _registered,
    "item_described": _item,
    "item_relabelled": _item,
    "items_edited": _items,
    "claim_opened": _item,
    "case_packed": _packed,
    "case_sent": _sent,
    "case_returned": _returned,
    "item_seen": _seen,
    "case_closed": _closed,
    "item_looked_at": _looked_at,
    "tile_bound": _bound,
    "swapped": _swapped,
    "item_benched": _benched,
    "hire_handed_over": _handed_over,
}
# entries that say where a thing is; the others say something else of it
PLACING = tuple(
    name
    for name in _FACTS_OF
    if name not in ("item_described", "item_relabelled", "items_edited", "claim_opened", "item_looked_at")
)
