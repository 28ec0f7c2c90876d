"""The build sheet as lines that people read."""

from collections.abc import Iterator
from typing import Any

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
)
_KEYED = ("tiles_by_type", "angle_pieces", "cases", "spares")
_UNITS = ("btu_h", "mm", "deg", "kg", "ma", "m2", "px", "m", "w", "a", "v")
_NOT_HERE = ("columns", "points_mm", "bodies_mm", "runs", "phases_exact", "phase_a")


def sheet_lines(sheet: dict[str, Any], language: str = "en") -> Iterator[str]:
    """Write a sheet as text: figures, then what to look at, what is left out, and what to mind."""
    t = translator("sheet", language)
    rows = figures(sheet, language)
    width = max(len(label) for label, _ in rows)
    yield str(sheet["name"])
    yield from ("", t("sections.figures"), *(f"  {label:<{width}}  {figure}" for label, figure in rows))
    for key, items in remarks(sheet, language).items():
        if items:
            yield from ("", t(f"sections.{key}"), *(f"  {item}" for item in items))


def figures(sheet: dict[str, Any], language: str = "en") -> list[tuple[str, str]]:
    """Every figure of a sheet: its label, and the figure with its unit."""
    t = translator("sheet", language)
    rows = [row for key in _SECTIONS if sheet[key] is not None for row in _rows(key, sheet[key], t)]
    return [*rows, *_phase_rows(sheet, t), *_hang_rows(sheet, t), *_statics_rows(sheet, t)]


def remarks(sheet: dict[str, Any], language: str = "en") -> dict[str, list[str]]:
    """What to look at, what is left out and why, and what to mind."""
    t = translator("sheet", language)
    needs = [t("needs", figure=item["figure"], field=item["needs"]) for item in sheet["left_out"]]
    cautions = [_caution(item, t) for item in sheet["cautions"]]
    return {"warnings": sheet["warnings"], "left_out": needs, "cautions": cautions}


def _rows(key: str, value: Any, t: Translate) -> Iterator[tuple[str, str]]:
    if key in _KEYED:
        yield from ((t(key, of=name), _figure(key, count, t)) for name, count in value.items())
    elif isinstance(value, dict):
        for name, inner in value.items():
            if inner is not None and name not in _NOT_HERE:
                unit_of = name if key in ("curve", "power", "data") else key
                shown = len(inner) if isinstance(inner, list) else inner
                yield (t(f"{key}.{name}"), _figure(unit_of, shown, t))
    else:
        yield (t(key), _figure(key, value, t))


def _phase_rows(sheet: dict[str, Any], t: Translate) -> Iterator[tuple[str, str]]:
    for line, amperes in ((sheet["power"] or {}).get("phase_a") or {}).items():
        yield (t("phase_a", of=line), _figure("phase_a", amperes, t))


def _hang_rows(sheet: dict[str, Any], t: Translate) -> Iterator[tuple[str, str]]:
    hang = sheet["hang"] or {"points_kg": [], "slack": []}
    for number, kg in enumerate(hang["points_kg"], start=1):
        yield (t("point_kg", of=number), _figure("points_kg", kg, t))
    for case in hang["slack"]:
        shares = ", ".join(f"{kg:,.1f}" for kg in case["points_kg"])
        yield (t("slack", of=case["slack_point"]), f"{shares} {t('units.kg')}")


def _statics_rows(sheet: dict[str, Any], t: Translate) -> Iterator[tuple[str, str]]:
    for built in sheet["statics"] or ():
        for way in ("to_audience", "from_audience"):
            told = built[way]
            held = _held(told["resisting_nm"], told["moment_nm"], told["ratio"], "nm", t)
            yield (t(f"statics.{way}", of=built["rows"]), held)
        if built["sliding_n"] is not None:
            held = _held(built["sliding_n"], built["force_n"], built["sliding_ratio"], "n", t)
            yield (t("statics.sliding", of=built["rows"]), held)


def _held(resisting: float, moment: float, ratio: float | None, unit: str, t: Translate) -> str:
    words = {"resisting": f"{resisting:,.0f}", "unit": t(f"units.{unit}")}
    if ratio is None:
        return t("held_alone", **words)
    return t("held", **words, moment=f"{moment:,.0f}", ratio=f"{ratio:.2f}")


def _figure(name: str, value: Any, t: Translate) -> str:
    unit = next((unit for unit in _UNITS if name.endswith(f"_{unit}")), None)
    digits = 2 if name == "pitch_mm" else 1
    text = f"{value:,}" if isinstance(value, int) else f"{value:,.{digits}f}"
    return text if unit is None else f"{text} {t(f'units.{unit}')}"


def _caution(item: dict[str, str | None], t: Translate) -> str:
    rests_on = item["rests_on"]
    basis = "" if rests_on is None else " " + t("rests_on", reference=rests_on)
    return t(f"cautions.{item['key']}") + basis
