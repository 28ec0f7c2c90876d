"""The build sheet as lines that people read."""

from collections.abc import Iterator
from typing import Any

from seamwalk.printing.sheet_lists import Rows, figure, lists
from seamwalk.texts import Translate, translator

# what of a sheet is printed, in this order; a name with its unit at the end says the unit
_SECTIONS = (
    "tiles",
    "tiles_by_type",
    "pixels",
    "pitch_mm",
    "viewing_m",
    "area_m2",
    "size_mm",
    "built_mm",
    "curve",
    "joints",
    "locks",
    "angle_pieces",
    "clamps",
    "supports",
    "base_bars",
    "cases",
    "mass_kg",
    "centre_mm",
    "power",
    "data",
    "spares",
    "moisture",
)
_KEYED = ("tiles_by_type", "angle_pieces", "cases", "spares")
_NOT_HERE = ("columns", "points_mm", "bodies_mm", "runs", "backup_ports", "phases_exact", "phase_a", "wait")


def sheet_lines(sheet: dict[str, Any], language: str = "en") -> Iterator[str]:
    """Write a sheet as text: figures, then what to look at, what is left out, and what to mind."""
    t = translator("sheet", language)
    yield str(sheet["name"])
    for title, rows in {t("sections.figures"): figures(sheet, language), **lists(sheet, t)}.items():
        width = max(len(label) for label, _ in rows)
        yield from ("", title, *(f"  {label:<{width}}  {told}" for label, told in rows))
    for key, items in remarks(sheet, language).items():
        if items:
            yield from ("", t(f"sections.{key}"), *(f"  {item}" for item in items))


def figures(sheet: dict[str, Any], language: str = "en") -> list[tuple[str, str]]:
    """The single figures of a sheet: label, and figure with its unit."""
    t = translator("sheet", language)
    rows = [row for key in _SECTIONS if sheet[key] is not None for row in _rows(key, sheet[key], t)]
    return [*rows, *_phase_rows(sheet, t)]


def remarks(sheet: dict[str, Any], language: str = "en") -> dict[str, list[str]]:
    """What to look at, what is left out and why, and what to mind."""
    t = translator("sheet", language)
    needs = [t("needs", figure=item["figure"], field=item["needs"]) for item in sheet["left_out"]]
    cautions = [_caution(item, t) for item in sheet["cautions"]]
    return {"warnings": sheet["warnings"], "left_out": needs, "cautions": cautions}


def _rows(key: str, value: Any, t: Translate) -> Iterator[tuple[str, str]]:
    if key in _KEYED:
        yield from ((t(key, of=name), figure(key, count, t)) for name, count in value.items())
    elif isinstance(value, dict):
        for name, inner in value.items():
            if inner is not None and name not in _NOT_HERE:
                unit_of = name if key in ("curve", "power", "data", "moisture") else key
                shown = len(inner) if isinstance(inner, list) else inner
                yield (t(f"{key}.{name}"), figure(unit_of, shown, t))
    else:
        yield (t(key), figure(key, value, t))


def _phase_rows(sheet: dict[str, Any], t: Translate) -> Rows:
    for line, amperes in ((sheet["power"] or {}).get("phase_a") or {}).items():
        yield (t("phase_a", of=line), figure("phase_a", amperes, t))


def _caution(item: dict[str, str | None], t: Translate) -> str:
    rests_on = item["rests_on"]
    basis = "" if rests_on is None else " " + t("rests_on", reference=rests_on)
    return t(f"cautions.{item['key']}") + basis
