from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from benchvoice import lexicon as words
from benchvoice.app.review import Review
from benchvoice.app.sitting import Listening, listen, open_sitting
from benchvoice.app.typed import utterances
from benchvoice.domain.engine import Engine, Layout
from benchvoice.domain.events import EngineTakenIn
from benchvoice.interpret import Reader
from benchvoice.journal import Journal
from benchvoice.lexicon import Lexicon

STOCK = "E-0417"
TALK = """\
number three rod bearing is wiped
copper showing
rod bearing five looks good
the mains look good except number four which is wiped
strike that
main bearing four is wiped
bore one measures three point five four two
nice weather today
question check the oil pump later"""


@pytest.fixture(scope="session")
def lexicon() -> Lexicon:
    return words.load()


@pytest.fixture(scope="session")
def reader(lexicon: Lexicon) -> Reader:
    return Reader(lexicon, Engine(stock=STOCK, layout=Layout.VEE, cylinders=6))


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The machine of nobody."""
    monkeypatch.setenv("BENCHVOICE_HOME", str(tmp_path / "home"))
    return tmp_path / "home"


@pytest.fixture
def journal(home: Path) -> Iterator[Journal]:
    with Journal.open() as opened:
        opened.append(EngineTakenIn(engine=Engine(stock=STOCK, layout=Layout.VEE, cylinders=6)), STOCK)
        yield opened


def hear(journal: Journal, reader: Reader, talk: str = TALK) -> Listening:
    sitting = open_sitting(journal, STOCK, reader, source="text", title="typed", recogniser="text")
    for _ in listen(sitting, utterances(line.encode() for line in talk.splitlines())):
        pass
    return sitting


@pytest.fixture
def review(journal: Journal, lexicon: Lexicon, reader: Reader) -> Review:
    """A review of an engine about which TALK was heard."""
    hear(journal, reader)
    return Review(journal, STOCK, lexicon, reader)
