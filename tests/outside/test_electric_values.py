"""Currents, conductors and breakers against tables, textbooks and numpy's phasors."""

from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from helpers import PLAN, TILE
from seamwalk.domain.sheet.phases import balance, lines, neutral_a
from seamwalk.domain.sheet.power import OHM_PER_KM_20C, drop_along_v, ohm
from seamwalk.domain.sheet.sheet import build_sheet
from seamwalk.domain.wall.plan import parse_plan

AMPERES = st.floats(0, 200)
_ANGLES = np.deg2rad([0.0, -120.0, 120.0])


def sheet_of(**supply: Any) -> dict[str, Any]:
    tile = TILE | {"power_max_w": 1500, "power_typical_w": 500, "leakage_ma": 3.1}
    plan = PLAN | {"columns": 1, "rows": 1, "tile": tile}
    return build_sheet(parse_plan(plan | {"supply": {"volts": 230, "breaker_a": 16, "pf": 1} | supply}))


# Source: electrician2.com for 50/50/30; the others recomputed with phasors: line currents A -> neutral A.
NEUTRAL = [(50, 50, 30, 20), (50, 50, 50, 0), (50, 0, 0, 50), (50, 50, 0, 50), (30, 20, 10, 17.320508)]
NEUTRAL += [(10, 15, 20, 8.660254), (10, 8, 6, 3.464102)]


@pytest.mark.parametrize(("a", "b", "c", "expected"), NEUTRAL)
def test_neutral_current(a: float, b: float, c: float, expected: float) -> None:
    assert neutral_a((a, b, c)) == pytest.approx(expected, abs=1e-5)


@given(st.tuples(AMPERES, AMPERES, AMPERES))
def test_the_neutral_is_the_sum_of_phasors(line_a: tuple[float, float, float]) -> None:
    """Source: numpy's complex numbers."""
    phasors = np.array(line_a) * np.exp(1j * _ANGLES)
    assert neutral_a(line_a) == pytest.approx(abs(phasors.sum()), abs=1e-4)


@given(st.tuples(AMPERES, AMPERES, AMPERES))
def test_lines_between_circuits_of_two_lines_are_differences_of_phasors(sums: tuple[float, ...]) -> None:
    """Source: numpy's complex numbers; Kirchhoff: I(L1) = I(L1-L2) - I(L3-L1)."""
    ab, bc, ca = np.array(sums) * np.exp(1j * (_ANGLES + np.deg2rad(30)))
    expected = [abs(ab - ca), abs(bc - ab), abs(ca - bc)]
    assert lines((sums[0], sums[1], sums[2]), line_to_line=True) == pytest.approx(expected, abs=1e-6)


def test_a_forums_wrong_sign_is_not_ours() -> None:
    """Source: a stored forum thread prints 15.1 A for 10/8/6, which is the sum with one sign wrong."""
    assert neutral_a((10, 8, 6)) != pytest.approx(15.1, abs=0.1)


def test_three_line_to_line_circuits_load_each_line_with_root_three() -> None:
    """Source: delta loads, I line = sqrt(3) I phase: three of 16 A make 27.7 A."""
    assert lines((16, 16, 16), line_to_line=True) == pytest.approx((27.7128,) * 3, abs=1e-4)
    assert balance([16, 16, 16], line_to_line=True).line_a == pytest.approx((27.7128,) * 3, abs=1e-4)


# Source: P = sqrt(3) V I pf, textbook examples (engineeringtoolbox, scienceaq.com, engineeringdevotion.com):
# W, V between lines, pf -> A in each line.
LINE_CURRENTS = [(13856.406460551, 400, 1, 20), (1500, 230, 0.85, 4.4297), (1500, 400, 0.8, 2.7063)]


@pytest.mark.parametrize(("watts", "volts", "pf", "amperes"), LINE_CURRENTS)
def test_line_current_of_three_like_circuits(watts: float, volts: float, pf: float, amperes: float) -> None:
    tile = TILE | {"power_max_w": watts / 3}
    for_one = watts / 3 / (volts * pf * 0.8) * 1.01
    supply = {"volts": volts, "pf": pf, "connection": "LL", "phases": 3, "breaker_a": for_one}
    plan = PLAN | {"columns": 3, "rows": 1, "tile": tile, "supply": supply}
    lines_a = build_sheet(parse_plan(plan))["power"]["phase_a"]
    assert list(lines_a.values()) == pytest.approx([amperes] * 3, abs=1e-3)


# Source: IEC 60228:2004 Table 3, class 5 plain copper at 20 C, ohm/km (three published pages agree; the
# standard itself was not seen). At 70 C x 1.1965 with 0.00393/K.
IEC_60228 = {1: 19.5, 1.5: 13.3, 2.5: 7.98, 4: 4.95, 6: 3.30, 10: 1.91, 16: 1.21}


def test_conductors() -> None:
    assert OHM_PER_KM_20C == IEC_60228
    for mm2, per_km in IEC_60228.items():
        assert ohm(mm2, 1000) == pytest.approx(per_km * 1.1965)
    assert ohm(3, 10) is None


# Source: 2 I R L with the table above: A, m, mm2 -> V at 20 C.
DROPS_20C = [(16, 25, 2.5, 6.384), (10, 20, 1.5, 5.32)]


@pytest.mark.parametrize(("amperes", "metres", "mm2", "volts"), DROPS_20C)
def test_drop_of_a_single_load(amperes: float, metres: float, mm2: float, volts: float) -> None:
    assert drop_along_v([amperes], ohm(mm2, metres) or 0, 0) == pytest.approx(volts * 1.1965)
    tile_a = 1500 / 230
    sheet = sheet_of(cable_mm2=mm2, cable_m=metres, link_mm2=1.5, link_m=1)
    assert sheet["power"]["drop_v"] == pytest.approx(volts * 1.1965 * tile_a / amperes, abs=1e-3)


def test_drop_along_a_chain_adds_up_link_by_link() -> None:
    """Source: Ohm's law, each link carrying the loads behind it: 2 R (3 + 2 + 1) for three loads of 1 A."""
    assert drop_along_v([1, 1, 1], 0.5, 0.5) == pytest.approx(2 * 0.5 * (3 + 2 + 1))


def test_a_breaker_takes_four_fifths_for_what_runs_on_and_on() -> None:
    """Source: NEC 210.20(A), overcurrent device at least 125 % of the continuous load."""
    supply = {"volts": 230, "breaker_a": 16, "pf": 1}
    sheet = build_sheet(parse_plan(PLAN | {"supply": supply}))
    assert sheet["power"]["circuit_w"] * 1.25 == pytest.approx(230 * 16)


def test_standing_leakage_over_a_third_of_the_rcd_is_said() -> None:
    """Source: BS 7671 531.3.2, standing leakage at most 30 % of the rated residual current: 9 mA of 30 mA."""
    said = [line for line in sheet_of(rcd_ma=10)["warnings"] if "RCD" in line]
    assert said == ["circuit 1: 3.1 mA of protective conductor current is over 30 % of the RCD's 10 mA"]
    assert not [line for line in sheet_of(rcd_ma=30)["warnings"] if "RCD" in line]
