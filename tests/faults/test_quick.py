"""A small share of every fault; `python -m tests.faults` brings all of them about."""

from __future__ import annotations

from pathlib import Path

from tests.faults import kills


def test_killed_sittings_keep_what_was_committed(tmp_path: Path) -> None:
    row = kills.run(4, tmp_path, take_up_every=2)
    assert row.passed, (str(row), row.wrong)
