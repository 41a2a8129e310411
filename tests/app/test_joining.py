"""Pauses that fall into the middle of something."""

from __future__ import annotations

import pytest

from benchvoice.app.joining import seams


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ("two point zero", "eight five"),
        ("rod journal measures two point", "zero nine eight five"),
        ("number", "three rod bearing is wiped"),
        ("main bearing two is", "wiped"),
        ("cylinder one measures three point five", "four two at the top"),
    ],
)
def test_goes_on(before: str, after: str) -> None:
    assert seams().goes_on(before.split(), after.split())


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ("three point five four two", "three point five three nine at the bottom"),
        ("number two bore is three point five", "three point five one at the bottom"),
        ("rod bearing is wiped", "journal is scored"),
        ("compression is one twenty five", "six is one thirty"),
        ("the crank is", "okay next"),
        ("two point zero nine", "number four is scored"),
        ("two point zero nine", ""),
        ("two point zero nine eight five", "six is wiped"),
    ],
)
def test_stands_alone(before: str, after: str) -> None:
    assert not seams().goes_on(before.split(), after.split())
