"""Lists of a plan as one line or one table of text each, and back."""

from collections.abc import Callable
from typing import Any

from seamwalk.errors import PlanError, Problem

Reading = Callable[[str, str], Any]
Writing = Callable[[Any], str]
_STOCK = ("case", "tile", "tiles", "batch", "x", "y", "luminance_cd_m2")


def whole_numbers(path: str, text: str) -> list[int]:
    """`1 3 8` -> [1, 3, 8]."""
    return [_number(path, part, int) for part in _parts(text)]


def numbers(path: str, text: str) -> list[float]:
    """`0 2.5 -5` -> [0.0, 2.5, -5.0]."""
    return [_number(path, part, float) for part in _parts(text)]


def write_numbers(values: list[float]) -> str:
    """The other way round."""
    return " ".join(f"{value:g}" for value in values)


def pairs(path: str, text: str) -> list[list[float]]:
    """`512/510 505/511` -> [[512.0, 510.0], [505.0, 511.0]]."""
    found = []
    for part in _parts(text):
        values = [_number(path, piece, float) for piece in part.split("/")]
        if len(values) != 2:
            raise _wrong(path, part, "is not a pair", "Type pairs with / between, as in 512/510.")
        found.append(values)
    return found


def write_pairs(values: list[list[float]]) -> str:
    """The other way round."""
    return " ".join(f"{first:g}/{second:g}" for first, second in values)


def surface(path: str, text: str) -> list[dict[str, float]]:
    """`0/3 20/8`, minutes and degrees -> readings of a surface."""
    return [{"minutes": minutes, "surface_c": degrees} for minutes, degrees in pairs(path, text)]


def write_surface(readings: list[dict[str, float]]) -> str:
    """The other way round."""
    return write_pairs([[reading["minutes"], reading["surface_c"]] for reading in readings])


def wind(path: str, text: str) -> list[dict[str, Any]]:
    """`8 m/s, watch the reading`, one a line -> gusts and what is done from each on."""
    found: list[dict[str, Any]] = []
    for line in filter(None, map(str.strip, text.splitlines())):
        gust, _, action = line.partition(",")
        place = f"{path}[{len(found)}]"
        if not action.strip():
            raise _wrong(place, line, "does not say what is done", "Type m/s, a comma, and what is done.")
        number = _number(place, gust.removesuffix("m/s").strip(), float)
        found.append({"gust_m_s": number, "action": action.strip()})
    return found


def write_wind(limits: list[dict[str, Any]]) -> str:
    """The other way round."""
    return "\n".join(f"{limit['gust_m_s']:g} m/s, {limit['action']}" for limit in limits)


def stock(path: str, text: str) -> list[dict[str, Any]]:
    """One case a line: case, tile type, tiles, batch, and where measured x, y and luminance."""
    found: list[dict[str, Any]] = []
    for number, line in enumerate(text.splitlines()):
        cells = [cell.strip() for cell in line.replace(";", ",").replace("\t", ",").split(",")]
        if not any(cells):
            continue
        place = f"{path}[{len(found)}]"
        if len(cells) not in (4, 6, 7):
            remedy = "Type case, tile type, tiles, batch, and where measured x, y and luminance."
            raise _wrong(place, line.strip(), f"in line {number + 1} has {len(cells)} cells", remedy)
        case: dict[str, Any] = dict(zip(_STOCK[:4], cells, strict=False))
        case["tiles"] = _number(place, cells[2], int)
        measured = {
            name: _number(place, cell, float) for name, cell in zip(_STOCK[4:], cells[4:], strict=False)
        }
        found.append(case | ({"white": measured} if measured else {}))
    return found


def write_stock(cases: list[dict[str, Any]]) -> str:
    """The other way round."""
    flat = [case | (case.get("white") or {}) for case in cases]
    return "\n".join(", ".join(str(c[name]) for name in _STOCK if c.get(name) is not None) for c in flat)


def _parts(text: str) -> list[str]:
    return text.replace(",", " ").replace(";", " ").split()


def _number(path: str, text: str, kind: Callable[[str], Any]) -> Any:
    try:
        return kind(text)
    except ValueError as error:
        raise _wrong(path, text, "is not a number", "Type numbers with spaces between.") from error


def _wrong(path: str, text: str, what: str, remedy: str) -> PlanError:
    return PlanError((Problem(path, f"{text!r} {what}", remedy),))
