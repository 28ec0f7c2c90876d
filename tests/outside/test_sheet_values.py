"""Figures of the sheet against tables, formulas of handbooks and general-purpose libraries."""

import pytest
from shapely.geometry import LineString, Polygon

from helpers import PLAN, TILE
from seamwalk.domain.beam import Strip, reactions_kg
from seamwalk.domain.curve import Corners, curve, overlap_mm
from seamwalk.domain.data import plan_data
from seamwalk.domain.moisture import dew_point_c
from seamwalk.domain.phases import balance, lines, neutral_a
from seamwalk.domain.plan import parse_plan
from seamwalk.domain.plan_model import Signal
from seamwalk.domain.power import drop_along_v, ohm
from seamwalk.domain.sheet import build_sheet
from seamwalk.domain.spares import spares_needed
from seamwalk.domain.statics import turning
from seamwalk.domain.wall import build_wall
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


def bent(count: int, bend: float, pivot: str = "rear", width: float = 500):
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
    second: Corners = tuple((x + shift[0], y + shift[1]) for x, y in first)  # type: ignore[assignment]
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


# Source: electrician2.com for 50/50/30; the others recomputed with phasors: line currents A -> neutral A.
NEUTRAL = [(50, 50, 30, 20), (50, 50, 50, 0), (50, 0, 0, 50), (50, 50, 0, 50), (30, 20, 10, 17.320508)]
NEUTRAL += [(10, 15, 20, 8.660254), (10, 8, 6, 3.464102)]


@pytest.mark.parametrize(("a", "b", "c", "expected"), NEUTRAL)
def test_neutral_current(a: float, b: float, c: float, expected: float) -> None:
    found = neutral_a((a, b, c))
    assert found == pytest.approx(expected, abs=1e-5)
    turn = complex(-0.5, 3**0.5 / 2)
    assert found == pytest.approx(abs(a + b * turn**2 + c * turn), abs=1e-9)


def test_a_forums_wrong_sign_is_not_ours() -> None:
    """Source: a stored forum thread prints 15.1 A for 10/8/6, which is the sum with one sign wrong."""
    assert neutral_a((10, 8, 6)) != pytest.approx(15.1, abs=0.1)


def test_three_line_to_line_circuits_load_each_line_with_root_three() -> None:
    """Source: delta loads, I line = sqrt(3) I phase: three of 16 A make 27.7 A."""
    assert lines((16, 16, 16), line_to_line=True) == pytest.approx((27.7128,) * 3, abs=1e-4)
    assert balance([16, 16, 16], line_to_line=True).line_a == pytest.approx((27.7128,) * 3, abs=1e-4)


# Source: three-moment equation for equal spans under a uniform load (structural handbooks, from memory):
# shares of w L at the points of two, three and four spans.
EQUAL_SPANS = {
    2: [3 / 8, 10 / 8, 3 / 8],
    3: [0.4, 1.1, 1.1, 0.4],
    4: [11 / 28, 32 / 28, 26 / 28, 32 / 28, 11 / 28],
}


@pytest.mark.parametrize("spans", EQUAL_SPANS)
def test_a_bar_over_equal_spans(spans: int) -> None:
    points = [1000.0 * i for i in range(spans + 1)]
    found = reactions_kg(points, [Strip(0, 1000.0 * spans, 100.0 * spans)])
    assert found == pytest.approx([share * 100 for share in EQUAL_SPANS[spans]])


def test_the_middle_of_three_points_takes_five_eighths() -> None:
    """Source: as above, 10/8 of half the load."""
    assert reactions_kg([0, 2000, 4000], [Strip(0, 4000, 80)])[1] == pytest.approx(50)


def test_a_bar_with_overhangs_is_in_equilibrium_and_cut_loads_are_the_same() -> None:
    points, whole = [300.0, 1500.0, 4000.0], Strip(0, 4500, 900)
    found = reactions_kg(points, [whole])
    assert sum(found) == pytest.approx(900)
    assert sum(p * r for p, r in zip(points, found, strict=True)) == pytest.approx(900 * 2250)
    parts = [part for i in range(9) if (part := whole.part(500.0 * i, 500.0 * (i + 1)))]
    assert reactions_kg(points, parts) == pytest.approx(found)
    mirrored = reactions_kg([500.0, 3000.0, 4200.0], [whole])
    assert mirrored == pytest.approx(found[::-1])


# Source: psychrometric tables (from memory): air C, relative humidity % -> dew point C, to a tenth or two.
DEW = [(20, 50, 9.3), (25, 60, 16.7), (30, 80, 26.2), (10, 90, 8.4), (0, 100, 0)]


@pytest.mark.parametrize(("air", "humidity", "dew"), DEW)
def test_dew_point(air: float, humidity: float, dew: float) -> None:
    assert dew_point_c(air, humidity) == pytest.approx(dew, abs=0.15)


@pytest.mark.parametrize("humidity", [0, -1, 101])
def test_a_humidity_that_can_not_be_is_refused(humidity: float) -> None:
    with pytest.raises(ValueError, match="humidity_percent"):
        dew_point_c(20, humidity)


# Source: IEC 60228 class 5 plain copper, voltage drop 2 I R L at 20 C and x 1.1965 at 70 C: three published
# pages agree; A, m, mm2 -> V at 70 C.
def test_drop_of_a_single_load() -> None:
    assert drop_along_v([16], ohm(2.5, 25) or 0, 0) == pytest.approx(7.638456, abs=1e-4)


def test_drop_along_a_chain_adds_up_link_by_link() -> None:
    """Source: Ohm's law, each link carrying the loads behind it: 2 R (3 + 2 + 1) for three loads of 1 A."""
    assert drop_along_v([1, 1, 1], 0.5, 0.5) == pytest.approx(2 * 0.5 * (3 + 2 + 1))


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


def test_a_breaker_takes_four_fifths_for_what_runs_on_and_on() -> None:
    """Source: NEC 210.20(A), overcurrent device at least 125 % of the continuous load."""
    supply = {"volts": 230, "breaker_a": 16, "pf": 1}
    sheet = build_sheet(parse_plan(PLAN | {"supply": supply}))
    assert sheet["power"]["circuit_w"] * 1.25 == pytest.approx(230 * 16)


def test_overturning_of_a_sign_just_held() -> None:
    """Source: a staging firm's published answer, 40 lb sign, 18 in base, 13.2 lb at 6 ft: 65.6 lb more."""
    pound, inch = 0.45359237, 25.4
    found = turning([(40 * pound, 9 * inch), (65.6 * pound, 9 * inch)], 13.2 * pound * 9.80665, 72 * inch)
    assert found.ratio == pytest.approx(1, abs=1e-3)


def test_overturning_of_a_footing() -> None:
    """Source: footing 2 x 1 m under 10 kN with 5 kNm: moment about its edge 10 kNm against 5 kNm, ratio 2."""
    assert turning([(10_000 / 9.80665, 1000)], 5000, 1000).ratio == pytest.approx(2)
