"""Invented people, stock and walls."""

from typing import Any

from seamwalk.domain.stock.codes import Code
from seamwalk.store.show.contacts import Contact

COMPANY = "Lindenquai Bildwände"
PREFIX = "QD"
LOGIN = "office"
OVER = ("Hafenfest Nordkai", "hafenfest")
UNDER_WAY = ("Wintergala Mühlensaal", "wintergala")
# name, role; the first of each role is the one who signs
CREW = (
    ("Ronja Feld", "chief"),
    ("Tarik Osei", "crew"),
    ("Mila Brandt", "crew"),
    ("Jonas Wiek", "competent_person"),
    ("Ines Kolb", "electrician"),
)

# who scans cases out, and who is the second pair of hands when they come back
PREPS, TAKES_BACK = "Pia Kettner", "Samir Vogt"
# the company's own limit for one person, kg
LIFT_KG = 25
_WREN_BATCHES = ("spring", "spring", "autumn", "autumn", "spring", "spring", "autumn", "spring")
BATCHES = (*_WREN_BATCHES, "spring", "winter", "winter")
_CASE_MM = {"length_mm": 1200, "width_mm": 600, "height_mm": 760}
TYPES = (
    {"kind": "case", "type": "", "mass_kg": 44, **_CASE_MM, "price": 780, "currency": "EUR"},
    {"kind": "tile", "type": "wren_500", "mass_kg": 7.4, "price": 940, "currency": "EUR"},
    {"kind": "tile", "type": "heron_1000", "mass_kg": 13.1, "price": 1720, "currency": "EUR"},
    {"kind": "tile", "type": "kite_500", "mass_kg": 7.4, "price": 910, "currency": "EUR"},
    {"kind": "module", "type": "", "mass_kg": 0.6, "price": 160, "currency": "EUR"},
)

CONTACTS = [
    Contact("Jonas Wiek", "competent person", "+49 30 5550142"),
    Contact("Ines Kolb", "electrician", "+49 30 5550163"),
    Contact("Vera Tannhof", "show caller", "+49 30 5550177"),
]

_WREN = {
    "key": "wren_500",
    "width_mm": 500,
    "height_mm": 500,
    "depth_mm": 78,
    "px_w": 192,
    "px_h": 192,
    "mass_kg": 7.4,
    "power_max_w": 165,
    "power_typical_w": 55,
    "locks_side": 2,
    "locks_stack": 2,
    "blocks_side": 1,
    "guards": "edge",
    "tiles_per_case": 8,
    "max_bend_deg": 7.5,
    "features": {"magnets": True, "springing_guards": True},
    "reference": "invented manual, page 12",
}
_HERON = _WREN | {"key": "heron_1000", "height_mm": 1000, "px_h": 384, "mass_kg": 13.1, "power_max_w": 330}
_HERON |= {"power_typical_w": 110, "locks_side": 4, "lock_positions_mm": {"side": [120, 380, 620, 880]}}
_KITE = _WREN | {"key": "kite_500", "guards": "corner", "features": {"magnets": False}, "blocks_side": 0}


_SUPPLY = {"volts": 230, "breaker_a": 16, "pf": 0.93, "phases": 3, "cable_mm2": 2.5, "cable_m": 25}
_ELECTRICS = {
    "supply": _SUPPLY | {"link_mm2": 1.5, "link_m": 0.8},
    "signal": {"bits": 8, "fps": 60, "port_mbps": 1000, "efficiency": 0.9, "loop": True},
    "spares": {"days": 4, "rates": {"module": 0.0004, "electronics_unit": 0.0002}, "minimum": {"module": 2}},
}
_HARDWARE = {
    "base_bar_kg": 6.2,
    "base_bar_depth_mm": 300,
    "floor_limit_kpa": 5,
    "clamp_kg": 1.1,
    "support_kg": 21,
    "support_depth_mm": 950,
    "ballast_kg": 60,
    "friction": 0.4,
    "reference": "Jonas Wiek, invented sheet 3",
}


def _case(number: int, tile: str, batch: str, x: float, y: float) -> dict[str, Any]:
    case = Code(PREFIX, "C", number).text
    return {"case": case, "tile": tile, "tiles": 8, "batch": batch, "white": {"x": x, "y": y}}


_STOCK = {
    "cases": [
        _case(5, "wren_500", "spring", 0.3105, 0.3230),
        _case(6, "wren_500", "spring", 0.3109, 0.3233),
        _case(7, "wren_500", "autumn", 0.3152, 0.3290),
        _case(9, "heron_1000", "spring", 0.3107, 0.3231),
        _case(10, "kite_500", "winter", 0.3111, 0.3238),
        _case(11, "kite_500", "winter", 0.3110, 0.3240),
    ],
    "limit_uv": 0.004,
}


def curved() -> dict[str, Any]:
    """Eight columns, four rows, bent at every seam."""
    return {
        "name": "Stage curve",
        "columns": 8,
        "rows": 4,
        "tile": _WREN,
        "support": "stacked",
        "bends_deg": [5, 5, 5, 2.5, 5, 5, 5],
        "clamp_rows": [2, 4],
        "support_columns": [1, 4, 8],
        "reference": "Jonas Wiek, invented sheet 3",
        "hardware": _HARDWARE | {"base_bar_columns": 1},
        **_ELECTRICS,
    }


def portal() -> dict[str, Any]:
    """Nine columns, five rows, mixed sizes around a doorway."""
    door = {(column, row) for column in (4, 5, 6) for row in (1, 2, 3)}
    tall: list[dict[str, Any]] = [
        {"column": c, "row": r, "w": 1, "h": 2, "tile": "heron_1000"} for c in (1, 9) for r in (1, 3)
    ]
    taken = {(t["column"], t["row"] + up) for t in tall for up in (0, 1)} | door
    small = [
        {"column": c, "row": r, "w": 1, "h": 1, "tile": "kite_500" if r == 5 else "wren_500"}
        for c in range(1, 10)
        for r in range(1, 6)
        if (c, r) not in taken
    ]
    return {
        "name": "Doorway",
        "columns": 9,
        "rows": 5,
        "tile": _WREN,
        "tiles": [_HERON, _KITE],
        "placements": [*tall, *small],
        "support": "stacked",
        "clamp_rows": [3, 5],
        "support_columns": [1, 3, 7, 9],
        "reference": "Jonas Wiek, invented sheet 4",
        "opening_reference": "Jonas Wiek, invented lintel sheet 1",
        "hardware": _HARDWARE | {"base_bar_columns": 3},
        "floor_level": {"to_line_mm": [[612, 609], [603, 610]]},
        "stock": _STOCK,
        "climate": {
            "air_c": 20,
            "humidity_percent": 45,
            "surface": [{"minutes": 0, "surface_c": 4}, {"minutes": 30, "surface_c": 11}],
        },
        "horizontal": {"pressure_n_m2": 120, "reference": "invented engineer's letter 2"},
        **_ELECTRICS,
    }
