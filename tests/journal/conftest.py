from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from benchvoice.domain.engine import Engine
from benchvoice.domain.events import EngineTakenIn, SittingOpened
from benchvoice.journal import Journal
from tests.domain.strategies import SITTING, STOCK


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "home" / "journal.db"


@pytest.fixture
def journal(path: Path) -> Iterator[Journal]:
    """A journal that holds one engine with an open sitting."""
    with Journal.open(path) as opened:
        opened.append(EngineTakenIn(engine=Engine(stock=STOCK)), STOCK)
        opened.append(SittingOpened(sitting=SITTING, source="text"), STOCK)
        yield opened
