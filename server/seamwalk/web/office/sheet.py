"""A wall's build sheet as a page to print, with its plan view and its cables."""

from dataclasses import dataclass
from typing import Any

from flask import render_template, request

from seamwalk.domain.drawing import wall_map
from seamwalk.domain.sheet import build_sheet
from seamwalk.domain.wall import Wall
from seamwalk.printing.sheet_text import figures, remarks
from seamwalk.store.states import planned_wall
from seamwalk.web.office import office
from seamwalk.web.office.context import area, language
from seamwalk.web.office.drawing import CELL, MARGIN
from seamwalk.web.office.shows import show_book
from seamwalk.web.office.walls import plan_of
from seamwalk.web.services import services

_VIEW_WIDTH = 1000.0


@dataclass(frozen=True)
class CableTile:
    """A tile on the cable map: its number and those of its circuit and port, "" where none is planned."""

    id: str
    x: float
    y: float
    w: float
    h: float
    circuit: str
    port: str


@dataclass(frozen=True)
class CableMap:
    """Tiles with their circuits and ports, and each data run as a line from tile to tile."""

    width: float
    height: float
    tiles: tuple[CableTile, ...]
    lines: tuple[str, ...]


@dataclass(frozen=True)
class PlanView:
    """The wall from above, drawn to scale, the audience below: the columns' outlines and the chord."""

    width: float
    height: float
    bodies: tuple[str, ...]
    chord: tuple[float, float, float, float]


@office.get("/shows/<name>/walls/<wall>/sheet")
@area("shows")
def sheet(name: str, wall: str) -> str:
    """The sheet; its cable map is mirrored for whoever stands behind the wall."""
    with services().store.read() as session:
        book = show_book(session, name)
        plan = plan_of(session, book, wall)
        built = planned_wall(session, plan)
    worked_out = build_sheet(built.plan)
    rear = request.args.get("view") == "rear"
    return render_template(
        "print/sheet.html",
        book=book,
        plan=plan,
        figures=figures(worked_out, language()),
        remarks=remarks(worked_out, language()),
        view=plan_view(worked_out),
        cables=cable_map(built, worked_out, rear=rear),
        rear=rear,
    )


def cable_map(wall: Wall, worked_out: dict[str, Any], *, rear: bool) -> CableMap:
    """Lay out the tiles, from the audience's side or mirrored from the rear."""
    layout = wall_map(wall, ())
    width = layout.columns * CELL
    circuits = [circuit["tiles"] for circuit in (worked_out["power"] or {"circuits": []})["circuits"]]
    runs = (worked_out["data"] or {"runs": []})["runs"]
    circuit_of = {tile: str(i) for i, tiles in enumerate(circuits, start=1) for tile in tiles}
    port_of = {tile: str(i) for i, tiles in enumerate(runs, start=1) for tile in tiles}
    tiles = []
    for box in layout.boxes:
        left = width - (box.x + box.w) * CELL if rear else box.x * CELL
        at = (MARGIN + left, MARGIN + box.y * CELL, box.w * CELL, box.h * CELL)
        tiles.append(CableTile(box.id, *at, circuit_of.get(box.id, ""), port_of.get(box.id, "")))
    middle = {tile.id: f"{tile.x + tile.w / 2:g},{tile.y + tile.h / 2:g}" for tile in tiles}
    lines = tuple(" ".join(middle[tile] for tile in run) for run in runs)
    return CableMap(width + 2 * MARGIN, layout.rows * CELL + 2 * MARGIN, tuple(tiles), lines)


def plan_view(worked_out: dict[str, Any]) -> PlanView:
    """Scale the columns' outlines into the drawing."""
    bodies = worked_out["curve"]["bodies_mm"]
    corners = [corner for body in bodies for corner in body]
    left, right = min(x for x, _ in corners), max(x for x, _ in corners)
    far, near = min(y for _, y in corners), max(y for _, y in corners)
    scale = _VIEW_WIDTH / (right - left)

    def place(point: list[float]) -> tuple[float, float]:
        return MARGIN + (point[0] - left) * scale, MARGIN + (point[1] - far) * scale

    outlines = tuple(" ".join("{:.1f},{:.1f}".format(*place(corner)) for corner in body) for body in bodies)
    points = worked_out["curve"]["points_mm"]
    chord = (*place(points[0]), *place(points[-1]))
    return PlanView(_VIEW_WIDTH + 2 * MARGIN, (near - far) * scale + 2 * MARGIN, outlines, chord)
