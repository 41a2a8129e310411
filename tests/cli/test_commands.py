from __future__ import annotations

import importlib
import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import click
import pytest

from benchvoice import lexicon
from benchvoice.app.review import Review
from benchvoice.cli.main import COMMANDS
from benchvoice.cli.main import cli as root
from benchvoice.journal import Journal
from tests.cli.conftest import Runner

NAMES = [(name, *target) for section in COMMANDS.values() for name, target in section.items()]


def accept_all(stock: str) -> None:
    with Journal.open() as journal:
        review = Review(journal, stock, lexicon.load())
        review.accept([entry.id for entry in review.unreviewed()])


@pytest.mark.parametrize(("name", "target", "line"), NAMES, ids=[name for name, *_ in NAMES])
def test_every_command_explains_itself_with_an_example(cli: Runner, name: str, target: str, line: str) -> None:
    module, _, attribute = target.partition(":")
    command = getattr(importlib.import_module(module), attribute)
    assert isinstance(command, click.Command)
    assert command.name == name
    ran = cli(name, "--help")
    assert (ran.status, ran.err) == (0, "")
    assert "Usage: benchvoice" in ran.out
    commands = command.commands.values() if isinstance(command, click.Group) else [command]
    for item in commands:
        assert item.help
        assert f"benchvoice {name}" in item.help, "an example that can be pasted"
    assert line.endswith((".", "?"))
    assert len(line) <= 80


def test_help_lists_all_commands_by_section(cli: Runner) -> None:
    ran = cli("--help")
    assert ran.status == 0
    assert all(f"\n  {name} " in ran.out for name, *_ in NAMES)
    assert [section for section in COMMANDS if f"{section}:" in ran.out] == list(COMMANDS)
    assert cli("-h").out == ran.out


def test_no_arguments_are_a_short_help_and_wrong_usage(cli: Runner) -> None:
    ran = cli()
    assert ran.status == 2
    assert ran.out == ""
    assert "Usage: benchvoice" in ran.err


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["engine"], "Did you mean engines?"),
        (["xyzzy"], "benchvoice --help"),
        (["show"], "STOCK"),
        (["read"], "TEXT"),
        (["read", "/no/such/file"], "No such file"),
        (["intake", "E-1", "--layout", "radial"], "radial"),
        (["report", "E-1"], "--to"),
        (["engines", "--yaml"], "--yaml"),
    ],
)
def test_wrong_command_lines_are_status_2(cli: Runner, arguments: list[str], says: str) -> None:
    ran = cli(*arguments)
    assert (ran.status, ran.out) == (2, "")
    assert says in ran.err
    assert "Traceback" not in ran.err


@pytest.mark.parametrize(
    "arguments",
    [
        ["show", "E-9"],
        ["review", "E-9"],
        ["file", "E-9", "--by", "x"],
        ["report", "E-9", "--to", "x"],
        ["rerun", "E-9"],
        ["read", "-", "--engine", "E-9"],
        ["intake", "E-9", "--amend"],
    ],
    ids=lambda arguments: arguments[0],
)
def test_an_unknown_stock_number_is_one_line_and_status_1(cli: Runner, arguments: list[str]) -> None:
    ran = cli(*arguments)
    assert (ran.status, ran.out) == (1, "")
    (line,) = ran.err.splitlines()
    assert line.startswith("benchvoice: No engine has the stock number E-9.")


def test_version(cli: Runner) -> None:
    from benchvoice import __version__

    assert __version__ in cli("--version").out


def test_intake_and_the_list_of_engines(cli: Runner) -> None:
    assert "benchvoice intake" in cli("engines").err
    assert cli("engines", "--json").document == []
    said = ("--claimed", "ran when pulled", "--claimed", "low miles", "--vin", "1M8GDM9AXKP042788", "--json")
    what = ("--maker", "Vennbrook", "--layout", "vee", "--cylinders", "6", "--cost", "420.00")
    ran = cli("intake", "E-0417", *what, *said)
    assert ran.status == 0
    assert ran.document["cost"] == "420.00"
    assert ran.document["claimed"] == ["ran when pulled", "low miles"]
    assert "read back" in ran.err
    (line,) = cli("engines", "--json").document
    assert (line["stock"], line["what"], line["layout"], line["cylinders"]) == ("E-0417", "Vennbrook", "vee", 6)
    assert "E-0417" in cli("engines").out
    again = cli("intake", "E-0417", "--layout", "vee", "--cylinders", "6")
    assert (again.status, again.out) == (1, "")
    assert "is taken" in again.err
    amended = cli("intake", "e-0417", "--amend", "--source", "an auction", "--numbering-confirmed", "--json").document
    assert (amended["maker"], amended["source"], amended["numbering"]["confirmed"]) == ("Vennbrook", "an auction", True)


