"""Bars, footings and moments against handbook tables and worked examples."""

from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import LineString, MultiPoint, Point, Polygon

from helpers import PLAN, TILE
from seamwalk.domain.sheet.beam import Strip, reactions_kg
from seamwalk.domain.sheet.floor import edge_pressure_kpa
from seamwalk.domain.sheet.sheet import build_sheet
from seamwalk.domain.sheet.statics import G_N_PER_KG, convex_hull, overturning
from seamwalk.domain.wall.plan import parse_plan

# Source: Civil Engineering Formulas (Hicks), Table 2.1, uniformly loaded continuous beams over equal spans:
# the shares of w L at the first half of the supports, by the number of supports.
EQUAL_SPANS = {
    2: [1 / 2],
    3: [3 / 8, 10 / 8],
    4: [4 / 10, 11 / 10],
    5: [11 / 28, 32 / 28, 26 / 28],
    6: [15 / 38, 43 / 38, 37 / 38],
    7: [41 / 104, 118 / 104, 100 / 104, 106 / 104],
    8: [56 / 142, 161 / 142, 137 / 142, 143 / 142],
}


@pytest.mark.parametrize("supports", EQUAL_SPANS)
def test_a_bar_over_equal_spans(supports: int) -> None:
    points = [1000.0 * i for i in range(supports)]
    found = reactions_kg(points, [Strip(0, points[-1], 100.0 * (supports - 1))])
    shares = [share * 100 for share in EQUAL_SPANS[supports]]
    assert found[: len(shares)] == pytest.approx(shares)
    assert found[::-1] == pytest.approx(found)


def test_the_middle_of_three_points_takes_five_eighths() -> None:
    """Source: as above, 10/8 of half the load."""
    assert reactions_kg([0, 2000, 4000], [Strip(0, 4000, 80)])[1] == pytest.approx(50)


def test_a_point_beside_an_empty_span_would_be_lifted() -> None:
    """Source: piping-designer.com, three equal spans, load on two at one side: .383, 1.2, .45, -.033 w L."""
    found = reactions_kg([0, 1000, 2000, 3000], [Strip(0, 2000, 200)])
    assert found == pytest.approx([38.3, 120.0, 45.0, -3.3], abs=0.05)


def test_overhangs_that_make_three_supports_share_alike() -> None:
    """Source: mathalino.com, three-moment equation: 300 N/m over supports 3 m apart, overhangs of 1.319 m."""
    over = 1319.0
    found = reactions_kg(
        [over, over + 3000, over + 6000], [Strip(0, 6000 + 2 * over, 0.3 * (6000 + 2 * over))]
    )
    assert found == pytest.approx([863.8] * 3, abs=0.5)


def test_a_bar_with_overhangs_is_in_equilibrium_and_cut_loads_are_the_same() -> None:
    points, whole = [300.0, 1500.0, 4000.0], Strip(0, 4500, 900)
    found = reactions_kg(points, [whole])
    assert sum(found) == pytest.approx(900)
    assert sum(p * r for p, r in zip(points, found, strict=True)) == pytest.approx(900 * 2250)
    parts = [part for i in range(9) if (part := whole.part(500.0 * i, 500.0 * (i + 1)))]
    assert reactions_kg(points, parts) == pytest.approx(found)
    mirrored = reactions_kg([500.0, 3000.0, 4200.0], [whole])
    assert mirrored == pytest.approx(found[::-1])


# Source: bearing pressure q = P/A (1 +- 6e/B), kern B/6, beyond it contact over 3 (B/2 - e), as published in
# engineering licence papers; numbers computed for a footing 2 x 1 m: kN, kNm -> largest pressure, kPa.
FOOTING = [(10, 0, 5), (10, 2, 8), (10, 10 / 3, 10), (10, 5, 40 / 3), (10, 10, None)]


@pytest.mark.parametrize(("force", "moment", "pressure"), FOOTING)
def test_pressure_under_a_footing(force: float, moment: float, pressure: float | None) -> None:
    assert edge_pressure_kpa(force, moment, 2, 1) == (pressure and pytest.approx(pressure))


def test_overturning_of_a_sign_just_held() -> None:
    """Source: a staging firm's published answer, 40 lb sign, 18 in base, 13.2 lb at 6 ft: 65.6 lb more."""
    pound, inch = 0.45359237, 25.4
    found = overturning([(40 * pound, 9 * inch), (65.6 * pound, 9 * inch)], 13.2 * pound * 9.80665, 72 * inch)
    assert found.ratio == pytest.approx(1, abs=1e-3)


def test_overturning_of_a_footing() -> None:
    """Source: footing 2 x 1 m under 10 kN with 5 kNm: moment about its edge 10 kNm against 5 kNm, ratio 2."""
    assert overturning([(10_000 / 9.80665, 1000)], 5000, 1000).ratio == pytest.approx(2)


COORDINATE = st.integers(-4000, 4000)


@given(st.lists(st.tuples(COORDINATE, COORDINATE), min_size=4, max_size=40))
def test_the_hull_is_shapelys(points: list[tuple[float, float]]) -> None:
    """Source: shapely."""
    expected = MultiPoint(points).convex_hull
    if expected.geom_type == "Polygon":
        assert Polygon(convex_hull(points)).equals(expected)


@settings(max_examples=50)
@given(
    st.lists(st.sampled_from([-10, -5, 0, 5, 10]), min_size=1, max_size=7), st.sampled_from(["front", "rear"])
)
def test_a_bent_wall_on_its_footprint(bends: list[float], pivot: str) -> None:
    """Source: shapely's hull and distances of the published outlines, with the moments of statics."""
    tile = TILE | {"max_bend_deg": 10, "bend_pivot": pivot}
    fields: dict[str, Any] = {"columns": len(bends) + 1, "rows": 1, "bends_deg": bends, "tile": tile}
    horizontal = {"pressure_n_m2": 100, "reference": "letter"}
    sheet = build_sheet(parse_plan(PLAN | fields | {"horizontal": horizontal}))
    bodies = [Polygon(body) for body in sheet["curve"]["bodies_mm"]]
    corners = [corner for body in bodies for corner in body.exterior.coords]
    ring = MultiPoint(corners).convex_hull.exterior.normalize().coords[::-1]
    (told,) = sheet["statics"]
    ratios: dict[bool, list[float]] = {True: [], False: []}
    for (x1, y1), (x2, y2) in pairwise(ring):
        edge = LineString([(x1, y1), (x2, y2)])
        across = (x1 - x2) / edge.length
        if abs(across) > 1e-3:
            axis = LineString(
                [(x1 - 9 * (x2 - x1), y1 - 9 * (y2 - y1)), (x2 + 9 * (x2 - x1), y2 + 9 * (y2 - y1))]
            )
            held = sum(8 * G_N_PER_KG * axis.distance(Point(body.centroid)) for body in bodies) / 1000
            ratios[across > 0].append(held / (told["force_n"] * abs(across) * 0.25))
    assert told["to_audience"]["ratio"] == pytest.approx(min(ratios[True]), abs=0.02, rel=0.01)
    assert told["from_audience"]["ratio"] == pytest.approx(min(ratios[False]), abs=0.02, rel=0.01)
