"""`benchvoice figures` and `benchvoice spec check`, run as a person runs them, on a real journal."""

import json
from dataclasses import replace

import pytest

from benchvoice.cli.main import run
from benchvoice.domain.events import EngineTakenIn, FindingAdded, FindingsAccepted, SittingOpened
from benchvoice.journal import Journal
from tests.measure.records import DEMO, demo_record

STOCK = "QF-114"


@pytest.fixture
def home(tmp_path, monkeypatch):
    """A journal that holds the demo's six, with its sheet named at intake."""
    monkeypatch.setenv("BENCHVOICE_HOME", str(tmp_path))
    record = demo_record()
    engine = replace(record.engine, spec_sheet=str(DEMO / "spec.toml"))
    with Journal.open() as journal:
        journal.append(EngineTakenIn(engine=engine), STOCK)
        journal.append(SittingOpened(sitting="s1", source="text"), STOCK)
        added = [
            FindingAdded(finding_id=key, sitting="s1", n=None, finding=entry.finding)
            for key, entry in record.entries.items()
        ]
        journal.append([*added, FindingsAccepted(finding_ids=tuple(record.entries))], STOCK)
    return tmp_path


def test_figures_as_text(home, capsys):
    assert run(["figures", STOCK]) == 0
    out, err = capsys.readouterr()
    assert "Vennbrook Plover 34, an invented engine" in out
    assert "can't tell" in out
    assert "BEYOND" in out
    assert err == ""


def test_figures_as_json_with_the_bench_given(home, capsys):
    assert run(["figures", STOCK, "--json", "--altitude", "5000 ft", "--gauge", "bore gauge=0.00005 in"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert data["stock"] == STOCK
    assert data["sheet"]["invented"] is True
    names = {item["name"] for item in data["figures"]}
    assert {"compression_at_sea_level", "wear", "taper", "odd_one_out"} <= names
    bores = [item for item in data["figures"] if item["part"] == "cylinder_bore" and item["quantity"] == "diameter"]
    assert max(item["uncertainty"] for item in bores if item["name"] == "reading") < 0.0001


def test_only_what_was_filed(home, capsys):
    assert run(["figures", STOCK, "--filed", "--json"]) == 0
    accepted = json.loads(capsys.readouterr().out)["figures"]
    assert run(["file", STOCK, "--by", "a test"]) == 0
    capsys.readouterr()
    assert run(["figures", STOCK, "--filed", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["figures"] == accepted


def test_settings_of_the_bench_come_from_the_configuration(home, capsys):
    folder = home / "config"
    folder.mkdir()
    (folder / "bench.toml").write_text('altitude = "1500 m"\n[gauges]\n"bore gauge" = "0.001 mm"\n', encoding="utf-8")
    assert run(["figures", STOCK]) == 0
    assert "measured at 1500 m" in capsys.readouterr().out
    (folder / "bench.toml").write_text("altitude = ", encoding="utf-8")
    assert run(["figures", STOCK]) == 1
    assert capsys.readouterr().err.count("\n") == 1


@pytest.mark.parametrize(
    ("arguments", "status", "says"),
    [
        (["figures", "QF-999"], 1, "QF-114"),
        (["figures", STOCK, "--sheet", "nowhere.toml"], 1, "no file"),
        (["figures", STOCK, "--gauge", "bore gauge"], 2, "bore gauge=0.0001 in"),
        (["figures", STOCK, "--gauge", "crystal ball=1 in"], 1, "Known"),
        (["figures", STOCK, "--altitude", "high"], 1, "number with a unit"),
        (["figures", STOCK, "--altitude", "99 mi"], 1, "No bench"),
        (["spec", "check", "nowhere.toml"], 1, "no file"),
    ],
)
def test_what_goes_wrong_is_one_line_with_a_hint(home, capsys, arguments, status, says):
    assert run(arguments) == status
    out, err = capsys.readouterr()
    assert out == ""
    assert says in err
    assert "Traceback" not in err


def test_a_sheet_that_is_gone_is_said_and_the_figures_are_made_without(home, capsys):
    with Journal.open() as journal:
        engine = replace(demo_record().engine, spec_sheet="gone.toml")
        journal.append(EngineTakenIn(engine=engine), STOCK)
    assert run(["figures", STOCK]) == 0
    out, err = capsys.readouterr()
    assert "Sheet: none" in out
    assert "gone.toml" in err


def test_a_sheet_in_the_configuration_folder_is_found_by_name(home, capsys):
    (home / "config" / "sheets").mkdir(parents=True)
    (home / "config" / "sheets" / "plover.toml").write_bytes((DEMO / "spec.toml").read_bytes())
    with Journal.open() as journal:
        journal.append(EngineTakenIn(engine=replace(demo_record().engine, spec_sheet="plover.toml")), STOCK)
    assert run(["figures", STOCK]) == 0
    assert "Sheet: Vennbrook" in capsys.readouterr().out


def test_pictures_are_written(home, capsys):
    assert run(["figures", STOCK, "--plots", str(home / "pictures")]) == 0
    assert {path.name for path in (home / "pictures").iterdir()} == {"bores.svg", "clearances.svg", "compression.svg"}
    assert "wrote" in capsys.readouterr().err


def test_spec_check_of_a_sound_and_of_a_faulty_sheet(tmp_path, capsys):
    assert run(["spec", "check", str(DEMO / "spec.toml")]) == 0
    out = capsys.readouterr().out
    assert "0 problems, 0 doubts." in out
    assert "never use it for a real engine" in out
    assert "a rule of thumb will hint" in out

    sheet = tmp_path / "sheet.toml"
    sheet.write_text(
        'title = "t"\nsource = "s"\n[valve_guide.clearance]\nunit = "in"\nmax = 0.006\nsource = "p"\n'
        'also = { unit = "mm", max = 0.015 }\n[cylinder_boar.taper]\nunit = "in"\nmax = 0.002\nsource = "p"\n',
        encoding="utf-8",
    )
    assert run(["spec", "check", str(sheet)]) == 1
    out = capsys.readouterr().out
    assert f"{sheet}:3: doubt: valve_guide.clearance" in out
    assert f"{sheet}:8: problem: cylinder_boar" in out
    assert run(["spec", "check", str(sheet), "--json"]) == 1
    data = json.loads(capsys.readouterr().out)
    assert (data["usable"], len(data["problems"])) == (False, 2)
