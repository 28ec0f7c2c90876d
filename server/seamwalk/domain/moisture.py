"""When cold tiles may be powered: not while their surface is below the dew point of the air around them.

Magnus formula over water, with the constants of Sonntag (1990): e = 6.112 hPa exp(17.62 t / (243.12 C + t)).
"""

from math import log

_A, _B_C = 17.62, 243.12


def dew_point_c(air_c: float, humidity_percent: float) -> float:
    """The temperature at which air of this temperature and humidity (over 0, up to 100 %) turns to dew."""
    if not 0 < humidity_percent <= 100:
        raise ValueError(f"humidity_percent: {humidity_percent:g} is not over 0 and up to 100")
    gamma = log(humidity_percent / 100) + _A * air_c / (_B_C + air_c)
    return _B_C * gamma / (_A - gamma)
