"""Units: exact conversion, and rounding that neither invents nor throws away precision.

The only module that knows pint. Factors are taken from it once per pair of units and kept as decimals, so a conversion
costs one multiplication and an inch is 25.4 mm to the last digit. Factors agree with NIST SP 811 (2008), B.8.
"""

from __future__ import annotations

import math
from decimal import ROUND_HALF_EVEN, Context, Decimal
from fractions import Fraction
from functools import cache
from typing import Any

from benchvoice.errors import BenchvoiceError

_PINT_NAMES = {
    "in": "inch",
    "mm": "millimeter",
    "m": "meter",
    "ft": "foot",
    "psi": "psi",
    "kPa": "kilopascal",
    "bar": "bar",
    "inHg": "inch_Hg_32F",
    "percent": "percent",
    "ft_lbf": "foot * force_pound",
    "in_lbf": "inch * force_pound",
    "N_m": "newton * meter",
    "kgf_m": "kilogram_force * meter",
    "kgf_cm2": "kilogram_force / centimeter ** 2",
    "deg_F": "degree_Fahrenheit",
    "deg_C": "degree_Celsius",
    "mi": "mile",
    "km": "kilometer",
    "lbf": "force_pound",
    "N": "newton",
    "lbf_in": "force_pound / inch",
    "N_mm": "newton / millimeter",
    "in3": "inch ** 3",
    "cm3": "centimeter ** 3",
    "qt": "US_liquid_quart",
    "L": "liter",
    "HB": "brinell",
    "each": "dimensionless",
    "deg": "degree",
}
_COUNTERPART = {
    "in": "mm",
    "mm": "in",
    "psi": "kPa",
    "kPa": "psi",
    "bar": "psi",
    "ft_lbf": "N_m",
    "in_lbf": "N_m",
    "N_m": "ft_lbf",
    "deg_F": "deg_C",
    "deg_C": "deg_F",
    "mi": "km",
    "km": "mi",
    "lbf": "N",
    "N": "lbf",
    "in3": "cm3",
    "cm3": "in3",
}
_SYMBOLS = {
    "ft_lbf": "lbf·ft",
    "in_lbf": "lbf·in",
    "N_m": "N·m",
    "deg_F": "°F",
    "deg_C": "°C",
    "percent": "%",
    "each": "",
    "in3": "in³",
    "cm3": "cm³",
    "deg": "°",
}
_PRECISE = Context(prec=24)
"""Digits of a factor; fewer than pint computes with, so that an exact one comes out exact."""
_FREEZING_F = Decimal(32)
_FAHRENHEIT_STEP = Decimal(5) / Decimal(9)


@cache
def _registry() -> Any:
    import pint

    registry: Any = pint.UnitRegistry(non_int_type=Decimal, cache_folder=None)
    registry.define("brinell = [hardness]")
    return registry


@cache
def _pint_unit(unit: str) -> Any:
    try:
        return _registry().Unit(_PINT_NAMES[unit])
    except KeyError:
        raise BenchvoiceError(f"The unit {unit!r} is not known.", hint=f"Use one of {', '.join(known())}.") from None


def known() -> tuple[str, ...]:
    """The names of all units that figures and spec sheets may use.

    >>> {"in", "mm", "psi", "ft_lbf"} <= set(known())
    True
    """
    return tuple(_PINT_NAMES)


def symbol(unit: str) -> str:
    """How a unit is printed.

    >>> symbol("ft_lbf"), symbol("in"), symbol("each")
    ('lbf·ft', 'in', '')
    """
    return _SYMBOLS.get(unit, unit)


def counterpart(unit: str) -> str | None:
    """The unit of the other system that people of this trade would use, None where there is none.

    >>> counterpart("in"), counterpart("percent")
    ('mm', None)
    """
    return _COUNTERPART.get(unit)


@cache
def same_kind(unit: str, other: str) -> bool:
    """True if one can be converted to the other. Raises BenchvoiceError for a unit that is not known.

    >>> same_kind("in", "mm"), same_kind("in", "psi")
    (True, False)
    """
    if unit == other:
        return _pint_unit(unit) is not None if unit not in _PINT_NAMES else True
    return bool(_pint_unit(unit).dimensionality == _pint_unit(other).dimensionality)


