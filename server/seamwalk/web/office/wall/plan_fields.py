"""The fields of a plan's form: one for each figure, and where it stands in a plan."""

from dataclasses import dataclass
from typing import Any

from wtforms import BooleanField, SelectField, StringField, TextAreaField
from wtforms.validators import Optional

from seamwalk.domain.wall.plan_model import Features
from seamwalk.web.office.forms import NumberField, WholeField, required
from seamwalk.web.office.wall import plan_lists


@dataclass(frozen=True)
class Entry:
    """A form field and where it stands in a plan; a list is read and written as text."""

    path: tuple[str, ...]
    field: Any
    read: plan_lists.Reading | None = None
    write: plan_lists.Writing | None = None


def _decimal(*validators: Any, **options: Any) -> Any:
    return NumberField(validators=validators or [Optional()], **options)


def _whole(*validators: Any, **options: Any) -> Any:
    return WholeField(validators=validators or [Optional()], **options)


def _plain(path: str, **fields: Any) -> dict[str, Entry]:
    """Entries whose form names are the plan's."""
    way = tuple(path.split(".")) if path else ()
    return {name: Entry((*way, name), field) for name, field in fields.items()}


def _needed(what: str) -> Any:
    return required(f"Give the {what}.")[0]


def _list(path: tuple[str, ...], read: plan_lists.Reading, write: plan_lists.Writing) -> Entry:
    return Entry(path, StringField(), read, write)


def _has(feature: str) -> Entry:
    """A box to tick; one that is not ticked says nothing."""
    return Entry(("tile", "features", feature), BooleanField(), lambda _, ticked: ticked)


