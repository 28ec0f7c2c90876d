"""Places and checks of a wall in words, for pages and prints: never as they are written in entries.

An entry may name a place or a check that no plan of this edition can have: that one stays as it is written.
"""

import re
from collections.abc import Iterable

from seamwalk.domain.checks.checks import Check
from seamwalk.texts import Translate

_TILE = re.compile(r"(\d{1,4})\.(\d{1,4})(?:x\d+x\d+)?", re.ASCII)
_BAR = re.compile(r"[bhf]\d{1,4}", re.ASCII)
_WALL = re.compile(r"[A-Za-z0-9]{1,20}", re.ASCII)
_OF_WALL = ("circuit", "run", "lift")


def place_in_words(place: str, t: Translate) -> str:
    """A place as somebody reads it who stands before the wall: `Between columns 3 and 4, row 2`."""
    kind, first, second, part = [*place.split("/"), "", "", ""][:4]
    a, b = _cell(first), _cell(second)
    if a and b:
        return _of_joint(kind, a, b, t) or place
    if b and kind in ("base", "hang"):
        return t(f"places.{kind}", column=b[0])
    if a:
        return _of_tile(kind, a, second, part, t) or place
    return _of_wall(kind, first, t) or place


def _of_joint(kind: str, a: tuple[int, int], b: tuple[int, int], t: Translate) -> str | None:
    if kind == "side":
        return t("places.side", left=a[0], right=b[0], row=max(a[1], b[1]))
    return t("places.stack", column=max(a[0], b[0]), lower=a[1], upper=b[1]) if kind == "stack" else None


def _of_tile(kind: str, at: tuple[int, int], where: str, part: str, t: Translate) -> str | None:
    words = {"column": at[0], "row": at[1]}
    if kind in ("tile", "clamp"):
        return t(f"places.{kind}", **words)
    if kind == "free":
        return t("places.free", edge=t.word("places.edges", where), **words) + (part and f" ({part})")
    return t("places.corner", corner=t.word("places.corners", where), **words) if kind == "corner" else None


def _of_wall(kind: str, name: str, t: Translate) -> str | None:
    if kind == "bar" and _BAR.fullmatch(name):
        return t(f"places.bar_{name[:1]}", column=name[1:])
    if kind == "support":
        return t("places.support", column=name)
    if kind == "feed":
        return t("places.feed")
    return t(f"places.{kind}", number=name) if kind in _OF_WALL else None


def check_in_words(check: Check, t: Translate) -> str:
    """What is looked at there."""
    return _looked_at(check.kind, check.expect, t)


def _looked_at(kind: str, expect: str, t: Translate) -> str:
    if kind == "joined":
        expect = place_in_words(f"bar/{expect}", t)
    elif kind == "guard":
        expect = t.word("expects", expect)
    return t.word("checks", kind, expect=expect)


def check_at_place(check_id: str, t: Translate) -> str:
    """A check by its id, where the wall is known: `Between columns 3 and 4, row 2 · 2 locks shut`."""
    return _split(check_id, t)[1]


def check_at_wall(check_id: str, t: Translate) -> str:
    """A check by its id, with its wall: `Wall A · Between columns ...`."""
    wall, words = _split(check_id, t)
    return t("places.on_wall", wall=wall, where=words) if wall else words


def _split(check_id: str, t: Translate) -> tuple[str, str]:
    """The wall and the rest in words; no wall and the id as it is where it is none of a plan's."""
    wall, _, rest = check_id.partition("/")
    place, _, last = rest.rpartition("/")
    kind, _, expect = last.partition(":")
    where, looked_at = place_in_words(place, t), _looked_at(kind, expect, t)
    if not _WALL.fullmatch(wall) or where == place or looked_at == kind:
        return "", check_id
    return wall, f"{where} · {looked_at}"


def by_place(check_ids: Iterable[str], t: Translate) -> list[str]:
    """Checks of a wall in words, a line for each place: `Column 3, on its base bar · 2 locks shut; ...`."""
    lines: dict[str, str] = {}
    for check_id in check_ids:
        where, dot, looked_at = check_at_place(check_id, t).partition(" · ")
        lines[where] = f"{lines[where]}; {looked_at}" if where in lines else where + dot + looked_at
    return list(lines.values())


def where_in_words(where: str, t: Translate) -> str:
    """Where a part was changed: `Tile in column 3, row 2, module 1.0` of a tile's id and a module's place."""
    tile, _, module = where.partition("/")
    words = place_in_words(f"tile/{tile}", t)
    if words == f"tile/{tile}":
        return where
    return t("places.module", tile=words, module=module) if module else words


def stands_in_words(place: str, t: Translate) -> str:
    """Where a thing stands: `Wall A · Tile in column 3, row 2`, or away at the bench or on hire."""
    wall, _, tile = place.partition("/")
    words = place_in_words(f"tile/{tile}", t)
    if not _WALL.fullmatch(wall) or words == f"tile/{tile}":
        return t.word("custody.away", place)
    return t("places.on_wall", wall=wall, where=words)


def _cell(tile: str) -> tuple[int, int] | None:
    found = _TILE.fullmatch(tile)
    return (int(found[1]), int(found[2])) if found else None
