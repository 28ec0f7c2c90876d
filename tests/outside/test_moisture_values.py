"""Dew points against a published table of vapour pressures, a chart and a reference library."""

from itertools import combinations_with_replacement

import pytest

from seamwalk.domain.sheet.moisture import dew_point_c

# Source: table of the vapour pressure of water (Wikipedia, "Vapour pressure of water"): C -> kPa.
PRESSURES_KPA = {
    0: 0.6113,
    5: 0.8726,
    10: 1.2281,
    15: 1.7056,
    20: 2.3388,
    25: 3.1690,
    30: 4.2455,
    35: 5.6267,
    40: 7.3814,
}


@pytest.mark.parametrize(("dew", "air"), list(combinations_with_replacement(PRESSURES_KPA, 2)))
def test_air_that_holds_as_much_as_colder_air_can(dew: int, air: int) -> None:
    humidity = 100 * PRESSURES_KPA[dew] / PRESSURES_KPA[air]
    assert dew_point_c(air, humidity) == pytest.approx(dew, abs=0.05)


# Source: a published dew point chart for coating work (handypdf.com), whole degrees Fahrenheit, at 70 F; its
# rows below 50 % are left out: they are over a degree beside the table above.
CHART_F = {90: 67, 85: 65, 80: 63, 75: 62, 70: 60, 65: 57, 60: 55, 55: 53, 50: 50}


@pytest.mark.parametrize(("humidity", "dew_f"), CHART_F.items())
def test_a_chart_of_whole_degrees(humidity: float, dew_f: float) -> None:
    assert dew_point_c((70 - 32) / 1.8, humidity) * 1.8 + 32 == pytest.approx(dew_f, abs=1)


def test_dew_point_as_a_weather_library_has_it() -> None:
    """Source: MetPy's documentation: dewpoint_from_relative_humidity(10 C, 50 %) is 0.0479 C (Bolton)."""
    assert dew_point_c(10, 50) == pytest.approx(0.0479, abs=0.03)


def test_dew_point_of_a_worked_example() -> None:
    """Source: a coating maker's glossary (doerken.de): air of 30 C and 55 % condenses on 20 C or less."""
    assert dew_point_c(30, 55) == pytest.approx(20, abs=0.5)


@pytest.mark.parametrize("humidity", [0, -1, 101])
def test_a_humidity_that_can_not_be_is_refused(humidity: float) -> None:
    with pytest.raises(ValueError, match="humidity_percent"):
        dew_point_c(20, humidity)
