"""The frozen checks file: everything a phone needs of a plan, made once and named by its hash."""

import json
from collections.abc import Iterator, Mapping
from itertools import islice, zip_longest
from typing import Any

from seamwalk.domain.checks.affected import affected_checks
from seamwalk.domain.checks.cable_checks import cable_checks
from seamwalk.domain.checks.checks import Check, wall_checks
from seamwalk.domain.checks.file import (
    ChecksFile,
    FrozenCables,
    FrozenCheck,
    FrozenCircuit,
    FrozenKind,
    FrozenPlace,
    FrozenStop,
    FrozenTile,
    FrozenTileType,
    FrozenWalk,
    FrozenWindLimit,
)
from seamwalk.domain.checks.kinds import KINDS, STRIKE
from seamwalk.domain.checks.order import resting, turns
from seamwalk.domain.checks.walks import Stop, Walk, plan_walks
from seamwalk.domain.sheet import parts
from seamwalk.domain.sheet.data import plan_data
from seamwalk.domain.sheet.power import plan_power
from seamwalk.domain.wall.plan_model import Plan, TileType
from seamwalk.domain.wall.wall import Wall, build_wall

_MOST_POINTS = 40


def canonical_json(value: Any) -> bytes:
    """Write JSON in the one form that is hashed: sorted keys, no spaces, UTF-8."""
    return json.dumps(value, sort_keys=True, separators=(",", ":"), ensure_ascii=False).encode()


def checks_file(wall_key: str, plan: Plan) -> bytes:
    """Make a plan's frozen checks file; raise PlanError when the wall cannot be built."""
    wall = build_wall(plan)
    checks = plan_checks(wall)
    position = {check: index for index, check in enumerate(checks)}
    file: ChecksFile = {
        "v": 2,
        "wall": wall_key,
        "title": plan.name,
        "columns": plan.columns,
        "rows": plan.rows,
        "bends_deg": plan.bends_deg or [0] * (plan.columns - 1),
        "support": plan.support,
        "tiles": [_tile(wall, index) for index in range(len(wall.tiles))],
        "checks": [_check(wall_key, check) for check in checks],
        "kinds": _kinds(),
        "walks": [_walk(walk, position) for walk in plan_walks(wall, checks)],
        "touches": affected_checks(checks),
        "turns": turns(wall, checks),
        "rests": resting(wall, checks),
        "cables": _cables(wall),
        "types": {key: _type(tile) for key, tile in plan.tile_types().items()},
        "limits": _limits(plan),
        "wind": _wind(plan),
        "warnings": list(wall.warnings),
    }
    return canonical_json(file)


def read_checks(file: ChecksFile) -> list[Check]:
    """The checks of a frozen file but those of taking down, as they were planned then."""
    at = {
        index: place
        for walk in file["walks"]
        if walk["key"] != STRIKE
        for stop in walk["stops"]
        for place, indexes in _places(stop)
        for index in indexes
    }
    return [_read_check(check, at[index]) for index, check in enumerate(file["checks"]) if index in at]


def read_walk(file: ChecksFile, key: str) -> list[list[tuple[str, list[Check]]]]:
    """The stops of one walk of a frozen file in their order: the places of each with their checks."""
    return [
        [
            (place["place"], [_read_check(file["checks"][index], place) for index in indexes])
            for place, indexes in _places(stop)
        ]
        for walk in file["walks"]
        if walk["key"] == key
        for stop in walk["stops"]
    ]


def _places(stop: FrozenStop) -> Iterator[tuple[FrozenPlace, list[int]]]:
    """The places of a stop with the positions of their checks; in older files a stop is one place."""
    checks = iter(stop["checks"])
    for place in stop.get("places", [_whole(stop)]):
        yield place, list(islice(checks, place["count"]))


def _whole(stop: FrozenStop) -> FrozenPlace:
    return {
        "place": stop["place"],
        "column": stop["column"],
        "row": stop["row"],
        "count": len(stop["checks"]),
    }


def _read_check(check: FrozenCheck, place: FrozenPlace) -> Check:
    kind, expect, tiles = check["kind"], check["expect"], tuple(check["tiles"])
    return Check(place["place"], kind, expect, tiles, place["column"], place["row"])


def _walk(walk: Walk, position: Mapping[Check, int]) -> FrozenWalk:
    return {"key": walk.key, "stops": [_stop(stop, position) for stop in walk.stops]}


