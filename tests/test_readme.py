"""The README's commands do what it says they do."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")


def block(kind: str, name: str) -> str:
    """The code block after `<!-- kind: name -->`."""
    found = re.search(rf"<!-- {kind}: {name} -->\n```\w*\n(.*?)```", README, re.DOTALL)
    assert found, f"README.md has no {kind} {name}"
    return found.group(1)


ACCEPT_ALL = "waits\naccept\n" * 60 + "quit\n"


def run(command: str, folder: Path, home: Path, typed: str = "") -> subprocess.CompletedProcess[str]:
    path = f"{Path(sys.executable).parent}{os.pathsep}{os.environ['PATH']}"
    return subprocess.run(
        ["bash", "-euo", "pipefail", "-c", command],
        cwd=folder,
        env={**os.environ, "PATH": path, "BENCHVOICE_HOME": str(home)},
        text=True,
        input=typed,
        capture_output=True,
        check=False,
    )


def test_the_example_prints_what_the_readme_shows(tmp_path: Path) -> None:
    done = run(block("command", "example"), tmp_path, tmp_path / "home")
    assert done.returncode == 0, done.stderr
    assert done.stdout == block("output", "example")


@pytest.mark.sound
def test_a_day_of_commands_runs_from_intake_to_report(tmp_path: Path) -> None:
    shutil.copy(ROOT / "demo_audio" / "ferry-four.flac", tmp_path / "teardown.flac")
    for line in block("command", "day").splitlines():
        done = run(line, tmp_path, tmp_path / "home", ACCEPT_ALL)
        assert done.returncode == 0, f"{line}\n{done.stderr}"
    assert {path.suffix for path in (tmp_path / "reports").iterdir()} >= {".md", ".html", ".csv", ".json"}


@pytest.mark.parametrize("name", ["demo", "tests"])
def test_each_main_command_is_one_line(name: str) -> None:
    assert block("command", name).count("\n") == 1


@pytest.mark.parametrize("link", re.findall(r"\]\((?!https?:)([^)#]+)\)", README))
def test_links_lead_somewhere(link: str) -> None:
    assert (ROOT / link).exists()


def test_the_top_level_holds_what_the_map_names() -> None:
    tracked = subprocess.run(["git", "ls-files"], cwd=ROOT, text=True, capture_output=True, check=False)
    if tracked.returncode:
        pytest.skip("not a checkout")
    tops = {name.partition("/")[0] for name in tracked.stdout.splitlines()}
    assert tops == {
        "README.md", "DEVELOPERS.md", "pyproject.toml", "LICENSE", "benchvoice", "grammars", "tests", "demo_audio",
        ".ci", ".gitignore",
    }  # fmt: skip
