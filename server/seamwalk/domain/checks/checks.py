"""Joints -> checks: each thing that must be looked at, and what is expected there."""

from collections.abc import Iterator
from dataclasses import dataclass

from seamwalk.domain.checks.build_order import BuildAct, build_acts
from seamwalk.domain.checks.kinds import KINDS, STRIKE
from seamwalk.domain.wall.grid import PlacedTile
from seamwalk.domain.wall.wall import Edge, Joint, Wall

_CORNERS: tuple[tuple[str, Edge, Edge], ...] = (
    ("bottom_left", "bottom", "left"),
    ("bottom_right", "bottom", "right"),
    ("top_left", "top", "left"),
    ("top_right", "top", "right"),
)


@dataclass(frozen=True)
class Check:
    """One thing that must be looked at, at a place of a wall; `column` and `row` say where to stand."""

    place: str
    kind: str
    expect: str
    tiles: tuple[str, ...]
    column: int
    row: int

    def id(self, wall_key: str) -> str:
        """The check's id in a show: `A/side/3.2/4.2/locks:2`."""
        return f"{wall_key}/{self.place}/{self.kind}:{self.expect}"

    @property
    def walk(self) -> str:
        """The walk that it is looked at in; guards of free edges have one of their own."""
        kind = KINDS[self.kind]
        free = kind.at_free_edge if self.place.startswith(("free/", "corner/")) else None
        return free or kind.walk


def is_strike_check(check_id: str) -> bool:
    """Whether a check is one of taking down, by the kind that its id ends in: not signed for as built."""
    kind = KINDS.get(check_id.rpartition("/")[2].partition(":")[0])
    return kind is not None and kind.walk == STRIKE


def wall_checks(wall: Wall) -> tuple[Check, ...]:
    """Every check of a wall that follows from its plan alone, each exactly once."""
    acts = build_acts(wall)
    return (
        *_tile_checks(wall),
        *_bar_checks(wall),
        *_all_joint_checks(wall),
        *_guard_checks(wall),
        *_act_checks(wall, acts),
        *_strike_checks(wall, acts),
    )


def _tile_checks(wall: Wall) -> Iterator[Check]:
    for tile in wall.tiles:
        for kind, expect in (("condition", "sound"), ("picture", "clean")):
            yield Check(f"tile/{tile.id}", kind, expect, (tile.id,), tile.column, tile.row)


def _bar_checks(wall: Wall) -> Iterator[Check]:
    kinds = (("position", "planned"), ("level", "true"))
    flown = wall.plan.support == "flown"
    before = None
    for bar in wall.bars:
        row = wall.plan.rows if flown else 1
        for kind, expect in (*kinds, *([("hung", "secondary")] if flown else [])):
            yield Check(f"bar/{bar.id}", kind, expect, (), bar.column, row)
        if before is not None and before.last_column == bar.column - 1 and wall.plan.support != "floor":
            yield Check(f"bar/{bar.id}", "joined", before.id, (), bar.column, row)
        before = bar


def _all_joint_checks(wall: Wall) -> Iterator[Check]:
    by_id = wall.by_id()
    for joint in wall.joints:
        yield from _joint_checks(wall, joint, [by_id[tile] for tile in joint.tiles])


def _joint_checks(wall: Wall, joint: Joint, tiles: list[PlacedTile]) -> Iterator[Check]:
    expected = [("edges", "clean")] if joint.kind in ("side", "stack") else []
    locks = _lock_count(joint, tiles)
    expected += [("locks", str(locks)), ("second_look", str(locks))] if locks else []
    expected += [("guard", "in")] if any(tile.type.guards == "edge" for tile in tiles) else []
    angle = _angle(wall, joint, tiles)
    expected += [("angle", angle)] if angle is not None else []
    for kind, expect in expected:
        yield Check(joint.place, kind, expect, joint.tiles, joint.column, joint.row)


