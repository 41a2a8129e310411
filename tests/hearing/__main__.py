"""The hearing benchmark: `python -m tests.hearing`.

Makes its sound from the scripts (kept in the work folder for the next run), sends it through the product and prints a
table for the part that was tuned on and the part that was not. --quick takes a small slice, --help says the rest.
"""

from __future__ import annotations

import argparse
import json
import os
import sys
import time
from collections.abc import Iterator, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from pathlib import Path

from tests.hearing import corpus, human, run, scoring
from tests.hearing.corpus import Room, Take
from tests.hearing.scoring import Tally, percentile

STRANGERS = "strangers"
"""Talk whose sentences no model was made of; what is to be found in it was never written down."""
HEAD = (
    "| part | room | utterances | WER | finding F1 | precision | recall | domain | false/h | calibration | by chance "
    "| words' cal. | s per s | delay, median | delay, 95 % | covered |\n"
    "| --- | --- | ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: |"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """One row's work for one process."""

    part: str
    room: Room
    each: int
    share: int
    """Every so manieth narration only."""
    work: Path
    recogniser: str | None
    chatter: bool = False
    """The long scripts that are chatter alone, for false findings an hour."""


def prepare(job: Job) -> None:
    """Makes the sound, in another process than the hearing, whose memory is measured."""
    for _ in takes(job):
        pass


def takes(job: Job) -> Iterator[Take]:
    if job.part == STRANGERS:
        told = corpus.strangers()
    else:
        told = corpus.chatter(job.part) if job.chatter else corpus.load(job.part)
    return corpus.takes(told[:: job.share], job.room, job.work, each=job.each)


def do(job: Job) -> tuple[Job, Tally, float]:
    from benchvoice import lexicon
    from benchvoice.recognise import open_recogniser

    engine, words = open_recogniser(job.recogniser), lexicon.load()
    total = Tally()
    for _, tally in run.score_all(takes(job), engine, words):
        total.add(tally)
    engine.close()
    return job, total, run.peak_megabytes()


CHATTER_HEAD = (
    "| part | room | lines of chatter | minutes of speech | told apart | false findings | an hour |\n"
    "| --- | --- | ---: | ---: | ---: | ---: | ---: |"
)


def chatter_row(part: str, room: str, tally: Tally) -> str:
    cells = (
        part,
        room,
        f"{tally.lines}",
        f"{tally.chatter_seconds / 60:.1f}",
        f"{tally.domain_accuracy:.3f}",
        f"{tally.chatter_findings}",
        f"{tally.false_an_hour:.1f}",
    )
    return "| " + " | ".join(cells) + " |"


def row(part: str, room: str, tally: Tally) -> str:
    delays = tally.delays
    found = [f"{figure:.3f}" for figure in (tally.f1, tally.precision, tally.recall)]
    waits = [f"{percentile(delays, share):.2f} s" for share in (0.5, 0.95)]
    if part == STRANGERS:
        found, waits = ["-"] * len(found), ["-"] * len(waits)
    cells = (
        part,
        room,
        f"{tally.lines}",
        f"{tally.wer:.3f}",
        *found,
        f"{tally.domain_accuracy:.3f}",
        f"{tally.false_an_hour:.1f}",
        f"{tally.calibration_error:.3f}",
        f"{scoring.calibration_by_chance(tally.calibration):.3f}",
        f"{tally.word_calibration_error:.3f}",
        f"{tally.cost:.3f}",
        *waits,
        f"{tally.coverage:.3f}",
    )
    return "| " + " | ".join(cells) + " |"


def sums(heard: Sequence[tuple[Job, Tally]]) -> Iterator[tuple[str, str, Tally]]:
    """All noises of a level together, and all rooms: more lines, less left to chance."""
    for part in dict.fromkeys(job.part for job, _ in heard):
        mine = [(job.room, tally) for job, tally in heard if job.part == part]
        levels = sorted({room.decibels for room, _ in mine if room.noise is not None}, reverse=True)
        groups = [(f"all at {level:g} dB", [t for r, t in mine if r.noise and r.decibels == level]) for level in levels]
        for title, tallies in [*groups, ("all rooms", [tally for _, tally in mine])]:
            if len(tallies) > 1:
                total = Tally()
                for tally in tallies:
                    total.add(tally)
                yield part, title, total


def jobs(given: argparse.Namespace) -> list[Job]:
    rooms = [Room()] if given.quiet else corpus.rooms(given.rooms, given.levels)
    if given.quick:
        rooms = [Room(), Room(noise="compressor", decibels=15.0)]
    return [
        Job(
            part=part,
            room=room,
            each=given.each if room.noise is None else 1,
            share=3 if given.quick else 1,
            work=given.work,
            recogniser=given.recogniser,
        )
        for room in rooms
        for part in given.parts
    ]


def chatter_jobs(given: argparse.Namespace) -> list[Job]:
    """Long chatter: by several voices in the quiet, by one in each noise that was asked for."""
    ordinary = [job for job in jobs(given) if job.part != STRANGERS]
    return [replace(job, chatter=True, each=given.each if job.room.noise is None else 1) for job in ordinary]


def arguments(argv: Sequence[str]) -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m tests.hearing", description=__doc__)
    parser.add_argument("--work", type=Path, default=corpus.WORK, help="folder for the sound (default: %(default)s)")
    parser.add_argument("--quick", action="store_true", help="a third of the narrations, quiet and one noise")
    parser.add_argument("--quiet", action="store_true", help="no noise")
    parser.add_argument("--parts", nargs="+", default=["tuned", "held"], choices=["tuned", "held", STRANGERS])
    parser.add_argument("--rooms", nargs="+", default=list(corpus.ROOMS), choices=corpus.ROOMS)
    parser.add_argument("--levels", nargs="+", type=float, default=list(corpus.LEVELS), help="speech to noise, dB")
    parser.add_argument("--each", type=int, default=2, help="voices for each narration in the quiet (default 2)")
    parser.add_argument("--no-talk", action="store_true", help="the long chatter only")
    parser.add_argument("--no-chatter", action="store_true", help="without the long chatter")
    parser.add_argument("--recogniser", help="another one than the best that is here")
    parser.add_argument("--processes", type=int, default=max(1, (os.cpu_count() or 2) // 2))
    parser.add_argument("--json", type=Path, help="also write the figures to this file")
    return parser.parse_args(argv)


def main(argv: Sequence[str] | None = None) -> int:
    given = arguments(sys.argv[1:] if argv is None else argv)
    voices = corpus.speakers()
    if len(voices) < 4:
        print(f"Only {len(voices)} voices are here; hibari-tts, flite and espeak-ng bring them.", file=sys.stderr)
        if not voices:
            return 1
    print(f"Voices: {', '.join(voices)}. {os.cpu_count()} cores.\n\n{HEAD}", flush=True)
    began, peak, rows = time.monotonic(), 0.0, []
    heard: list[tuple[Job, Tally]] = []
    talk = [] if given.no_talk else jobs(given)
    chatter = [] if given.no_chatter else chatter_jobs(given)
    with ProcessPoolExecutor(given.processes) as pool:
        list(pool.map(prepare, talk + chatter))
    with ProcessPoolExecutor(given.processes) as pool:
        for job, tally, megabytes in pool.map(do, talk):
            peak = max(peak, megabytes)
            print(row(job.part, job.room.title, tally), flush=True)
            heard.append((job, tally))
            rows.append({"part": job.part, "room": job.room.title, "wer": tally.wer})
            rows[-1] |= {"domain": tally.domain_accuracy, "false_an_hour": tally.false_an_hour, "cost": tally.cost}
            rows[-1] |= {"calibration_error": tally.calibration_error, "utterances": tally.lines}
            if job.part != STRANGERS:
                rows[-1] |= {"f1": tally.f1, "delay_median": percentile(tally.delays, 0.5)}
                rows[-1] |= {"delay_95": percentile(tally.delays, 0.95)}
        for part, title, tally in sums(heard):
            print(row(part, title, tally), flush=True)
        print(f"\n{CHATTER_HEAD}", flush=True)
        for job, tally, megabytes in pool.map(do, chatter):
            peak = max(peak, megabytes)
            print(chatter_row(job.part, job.room.title, tally), flush=True)
            rows.append({"part": job.part, "room": job.room.title, "chatter": tally.lines})
            rows[-1] |= {"domain": tally.domain_accuracy, "false_findings": tally.chatter_findings}
    print(f"\nPeak memory of a process: {peak:.0f} MB. {time.monotonic() - began:.0f} s in all.")
    _print_human(given.recogniser)
    if given.json:
        given.json.write_text(json.dumps(rows, indent=1) + "\n", encoding="utf-8")
    return 0


def _print_human(recogniser: str | None) -> None:
    from benchvoice.recognise import open_recogniser

    if not human.recordings():
        print("\nNo human speech here: Debian's pocketsphinx-testdata is not installed.")
        return
    engine = open_recogniser(recogniser)
    print("\n| people's speech | recordings | words | WER |\n| --- | ---: | ---: | ---: |")
    for kind, (count, total, rate) in human.score(engine).items():
        print(f"| {kind} | {count} | {total} | {rate:.3f} |")
    engine.close()


if __name__ == "__main__":
    sys.exit(main())
