from __future__ import annotations

import io
import json
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from benchvoice.cli.main import run


@dataclass(frozen=True)
class Ran:
    status: int
    out: str
    err: str

    @property
    def document(self) -> Any:
        return json.loads(self.out)

    @property
    def lines(self) -> list[Any]:
        return [json.loads(line) for line in self.out.splitlines()]


Runner = Callable[..., Ran]


@pytest.fixture(autouse=True)
def home(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The machine of nobody."""
    monkeypatch.setenv("BENCHVOICE_HOME", str(tmp_path / "home"))
    return tmp_path / "home"


@pytest.fixture
def cli(capfd: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Runner:
    """Runs one command line in this process, through the entry point that the console script calls."""

    def call(*arguments: str | Path, stdin: bytes = b"") -> Ran:
        monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(stdin), encoding="utf-8"))
        capfd.readouterr()
        status = run([str(argument) for argument in arguments])
        sys.stdout.flush()
        captured = capfd.readouterr()
        return Ran(status, captured.out, captured.err)

    return call


@pytest.fixture
def engine(cli: Runner) -> str:
    """An engine that was taken in and talked about."""
    assert cli("intake", "E-0417", "--layout", "vee", "--cylinders", "6").status == 0
    talk = b"number three rod bearing is wiped\ncopper showing\nbore one measures three point five four two\n"
    assert cli("read", "-", "--engine", "E-0417", stdin=talk).status == 0
    return "E-0417"
