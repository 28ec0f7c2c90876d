"""What feeds each tile: its circuit, phase and port, and the tile before it on either cable."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

LINES = ("L1", "L2", "L3")
PAIRS = ("L1-L2", "L2-L3", "L3-L1")


@dataclass(frozen=True)
class TileCables:
    """One tile's cables. Numbers count from 1; None where nothing is planned, or the feed itself comes first.

    `behind` are the tiles that go dark on the circuit when this one's outgoing power link is pulled.
    """

    circuit: int | None = None
    phase: str | None = None
    power_from: str | None = None
    behind: int = 0
    port: int | None = None
    backup_port: int | None = None
    data_from: str | None = None


def tile_cables(sheet: dict[str, Any]) -> dict[str, TileCables]:
    """Read every tile's cables off a build sheet."""
    power, data = sheet["power"] or {"circuits": []}, sheet["data"] or {"runs": []}
    found: dict[str, dict[str, Any]] = {}
    for number, circuit in enumerate(power["circuits"], start=1):
        tiles = circuit["tiles"]
        for place, (before, tile) in enumerate(_steps(tiles), start=1):
            own = {"circuit": number, "phase": circuit["line"], "power_from": before}
            found[tile] = own | {"behind": len(tiles) - place}
    for number, run in enumerate(data["runs"], start=1):
        backup = data["backup_ports"][number - 1] if data["backup_ports"] else None
        for before, tile in _steps(run):
            own = {"port": number, "backup_port": backup, "data_from": before}
            found[tile] = found.get(tile, {}) | own
    return {tile: TileCables(**own) for tile, own in found.items()}


def _steps(tiles: Sequence[str]) -> list[tuple[str | None, str]]:
    return list(zip([None, *tiles[:-1]], tiles, strict=True))
