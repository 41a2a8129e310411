"""A sitting before it runs: new, or taken up again after a crash, and the lock that lets only one program record it."""

from __future__ import annotations

import fcntl
import os
import secrets
import time
from dataclasses import dataclass, field
from pathlib import Path
from typing import Self
from urllib.parse import quote

from benchvoice import paths
from benchvoice.app.live.ear import EarMaker
from benchvoice.audio import segments as sj
from benchvoice.domain.record import Record, Sitting
from benchvoice.errors import BenchvoiceError


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """What a live sitting starts from. Times are seconds of the sitting.

    `begin`: where recording goes on. `since`: from where on the sound has not been heard yet. `known`: the files that
    the journal knows already, by name. `again`: this sitting broke off and is taken up.
    """

    sitting: str
    folder: Path
    maker: EarMaker
    begin: float = 0.0
    since: float = 0.0
    known: frozenset[str] = field(default_factory=frozenset)
    again: bool = False


def folder_of(sitting: str, base: Path | None = None) -> Path:
    """The folder of a sitting's sound. Stock numbers are a person's own words, so whatever is not plain is escaped."""
    return sj.folder_for(base or paths.sound(), quote(sitting, safe="-_ "))


def fresh(sitting: str, maker: EarMaker, *, base: Path | None = None) -> Plan:
    """A new sitting."""
    return Plan(sitting=sitting, folder=folder_of(sitting, base), maker=maker)


def again(record: Record, sitting: str, maker: EarMaker, *, base: Path | None = None, now: float | None = None) -> Plan:
    """A sitting that was not closed, from where it broke off. `now`: wall clock, seconds since the epoch.

    Its files are repaired, so nobody may be recording it.
    """
    kept = record.sittings[sitting]
    folder = folder_of(sitting, base)
    with Lock(folder):
        end = max((segment.end for segment in sj.repair(folder)), default=0.0)
    clock = (time.time() if now is None else now) - kept.at
    return Plan(
        sitting=sitting,
        folder=folder,
        maker=maker,
        # A clock that was set back must not lay new sound over old.
        begin=max(clock, end + 1.0),
        since=heard_until(record, kept, sitting),
        known=frozenset(Path(sound.path).stem for sound in kept.sounds),
        again=True,
    )


def loose_name() -> str:
    """The name of a sitting that belongs to no engine."""
    return time.strftime("loose-%Y%m%d-%H%M%S-") + secrets.token_hex(2)


def heard_until(record: Record, kept: Sitting, sitting: str) -> float:
    """Up to where the sound of a sitting was gone through, as far as the journal knows."""
    ends = [
        said.heard.utterance.t1
        for (name, _), said in record.said.items()
        if name == sitting and said.heard.utterance.t1 is not None
    ]
    ends += [gap.t1 for gap in kept.gaps if gap.why == "recogniser_failed" and gap.t1 is not None]
    return max(ends, default=0.0)


class Lock:
    """One recorder a sitting. Held by the system: it goes with the process, however that ends."""

    def __init__(self, folder: Path) -> None:
        self._path = folder / "lock"
        self._file: int | None = None

    def __enter__(self) -> Self:
        file = os.open(self._path, os.O_RDWR | os.O_CREAT | os.O_CLOEXEC, 0o600)
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except OSError as error:
            os.close(file)
            raise BenchvoiceError(
                "This sitting is being recorded by another program.",
                hint="Stop that one first, or open a new sitting.",
            ) from error
        self._file = file
        return self

    def __exit__(self, *_: object) -> None:
        if self._file is not None:
            os.close(self._file)
            self._file = None

    @classmethod
    def held(cls, folder: Path) -> bool:
        """True while some program records this sitting."""
        if not folder.exists():
            return False
        try:
            with cls(folder):
                return False
        except BenchvoiceError:
            return True
