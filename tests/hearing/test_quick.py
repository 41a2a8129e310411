"""A small slice of the hearing benchmark, on real recognition; `python -m tests.hearing` is the whole of it.

The limits here are looser than what the benchmark reaches, so that a slice of it can hold them.
"""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest
import soundfile

from benchvoice import lexicon, resources
from benchvoice.audio.blocks import RATE
from benchvoice.recognise import open_recogniser
from benchvoice.recognise.base import Recogniser
from demo_audio import voices
from tests.hearing import corpus, human, run
from tests.hearing.corpus import Line, Narration, Room, Take

pytestmark = pytest.mark.sound

DEMO = resources.folder("demo_audio")
needs_voices = pytest.mark.skipif(not corpus.speakers(), reason="no speech synthesiser is installed")


@pytest.fixture(scope="module")
def recogniser() -> Iterator[Recogniser]:
    engine = open_recogniser("pocketsphinx")
    yield engine
    engine.close()


@pytest.fixture(scope="module")
def words() -> lexicon.Lexicon:
    return lexicon.load()


@pytest.fixture(scope="module")
def work(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("hearing")


def demo_take(name: str) -> Take:
    told = json.loads((DEMO / "scripts" / f"{name}.jsonl").read_text())
    times = json.loads((DEMO / f"{name}.times.json").read_text())
    lines = tuple(
        Line(say=said["say"], findings=tuple(said["findings"]), withdrawn=said.get("withdrawn", False))
        for said in told["utterances"]
    )
    return Take(
        narration=Narration(name=name, lines=lines),
        voice=times["voice"],
        room=Room(),
        path=Path(str(DEMO / f"{name}.flac")),
        spans=tuple((row["t0"], row["t1"]) for row in times["utterances"]),
        seconds=times["seconds"],
    )


@pytest.mark.parametrize("name", ["orchard-truck-six", "orchard-truck-six-heads", "ferry-four"])
def test_the_demos_narrations_are_understood(name: str, recogniser: Recogniser, words: lexicon.Lexicon) -> None:
    tally = run.score(demo_take(name), recogniser, words)
    assert tally.f1 >= 0.75
    assert tally.wer <= 0.12
    assert tally.coverage >= 0.95


@pytest.mark.parametrize("name", ["orchard-truck-six", "orchard-truck-six-heads", "ferry-four"])
def test_the_demos_sound_is_what_its_files_say(name: str) -> None:
    take = demo_take(name)
    info = soundfile.info(take.path)
    assert (info.samplerate, info.channels, info.subtype) == (RATE, 1, "PCM_16")
    assert info.duration == pytest.approx(take.seconds, abs=0.1)
    spoken = [line.say for line in take.narration.lines]
    times = json.loads((DEMO / f"{name}.times.json").read_text())["utterances"]
    assert [row["say"] for row in times] == spoken
    if name == "orchard-truck-six":
        assert sum(t1 - t0 for t0, t1 in take.spans) >= 180.0


@needs_voices
@pytest.mark.parametrize("room", [Room(), Room(noise="compressor", decibels=15.0)], ids=lambda room: room.title)
def test_a_held_narration_is_understood(room: Room, recogniser: Recogniser, words: lexicon.Lexicon, work: Path) -> None:
    narration = next(item for item in corpus.load("held") if item.name == "stand-two-cylinders")
    tally = run.score(corpus.take(narration, corpus.speakers()[0], room, work), recogniser, words)
    assert tally.f1 >= 0.7
    assert tally.wer <= 0.15
    assert tally.cost < 1.0


@needs_voices
def test_chatter_makes_no_findings(recogniser: Recogniser, words: lexicon.Lexicon, work: Path) -> None:
    narration = next(item for item in corpus.load("held") if item.name == "loose-talk-two")
    tally = run.score(corpus.take(narration, corpus.speakers()[-1], Room(), work), recogniser, words)
    assert tally.chatter_findings == 0
    assert tally.domain_accuracy >= 0.9


@needs_voices
def test_the_same_script_sounds_the_same_again(work: Path, tmp_path: Path) -> None:
    narration = Narration(name="again", lines=(Line(say="oil pan is clean"), Line(say="number two is wiped")))
    room = Room(noise="radio", decibels=10.0)
    voice = corpus.speakers()[0]
    first, second = (corpus.take(narration, voice, room, folder) for folder in (work, tmp_path))
    assert first.spans == second.spans
    assert (soundfile.read(first.path)[0] == soundfile.read(second.path)[0]).all()


def test_voices_say_what_is_on_this_machine() -> None:
    for name in corpus.speakers():
        sound = voices.speak("oil pan is clean", name)
        assert 0.5 < sound.size / voices.RATE < 5.0


def test_peoples_read_speech_is_heard(recogniser: Recogniser) -> None:
    """Debian's pocketsphinx-testdata with the package's own transcripts."""
    if not human.recordings():
        pytest.skip("pocketsphinx-testdata is not installed")
    scores = human.score(recogniser)
    assert scores["prose"][0] == 5
    assert scores["prose"][2] <= 0.5
