"""Screens under test: a fixed terminal, no animation, nothing of the developer's machine, and pictures to compare."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from benchvoice.app.desk import Desk
from benchvoice.tui.app import ReviewApp
from tests.tui import talk

PICTURES = Path(__file__).parent.parent / "golden" / "tui"
SIZE = (100, 30)
SMALL = (80, 24)


@pytest.fixture(autouse=True)
def _own_machine_kept_out(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("BENCHVOICE_HOME", str(tmp_path / "home"))
    monkeypatch.setenv("TEXTUAL_ANIMATIONS", "none")
    monkeypatch.delenv("NO_COLOR", raising=False)


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return talk.desk(tmp_path / "journal.db", talk.BENCH)


@pytest.fixture
def app(desk: Desk) -> ReviewApp:
    return ReviewApp(desk, shop="Tallow Lane Engines")


@pytest.fixture
def same_picture() -> Callable[[ReviewApp, str], None]:
    """Compares the screen with the picture of that name; RENEW_PICTURES=1 writes it anew."""

    def compare(app: ReviewApp, name: str) -> None:
        drawn = app.export_screenshot(title="benchvoice", simplify=True)
        path = PICTURES / f"{name}.svg"
        if os.environ.get("RENEW_PICTURES"):
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(drawn, encoding="utf-8")
        assert path.read_text(encoding="utf-8") == drawn, f"{path} differs; look at it, then RENEW_PICTURES=1"

    return compare