def _lock_count(joint: Joint, tiles: list[PlacedTile]) -> int:
    if joint.kind == "side":
        return min(_locks_along(tile, joint, vertical=True) for tile in tiles)
    return min(_locks_along(tile, joint, vertical=False) for tile in tiles)


def _locks_along(tile: PlacedTile, joint: Joint, *, vertical: bool) -> int:
    whole = tile.h if vertical else tile.w
    count = tile.type.locks_side if vertical else tile.type.locks_stack
    positions = tile.type.lock_positions_mm
    at = (positions.side if vertical else positions.stack) if positions else []
    if joint.cells == whole or not at:
        return count
    length_mm = tile.type.height_mm if vertical else tile.type.width_mm
    start = (joint.row - tile.row) if vertical else (joint.column - tile.column)
    cell_mm = length_mm / whole
    return sum(start * cell_mm <= mm < (start + joint.cells) * cell_mm for mm in at)


def _angle(wall: Wall, joint: Joint, tiles: list[PlacedTile]) -> str | None:
    if joint.kind != "side":
        return None
    bend = wall.plan.bends_deg[joint.column - 1] if wall.plan.bends_deg else 0.0
    return f"{bend + 0:g}" if bend or any(tile.type.blocks_side for tile in tiles) else None


def _guard_checks(wall: Wall) -> Iterator[Check]:
    tiles = wall.by_id()
    for edge in wall.free_edges:
        if tiles[edge.tile].type.guards == "edge":
            yield Check(edge.place, "guard", "out", (edge.tile,), edge.column, edge.row)
    free = {(edge.tile, edge.edge, cell) for edge in wall.free_edges for cell in edge.cell_numbers()}
    for tile in wall.tiles:
        if tile.type.guards == "corner":
            for name, *edges in _CORNERS:
                out = all((tile.id, edge, _end_cell(tile, edge, name)) in free for edge in edges)
                place = f"corner/{tile.id}/{name}"
                yield Check(place, "guard", "out" if out else "in", (tile.id,), tile.column, tile.row)


def _end_cell(tile: PlacedTile, edge: Edge, corner: str) -> int:
    if edge in ("left", "right"):
        return tile.h if corner.startswith("top") else 1
    return tile.w if corner.endswith("right") else 1


def _act_checks(wall: Wall, acts: list[BuildAct]) -> Iterator[Check]:
    """What is set or moved beside the tiles, in the order of the build."""
    grid, ballast_kg = wall.by_cell(), wall.plan.hardware.ballast_kg
    for act in acts:
        place = f"{act.act}/{act.place}"
        if act.act == "support":
            yield Check(place, "support", "set", (), act.column, act.row)
            if ballast_kg is not None:
                yield Check(place, "ballast", f"{ballast_kg:g}kg", (), act.column, act.row)
        elif act.act == "clamp":
            yield Check(place, "clamp", "set", (grid[act.column, act.row].id,), act.column, act.row)
        elif act.act == "lift":
            yield Check(place, "lift", "called", (), act.column, act.row)


def _strike_checks(wall: Wall, acts: list[BuildAct]) -> Iterator[Check]:
    grid, by_id = wall.by_cell(), wall.by_id()
    yield Check("feed/all", "dead", "proved", (), 1, 1)
    yield Check("feed/all", "unplugged", "cooled", (), 1, 1)
    kinds = {"support": "unsupported", "clamp": "unclamped", "lift": "lowered", "tile": "struck"}
    expects = {"support": "free", "clamp": "held", "lift": "called", "tile": "cased"}
    for act in acts:
        tiles: tuple[str, ...] = ()
        if act.act == "tile":
            tiles = (by_id[act.place].id,)
        elif act.act == "clamp":
            tiles = (grid[act.column, act.row].id,)
        place = f"{act.act}/{act.place}"
        yield Check(place, kinds[act.act], expects[act.act], tiles, act.column, act.row)
    for bar in wall.bars:
        yield Check(f"bar/{bar.id}", "bar_cased", "clean", (), bar.column, 1)
