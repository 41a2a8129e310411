"""Makes the demo's sound from its scripts: `python -m demo_audio.make`.

Needs hibari-tts, flite (see voices.py) and the product's own numpy, scipy and soundfile. The same scripts and the same
versions of the voices give the same sound. Beside each FLAC file it writes the times of its utterances.
"""

from __future__ import annotations

import argparse
import json
import zlib
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import soundfile

from demo_audio import noises, voices

FOLDER = Path(__file__).resolve().parent


@dataclass(frozen=True, slots=True, kw_only=True)
class Take:
    """How one narration is spoken. Pauses in seconds; noise names with their distance to the speech in decibels."""

    voice: str
    shortest: float = 0.8
    longest: float = 1.3
    noise: tuple[tuple[str, float], ...] = ()
    room: float = 0.0
    """Share of echo, 0 for a dead room."""


TAKES = {
    "orchard-truck-six": Take(voice="heart_easy"),
    "orchard-truck-six-heads": Take(voice="heart", noise=(("compressor", 20.0), ("clatter", 26.0)), room=0.1),
    "ferry-four": Take(voice="slt"),
}

FLOOR = 10 ** (-68 / 20)
"""Every recording has a noise floor; total silence between words would be a sound that no microphone gives."""


def narration(path: Path) -> tuple[str, list[str]]:
    """The name and the utterances' words of a script file."""
    told = json.loads(path.read_text(encoding="utf-8"))
    return told["narration"], [utterance["say"] for utterance in told["utterances"]]


def perform(name: str, says: list[str], take: Take) -> tuple[voices.Sound, list[dict[str, object]]]:
    """The sound of a narration and, for each utterance, its words and times in seconds."""
    rng = np.random.default_rng(zlib.crc32(name.encode()))
    pieces: list[voices.Sound] = [np.zeros(voices.RATE, np.float32)]
    times: list[dict[str, object]] = []
    at = voices.RATE
    for n, say in enumerate(says):
        said = voices.speak(say, take.voice)
        pause = np.zeros(int(rng.uniform(take.shortest, take.longest) * voices.RATE), np.float32)
        times.append(
            {"n": n, "t0": round(at / voices.RATE, 3), "t1": round((at + said.size) / voices.RATE, 3), "say": say}
        )
        pieces += [said, pause]
        at += said.size + pause.size
    sound = np.concatenate(pieces)
    if take.room:
        sound = noises.echo(sound, rng, seconds=0.4, wet=take.room)
    spans = [(float(str(row["t0"])), float(str(row["t1"]))) for row in times]
    for noise, decibels in take.noise:
        sound = noises.mix(sound, noises.NOISES[noise](sound.size, rng), decibels, spans)
    return sound + np.float32(FLOOR) * noises.pink(sound.size, rng), times


def make(script: Path, to: Path) -> None:
    name, says = narration(script)
    sound, times = perform(name, says, TAKES[name])
    soundfile.write(to / f"{name}.flac", np.clip(sound, -1, 1), voices.RATE, subtype="PCM_16")
    seconds = sum(float(str(row["t1"])) - float(str(row["t0"])) for row in times)
    head = {"narration": name, "voice": TAKES[name].voice, "speech_seconds": round(seconds, 1)}
    head |= {"seconds": round(sound.size / voices.RATE, 1), "utterances": times}
    (to / f"{name}.times.json").write_text(json.dumps(head, indent=1) + "\n", encoding="utf-8")
    print(f"{name}: {sound.size / voices.RATE:.0f} s of sound, {seconds:.0f} s of it speech")


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--to", type=Path, default=FOLDER, help="folder for the sound (default: beside the scripts)")
    parser.add_argument("names", nargs="*", help="narrations to make (default: all)")
    chosen = parser.parse_args()
    chosen.to.mkdir(parents=True, exist_ok=True)
    for script in sorted((FOLDER / "scripts").glob("*.jsonl")):
        if not chosen.names or script.stem in chosen.names:
            make(script, chosen.to)


if __name__ == "__main__":
    main()
