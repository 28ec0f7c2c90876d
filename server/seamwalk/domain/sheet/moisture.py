"""When cold tiles may be powered: not while their surface is below the dew point of the air around them.

Magnus formula over water as the WMO gives it (Guide to Meteorological Instruments, No. 8, 2008):
e = 6.112 hPa exp(17.62 t / (243.12 C + t)).
A surface warms towards the air as exp(-t / tau) (Newton's law of cooling); two readings give tau.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import log

from seamwalk.domain.wall.plan_model import Climate, Surface

_A, _B_C = 17.62, 243.12


@dataclass(frozen=True)
class Moisture:
    """The dew point, the surface as last read, and whether that is too cold for power.

    `power_from_c` is the dew point with the margin that was asked for; `not_before_min` counts from the first
    reading, None where two readings do not tell.
    """

    dew_point_c: float
    power_from_c: float
    surface_c: float
    wait: bool
    not_before_min: float | None


def dew_point_c(air_c: float, humidity_percent: float) -> float:
    """The dew point of air of a temperature (C) and relative humidity (over 0, up to 100 %), C.

    The Magnus formula solved for t. Raise ValueError for another humidity.
    """
    if not 0 < humidity_percent <= 100:
        raise ValueError(f"humidity_percent: {humidity_percent:g} is not over 0 and up to 100")
    gamma = log(humidity_percent / 100) + _A * air_c / (_B_C + air_c)
    return _B_C * gamma / (_A - gamma)


def moisture(climate: Climate) -> Moisture:
    """Compare the surface as last read with the dew point and the margin over it."""
    dew = dew_point_c(climate.air_c, climate.humidity_percent)
    power_from = dew + (climate.margin_k or 0.0)
    last = climate.surface[-1]
    wait = last.surface_c <= power_from
    when = warm_at_min(climate.air_c, climate.surface, power_from) if wait else None
    return Moisture(dew, power_from, last.surface_c, wait, when)


def warm_at_min(air_c: float, readings: Sequence[Surface], wanted_c: float) -> float | None:
    """When the surface is as warm as wanted, in minutes as the readings count them.

    tau = (t2 - t1) / ln(d1 / d2), then t = t2 + tau ln(d2 / d), d the air's temperature less the surface's.
    None with fewer than two readings, or where the surface does not warm towards the air and beyond it.
    """
    if len(readings) < 2:
        return None
    first, last = readings[0], readings[-1]
    cold_before, cold_now, cold_then = air_c - first.surface_c, air_c - last.surface_c, air_c - wanted_c
    if not 0 < cold_now < cold_before or cold_then <= 0:
        return None
    tau_min = (last.minutes - first.minutes) / log(cold_before / cold_now)
    return last.minutes + tau_min * log(cold_now / cold_then)