def test_intake_draws_the_numbering(cli: Runner) -> None:
    ran = cli("intake", "E-1", "--layout", "vee", "--cylinders", "6", "--numbered-from", "flywheel")
    assert "main 4" in ran.out
    assert "flywheel" in ran.out


def test_intake_from_a_file(cli: Runner, tmp_path: Path) -> None:
    file = tmp_path / "engine.toml"
    file.write_text('stock = "E-2"\nlayout = "inline"\ncylinders = 4\n')
    assert cli("intake", "--from", file, "--fuel", "diesel", "--json").document["fuel"] == "diesel"
    file.write_text('stock = "E-3"\nlayout = "inline"\ncylinders = "many"\ncolour = 3\n')
    ran = cli("intake", "--from", file)
    assert ran.status == 1
    assert all(word in ran.err for word in (str(file), "cylinders", "colour"))
    assert len(ran.err.splitlines()) == 1


@pytest.mark.parametrize("arguments", [[], ["E-1"], ["E-1", "--layout", "vee"]])
def test_intake_without_the_layout_guesses_nothing(cli: Runner, arguments: list[str]) -> None:
    assert cli("intake", *arguments).status in (1, 2)
    assert cli("engines", "--json").document == []


def test_intake_refuses_a_number_that_doesnt_check_and_says_what_to_do(cli: Runner) -> None:
    arguments = ["intake", "E-1", "--layout", "inline", "--cylinders", "4", "--vin", "1M8GDM9A0KP042788"]
    ran = cli(*arguments)
    assert ran.status == 1
    assert "should be X" in ran.err
    assert "--vin-note" in ran.err
    assert cli(*arguments, "--vin-note", "another market").status == 0


def test_read_speaks_the_contract(cli: Runner) -> None:
    ran = cli("read", "-", "--json", stdin=b"number three rod bearing is wiped\nstrike that\nnice weather\n")
    assert (ran.status, ran.err) == (0, "")
    first, second, third = ran.lines
    whole = ("t0", "t1", "text", "confidence", "n", "domain", "recogniser", "withdraws")
    assert {key: first[key] for key in whole} == {
        "t0": None, "t1": None, "text": "number three rod bearing is wiped", "confidence": 1.0, "n": 0, "domain": True,
        "recogniser": "text", "withdraws": [],
    }  # fmt: skip
    (finding,) = first["findings"]
    assert {key: finding[key] for key in ("kind", "part", "place", "condition", "present", "degree", "hedged")} == {
        "kind": "condition", "part": "rod_bearing", "place": {"cylinder": 3}, "condition": "wiped", "present": True,
        "degree": None, "hedged": False,
    }  # fmt: skip
    assert second["withdraws"] == [0]
    assert third["findings"] == []
    with Journal.open() as journal:
        assert journal.engines() == [], "no record is touched unless one is named"


def test_read_from_a_file_for_people_and_explained(cli: Runner, tmp_path: Path) -> None:
    file = tmp_path / "talk.txt"
    file.write_text("number three rod bearing is wiped\n")
    assert "rod bearing 3: wiped" in cli("read", file).out
    assert "rule" in cli("read", file, "--explain").out


def test_read_keeps_the_talk_with_an_engine(cli: Runner, engine: str) -> None:
    shown = cli("show", engine, "--json").document
    assert [item["sitting"] for item in shown["sittings"]] == ["E-0417-s1"]
    assert [(item["part"], item["status"]) for item in shown["findings"]] == [
        ("rod_bearing", "proposed"), ("rod_bearing", "proposed"), ("cylinder_bore", "proposed"),
    ]  # fmt: skip
    assert len(cli("show", engine, "--json", "--all").document["utterances"]) == 3


