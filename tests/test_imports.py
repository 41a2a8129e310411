"""What is loaded when: asking for help must come at once, and the core must stand on nothing heavy."""

from __future__ import annotations

import subprocess
import sys

import pytest

HEAVY = ("spacy", "textual", "scipy", "numpy", "pint", "matplotlib")
ALSO_LATE = (
    "sqlite_utils",
    "onnx",
    "onnxruntime",
    "pydantic",
    "rich",
    "vosk",
    "pocketsphinx",
    "sounddevice",
    "jinja2",
    "tomlkit",
    "fpdf",
)


def loaded(code: str) -> set[str]:
    """Top-level modules that a clean interpreter holds after running `code`."""
    script = f"{code}\nimport sys\nprint(*{{name.partition('.')[0] for name in sys.modules}}, file=sys.stderr)"
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True, timeout=60)
    return set(done.stderr.split())


def command(*arguments: str) -> str:
    return f"from benchvoice.cli.main import run\nassert run({list(arguments)!r}) == 0"


@pytest.mark.parametrize("arguments", [("--help",), ("--version",)])
def test_help_and_version_load_nothing_heavy(arguments: tuple[str, ...]) -> None:
    assert not loaded(command(*arguments)) & {*HEAVY, *ALSO_LATE}


@pytest.mark.parametrize("name", ["intake", "engines", "show", "file", "review", "report", "read", "grammar", "rerun"])
def test_a_commands_help_loads_nothing_heavy(name: str) -> None:
    assert not loaded(command(name, "--help")) & set(HEAVY)


@pytest.mark.parametrize(
    "module", ["benchvoice.domain.fold", "benchvoice.domain.contradictions", "benchvoice.domain.vin"]
)
def test_the_core_stands_on_the_standard_library(module: str) -> None:
    import sysconfig

    own = {"benchvoice"}
    third = {
        name
        for name in loaded(f"import {module}")
        if name not in sys.stdlib_module_names and not name.startswith("_") and name not in own
    }
    # What the interpreter itself brings at its start (site customisation) isn't ours.
    assert third <= loaded("pass"), sysconfig.get_paths()["purelib"]


def test_the_list_of_engines_loads_no_language_and_no_figures(tmp_path, monkeypatch) -> None:
    monkeypatch.setenv("BENCHVOICE_HOME", str(tmp_path))
    # sqlite-utils itself looks for numpy, to store its types.
    assert not loaded(command("engines")) & {*HEAVY} - {"numpy"}


def test_asking_for_help_opens_no_socket() -> None:
    code = "import socket\ndef no(*a, **k): raise SystemExit('socket')\nsocket.socket.connect = no\n"
    loaded(code + command("--help"))
