"""Counting what a wall is made of: joints, locks, angle pieces, clamps, supports, bars, cases."""

from collections import Counter
from dataclasses import dataclass
from math import ceil

from seamwalk.domain.checks.checks import Check
from seamwalk.domain.wall.wall import Wall


@dataclass(frozen=True)
class Hardware:
    """Counts; `angle_pieces` by their angle in degrees, `cases` and `tiles` by tile type."""

    joints: dict[str, int]
    locks: int
    angle_pieces: dict[str, int]
    clamps: int
    supports: int
    base_bars: int
    tiles: dict[str, int]
    cases: dict[str, int]


def count_hardware(wall: Wall, checks: tuple[Check, ...]) -> Hardware:
    """Count a wall's parts, from the same checks that people walk."""
    kinds = Counter(check.kind for check in checks)
    tiles = Counter(tile.type.key for tile in wall.tiles)
    types = wall.plan.tile_types()
    joints = Counter(joint.kind for joint in wall.joints)
    return Hardware(
        joints={kind: joints[kind] for kind in ("side", "stack", "base", "hang")},
        locks=sum(int(check.expect) for check in checks if check.kind == "locks"),
        angle_pieces=_angle_pieces(wall, checks),
        clamps=kinds["clamp"],
        supports=kinds["support"],
        base_bars=len(wall.bars),
        tiles=dict(sorted(tiles.items())),
        cases={key: ceil(count / types[key].tiles_per_case) for key, count in sorted(tiles.items())},
    )


def _angle_pieces(wall: Wall, checks: tuple[Check, ...]) -> dict[str, int]:
    """As many at a side joint as the tile with fewer of them takes."""
    by_id = wall.by_id()
    found: Counter[str] = Counter()
    for check in checks:
        if check.kind == "angle":
            found[check.expect] += min(by_id[tile].type.blocks_side for tile in check.tiles)
    return {angle: count for angle, count in sorted(found.items(), key=lambda item: float(item[0])) if count}