def test_each_line_is_out_as_soon_as_it_is_read(home: Path) -> None:
    """A pipe gets a line while the next one hasn't been typed yet."""
    reader = subprocess.Popen(
        [sys.executable, "-m", "benchvoice", "read", "-", "--json"], stdin=subprocess.PIPE, stdout=subprocess.PIPE
    )
    assert reader.stdin
    assert reader.stdout
    for n in range(2):
        reader.stdin.write(b"number three rod bearing is wiped\n")
        reader.stdin.flush()
        assert json.loads(reader.stdout.readline())["n"] == n
    reader.stdin.close()
    assert reader.wait(timeout=30) == 0


def test_filing_and_reporting(cli: Runner, engine: str, tmp_path: Path) -> None:
    refused = cli("file", engine, "--by", "An invented shop")
    assert (refused.status, refused.out) == (1, "")
    assert "E-0417-s1.0.0" in refused.err
    nothing = cli("report", engine, "--to", tmp_path / "out")
    assert nothing.status == 1
    assert not (tmp_path / "out").exists()
    accept_all(engine)
    assert "shop's name" in cli("file", engine).err
    draft = cli("report", engine, "--to", tmp_path / "draft")
    assert "draft" in draft.err
    filed = cli("file", engine, "--by", "An invented shop", "--json").document
    assert (filed["revision"], len(filed["finding_ids"]), len(filed["sha256"])) == (1, 3, 64)
    assert cli("file", engine).status == 1, "nothing changed"
    ran = cli("report", engine, "--to", tmp_path / "out", "--json")
    assert (ran.status, ran.err) == (0, "")
    assert (ran.document["revision"], ran.document["sha256"]) == (1, filed["sha256"])
    assert sorted(path.suffix for path in (tmp_path / "out").iterdir()) == [".csv", ".html", ".json", ".md"]
    text = (tmp_path / "out" / "E-0417-report.md").read_text()
    assert "Rod bearing 3" in text
    assert "An invented shop" in text, "the shop's name is remembered"
    again = cli("report", engine, "--to", tmp_path / "out")
    assert (again.status, len(again.err.splitlines())) == (1, 1)
    assert cli("report", engine, "--to", tmp_path / "out", "--overwrite").status == 0


def test_the_report_keeps_to_what_was_filed(cli: Runner, engine: str, tmp_path: Path) -> None:
    accept_all(engine)
    cli("file", engine, "--by", "An invented shop")
    with Journal.open() as journal:
        Review(journal, engine, lexicon.load()).move(["E-0417-s1.0.0"], cylinder=6)
    ran = cli("report", engine, "--to", tmp_path)
    assert "has changed since revision 1" in ran.err
    assert "Rod bearing 6" not in (tmp_path / "E-0417-report.md").read_text()
    cli("file", engine)
    cli("report", engine, "--to", tmp_path, "--overwrite")
    assert "Rod bearing 6" in (tmp_path / "E-0417-report.md").read_text()
    older = cli("report", engine, "--to", tmp_path, "--overwrite", "--revision", "1")
    assert "not the newest" in older.err
    assert "Rod bearing 6" not in (tmp_path / "E-0417-report.md").read_text()
    assert cli("report", engine, "--to", tmp_path, "--revision", "7").status == 1


def test_show_an_old_revision(cli: Runner, engine: str) -> None:
    accept_all(engine)
    cli("file", engine, "--by", "An invented shop")
    with Journal.open() as journal:
        Review(journal, engine, lexicon.load()).move(["E-0417-s1.0.0"], cylinder=6)
    now = cli("show", engine, "--json").document
    old = cli("show", engine, "--revision", "1", "--json").document
    assert (now["findings"][0]["place"], old["findings"][0]["place"]) == ({"cylinder": 6}, {"cylinder": 3})
    assert "rod bearing 6" in cli("show", engine).out


def test_the_history_says_what_was_heard_what_it_became_and_what_was_undone(cli: Runner, engine: str) -> None:
    with Journal.open() as journal:
        review = Review(journal, engine, lexicon.load())
        review.correct_words("E-0417-s1", 0, "number six rod bearing is wiped")
        review.accept(["E-0417-s1.2.0"])
        review.undo()
    words, later, accepted = cli("show", engine, "--history", "--json").document
    assert (words["heard"], words["became"], words["undone"]) == (
        "number three rod bearing is wiped", "number six rod bearing is wiped", False,
    )  # fmt: skip
    assert (later["what"], later["n"]) == ("read_again", 1), "what followed from it"
    assert (accepted["finding"], accepted["undone"]) == ("E-0417-s1.2.0", True)
    assert "undone" in cli("show", engine, "--history").out


