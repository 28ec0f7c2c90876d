"""Figures of the sheet against tables, formulas of handbooks and general-purpose libraries."""

import pytest
from shapely.geometry import LineString, Polygon

from helpers import PLAN, TILE
from seamwalk.domain.sheet.data import plan_data
from seamwalk.domain.sheet.sheet import build_sheet
from seamwalk.domain.sheet.spares import spares_needed
from seamwalk.domain.wall.curve import Corners, Curve, curve, overlap_mm
from seamwalk.domain.wall.plan import parse_plan
from seamwalk.domain.wall.plan_model import Signal
from seamwalk.domain.wall.wall import build_wall
from seamwalk.errors import PlanError

# Source: regular polygon relations, CRC Standard Mathematical Tables 30th ed.; chains recomputed by a turtle
# walk and shapely 2.2.0: tiles, width mm, bend deg -> chord, depth, radius (circumradius), mm.
CHAINS = [
    (2, 500, 5, 999.0482215818578, 21.809693682667998, 5731.396406513337),
    (3, 500, 5, 1496.1946980917455, 43.57787137382908, 5731.396406513337),
    (4, 500, 5, 1990.4930829556683, 87.07278979269377, 5731.396406513337),
    (10, 500, 5, 4844.385573335115, 536.9872126964267, 5731.396406513337),
    (20, 500, 5, 8781.008737043243, 2047.3258102046073, 5731.396406513337),
    (36, 500, 5, 11462.79281302668, 5731.396406513334, 5731.396406513337),
]


def bent(count: int, bend: float, pivot: str = "rear", width: float = 500) -> Curve:
    tile = TILE | {"max_bend_deg": 90, "width_mm": width, "bend_pivot": pivot}
    plan = PLAN | {"columns": count, "rows": 1, "tile": tile, "bends_deg": [bend] * (count - 1)}
    return curve(build_wall(parse_plan(plan)))


@pytest.mark.parametrize(("count", "width", "bend", "chord", "depth", "radius"), CHAINS)
def test_regular_chains(
    count: int, width: float, bend: float, chord: float, depth: float, radius: float
) -> None:
    found = bent(count, bend, width=width)
    assert found.chord_mm == pytest.approx(chord, abs=1e-6)
    assert found.depth_mm == pytest.approx(depth, abs=1e-6)
    assert found.radius_mm == pytest.approx(radius, abs=1e-6)
    assert found.turn_deg == pytest.approx((count - 1) * bend)
    mirrored = bent(count, -bend, width=width)
    assert mirrored.chord_mm == pytest.approx(chord, abs=1e-6)
    assert [y for _, y in mirrored.points_mm] == pytest.approx([-y for _, y in found.points_mm], abs=1e-6)


def test_72_tiles_at_5_degrees_close() -> None:
    """Source: 72 x 5 degrees is a full turn; across flats twice the apothem w / (2 tan(t/2))."""
    found = bent(72, 5)
    assert found.chord_mm == pytest.approx(0, abs=1e-6)
    assert found.depth_mm == pytest.approx(2 * 5725.9413871078, abs=1e-6)


@pytest.mark.parametrize("pivot", ["front", "rear"])
@pytest.mark.parametrize("bend", [-7.5, -2, 0, 3, 11])
def test_the_chain_is_what_shapely_measures(pivot: str, bend: float) -> None:
    found = bent(9, bend, pivot)
    line = LineString(found.points_mm)
    assert line.length == pytest.approx(9 * 500)
    ends = [found.points_mm[0], found.points_mm[-1]]
    assert LineString(ends).length == pytest.approx(found.chord_mm)
    assert found.points_mm[-1][1] == pytest.approx(0, abs=1e-6)
    west, south, east, north = LineString([c for body in found.bodies for c in body]).bounds
    assert found.extent_mm() == pytest.approx((east - west, north - south))
    assert all(Polygon(body).area == pytest.approx(500 * TILE["depth_mm"]) for body in found.bodies)
    towards = sum(y for body in found.bodies for _, y in body[2:]) > sum(
        y for b in found.bodies for _, y in b[:2]
    )
    assert towards == (pivot == "rear")


def test_a_wall_that_runs_into_itself_is_refused() -> None:
    with pytest.raises(PlanError, match="bends_deg: columns 1 and 4 run into each other"):
        bent(6, 90)
    bent(4, 90)


@pytest.mark.parametrize("shift", [(0, 0), (200, 30), (501, 0), (0, 79), (0, 81), (490, 70)])
def test_overlap_agrees_with_shapely(shift: tuple[float, float]) -> None:
    first: Corners = ((0, 0), (500, 0), (500, 80), (0, 80))
    x, y = shift
    second: Corners = ((x, y), (x + 500, y), (x + 500, y + 80), (x, y + 80))
    assert (overlap_mm(first, second) > 0) == (Polygon(first).intersection(Polygon(second)).area > 0)


# Source: Poisson CDF by scipy 1.17.1: mean, confidence -> smallest k with P(N <= k) >= confidence.
POISSON = [
    (3, 0.9, 5),
    (3, 0.95, 6),
    (3, 0.99, 8),
    (1, 0.95, 3),
    (0.5, 0.95, 2),
    (0, 0.95, 0),
    (10, 0.95, 15),
]
POISSON += [(0.05, 0.95, 0), (2.5, 0.98, 6), (4.8, 0.95, 9)]


@pytest.mark.parametrize(("mean", "confidence", "count"), POISSON)
def test_spares(mean: float, confidence: float, count: int) -> None:
    assert spares_needed(100, mean / 100, 1, confidence) == count
    assert spares_needed(100, mean / 1000, 10, confidence, minimum=count + 2) == count + 2


def test_a_port_of_full_hd_at_60_frames_carries_full_hd() -> None:
    """Source: 1920 x 1080 x 24 x 60 = 2,985,984,000 bit/s."""
    signal = Signal(port_mbps=2985.984, efficiency=1, bits=8, fps=60)
    assert plan_data(build_wall(parse_plan(PLAN)), signal).port_px == 1920 * 1080


def test_heat_and_viewing_distance() -> None:
    """Source: 1 W = 3.412142 BTU(IT)/h (scipy); 1 / tan(1 arc minute) = 3437.747, 2.5 mm -> 8.594 m."""
    tile = TILE | {"px_w": 200, "px_h": 200, "power_max_w": 100}
    supply = {"volts": 230, "breaker_a": 16, "pf": 1}
    sheet = build_sheet(parse_plan(PLAN | {"tile": tile, "supply": supply}))
    assert sheet["power"]["heat_btu_h"] == pytest.approx(6 * 341.2142, abs=1e-3)
    assert sheet["viewing_m"] == pytest.approx(8.594, abs=1e-3)
