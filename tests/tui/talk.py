"""Sittings for the screens' tests: typed words with made-up times, read and committed as a heard sitting would be.

The shop, the engine and everything that is said are invented.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from benchvoice import lexicon
from benchvoice.app.desk import Desk
from benchvoice.app.review import Review
from benchvoice.app.sitting import open_sitting
from benchvoice.domain.engine import Engine, Layout, Numbering
from benchvoice.domain.events import EngineTakenIn
from benchvoice.domain.words import Utterance, Word
from benchvoice.interpret import Reader
from benchvoice.journal import Journal

STOCK = "HW-208"
ENGINE = Engine(
    stock=STOCK,
    maker="Hartwick",
    family="Marl",
    layout=Layout.VEE,
    cylinders=6,
    mains=4,
    numbering=Numbering(confirmed=True),
)
BEGAN = 1_780_000_000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """What was heard. `sure` is the confidence; `unsure` words get a low one; `others` are the other readings."""

    say: str
    sure: float = 0.93
    unsure: tuple[str, ...] = ()
    others: tuple[str, ...] = ()


def utterances(lines: Iterable[Line], *, first: int = 0) -> list[Utterance]:
    out, t = [], 4.0
    for n, line in enumerate(lines, start=first):
        words = []
        for text in line.say.split():
            end = t + 0.06 * len(text) + 0.1
            confidence = 0.31 if text in line.unsure else line.sure
            words.append(Word(text=text, t0=round(t, 2), t1=round(end, 2), confidence=confidence))
            t = end + 0.04
        out.append(
            Utterance(
                n=n,
                words=tuple(words),
                t0=words[0].t0,
                t1=words[-1].t1,
                confidence=line.sure,
                recogniser="pocketsphinx",
                alternatives=line.others,
            )
        )
        t += 2.2
    return out


@cache
def words() -> lexicon.Lexicon:
    return lexicon.load()


@cache
def reader() -> Reader:
    return Reader(words(), ENGINE)


def sitting(path: Path, lines: Sequence[Line], *, closed: bool = True) -> Journal:
    """A journal with the engine taken in and one sitting on it."""
    journal = Journal.open(path)
    journal.append(EngineTakenIn(engine=ENGINE), STOCK, at=BEGAN)
    listening = open_sitting(journal, STOCK, reader(), source="file", title="bench talk", recogniser="pocketsphinx")
    for utterance in utterances(lines):
        listening.hear(utterance)
    if closed:
        listening.close()
    return journal


def desk(path: Path, lines: Sequence[Line], *, closed: bool = True) -> Desk:
    return Desk(Review(sitting(path, lines, closed=closed), STOCK, words(), reader()))


BENCH = (
    Line(say="hartwick v six out of a delivery van"),
    Line(say="oil pan is off and there is metal in the pan"),
    Line(say="oil pickup is half plugged"),
    Line(say="number one rod bearing looks good"),
    Line(say="number two rod bearing is wiped", sure=0.88),
    Line(say="copper showing", sure=0.62, unsure=("copper",), others=("proper showing",)),
    Line(say="number three rod bearing is good"),
    Line(say="number five rod bearing is scored"),
    Line(say="did you get the parts from the other place"),
    Line(say="main bearing two is worn"),
    Line(say="main bearing four could not be seen"),
    Line(say="number one bore measures three point seven eight inches"),
    Line(say="number one bore taper is two and a half thou", others=("number one boar paper is two and a half thou",)),
    Line(say="number nine bore is scored", sure=0.58, unsure=("nine",), others=("number five bore is scored",)),
    Line(say="number three rod bearing is wiped", sure=0.71),
    Line(say="no cracks in the block"),
    Line(say="number two piston skirt is scuffed on the thrust side"),
    Line(say="right cylinder head is warped six thou"),
    Line(say="number four exhaust valve is burned"),
    Line(say="spark plugs are all oil fouled"),
    Line(say="didn't look at the oil pump"),
    Line(say="number six intake valve seat is pitted a little"),
)
