"""What a numbering scheme makes of an engine, and its drawing."""

from __future__ import annotations

import pytest

from benchvoice.domain.drawing import draw
from benchvoice.domain.engine import BankOrder, Engine, Layout, NumberedFrom, Numbering
from tests.judge.casework import engine

EIGHT = engine(layout="vee", cylinders=8)
BY_BANK = engine(layout="vee", cylinders=8, bank_order="by_bank")


def test_rods_that_share_a_pin_depend_on_the_scheme() -> None:
    """Odd and even by bank: 1 and 2 share; bank after bank: 1 and 5 (geometry; two rods a pin in a vee engine)."""
    assert [EIGHT.station_mates(c) for c in (1, 3, 8)] == [(2,), (4,), (7,)]
    assert [BY_BANK.station_mates(c) for c in (1, 3, 8)] == [(5,), (7,), (4,)]


def test_inline_and_flat_engines_share_no_pin() -> None:
    for layout in ("inline", "flat"):
        assert engine(layout=layout, cylinders=4).station_mates(2) == ()


def test_counting_from_the_flywheel_turns_the_engine_round() -> None:
    """SAE J824 counts from the end away from the output, ISO 1204 practice from the output end."""
    front, back = (
        Engine(stock="T", layout=Layout.INLINE, cylinders=4, numbering=Numbering(numbered_from=end))
        for end in NumberedFrom
    )
    assert [front.station_of(c) for c in (1, 4)] == [1, 4]
    assert [back.station_of(c) for c in (1, 4)] == [4, 1]
    assert back.cylinders_far_first()[0] == 1


@pytest.mark.parametrize(
    ("given", "beside"),
    [
        ({"layout": "inline", "cylinders": 4}, [(1, 2), (2, 3), (3, 4), (4, 5)]),
        ({"layout": "inline", "cylinders": 6, "mains": 4}, [(1, 2), (1, 2), (2, 3), (2, 3), (3, 4), (3, 4)]),
        ({"layout": "flat", "cylinders": 4, "mains": 5}, [(1, 2, 3), (1, 2, 3), (3, 4, 5), (3, 4, 5)]),
        ({"layout": "vee", "cylinders": 6}, [(1, 2), (1, 2), (2, 3), (2, 3), (3, 4), (3, 4)]),
    ],
)
def test_mains_beside_a_cylinder(given: dict[str, object], beside: list[tuple[int, ...]]) -> None:
    of = engine(**given)
    assert [of.mains_beside(c) for c in of.cylinder_numbers] == beside


def test_furthest_from_the_pump() -> None:
    assert EIGHT.journals_far_first()[0] == 5
    assert set(EIGHT.cylinders_far_first()[:2]) == {7, 8}
    assert engine(layout="inline", cylinders=4, pump_end="rear").journals_far_first()[0] == 1


def test_major_thrust_side() -> None:
    """Seen from the front with a clockwise crank the piston is pressed to the viewer's left: on the left bank towards
    the valley, on the right bank outward (geometry).
    """
    assert EIGHT.thrust_side_towards("left") == "valley"
    assert EIGHT.thrust_side_towards("right") == "outboard"
    assert engine(layout="inline", cylinders=4).thrust_side_towards(None) == "right"
    assert engine(layout="flat", cylinders=4).thrust_side_towards("left") == "top"


def test_drawing_names_every_cylinder_and_main_once_in_order() -> None:
    for of in (EIGHT, BY_BANK, engine(layout="inline", cylinders=6, mains=4), engine(layout="flat", cylinders=6)):
        drawn = draw(of).partition("\n\n")[0]
        for cylinder in of.cylinder_numbers:
            assert drawn.count(f"( {cylinder} )") == 1
        spots = [drawn.index(f"main {journal} ") for journal in of.journal_numbers]
        assert spots == sorted(spots)


def test_drawing_puts_each_bank_on_its_side() -> None:
    lines = draw(EIGHT).splitlines()
    row = next(line for line in lines if "( 1 )" in line)
    assert row.index("( 1 )") < row.index("( 2 )")
    right_first = Engine(
        stock="T", layout=Layout.VEE, cylinders=8,
        numbering=Numbering(bank_order=BankOrder.ALTERNATE, first_bank="right"),
    )  # fmt: skip
    row = next(line for line in draw(right_first).splitlines() if "( 1 )" in line)
    assert row.index("( 1 )") > row.index("( 2 )")


def test_drawing_says_what_follows_from_it() -> None:
    told = draw(BY_BANK)
    assert "1 and 5, 2 and 6, 3 and 7, 4 and 8" in told
    assert "main 5, cylinders 4 and 8" in told
