"""Picture data: how many tiles one port feeds, and runs that keep to neighbours.

port_px = floor(port_mbps x 1e6 x efficiency / (3 colours x bits x fps)).
"""

from dataclasses import dataclass
from math import floor

from seamwalk.domain.sheet.runs import Run, cable_paths, cut_into_runs
from seamwalk.domain.wall.plan_model import Signal
from seamwalk.domain.wall.wall import Wall
from seamwalk.errors import PlanError, Problem

COLOURS = 3


@dataclass(frozen=True)
class Data:
    """The pixel capacity of a port, the runs, and the ports: two a run with a redundant loop, else one."""

    port_px: int
    runs: tuple[Run, ...]
    ports: int


def plan_data(wall: Wall, signal: Signal) -> Data:
    """Cut a wall into data runs along its cable paths, each of at most `port_px` pixels.

    Raise PlanError when one tile alone has more pixels than a port carries.
    """
    port_px = floor(signal.port_mbps * 1e6 * signal.efficiency / (COLOURS * signal.bits * signal.fps))
    for tile in wall.tiles:
        pixels = tile.type.px_w * tile.type.px_h
        if pixels > port_px:
            message = f"{signal.port_mbps:g} carries {port_px} pixels, one {tile.type.key} has {pixels}"
            raise PlanError(
                (Problem("signal.port_mbps", message, "Use a faster port, or fewer bits or frames."),)
            )
    runs = cut_into_runs(
        cable_paths(wall), lambda run: sum(t.type.px_w * t.type.px_h for t in run) <= port_px
    )
    return Data(port_px, tuple(runs), len(runs) * (2 if signal.loop else 1))
