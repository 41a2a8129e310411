"""A sitting is found in a film of it; a stretch of one can be taken out for good."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path

import numpy as np
import pytest
import soundfile

from benchvoice import paths, resources
from benchvoice.app import blanking
from benchvoice.app.camera import align_film
from benchvoice.app.live.plan import Lock, folder_of
from benchvoice.audio import segments as sj
from benchvoice.audio.blocks import RATE, to_pcm
from benchvoice.audio.follow import read_stretch
from benchvoice.domain.engine import Engine
from benchvoice.domain.events import EngineTakenIn, SittingOpened, SoundKept, UtteranceHeard
from benchvoice.domain.readings import Reading
from benchvoice.domain.words import Utterance, Word
from benchvoice.errors import BenchvoiceError, SoundError, UnknownSittingError
from benchvoice.journal import Journal
from demo_audio import noises

SITTING = "C-1-s1"
SECRET = "the padlock number is four seven one"


@pytest.fixture
def journal(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Journal:
    """One sitting: two minutes of the demo's sound in two files, one of them packed, and three utterances."""
    monkeypatch.setenv("BENCHVOICE_HOME", str(tmp_path / "home"))
    with soundfile.SoundFile(str(resources.folder("demo_audio") / "orchard-truck-six.flac")) as sound:
        voice = sound.read(120 * RATE, dtype="float32")
    folder = folder_of(SITTING)
    opened = Journal.open()
    opened.append(EngineTakenIn(engine=Engine(stock="C-1")), "C-1")
    opened.append(SittingOpened(sitting=SITTING, source="microphone"), "C-1")
    for start in (0, 60):
        writer = sj.SegmentWriter(folder, start=float(start), rate=RATE)
        writer.append(to_pcm(voice[start * RATE : (start + 60) * RATE]))
        segment = sj.pack(writer.close()) if start == 0 else writer.close()
        path = str(segment.path.relative_to(paths.data()))
        kept = SoundKept(
            sitting=SITTING, path=path, start=start, seconds=60.0, rate=RATE, sha256=sj.fingerprint(segment.path)
        )
        opened.append(kept, "C-1")
    for n, (t0, text) in enumerate([(10.0, "pan is clean"), (58.0, SECRET), (80.0, "pump is scored")]):
        words = tuple(Word(text=word, t0=t0, t1=t0 + 4) for word in text.split())
        reading = Reading(utterance=Utterance(n=n, words=words, t0=t0, t1=t0 + 4))
        opened.append(UtteranceHeard(sitting=SITTING, reading=reading), "C-1")
    yield opened
    opened.close()


def film_of(path: Path, *, lead: float, rng: np.random.Generator) -> None:
    """A real film: grey pictures, and the sitting's sound after `lead` seconds, with hum and echo, AAC at 44.1 kHz."""
    import av
    import soxr

    room = read_stretch(folder_of(SITTING), 0.0, 120.0)
    sound = np.concatenate([np.zeros(round(lead * RATE), np.float32), room])
    sound = noises.mix(noises.echo(sound, rng, wet=0.5), noises.compressor_hum(sound.size, rng), 12.0)
    wide = soxr.resample(sound, RATE, 44_100)
    with av.open(str(path), "w") as film:
        picture = film.add_stream("mpeg4", rate=5)
        picture.width, picture.height, picture.pix_fmt = 64, 48, "yuv420p"
        voice = film.add_stream("aac", rate=44_100, layout="mono")
        for k in range(int(sound.size / RATE * 5)):
            frame = av.VideoFrame.from_ndarray(np.full((48, 64, 3), k % 200, np.uint8), format="rgb24")
            film.mux(picture.encode(frame))
        for at in range(0, wide.size, 1024):
            piece = av.AudioFrame.from_ndarray(wide[None, at : at + 1024], format="fltp", layout="mono")
            piece.rate, piece.pts, piece.time_base = 44_100, at, Fraction(1, 44_100)
            film.mux(voice.encode(piece))
        film.mux(picture.encode(None))
        film.mux(voice.encode(None))


