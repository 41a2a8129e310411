"""The standard atmosphere against its tables, and altitude correction."""

import pytest

from benchvoice.measure.atmosphere import at_sea_level, geopotential, pressure


@pytest.mark.parametrize(
    ("metres", "millibar"),
    # US Standard Atmosphere 1976, table I, by geometric altitude (from memory, and recomputed from its defining
    # constants); ISO 2533:1975 has the same model.
    [(0, 1013.25), (1000, 898.76), (1500, 845.60), (2000, 795.01)],
)
def test_pressures_of_the_us_standard_atmosphere(metres, millibar):
    assert pressure(metres) * 10 == pytest.approx(millibar, abs=0.01)


@pytest.mark.parametrize(
    ("feet", "psia"),
    # ASHRAE Handbook of Fundamentals, standard atmospheric data by altitude (public copy of the table).
    [(0, 14.696), (1000, 14.175), (2000, 13.664), (3000, 13.173), (5000, 12.230), (7000, 11.341), (10000, 10.108)],
)
def test_pressures_in_feet(feet, psia):
    assert pressure(feet * 0.3048) / 6.894757293 == pytest.approx(psia, abs=0.003)


def test_geopotential_altitude():
    """US Standard Atmosphere 1976, equation 18: 10,000 m is 9,984.3 geopotential metres."""
    assert geopotential(10_000) == pytest.approx(9984.3, abs=0.05)


def test_k55_compression_at_five_thousand_feet():
    """K-55, computed: 135 psi at 5,000 ft corresponds to 162 psi at sea level; ambient 84.3 kPa."""
    psi = 6.894757293
    assert pressure(5000 * 0.3048) == pytest.approx(84.3, abs=0.05)
    assert at_sea_level(135 * psi, 5000 * 0.3048) / psi == pytest.approx(162, abs=0.5)


def test_no_pressure_from_outside_the_table():
    for metres in (-1000, 12_000, float("nan")):
        with pytest.raises(ValueError, match="altitude"):
            pressure(metres)
