"""Circuits under a breaker, their phases, and the voltage drop along their cables.

Circuit watts = volts x breaker x continuous factor x pf, on the tiles' maximum, never on typical watts, and
never over a tile's maximum through-current. Current = watts / (volts x pf), single-phase. Conductors:
IEC 60228 class 5 plain copper at 20 C, taken at 70 C with 0.00393/K. 1 W = 3.412142 BTU(IT)/h.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from seamwalk.domain.sheet.phases import Balance, balance
from seamwalk.domain.sheet.runs import Run, cable_paths, cut_into_runs
from seamwalk.domain.wall.grid import PlacedTile
from seamwalk.domain.wall.plan_model import Supply
from seamwalk.domain.wall.wall import Wall
from seamwalk.errors import PlanError, Problem

BTU_H_PER_W = 3.412142
RCD_SHARE = 0.3
OHM_PER_KM_20C = {1: 19.5, 1.5: 13.3, 2.5: 7.98, 4: 4.95, 6: 3.30, 10: 1.91, 16: 1.21}
_WARM = 1 + 0.00393 * (70 - 20)


@dataclass(frozen=True)
class Circuit:
    """One breaker's tiles in the order of the cable, their maximum load, and their phase.

    `leakage_ma` is the sum of the tiles' protective conductor currents, `drop_v` the voltage drop at the last
    tile; `place` is the phase as in `Balance.places`. None where a field of the plan is missing.
    """

    tiles: Run
    max_w: float
    amperes: float
    inrush_a: float | None
    leakage_ma: float | None
    drop_v: float | None
    place: int


@dataclass(frozen=True)
class Power:
    """The wall's supply; a figure is None where a field that it needs is missing, named in `missing`.

    `circuit_w` is the capacity of one circuit, `drop_v` the largest of all circuits; inrush and protective
    conductor current are those of all tiles at once.
    """

    max_w: float
    typical_w: float
    circuit_w: float
    circuits: tuple[Circuit, ...]
    phases: Balance | None
    drop_v: float | None
    inrush_a: float | None
    leakage_ma: float | None
    heat_btu_h: float
    missing: tuple[str, ...]


def plan_power(wall: Wall, supply: Supply) -> Power:
    """Cut a wall into circuits along its cable paths, each as long as the breaker and the tiles allow.

    Phases are assigned on a three-phase supply. Raise PlanError when one tile alone exceeds the breaker.
    """
    limit_w = supply.volts * supply.breaker_a * supply.continuous_factor * supply.pf
    _refuse_too_small(wall, supply, limit_w)
    runs = cut_into_runs(cable_paths(wall), lambda run: _fits(run, supply, limit_w))
    amperes = [_watts(run) / (supply.volts * supply.pf) for run in runs]
    phases = balance(amperes, line_to_line=supply.connection == "LL") if supply.phases == 3 else None
    places = phases.places if phases else [0] * len(runs)
    copper, missing = _copper(supply)
    circuits = tuple(
        Circuit(
            run,
            _watts(run),
            a,
            _sum(run, "inrush_a"),
            _sum(run, "leakage_ma"),
            copper and _drop_v(run, supply, copper),
            place,
        )
        for run, a, place in zip(runs, amperes, places, strict=True)
    )
    max_w = sum(tile.type.power_max_w for tile in wall.tiles)
    drops = [circuit.drop_v for circuit in circuits if circuit.drop_v is not None]
    drop = max(drops, default=None)
    inrush = _sum(wall.tiles, "inrush_a")
    leakage = _sum(wall.tiles, "leakage_ma")
    missing += ["tile.inrush_a"] * (inrush is None) + ["tile.leakage_ma"] * (leakage is None)
    typical = sum(tile.type.power_typical_w for tile in wall.tiles)
    heat = max_w * BTU_H_PER_W
    return Power(max_w, typical, limit_w, circuits, phases, drop, inrush, leakage, heat, tuple(missing))


def _watts(run: Sequence[PlacedTile]) -> float:
    return sum(tile.type.power_max_w for tile in run)


def _fits(run: Sequence[PlacedTile], supply: Supply, limit_w: float) -> bool:
    """Whether a run stays under the breaker and under the least maximum through-current of its tiles."""
    watts = _watts(run)
    if watts > limit_w:
        return False
    amperes = watts / (supply.volts * supply.pf)
    chains = [tile.type.chain_max_a for tile in run if tile.type.chain_max_a is not None]
    return not chains or amperes <= min(chains)


def _refuse_too_small(wall: Wall, supply: Supply, limit_w: float) -> None:
    for tile in wall.tiles:
        if tile.type.power_max_w > limit_w:
            watts = f"one {tile.type.key} takes {tile.type.power_max_w:g}"
            message = f"{supply.breaker_a:g} carries {limit_w:.0f} W, {watts}"
            raise PlanError((Problem("supply.breaker_a", message, "Use a larger breaker, or other tiles."),))


def _sum(tiles: Sequence[PlacedTile], field: str) -> float | None:
    values = [getattr(tile.type, field) for tile in tiles]
    return None if None in values else float(sum(values))


def ohm(mm2: float, metres: float) -> float | None:
    """The resistance of one conductor, ohm at 70 C; None for a cross-section that is not in the table."""
    per_km = OHM_PER_KM_20C.get(mm2)
    return None if per_km is None else per_km * _WARM * metres / 1000


def drop_along_v(loads_a: Sequence[float], feed_ohm: float, link_ohm: float) -> float:
    """The voltage drop at the last of a chain's loads (A), out and back.

    2 (R_feed sum(I_1..n) + R_link sum over k > 1 of sum(I_k..n)): each link carries all loads behind it.
    Resistance alone, all currents in phase.
    """
    behind = sum(loads_a)
    drop = 2 * feed_ohm * behind
    for load in loads_a[:-1]:
        behind -= load
        drop += 2 * link_ohm * behind
    return drop


def _copper(supply: Supply) -> tuple[tuple[float, float] | None, list[str]]:
    """The resistances of the feed and of one link, ohm, or the fields that are missing."""
    fields = ("cable_mm2", "cable_m", "link_mm2", "link_m")
    missing = [f"supply.{field}" for field in fields if getattr(supply, field) is None]
    if missing:
        return None, missing
    feed = ohm(supply.cable_mm2 or 0, supply.cable_m or 0)
    link = ohm(supply.link_mm2 or 0, supply.link_m or 0)
    if feed is None or link is None:
        return None, [f"supply.{'cable' if feed is None else 'link'}_mm2 (one of {list(OHM_PER_KM_20C)})"]
    return (feed, link), []


def _drop_v(run: Run, supply: Supply, copper: tuple[float, float]) -> float:
    return drop_along_v([t.type.power_max_w / (supply.volts * supply.pf) for t in run], *copper)
