"""The lists of a build sheet as rows of label and figure: bars, points, heights, cases, cables."""

from collections.abc import Iterator
from typing import Any

from seamwalk.texts import Translate

_UNITS = ("btu_h", "mm", "deg", "kpa", "kg", "ma", "m2", "px", "min", "m", "w", "a", "v", "c")
Rows = Iterator[tuple[str, str]]


def lists(sheet: dict[str, Any], t: Translate) -> dict[str, list[tuple[str, str]]]:
    """Every list of a sheet that has rows, by its title."""
    found = {
        "bars": [*_bar_rows(sheet, t), *_shim_rows(sheet, t)],
        "points": list(_hang_rows(sheet, t)),
        "heights": list(_statics_rows(sheet, t)),
        "cases": list(_batch_rows(sheet, t)),
        "rates": list(_rate_rows(sheet, t)),
        "cables": list(_cable_rows(sheet, t)),
    }
    return {t(f"sections.{title}"): rows for title, rows in found.items() if rows}


def _cable_rows(sheet: dict[str, Any], t: Translate) -> Rows:
    """Each circuit and each data run: what it feeds, from the first tile to the last."""
    for number, circuit in enumerate((sheet["power"] or {"circuits": []})["circuits"], start=1):
        line = circuit["line"]
        label = t("circuit", of=number) if line is None else t("circuit_on", of=number, line=line)
        drop = "" if circuit["drop_v"] is None else t("drop", v=f"{circuit['drop_v']:.1f}")
        words = {"w": f"{circuit['max_w']:,.0f}", "a": f"{circuit['a']:.1f}", "drop": drop}
        yield (label, t("feeds", **words, **_ends(circuit["tiles"])))
    data = sheet["data"] or {"runs": [], "backup_ports": None}
    for number, run in enumerate(data["runs"], start=1):
        ports = data["backup_ports"]
        back = t("back", port=ports[number - 1]) if ports else ""
        yield (t("port", of=number), t("runs", back=back, **_ends(run)))


def _rate_rows(sheet: dict[str, Any], t: Translate) -> Rows:
    """What the spares were counted with; a learned rate with its interval."""
    for part, rate in (sheet["spares_rates"] or {}).items():
        words = {name: f"{rate[name] or 0:,.3f}" for name in ("per_1000_days", "low", "high")}
        yield (t("rate", of=part), t(f"rates.{rate['source']}", failures=rate["failures"], **words))


def _ends(tiles: list[str]) -> dict[str, Any]:
    return {"n": len(tiles), "first": tiles[0], "last": tiles[-1]}


def _bar_rows(sheet: dict[str, Any], t: Translate) -> Rows:
    for bar in sheet["bars"]:
        text = figure("tiles_kg", bar["tiles_kg"], t)
        for name in ("kpa", "edge_kpa"):
            if bar[name] is not None:
                text += ", " + t(f"pressed.{name}", kpa=figure(f"_{name}", bar[name], t))
        last = bar["column"] + bar["columns"] - 1
        columns = f"{bar['column']}" if bar["columns"] == 1 else f"{bar['column']}-{last}"
        yield (t("bar", of=bar["bar"], columns=columns), text)


def _shim_rows(sheet: dict[str, Any], t: Translate) -> Rows:
    for shim in sheet["floor_level"] or ():
        words = {"left": f"{shim['left_mm']:,.1f}", "right": f"{shim['right_mm']:,.1f}"}
        high = t("high_spot") if 0 in (shim["left_mm"], shim["right_mm"]) else ""
        yield (t("shim", of=shim["bar"]), t("shims", **words) + high)


def _batch_rows(sheet: dict[str, Any], t: Translate) -> Rows:
    batches = sheet["batches"]
    if batches is None:
        return
    for placing in batches["placings"]:
        label = t("placing", of=placing["case"], batch=placing["batch"], tile=placing["tile"])
        yield (label, ", ".join(placing["tiles"]))
    yield (t("borders"), f"{batches['borders']:,}")
    for meeting in batches["meetings"]:
        e00 = "" if meeting["delta_e00"] is None else t("e00", e00=f"{meeting['delta_e00']:.1f}")
        words = {"uv": f"{meeting['delta_uv']:.4f}", "e00": e00, "joints": meeting["joints"]}
        yield (t("meeting", first=meeting["cases"][0], second=meeting["cases"][1]), t("differ", **words))


def _hang_rows(sheet: dict[str, Any], t: Translate) -> Rows:
    hang = sheet["hang"]
    if hang is None:
        return
    for number, kg in enumerate(hang["points_kg"], start=1):
        text = figure("points_kg", kg, t)
        if hang["measured_kg"] is not None:
            read, more = hang["measured_kg"][number - 1], hang["differences_kg"][number - 1]
            text = t("read", computed=text, read=f"{read:,.1f}", more=f"{more:+,.1f}")
        yield (t("point_kg", of=number), text)
    for case in hang["slack"]:
        shares = ", ".join(f"{kg:,.1f}" for kg in case["points_kg"])
        yield (t("slack", of=case["slack_point"]), f"{shares} {t('units.kg')}")
    yield (t("hang_total"), figure("total_kg", hang["total_kg"], t))
    if hang["measured_total_kg"] is not None:
        yield (t("measured_total"), figure("total_kg", hang["measured_total_kg"], t))


def _statics_rows(sheet: dict[str, Any], t: Translate) -> Rows:
    for built in sheet["statics"] or ():
        for way in ("to_audience", "from_audience"):
            moments = built[way]
            held = _held(moments["resisting_nm"], moments["moment_nm"], moments["ratio"], "nm", t)
            yield (t(f"statics.{way}", of=built["rows"]), held)
        if built["sliding_n"] is not None:
            held = _held(built["sliding_n"], built["force_n"], built["sliding_ratio"], "n", t)
            yield (t("statics.sliding", of=built["rows"]), held)


def _held(resisting: float, moment: float, ratio: float | None, unit: str, t: Translate) -> str:
    words = {"resisting": f"{resisting:,.0f}", "unit": t(f"units.{unit}")}
    if ratio is None:
        return t("held_alone", **words)
    return t("held", **words, moment=f"{moment:,.0f}", ratio=f"{ratio:.2f}")


def figure(name: str, value: Any, t: Translate) -> str:
    """A figure with the unit that its name ends in."""
    unit = next((unit for unit in _UNITS if name.endswith(f"_{unit}")), None)
    digits = 2 if name == "pitch_mm" else 0 if unit == "min" else 1
    text = f"{value:,}" if isinstance(value, int) else f"{value:,.{digits}f}"
    return text if unit is None else f"{text} {t(f'units.{unit}')}"
