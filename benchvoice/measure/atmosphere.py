"""The standard atmosphere, and what a gauge reads at another altitude."""

from __future__ import annotations

SEA_LEVEL_KPA = 101.325
_EARTH_RADIUS_M = 6_356_766.0
_SEA_LEVEL_K = 288.15
_LAPSE_K_PER_M = 0.0065
_EXPONENT = 9.80665 * 0.0289644 / (8.31432 * _LAPSE_K_PER_M)


def geopotential(altitude: float) -> float:
    """Geopotential height (m) of a geometric altitude (m): US Standard Atmosphere 1976, equation 18.

    >>> round(geopotential(2000.0), 1)
    1999.4
    """
    return _EARTH_RADIUS_M * altitude / (_EARTH_RADIUS_M + altitude)


def pressure(altitude: float) -> float:
    """Standard pressure in kPa at a geometric altitude in m, -400 to 11,000: US Standard Atmosphere 1976, equation 33a
    (ISO 2533 gives the same values).

    Worked by hand for 1,000 m: 101.325 x (1 - 0.0065 x 999.8 / 288.15)^5.2559 = 89.88.

    >>> round(pressure(1000.0), 2)
    89.88

    Raises ValueError outside that range.
    """
    if not -400 <= altitude <= 11_000:
        raise ValueError(f"altitude {altitude} m")
    return float(SEA_LEVEL_KPA * (1 - _LAPSE_K_PER_M * geopotential(altitude) / _SEA_LEVEL_K) ** _EXPONENT)


def at_sea_level(gauge_kpa: float, altitude: float) -> float:
    """What a compression gauge would have read at sea level (kPa): absolute pressure goes with the air's own.

    (G + p) p0/p - p0. Worked by hand: 930.8 kPa (135 psi) at 1,524 m, p = 84.32: 1015.1 x 1.2017 - 101.3 = 1118.6.

    >>> round(at_sea_level(930.8, 1524.0), 1)
    1118.6
    """
    here = pressure(altitude)
    return (gauge_kpa + here) * SEA_LEVEL_KPA / here - SEA_LEVEL_KPA