def test_open_questions_are_shown(cli: Runner, engine: str) -> None:
    cli("read", "-", "--engine", engine, stdin=b"question check the oil pump later\n")
    assert "question: check the oil pump later" in cli("show", engine).out


def test_rerun_with_the_same_grammars(cli: Runner, engine: str) -> None:
    ran = cli("rerun", engine)
    assert (ran.status, ran.out) == (0, "")
    assert "0 of 3" in ran.err


def test_review_needs_a_terminal_and_says_what_else_there_is(cli: Runner, engine: str) -> None:
    ran = cli("review", engine)
    assert ran.status == 1
    assert "terminal" in ran.err
    assert "show" in ran.err


def test_the_grammars_are_checked_sampled_and_shown(cli: Runner, tmp_path: Path) -> None:
    assert "No problem" in cli("grammar", "check").out
    assert cli("grammar", "check", "--json").document["problems"] == []
    first = cli("grammar", "sample", "-n", "5", "--seed", "3").out
    assert len(first.splitlines()) == 5
    assert cli("grammar", "sample", "-n", "5", "--seed", "3").out == first
    assert "rod_bearing" in cli("grammar", "show", "big", "end", "bearing").out
    own = tmp_path / "own"
    own.mkdir()
    (own / "conditions.toml").write_text('[scored]\nadj = 3\n\n[fresh]\nopposites = ["nothing_known"]\n')
    ran = cli("grammar", "check", own)
    assert ran.status == 1
    assert "conditions.toml:" in ran.out
    assert "to mend" in ran.err
    ran = cli("grammar", "check", own, "--json")
    assert (ran.status, len(ran.document["problems"]) > 0) == (1, True)


def test_guessed_words_are_told_as_lines_to_correct(cli: Runner, home: Path) -> None:
    assert cli("grammar", "check", "--json").document["guessed"] == {}
    own = home / "config" / "grammars" / "en"
    own.mkdir(parents=True)
    (own / "conditions.toml").write_text('[scored]\nadj = ["gronkled", "zs9ed"]\n')
    (own / "sentences").mkdir()
    out = cli("grammar", "check").out
    assert 'gronkled = ["G R AA NG K AH L D"]' in out
    assert "not heard: zs9ed" in out
    (own / "pronunciations.toml").write_text('[words]\ngronkled = ["G R UH NG K AH L D"]\nzs9ed = ["Z IY"]\n')
    found = cli("grammar", "check", "--json").document
    assert (found["guessed"], found["unheard"]) == ({}, [])
    (own / "pronunciations.toml").write_text('[words]\ngronkled = ["G QQ"]\n')
    (own / "sentences" / "own.toml").write_text('[[pattern]]\ntext = "{nothing_known}"\n')
    ran = cli("grammar", "check")
    assert ran.status == 1
    assert {line.split(": ")[0].rpartition("/")[2] for line in ran.out.splitlines()} == {
        "pronunciations.toml:2", "own.toml:1",
    }  # fmt: skip
    ran = cli("grammar", "check", own)
    assert (ran.status, len(ran.out.splitlines())) == (1, 2)


def test_unreadable_grammars_are_one_line_with_file_and_line(cli: Runner, home: Path) -> None:
    own = home / "config" / "grammars" / "en"
    own.mkdir(parents=True)
    (own / "parts.toml").write_text("[rod_bearing\n")
    ran = cli("read", "-", stdin=b"rod bearing three is wiped\n")
    assert (ran.status, ran.out) == (1, "")
    assert "parts.toml:1" in ran.err
    assert len(ran.err.splitlines()) == 1


def test_recognisers_are_listed(cli: Runner) -> None:
    found = {item["name"]: item for item in cli("recognisers", "--json").document}
    assert found["pocketsphinx"]["usable"]
    assert all(item["why"] for item in found.values())
    assert "pocketsphinx" in cli("recognisers").out


def test_rescue(cli: Runner, engine: str, home: Path) -> None:
    (home / "journal.db").write_bytes(b"garbage" * 1000)
    (home / "journal.db-wal").unlink(missing_ok=True)
    ran = cli("engines")
    assert (ran.status, ran.out) == (1, "")
    assert "benchvoice rescue" in ran.err
    assert len(ran.err.splitlines()) == 1
    ran = cli("rescue", "--json")
    assert ran.document["events"] == 0
    assert Path(ran.document["aside"]).read_bytes() == b"garbage" * 1000
    assert cli("engines").status == 0
    assert "carried over" in cli("rescue").out