def test_a_sitting_is_found_in_a_film(journal: Journal, tmp_path: Path) -> None:
    film = tmp_path / "bench.mp4"
    film_of(film, lead=17.4, rng=np.random.default_rng(4))
    shares: list[float] = []
    found = align_film(journal, SITTING, film, on_progress=lambda text, share: shares.append(share))
    # AAC puts its priming in front (about 1,024 samples, 23 ms), which players and this decoder leave in or out.
    assert found.offset == pytest.approx(17.4, abs=0.030)
    assert abs(found.drift) * 120 < 0.005
    assert shares == sorted(shares)
    assert journal.record("C-1").sittings[SITTING].cameras == (found,)


def test_a_sound_file_does_as_well(journal: Journal, tmp_path: Path) -> None:
    room = read_stretch(folder_of(SITTING), 30.0, 110.0)
    soundfile.write(tmp_path / "camera.wav", room, RATE)
    found = align_film(journal, SITTING, tmp_path / "camera.wav")
    assert found.offset == pytest.approx(-30.0, abs=0.002)


@pytest.mark.parametrize(
    ("content", "says"), [(b"not a film at all" * 50, "can't be read as a film"), (b"", "is empty")]
)
def test_what_is_no_film_is_refused(journal: Journal, tmp_path: Path, content: bytes, says: str) -> None:
    (tmp_path / "film.mp4").write_bytes(content)
    with pytest.raises(SoundError, match=says):
        align_film(journal, SITTING, tmp_path / "film.mp4")
    with pytest.raises(UnknownSittingError):
        align_film(journal, "C-1-s9", tmp_path / "film.mp4")


def test_a_blanked_stretch_is_gone_from_sound_words_and_file(journal: Journal) -> None:
    before = read_stretch(folder_of(SITTING), 0.0, 120.0)
    gone = blanking.blank_stretch(journal, SITTING, 57.0, 63.0, reason="not for the record")
    after = read_stretch(folder_of(SITTING), 0.0, 120.0)
    assert not after[57 * RATE : 63 * RATE].any()
    assert np.array_equal(after[: 57 * RATE], before[: 57 * RATE])
    assert np.array_equal(after[63 * RATE :], before[63 * RATE :])
    assert (gone.seconds, gone.utterances, gone.outside) == (pytest.approx(6.0), 1, ())
    record = journal.record("C-1")
    assert [said.blanked for said in record.said.values()] == [False, True, False]
    assert record.sittings[SITTING].blanked[0].reason == "not for the record"
    for kept in record.sittings[SITTING].sounds:
        assert kept.sha256 == sj.fingerprint(paths.data() / kept.path)
    assert len(record.sittings[SITTING].sounds) == 2
    for path in paths.data().rglob("*"):
        if path.is_file() and path.suffix in (".db", ".db-wal"):
            assert b"padlock" not in path.read_bytes()


def test_a_file_of_the_persons_own_is_left_alone(journal: Journal, tmp_path: Path) -> None:
    own = tmp_path / "mine.wav"
    soundfile.write(own, np.full(RATE, 0.5, np.float32), RATE)
    journal.append(SoundKept(sitting=SITTING, path=str(own), start=200.0, seconds=1.0, rate=RATE), "C-1")
    content = own.read_bytes()
    assert blanking.blank_stretch(journal, SITTING, 200.0, 201.0).outside == (own,)
    assert own.read_bytes() == content


def test_nothing_is_blanked_while_it_is_recorded_or_back_to_front(journal: Journal) -> None:
    with Lock(folder_of(SITTING)), pytest.raises(BenchvoiceError, match="being recorded"):
        blanking.blank_stretch(journal, SITTING, 1.0, 2.0)
    with pytest.raises(BenchvoiceError, match="no stretch"):
        blanking.blank_stretch(journal, SITTING, 2.0, 1.0)
    assert not any(said.blanked for said in journal.record("C-1").said.values())
