"""The figures of the hearing table on cases that can be worked by hand."""

from __future__ import annotations

import math

import pytest

from tests.hearing import scoring


def measurement(value: float, unit: str) -> scoring.Finding:
    head = {"kind": "measurement", "part": "cylinder_head", "place": {}, "quantity": "flatness"}
    return head | {"value": value, "unit": unit}


@pytest.mark.parametrize(
    ("want", "got", "equal"),
    [
        ((1.0, "in"), (25.4, "mm"), True),
        ((1.0, "in"), (25.401, "mm"), False),
        ((125.0, "psi"), (861.844662, "kPa"), True),  # NIST SP 811: 1 psi = 6.894757 kPa
        ((65.0, "ft_lbf"), (88.128167, "N_m"), True),  # NIST SP 811: 1 lbf ft = 1.355818 N m
        ((1.0, "in"), (1.0, "psi"), False),
        ((1.0, "in"), (1.0, "furlong"), False),
    ],
)
def test_measurements_are_compared_in_the_expected_unit(
    want: tuple[float, str], got: tuple[float, str], equal: bool
) -> None:
    assert scoring.same(measurement(*want), measurement(*got)) is equal


def test_each_found_finding_matches_once() -> None:
    one = measurement(0.002, "in")
    assert scoring.match([one, one], [one]) == (1, 1, 0)
    assert scoring.match([one], [one, one]) == (1, 0, 1)


def test_word_errors_are_the_least_number_of_changes() -> None:
    want = ["number", "three", "rod", "bearing", "is", "wiped"]
    assert scoring.word_errors(want, ["number", "three", "rod", "bearing", "wiped"]) == 1
    assert scoring.word_errors(want, ["number", "tree", "rod", "bearing", "is", "white"]) == 2
    assert scoring.words_right(want, ["number", "tree", "rod", "bearing", "is", "white"]) == [
        True,
        False,
        True,
        True,
        True,
        False,
    ]


def test_calibration_error_of_a_known_set() -> None:
    # 0.9 bin: three of four right, 0.3 bin: one of two; (|0.9 - 0.75| * 4 + |0.3 - 0.5| * 2) / 6
    pairs = [(0.9, True)] * 3 + [(0.9, False), (0.3, True), (0.3, False)]
    assert scoring.calibration_error(pairs) == pytest.approx((0.15 * 4 + 0.2 * 2) / 6)
    assert scoring.calibration_error([(1.0, True)] * 5) == pytest.approx(0.0)


def test_percentiles_by_nearest_rank() -> None:
    assert scoring.percentile([5, 1, 3, 2, 4], 0.5) == 3
    assert scoring.percentile([5, 1, 3, 2, 4], 0.95) == 5
    assert math.isnan(scoring.percentile([], 0.5))


def test_tallies_add_up() -> None:
    total = scoring.Tally(right=3, missed=1)
    total.add(scoring.Tally(right=1, wrong=3, delays=[0.2]))
    assert (total.precision, total.recall) == (4 / 7, 4 / 5)
    assert total.f1 == pytest.approx(2 * (4 / 7) * (4 / 5) / (4 / 7 + 4 / 5))
    assert total.delays == [0.2]


def test_even_a_perfect_forecast_shows_an_error_over_few_outcomes() -> None:
    """One outcome at 0.5 is always off by 0.5; of two, half the time by 0.5, half the time by nothing; of very many, by
    sqrt(0.25 / n) sqrt(2 / pi).
    """
    assert scoring.calibration_by_chance([(0.5, True)]) == pytest.approx(0.5)
    assert scoring.calibration_by_chance([(0.5, True)] * 2, draws=4000) == pytest.approx(0.25, abs=0.02)
    assert scoring.calibration_by_chance([(0.5, True)] * 2500) == pytest.approx(0.01 * math.sqrt(2 / math.pi), rel=0.15)
    assert scoring.calibration_by_chance([(1.0, True)] * 9) == 0.0
