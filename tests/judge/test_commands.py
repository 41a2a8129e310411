"""`benchvoice judge` and `benchvoice unseen`, from talk in a real journal to pages and JSON."""

from __future__ import annotations

import io
import json
import subprocess
import sys
from pathlib import Path

import pytest

from benchvoice.cli.main import run
from benchvoice.resources import folder

TALK = b"""pickup screen is plugged with silicone
number three rod bearing is wiped
number four rod bearing is wiped
number two main bearing is good
I did not pull the wrist pins
rods look good
"""
PRICES = Path(str(folder("demo_audio"))) / "prices.toml"


@pytest.fixture
def talked(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("BENCHVOICE_HOME", str(tmp_path / "home"))
    assert run(["intake", "E-0417", "--layout", "inline", "--cylinders", "4"]) == 0
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(TALK), encoding="utf-8"))
    assert run(["read", "-", "--engine", "E-0417"]) == 0


@pytest.mark.usefixtures("talked")
def test_judge_prints_pages_and_json(capfd: pytest.CaptureFixture[str]) -> None:
    capfd.readouterr()
    assert run(["judge", "E-0417", "--prices", str(PRICES)]) == 0
    shown = capfd.readouterr().out
    assert "Starved of oil" in shown
    assert "Invented prices" in shown
    assert run(["judge", "E-0417", "--prices", str(PRICES), "--json"]) == 0
    document = json.loads(capfd.readouterr().out)
    assert document["causes"][0]["id"] == "starved_of_oil"
    assert document["worth"]["plan"]["lots"]
    covered = {key for claim in document["claims"] for key in claim["covers"]}
    assert not any(key.startswith(("connecting_rod", "wrist_pin")) for key in covered)


@pytest.mark.usefixtures("talked")
def test_judge_without_prices_says_so(capfd: pytest.CaptureFixture[str]) -> None:
    capfd.readouterr()
    assert run(["judge", "E-0417"]) == 0
    captured = capfd.readouterr()
    assert "No prices" in captured.err
    assert "What it is worth" not in captured.out


@pytest.mark.usefixtures("talked")
def test_unseen_lists_what_was_not_opened(capfd: pytest.CaptureFixture[str]) -> None:
    capfd.readouterr()
    assert run(["unseen", "E-0417", "--json", "--all"]) == 0
    keys = {cell["key"] for cell in json.loads(capfd.readouterr().out)}
    assert "rod_bearing:cylinder=1" in keys
    assert "rod_bearing:cylinder=3" not in keys
    assert run(["unseen", "E-0417"]) == 0
    assert "rod bearings 1 and 2" in capfd.readouterr().out


@pytest.mark.usefixtures("talked")
def test_a_wrong_price_file_is_one_line(capfd: pytest.CaptureFixture[str], tmp_path: Path) -> None:
    wrong = tmp_path / "p.toml"
    wrong.write_text("[about]\n", encoding="utf-8")
    assert run(["judge", "E-0417", "--prices", str(wrong)]) == 1
    told = capfd.readouterr().err.strip().splitlines()[-1]
    assert "p.toml:1: currency is missing" in told


@pytest.mark.usefixtures("talked")
def test_overruling_is_kept_and_can_be_taken_back(capfd: pytest.CaptureFixture[str]) -> None:
    def causes() -> list[str]:
        capfd.readouterr()
        assert run(["judge", "E-0417", "--json"]) == 0
        return [item["id"] for item in json.loads(capfd.readouterr().out)["causes"]]

    assert causes()[0] == "starved_of_oil"
    ruling = ["judge", "E-0417", "--overrule", "cause:starved_of_oil"]
    assert run([*ruling, "rejected", "--because", "the screen was mine"]) == 0
    assert "your ruling: rejected, the screen was mine" in capfd.readouterr().out
    assert causes()[-1] == "starved_of_oil"
    assert run([*ruling, "as_judged"]) == 0
    assert causes()[0] == "starved_of_oil"
    assert run([*ruling, "perhaps"]) == 1
    assert "rejected, settled, as_judged" in capfd.readouterr().err
    assert run(["judge", "E-0417", "--overrule", "cause:starved", "rejected"]) == 1
    assert "Did you mean cause:starved_of_oil" in capfd.readouterr().err


def test_coverage_imports_no_scipy() -> None:
    """The review screen shows coverage; it must not wait for scipy."""
    script = "import sys, benchvoice.judge.coverage; sys.exit('scipy' in sys.modules or 'numpy' in sys.modules)"
    assert subprocess.run([sys.executable, "-c", script], check=False).returncode == 0
