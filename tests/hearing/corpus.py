"""What is said in the hearing tests, spoken by synthetic voices in made-up rooms.

A script is narrations as `tests/narrations/README.md` describes them. A take is one narration by one voice in one room;
its sound is made once and kept in the work folder under a name that is the hash of all that went into it.
"""

from __future__ import annotations

import hashlib
import itertools
import json
import os
import zlib
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import platformdirs
import soundfile

from demo_audio import noises, voices

WORK = Path(platformdirs.user_cache_dir("benchvoice", appauthor=False)) / "hearing"
"""Where sound is kept for the next run, if nobody says otherwise."""
SCRIPTS = Path(__file__).resolve().parent / "scripts"
UNSEEN = Path(__file__).resolve().parents[1] / "recognise" / "unseen"
PIECE = 25
"""Lines of a stranger that are said in one sitting."""
SPEAKERS = ("heart", "slt", "rms", "heart_deep", "awb", "kal")
ROOMS = ("compressor", "impact", "radio", "echo", "pink")
LEVELS = (20.0, 15.0, 10.0, 5.0)
FLOOR = 10 ** (-66 / 20)
SHORTEST, LONGEST = 0.8, 1.6
"""Pause between two utterances, seconds: somebody whose hands are busy."""
MADE = "1"
"""Changes when the way of making sound does, so that old sound in a work folder is left alone."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One utterance of a script with what should be found in it."""

    say: str
    findings: tuple[dict[str, Any], ...] = ()
    domain: bool = True
    withdrawn: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Narration:
    name: str
    lines: tuple[Line, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """Where it is said. `noise` None is a quiet room; decibels are the distance of speech to noise."""

    noise: str | None = None
    decibels: float = 0.0

    @property
    def title(self) -> str:
        return "quiet" if self.noise is None else f"{self.noise} {self.decibels:g} dB"


@dataclass(frozen=True, slots=True, kw_only=True)
class Take:
    """A narration as it sounds. `spans` are the true times of its lines, seconds."""

    narration: Narration
    voice: str
    room: Room
    path: Path
    spans: tuple[tuple[float, float], ...]
    seconds: float


def load(part: str) -> list[Narration]:
    """The narrations of `scripts/PART.jsonl`."""
    out = []
    for row in (SCRIPTS / f"{part}.jsonl").read_text(encoding="utf-8").splitlines():
        told = json.loads(row)
        lines = tuple(
            Line(
                say=said["say"],
                findings=tuple(said["findings"]),
                domain=said.get("domain", True),
                withdrawn=said.get("withdrawn", False),
            )
            for said in told["utterances"]
        )
        out.append(Narration(name=told["narration"], lines=lines))
    return out


def strangers() -> list[Narration]:
    """What authors said whose sentences no model was made of, in pieces; nobody wrote down what is to be found in it.

    A line that begins with "# " is not about the engine.
    """
    found = []
    for path in sorted(UNSEEN.glob("*.txt")):
        texts = [text for text in path.read_text(encoding="utf-8").splitlines() if text.strip()]
        lines = [Line(say=text.removeprefix("# "), domain=not text.startswith("# ")) for text in texts]
        found += [
            Narration(name=f"unseen-{path.stem}-{at // PIECE + 1}", lines=tuple(lines[at : at + PIECE]))
            for at in range(0, len(lines), PIECE)
        ]
    return found


def chatter(part: str, *, each: int = 25) -> list[Narration]:
    """Talk that is not about the engine, from `scripts/chatter-PART.txt`, in pieces of `each` lines."""
    says = (SCRIPTS / f"chatter-{part}.txt").read_text(encoding="utf-8").splitlines()
    lines = [Line(say=say, domain=False) for say in says if say.strip()]
    return [
        Narration(name=f"chatter-{part}-{at // each + 1}", lines=tuple(lines[at : at + each]))
        for at in range(0, len(lines), each)
    ]


def rooms(names: Sequence[str] = ROOMS, levels: Sequence[float] = LEVELS) -> list[Room]:
    """Quiet, then every noise at every level. An echo has no level of its own: it comes with a little pink noise."""
    return [Room()] + [Room(noise=name, decibels=level) for name in names for level in levels]


def speakers() -> list[str]:
    """The voices that this machine can speak with."""
    return [name for name in SPEAKERS if voices.usable(name)]


def takes(narrations: Iterable[Narration], room: Room, work: Path, *, each: int = 1) -> Iterator[Take]:
    """Every narration in a room, by `each` voices that go round from narration to narration."""
    turn = itertools.cycle(speakers())
    for narration in narrations:
        for _ in range(each):
            yield take(narration, next(turn), room, work)


def take(narration: Narration, voice: str, room: Room, work: Path) -> Take:
    says = [line.say for line in narration.lines]
    key = json.dumps([MADE, says, repr(voices.VOICES[voice]), room.noise, room.decibels])
    path = work / f"{narration.name}-{hashlib.sha256(key.encode()).hexdigest()[:16]}.flac"
    times = path.with_suffix(".json")
    if not times.exists():
        sound, spans = _dry(says, voice, work)
        sound = _in_room(sound, spans, room, work, seed=zlib.crc32(key.encode()))
        _put(path, np.clip(sound, -1, 1))
        times.write_text(json.dumps({"spans": spans, "seconds": sound.size / voices.RATE}), encoding="utf-8")
    told = json.loads(times.read_text(encoding="utf-8"))
    spans = tuple((a, b) for a, b in told["spans"])
    return Take(narration=narration, voice=voice, room=room, path=path, spans=spans, seconds=told["seconds"])


def spoken(text: str, voice: str, work: Path) -> voices.Sound:
    """One utterance, dry, from the work folder or made now."""
    key = hashlib.sha256(repr((MADE, text, voices.VOICES[voice])).encode()).hexdigest()[:20]
    path = work / "said" / f"{key}.wav"
    if not path.exists():
        _put(path, voices.speak(text, voice))
    sound, _ = soundfile.read(path, dtype="float32")
    return np.asarray(sound, dtype=np.float32)


def radio_talk(work: Path) -> list[voices.Sound]:
    """What the radio says, by a voice that no speaker has, where there is one."""
    voice = "formant_us" if voices.usable("formant_us") else speakers()[-1]
    lines = (SCRIPTS / "radio.txt").read_text(encoding="utf-8").splitlines()
    return [spoken(line, voice, work) for line in lines if line.strip()]


def _dry(says: Sequence[str], voice: str, work: Path) -> tuple[voices.Sound, list[tuple[float, float]]]:
    rng = np.random.default_rng(zlib.crc32(repr((says, voice)).encode()))
    pieces = [np.zeros(voices.RATE, np.float32)]
    spans, at = [], voices.RATE
    for say in says:
        said = spoken(say, voice, work)
        pause = np.zeros(int(rng.uniform(SHORTEST, LONGEST) * voices.RATE), np.float32)
        spans.append((at / voices.RATE, (at + said.size) / voices.RATE))
        pieces += [said, pause]
        at += said.size + pause.size
    return np.concatenate(pieces), spans


def _put(path: Path, sound: voices.Sound) -> None:
    """Writes it in one step: another process may be making, or reading, the same."""
    path.parent.mkdir(parents=True, exist_ok=True)
    mine = path.with_name(f".{os.getpid()}-{path.name}")
    soundfile.write(mine, sound, voices.RATE, subtype="PCM_16")
    mine.replace(path)


def _in_room(
    sound: voices.Sound, spans: Sequence[tuple[float, float]], room: Room, work: Path, *, seed: int
) -> voices.Sound:
    rng = np.random.default_rng(seed)
    if room.noise == "echo":
        sound = noises.mix(noises.echo(sound, rng), noises.pink(sound.size, rng), room.decibels, spans)
    elif room.noise == "radio":
        sound = noises.mix(sound, noises.radio(sound.size, rng, radio_talk(work)), room.decibels, spans)
    elif room.noise is not None:
        sound = noises.mix(sound, noises.NOISES[room.noise](sound.size, rng), room.decibels, spans)
    return sound + np.float32(FLOOR) * noises.pink(sound.size, rng)
