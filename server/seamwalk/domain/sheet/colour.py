"""How different two whites are: CIE 1976 u'v' (CIE 15) and CIEDE2000 (CIE 142, ISO/CIE 11664-6).

L*a*b* is taken against D65 with the brighter of the two whites as Y = 100.
"""

from math import atan2, cos, degrees, exp, hypot, radians, sin, sqrt

from seamwalk.domain.wall.plan_model import White

Lab = tuple[float, float, float]
_D65_XY = (0.3127, 0.3290)
_EPSILON, _KAPPA = (6 / 29) ** 3, (29 / 3) ** 3
_25_7 = 25.0**7


def u_v(x: float, y: float) -> tuple[float, float]:
    """CIE 1976 u', v' of CIE 1931 x, y: 4x / (-2x + 12y + 3), 9y / (-2x + 12y + 3)."""
    under = -2 * x + 12 * y + 3
    return 4 * x / under, 9 * y / under


def difference_uv(first: White, second: White) -> float:
    """The distance of two whites in u'v'."""
    (u1, v1), (u2, v2) = u_v(first.x, first.y), u_v(second.x, second.y)
    return hypot(u1 - u2, v1 - v2)


def difference_e00(first: White, second: White) -> float | None:
    """CIEDE2000 of two whites; None where a luminance is missing."""
    if first.luminance_cd_m2 is None or second.luminance_cd_m2 is None:
        return None
    brighter = max(first.luminance_cd_m2, second.luminance_cd_m2)
    return ciede2000(*(_lab(white, (white.luminance_cd_m2 or 0.0) / brighter) for white in (first, second)))


def _lab(white: White, share: float) -> Lab:
    """L*a*b* (CIE 15) of a white against D65, with `share` its luminance over the brighter one's."""
    x0, y0 = _D65_XY
    ratios = (
        white.x / white.y * share / (x0 / y0),
        share,
        (1 - white.x - white.y) / white.y * share / ((1 - x0 - y0) / y0),
    )
    fx, fy, fz = (t ** (1 / 3) if t > _EPSILON else (_KAPPA * t + 16) / 116 for t in ratios)
    return 116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz)


def ciede2000(first: Lab, second: Lab) -> float:
    """CIEDE2000 of two L*a*b* colours, kL = kC = kH = 1 (Sharma, Wu and Dalal 2005)."""
    (l1, a1, b1), (l2, a2, b2) = first, second
    mean_c = (hypot(a1, b1) + hypot(a2, b2)) / 2
    g = 0.5 * (1 - sqrt(mean_c**7 / (mean_c**7 + _25_7)))
    a1, a2 = a1 * (1 + g), a2 * (1 + g)
    c1, c2 = hypot(a1, b1), hypot(a2, b2)
    h1, h2 = (degrees(atan2(b, a)) % 360 if b or a else 0.0 for a, b in ((a1, b1), (a2, b2)))
    hue = _hue_step(c1, c2, h2 - h1)
    d_l, d_c, d_h = l2 - l1, c2 - c1, 2 * sqrt(c1 * c2) * sin(radians(hue / 2))
    l, c, h = (l1 + l2) / 2, (c1 + c2) / 2, _mean_hue(c1, c2, h1, h2)  # noqa: E741
    s_l = 1 + 0.015 * (l - 50) ** 2 / sqrt(20 + (l - 50) ** 2)
    s_c, s_h = 1 + 0.045 * c, 1 + 0.015 * c * _t(h)
    turn = -sin(radians(60 * exp(-(((h - 275) / 25) ** 2)))) * 2 * sqrt(c**7 / (c**7 + _25_7))
    own = (d_l / s_l) ** 2 + (d_c / s_c) ** 2 + (d_h / s_h) ** 2
    return sqrt(own + turn * d_c / s_c * d_h / s_h)


def _hue_step(c1: float, c2: float, step: float) -> float:
    if c1 * c2 == 0:
        return 0.0
    return step - 360 if step > 180 else step + 360 if step < -180 else step


def _mean_hue(c1: float, c2: float, h1: float, h2: float) -> float:
    if c1 * c2 == 0:
        return h1 + h2
    if abs(h1 - h2) <= 180:
        return (h1 + h2) / 2
    return (h1 + h2 + (360 if h1 + h2 < 360 else -360)) / 2


def _t(h: float) -> float:
    terms = ((-0.17, 1, -30), (0.24, 2, 0), (0.32, 3, 6), (-0.20, 4, -63))
    return 1 + sum(factor * cos(radians(times * h + shift)) for factor, times, shift in terms)
