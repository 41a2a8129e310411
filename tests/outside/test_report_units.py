"""The value in brackets against conversions that technical manuals print, and against exact definitions.

Manuals round to their last printed place, so they are compared with one unit of it. NIST SP 811, Appendix B: 1 in is
25.4 mm exactly, 1 psi is 6.894 757 kPa, 1 lbf ft is 1.355 818 N m (from memory, re-derived from the exact definitions).
"""

from __future__ import annotations

from decimal import Decimal

import pytest

from benchvoice.report.language import data, load
from benchvoice.report.phrases import Phrases
from tests.report.records import engine

PHRASES = Phrases(load(), None, engine())

PRINTED = (
    ("0.0135", "in", "0.343", "TM 55-1905-223-24-1, rod bolt stretch"),
    ("0.0185", "in", "0.470", "TM 55-1905-223-24-1, rod bolt stretch"),
    ("0.0016", "in", "0.041", "TM 9-2815-260-24, main bearing clearance"),
    ("0.0043", "in", "0.109", "TM 9-2815-260-24, main bearing clearance"),
    ("95.201", "mm", "3.7480", "TM 5-3805-281-24-2, main journal"),
    ("95.227", "mm", "3.7491", "TM 5-3805-281-24-2, main journal"),
)


def _bracket(value: str, unit: str, step: str) -> Decimal:
    written = PHRASES.converted(Decimal(value), unit, Decimal(step))
    return Decimal(written.split()[0])


@pytest.mark.parametrize(("value", "unit", "printed", "source"), PRINTED)
def test_as_manuals_print_it(value: str, unit: str, printed: str, source: str) -> None:
    step = "0.0001" if unit == "in" else "0.001"
    ours = _bracket(value, unit, step)
    last = Decimal(1).scaleb(max(ours.as_tuple().exponent, Decimal(printed).as_tuple().exponent))  # type: ignore[type-var]
    assert abs(ours - Decimal(printed)) <= last, source


def test_the_factors_follow_from_the_exact_definitions() -> None:
    units = data("units")
    inch, pound, gravity = Decimal("0.0254"), Decimal("0.45359237"), Decimal("9.80665")
    force = pound * gravity
    assert Decimal(units["in"]["factor"]) == inch * 1000
    assert abs(Decimal(units["psi"]["factor"]) - force / inch**2 / 1000) < Decimal("1e-14")
    assert Decimal(units["ft_lbf"]["factor"]) == force * inch * 12
    assert abs(Decimal(units["in_lbf"]["factor"]) - force * inch) < Decimal("1e-15")
    assert Decimal(units["mi"]["factor"]) == inch * 12 * 5280 / 1000


@pytest.mark.parametrize(("fahrenheit", "celsius"), [("32", "0"), ("212", "100"), ("-40", "-40"), ("98.6", "37")])
def test_fixed_points_of_temperature(fahrenheit: str, celsius: str) -> None:
    text = PHRASES.converted(Decimal(fahrenheit), "deg_F", Decimal("0.1"))
    assert Decimal(text.split()[0].replace("\u2212", "-")) == Decimal(celsius)


def test_no_digit_is_invented() -> None:
    """A bracket never resolves finer than a tenth of the step that was spoken."""
    for unit, rule in data("units").items():
        for step in ("1", "0.1", "0.01", "0.001", "0.0001"):
            text = PHRASES.converted(Decimal("50"), unit, Decimal(step))
            places = -Decimal(text.split()[0]).as_tuple().exponent  # type: ignore[operator]
            size = Decimal(step) * (Decimal(rule.get("factor", "1")) / Decimal(rule.get("divide", "1")))
            assert Decimal(1).scaleb(-places) > size / 10 or places == 0, (unit, step, text)