@cache
def factor(unit: str, to: str) -> Decimal:
    """How many `to` one step of `unit` is; for temperatures the size of a degree.

    >>> factor("in", "mm")
    Decimal('25.4')
    >>> factor("deg_F", "deg_C")
    Decimal('0.5555555555555555555555555556')

    Raises BenchvoiceError if the two are not of one kind.
    """
    if unit == to:
        return Decimal(1)
    if not same_kind(unit, to):
        raise BenchvoiceError(f"{unit} can't be converted to {to}.", hint="Give both in units of the same kind.")
    if unit == "deg_F":
        return _FAHRENHEIT_STEP
    if unit == "deg_C":
        return 1 / _FAHRENHEIT_STEP
    converted = _registry().Quantity(Decimal(1), _pint_unit(unit)).to(_pint_unit(to)).magnitude
    return _PRECISE.create_decimal(converted).normalize()


def convert(value: Decimal, unit: str, to: str) -> Decimal:
    """The value in another unit, unrounded.

    >>> convert(Decimal("3.622"), "in", "mm")
    Decimal('91.9988')
    >>> convert(Decimal(430), "deg_F", "deg_C").quantize(Decimal("0.1"))
    Decimal('221.1')
    """
    if unit == to:
        return value
    if unit == "deg_F" and to == "deg_C":
        return (value - _FREEZING_F) * _FAHRENHEIT_STEP
    if unit == "deg_C" and to == "deg_F":
        return value / _FAHRENHEIT_STEP + _FREEZING_F
    return value * factor(unit, to)


def step_of(value: Decimal) -> Decimal:
    """One unit of the last digit that was written.

    >>> step_of(Decimal("3.542")), step_of(Decimal("65")), step_of(Decimal("1.5E+2"))
    (Decimal('0.001'), Decimal('1'), Decimal('1E+1'))
    """
    exponent = value.as_tuple().exponent
    return Decimal(1).scaleb(exponent if isinstance(exponent, int) else 0)


def step_after(step: Decimal, unit: str, to: str) -> Decimal:
    """The power of ten to which a converted value is rounded, when the original was given in steps of `step`.

    The nearest power of ten (in ratio) to the converted step, so that the rounding errors before and after are as
    equal as decimal digits allow: NIST SP 811 (2008), B.7.2, where 36 ft becomes 11.0 m.

    >>> step_after(Decimal(1), "ft", "m")
    Decimal('0.1')
    >>> step_after(Decimal("0.0001"), "in", "mm")
    Decimal('0.001')
    """
    converted = float(step) * float(factor(unit, to))
    return Decimal(1).scaleb(round(math.log10(converted)))


def round_to(value: Decimal, step: Decimal) -> Decimal:
    """The value rounded to a power of ten, halves to the even digit (NIST SP 811, B.7.1).

    >>> round_to(Decimal("10.9728"), Decimal("0.1"))
    Decimal('11.0')
    """
    return value.quantize(step, rounding=ROUND_HALF_EVEN)


def convert_honestly(value: Decimal, step: Decimal | None, unit: str, to: str) -> Decimal:
    """The value in another unit with the digits that it deserves; `step` None: the last written digit.

    >>> convert_honestly(Decimal(36), None, "ft", "m")
    Decimal('11.0')
    >>> convert_honestly(Decimal("0.0025"), Decimal("0.0001"), "in", "mm")
    Decimal('0.064')
    """
    if unit == to:
        return value
    return round_to(convert(value, unit, to), step_after(step or step_of(value), unit, to))


def digits_of(step: Decimal) -> int:
    """Decimal places that a step of this size asks for; a half step of the last digit keeps its digit.

    >>> digits_of(Decimal("0.0005")), digits_of(Decimal(5)), digits_of(Decimal("0.25"))
    (4, 0, 2)
    """
    exponent = step.normalize().as_tuple().exponent
    return max(0, -exponent) if isinstance(exponent, int) else 0


def as_fraction(value: Decimal, finest: int = 64) -> Fraction | None:
    """The inch fraction that a value is exactly, None if it isn't one; `finest` is the largest denominator.

    >>> as_fraction(Decimal("0.21875"))
    Fraction(7, 32)
    >>> as_fraction(Decimal("0.2")) is None
    True
    """
    fraction = Fraction(value)
    power_of_two = fraction.denominator & (fraction.denominator - 1) == 0
    return fraction if power_of_two and 1 < fraction.denominator <= finest else None


def in_thou(value: Decimal) -> Decimal:
    """An inch value in thousandths, with the digits that were given.

    >>> in_thou(Decimal("0.0025"))
    Decimal('2.5')
    """
    thou = value.scaleb(3)
    exponent = thou.as_tuple().exponent
    return thou.quantize(Decimal(1)) if isinstance(exponent, int) and exponent > 0 else thou