def test_escape_sequences_in_words_never_reach_the_terminal(cli: Runner) -> None:
    cli("intake", "E-1", "--layout", "inline", "--cylinders", "4", "--maker", "\x1b[31mred\x07\u202e")
    cli("read", "-", "--engine", "E-1", stdin=b"\x1b]0;title\x07rod bearing three is wiped \x9b31m\n")
    for ran in (
        cli("engines"),
        cli("show", "E-1"),
        cli("show", "E-1", "--all"),
        cli("read", "-", stdin=b"\x1b[2J hello\n"),
    ):
        assert ran.status == 0
        for text in (ran.out, ran.err):
            assert not set(text) & {"\x1b", "\x07", "\x9b", "\u202e"}


def test_a_fault_of_ours_is_one_line_and_the_details_are_kept(
    cli: Runner, home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fails(self: Journal) -> None:
        raise ZeroDivisionError("over there")

    monkeypatch.setattr(Journal, "engines", fails)
    ran = cli("engines")
    assert (ran.status, ran.out) == (1, "")
    assert len(ran.err.splitlines()) == 1
    assert "Traceback" not in ran.err
    assert "over there" in (home / "faults.log").read_text()


def test_a_full_disk_is_one_line(cli: Runner, monkeypatch: pytest.MonkeyPatch) -> None:
    import errno

    def fails(self: Journal) -> None:
        raise OSError(errno.ENOSPC, "No space left on device", "/somewhere")

    monkeypatch.setattr(Journal, "engines", fails)
    ran = cli("engines")
    assert (ran.status, len(ran.err.splitlines())) == (1, 1)
    assert "disk is full" in ran.err


def test_a_reader_that_goes_away_ends_it_quietly(home: Path) -> None:
    shell = f"{sys.executable} -m benchvoice grammar sample -n 5000 | head -1"
    done = subprocess.run(["bash", "-c", shell], capture_output=True, text=True, timeout=60, check=False)
    assert len(done.stdout.splitlines()) == 1
    assert done.stderr == ""


def test_stopping_by_the_keyboard_keeps_what_was_read(home: Path, cli: Runner) -> None:
    cli("intake", "E-1", "--layout", "inline", "--cylinders", "4")
    program = subprocess.Popen(
        [sys.executable, "-m", "benchvoice", "read", "-", "--engine", "E-1", "--json"],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
        # Tests that run in the background inherit an ignored SIGINT; a person's terminal doesn't.
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),  # noqa: PLW1509 no threads here
    )  # fmt: skip
    assert program.stdin
    assert program.stdout
    assert program.stderr
    program.stdin.write(b"number three rod bearing is wiped\n")
    program.stdin.flush()
    program.stdout.readline()
    time.sleep(0.2)
    program.send_signal(signal.SIGINT)
    assert program.wait(timeout=30) == 130
    assert b"Traceback" not in program.stderr.read()
    assert len(cli("show", "E-1", "--json").document["findings"]) == 1


def test_completion_knows_commands_and_stock_numbers(cli: Runner, engine: str) -> None:
    from click.shell_completion import ShellComplete

    completer = ShellComplete(root, {}, "benchvoice", "_BENCHVOICE_COMPLETE")
    assert [item.value for item in completer.get_completions([], "eng")] == ["engines"]
    assert [item.value for item in completer.get_completions(["show"], "e-")] == ["E-0417"]


def test_nothing_opens_a_network_socket(cli: Runner, tmp_path: Path) -> None:
    code = """
import socket, sys
def refuse(*arguments, **named):
    raise SystemExit("a socket was opened")
socket.socket.connect = socket.create_connection = socket.getaddrinfo = refuse
from benchvoice.cli.main import run
for line in (["intake", "E-1", "--layout", "inline", "--cylinders", "4"], ["recognisers"], ["engines"], ["show", "E-1"],
             ["grammar", "check"], ["rerun", "E-1"]):
    assert run(line) == 0, line
"""
    done = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, timeout=120, check=False, env={**os.environ}
    )
    assert (done.returncode, "socket" in done.stderr) == (0, False), done.stderr