_NUMBERS = (plan_lists.numbers, plan_lists.write_numbers)
_WHOLE_NUMBERS = (plan_lists.whole_numbers, plan_lists.write_numbers)
# section -> form field -> where it stands in the plan; the first two sections are the ones every plan needs
SECTIONS: dict[str, dict[str, Entry]] = {
    "grid": {
        **_plain(
            "",
            name=StringField(validators=required("Give the wall a name.")),
            columns=_whole(*required("Say how many columns.")),
            rows=_whole(*required("Say how many rows.")),
            support=SelectField(choices=["stacked", "flown", "floor"], default="stacked"),
        ),
        "bends": _list(("bends_deg",), *_NUMBERS),
        "clamp_rows": _list(("clamp_rows",), *_WHOLE_NUMBERS),
        "support_columns": _list(("support_columns",), *_WHOLE_NUMBERS),
        "reference": Entry(("reference",), StringField()),
    },
    "tile": {
        "tile_key": Entry(("tile", "key"), StringField(validators=required("Give the tile type a key."))),
        **_plain(
            "tile",
            width_mm=_decimal(_needed("width")),
            height_mm=_decimal(_needed("height")),
            depth_mm=_decimal(_needed("depth")),
            px_w=_whole(_needed("pixels across")),
            px_h=_whole(_needed("pixels up")),
            mass_kg=_decimal(_needed("mass")),
            power_max_w=_decimal(_needed("maximum power")),
            power_typical_w=_decimal(_needed("typical power")),
            inrush_a=_decimal(),
            leakage_ma=_decimal(),
            chain_max_a=_decimal(),
            locks_side=_whole(_needed("locks of a side joint")),
            locks_stack=_whole(_needed("locks of a stack joint")),
            blocks_side=_whole(default=0),
            guards=SelectField(choices=["edge", "corner", "none"], default="edge"),
        ),
        "module_columns": Entry(("tile", "modules", "columns"), _whole()),
        "module_rows": Entry(("tile", "modules", "rows"), _whole()),
        **_plain(
            "tile",
            tiles_per_case=_whole(_needed("tiles of a case")),
            max_bend_deg=_decimal(),
            max_stack_rows=_whole(),
            max_free_rows=_whole(),
            max_hang_rows=_whole(),
            gap_max_mm=_decimal(),
            flush_max_mm=_decimal(),
        ),
        **{name: _has(name) for name in Features.model_fields},
        "tile_family": Entry(("tile", "hardware_family"), StringField()),
        "tile_reference": Entry(("tile", "reference"), StringField()),
    },
    "hardware": {
        "base_bar_columns": Entry(("hardware", "base_bar_columns"), _whole(default=1)),
        "bars_columns": _list(("hardware", "bars_columns"), *_WHOLE_NUMBERS),
        **_plain(
            "hardware",
            base_bar_kg=_decimal(),
            clamp_kg=_decimal(),
            support_kg=_decimal(),
            support_depth_mm=_decimal(),
            ballast_kg=_decimal(),
            friction=_decimal(),
            base_bar_depth_mm=_decimal(),
            floor_limit_kpa=_decimal(),
            foot_rated_kg=_decimal(),
            level_max_mm=_decimal(),
            hardware_family=StringField(),
        ),
        "hardware_reference": Entry(("hardware", "reference"), StringField()),
    },
    "force": {
        "pressure_n_m2": Entry(("horizontal", "pressure_n_m2"), _decimal()),
        "force_reference": Entry(("horizontal", "reference"), StringField()),
    },
    "hang": {
        "points_mm": _list(("hang", "points_mm"), *_NUMBERS),
        **_plain("hang", bar_kg=_decimal(), hoist_kg=_decimal(), cable_kg_per_m=_decimal()),
        "rated_kg": _list(("hang", "rated_kg"), *_NUMBERS),
        "measured_kg": _list(("hang", "measured_kg"), *_NUMBERS),
        "hang_reference": Entry(("hang", "reference"), StringField()),
    },
    "supply": {
        **_plain("supply", volts=_decimal(), connection=SelectField(choices=["LN", "LL"], default="LN")),
        "phases": Entry(
            ("supply", "phases"), SelectField(choices=["1", "3"], default="1"), lambda _, text: int(text), str
        ),
        **_plain(
            "supply",
            breaker_a=_decimal(),
            continuous_factor=_decimal(),
            pf=_decimal(),
            cable_mm2=_decimal(),
            cable_m=_decimal(),
            link_mm2=_decimal(),
            link_m=_decimal(),
            rcd_ma=_decimal(),
        ),
    },
    "signal": _plain(
        "signal",
        bits=_whole(),
        fps=_decimal(),
        port_mbps=_decimal(),
        efficiency=_decimal(),
        loop=BooleanField(),
    ),
    "spares": {
        **_plain("spares", days=_decimal(), confidence=_decimal()),
        "rate_module": Entry(("spares", "rates", "module"), _decimal()),
        "rate_electronics_unit": Entry(("spares", "rates", "electronics_unit"), _decimal()),
        "minimum_module": Entry(("spares", "minimum", "module"), _whole()),
        "minimum_electronics_unit": Entry(("spares", "minimum", "electronics_unit"), _whole()),
        "learned_failures_module": Entry(("spares", "learned", "module", "failures"), _whole()),
        "learned_days_module": Entry(("spares", "learned", "module", "part_days"), _decimal()),
        "learned_failures_unit": Entry(("spares", "learned", "electronics_unit", "failures"), _whole()),
        "learned_days_unit": Entry(("spares", "learned", "electronics_unit", "part_days"), _decimal()),
    },
    "floor_level": {
        "to_line_mm": _list(("floor_level", "to_line_mm"), plan_lists.pairs, plan_lists.write_pairs),
        "shim_max_mm": Entry(("floor_level", "shim_max_mm"), _decimal()),
        "floor_reference": Entry(("floor_level", "reference"), StringField()),
    },
    "stock": {
        "cases": Entry(("stock", "cases"), TextAreaField(), plan_lists.stock, plan_lists.write_stock),
        **_plain("stock", limit_uv=_decimal(), limit_e00=_decimal()),
    },
    "climate": {
        **_plain("climate", air_c=_decimal(), humidity_percent=_decimal()),
        "surface": _list(("climate", "surface"), plan_lists.surface, plan_lists.write_surface),
        "margin_k": Entry(("climate", "margin_k"), _decimal()),
        "climate_reference": Entry(("climate", "reference"), StringField()),
    },
    "acceptance": {
        **_plain("acceptance", dead_pixels_max=_whole(), soak_minutes=_decimal(), surface_max_c=_decimal()),
        "acceptance_reference": Entry(("acceptance", "reference"), StringField()),
    },
    "wind": {
        "wind_limits": Entry(("wind", "limits"), TextAreaField(), plan_lists.wind, plan_lists.write_wind),
        "wind_reference": Entry(("wind", "reference"), StringField()),
    },
}
ENTRIES = {name: entry for section in SECTIONS.values() for name, entry in section.items()}
NEEDED = ("grid", "tile")
# filled in by what the shows say, so that alone they plan no spares
LEARNED = tuple(name for name in ENTRIES if name.startswith("learned_"))
HINTS = {
    "bends": "bends_hint",
    "clamp_rows": "list_hint",
    "support_columns": "list_hint",
    "bars_columns": "bars_hint",
    "points_mm": "points_hint",
    "rated_kg": "list_hint",
    "measured_kg": "measured_hint",
    "to_line_mm": "to_line_hint",
    "cases": "cases_hint",
    "limit_uv": "limit_hint",
    "surface": "surface_hint",
    "learned_failures_module": "learned_hint",
    "learned_failures_unit": "learned_hint",
    "friction": "no_default_hint",
    "level_max_mm": "no_default_hint",
    "wind_limits": "wind_hint",
    "ballast_kg": "no_default_hint",
    **{name: "reference_hint" for name in ENTRIES if name.endswith("reference")},
}
