"""What the recogniser's decoders make of tuned-on talk and chatter, span by span, on the product's own path.

Narrations are spoken in takes (tests.hearing.corpus), one voice and one room after the other, cut and cleaned by the
Spanner, and heard by both decoders. A span belongs to the line that it overlaps most. Calibration is done on this; the
held half never comes in.

The language model has these very sentences and their shapes in it (tests.recognise.shapes) and would be too sure of
them. So each narration is heard with a model that knows the other folds of the narrations only.

What `unseen/` holds came from authors whose sentences are in no model: `gather_unseen` hears them with the product's
own. They ramble where the others report; confidences have to hold for both.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence, Set
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from itertools import cycle
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import soundfile

from benchvoice import lexicon
from benchvoice.audio.spans import Span, spans
from benchvoice.lexicon.sentences import read_patterns
from benchvoice.lexicon.sentences_files import load_chatter
from benchvoice.recognise import moonshine_files
from benchvoice.recognise.calibration import Evidence
from benchvoice.recognise.language import Language, files_in, prepare
from benchvoice.recognise.make_language import make
from benchvoice.recognise.moonshine import Moonshine
from benchvoice.recognise.pair import Both
from benchvoice.recognise.pair_engine import PairEngine
from tests.hearing import corpus
from tests.hearing.corpus import Line, Narration, Room, Take
from tests.interpret.scoring import narrations as stories
from tests.recognise import shapes

FOLDS = 3
QUIET = Room()
ROOMS = (
    QUIET,
    Room(noise="compressor", decibels=10.0),
    QUIET,
    Room(noise="pink", decibels=10.0),
    Room(noise="impact", decibels=15.0),
    QUIET,
    Room(noise="radio", decibels=15.0),
    Room(noise="echo", decibels=15.0),
)
UNSEEN_ROOMS = (QUIET, *(room for level in (20.0, 15.0, 10.0) for room in (QUIET, *corpus.rooms(levels=(level,))[1:])))


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One span as it was heard, with what should have been heard in it; `say` is empty where nobody at the bench spoke.

    whole: the span is all of one line, so that its words can be compared.
    """

    say: str
    domain: bool
    whole: bool
    room: str
    both: Both

    @property
    def evidence(self) -> Evidence:
        """What the embedded recogniser made of it, by itself."""
        return self.both.first


def narrations() -> list[Narration]:
    """Scripts, narrations and chatter that may be tuned on."""
    found = corpus.load("tuned")
    for told in stories(shapes.TUNED):
        marked = any(said.get("domain") is False for said in told["utterances"])
        lines = tuple(
            Line(say=said["say"], domain=said.get("domain", True))
            for said in told["utterances"]
            # Where chatter is not marked, a line without findings may be either.
            if marked or said["findings"]
        )
        found.append(Narration(name=told["narration"], lines=lines))
    return found


def takes(work: Path, rounds: int, every: int) -> Iterator[Take]:
    """Every narration in `rounds` rooms, and twice that for chatter, which decides as much and is less."""
    voices, rooms = cycle(corpus.speakers()), cycle(ROOMS)
    told = narrations() * rounds + corpus.chatter("tuned") * 2 * rounds
    for narration in told[::every]:
        yield corpus.take(narration, next(voices), next(rooms), work)


def gather(work: Path, *, rounds: int = 1, every: int = 1, processes: int = 2) -> list[Case]:
    """All cases, fold by fold, each in the order of the takes; with `every`, of every so manieth take."""
    found = list(takes(work, rounds, every))
    fold = {name: k % FOLDS for k, name in enumerate(dict.fromkeys(take.narration.name for take in found))}
    out: list[Case] = []
    for k in range(FOLDS):
        mine = [take for take in found if fold[take.narration.name] == k]
        others = {line.say for take in found if fold[take.narration.name] != k for line in take.narration.lines}
        with TemporaryDirectory(prefix="language-", dir=work) as folder:
            _language_of(others, Path(folder))
            out += _all_heard(mine, files_in(Path(folder), ""), processes)
    return out


def gather_unseen(work: Path, *, rounds: int, every: int = 1, processes: int = 2) -> list[Case]:
    """The cases of the unseen authors in `rounds` rooms each, heard with the product's own language model."""
    voices, rooms = cycle(corpus.speakers()), cycle(UNSEEN_ROOMS)
    takes = [corpus.take(told, next(voices), next(rooms), work) for told in (corpus.strangers() * rounds)[::every]]
    return _all_heard(takes, prepare(), processes)


def _all_heard(takes: Sequence[Take], language: Language, processes: int) -> list[Case]:
    with ProcessPoolExecutor(processes, initializer=_open, initargs=(language,)) as pool:
        return [case for some in pool.map(_heard, takes) for case in some]


def _language_of(says: Set[str], folder: Path) -> None:
    """A language model that knows such of the narrations' sentences only, and all other talk."""
    told = [words for words in shapes.sentences() if " ".join(words) in says]
    others = list(shapes.talk())
    texts = [*shapes.other_patterns(), (shapes.TARGET.name, shapes.made(told, others))]
    make(
        folder,
        read_patterns(texts, lexicon.load().word_classes()),
        [*told, *others],
        load_chatter(),
        lambda _share: None,
    )


_ENGINE: list[PairEngine] = []


def _open(language: Language) -> None:
    _ENGINE.append(PairEngine.of(language, Moonshine(moonshine_files.prepare())))


def _heard(take: Take) -> list[Case]:
    sound, _ = soundfile.read(take.path, dtype="float32")
    blocks = (sound[at : at + 1600] for at in range(0, len(sound), 1600))
    found = list(spans(blocks))
    return list(_cases(take, found, (_ENGINE[0].evidence(span.pcm, start=span.t0, snr=span.snr) for span in found)))


def _cases(take: Take, found: Sequence[Span], heard: Iterable[Both]) -> Iterator[Case]:
    shares = np.array([[_overlap(span, *times) for times in take.spans] for span in found])
    for span_shares, both in zip(shares, heard, strict=True):
        if not both.first.words and not both.second.words:
            continue
        lines = [take.narration.lines[k] for k in np.flatnonzero(span_shares > 0.2)]
        if len({line.domain for line in lines}) > 1:
            continue
        alone = len(lines) == 1 and int((shares[:, int(span_shares.argmax())] > 0.05).sum()) == 1
        yield Case(
            say=" ".join(line.say for line in lines),
            domain=bool(lines) and lines[0].domain,
            whole=alone,
            room=take.room.title,
            both=both,
        )


def _overlap(span: Span, t0: float, t1: float) -> float:
    return max(0.0, min(t1, span.silent) - max(t0, span.speaks))