def _stop(stop: Stop, position: Mapping[Check, int]) -> FrozenStop:
    frozen: FrozenStop = {
        "place": stop.place,
        "column": stop.column,
        "row": stop.row,
        "checks": [position[check] for check in stop.checks],
    }
    places: list[FrozenPlace] = [
        {"place": here[0].place, "column": here[0].column, "row": here[0].row, "count": len(here)}
        for here in stop.places()
    ]
    return frozen if places == [_whole(frozen)] else {**frozen, "places": places}


def _tile(wall: Wall, index: int) -> FrozenTile:
    tile = wall.tiles[index]
    return {
        "id": tile.id,
        "column": tile.column,
        "row": tile.row,
        "w": tile.w,
        "h": tile.h,
        "type": tile.type.key,
    }


def _cables(wall: Wall) -> FrozenCables:
    """Circuits and data runs, tiles by their position, so that a phone can say what feeds a tile."""
    plan = wall.plan
    at = {tile.id: index for index, tile in enumerate(wall.tiles)}
    power = parts.power(plan_power(wall, plan.supply), plan.supply) if plan.supply else {"circuits": []}
    data = parts.data(plan_data(wall, plan.signal)) if plan.signal else {"runs": [], "backup_ports": None}
    circuits: list[FrozenCircuit] = [
        {"line": circuit["line"], "tiles": [at[tile] for tile in circuit["tiles"]]}
        for circuit in power["circuits"]
    ]
    runs = [[at[tile] for tile in run] for run in data["runs"]]
    return {"circuits": circuits, "runs": runs, "backup_ports": data["backup_ports"]}


def plan_checks(wall: Wall) -> tuple[Check, ...]:
    """Every check of a planned wall, those of its cables too."""
    cables = _cables(wall)
    circuits = [[wall.tiles[index].id for index in circuit["tiles"]] for circuit in cables["circuits"]]
    runs = [[wall.tiles[index].id for index in run] for run in cables["runs"]]
    backup = cables["backup_ports"] is not None
    return (*wall_checks(wall), *cable_checks(wall, circuits, runs, backup=backup))


def _type(tile: TileType) -> FrozenTileType:
    """What procedures ask of a tile type: its features, its modules, the maker's tolerances."""
    return {
        "features": sorted(name for name, has in tile.features if has),
        "modules": {"columns": tile.modules.columns, "rows": tile.modules.rows},
        "pixels": {"width": tile.px_w, "height": tile.px_h},
        "limits": {"gap_mm": tile.gap_max_mm, "flush_mm": tile.flush_max_mm},
        "tiles_per_case": tile.tiles_per_case,
    }


def _limits(plan: Plan) -> dict[str, float | None]:
    """What readings of the whole wall are held against; None where nobody has said."""
    accepted, wind = plan.acceptance, _wind(plan)
    return {
        "dead_pixels": accepted.dead_pixels_max if accepted else None,
        "soak_minutes": accepted.soak_minutes if accepted else None,
        "surface_c": accepted.surface_max_c if accepted else None,
        "ballast_kg": plan.hardware.ballast_kg,
        "level_mm": plan.hardware.level_max_mm,
        "wind_m_s": wind[0]["gust_m_s"] if wind else None,
        **_point_limits(plan),
    }


def _point_limits(plan: Plan) -> dict[str, float | None]:
    """What each hanging point may carry, by its number from the audience's left.

    None of them where there are more than one entry holds readings for: they are not asked one by one then.
    """
    if plan.hang is None or len(plan.hang.points_mm) > _MOST_POINTS:
        return {}
    rated = plan.hang.rated_kg or ()
    points = zip_longest(plan.hang.points_mm, rated)
    return {f"point_kg_{number}": kg for number, (_, kg) in enumerate(points, 1)}


def _wind(plan: Plan) -> list[FrozenWindLimit]:
    limits = plan.wind.limits if plan.wind else []
    return [{"gust_m_s": limit.gust_m_s, "action": limit.action} for limit in limits]


def _check(wall_key: str, check: Check) -> FrozenCheck:
    return {
        "id": check.id(wall_key),
        "kind": check.kind,
        "expect": check.expect,
        "tiles": list(check.tiles),
    }


def _kinds() -> dict[str, FrozenKind]:
    """What holds of every check of a kind; of all kinds, since checks of older plans are asked about."""
    return {
        key: {
            "procedure": kind.procedure,
            "structural": kind.structural,
            "duty": kind.duty,
            "statement": kind.statement,
            "always": kind.always,
            "elsewhere": dict(kind.elsewhere),
        }
        for key, kind in KINDS.items()
    }
