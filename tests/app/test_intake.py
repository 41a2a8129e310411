from __future__ import annotations

from decimal import Decimal
from pathlib import Path

import pytest

from benchvoice.app import intake, settings
from benchvoice.domain.engine import Engine, Layout, NumberedFrom
from benchvoice.errors import BenchvoiceError
from benchvoice.journal import Journal

GOOD = {"stock": "E-1", "layout": "vee", "cylinders": 6}


@pytest.mark.parametrize("stock", ["E-0417", "e1", "7", "A_b-C", "x" * 32, " E-0417 "])
def test_stock_numbers_that_are_safe_everywhere(stock: str) -> None:
    assert intake.check_stock(stock) == stock.strip()


@pytest.mark.parametrize(
    "stock",
    [
        "",
        " ",
        "../E",
        "E/1",
        "E\\1",
        ".hidden",
        "-E",
        "E 1",
        "E.1",
        "x" * 33,
        "E\n1",
        "Ü1",
        "con",
        "LPT1",
        "E:1",
        "\x1b[2J",
    ],
)
def test_stock_numbers_that_arent(stock: str) -> None:
    with pytest.raises(BenchvoiceError, match="can't be a stock number"):
        intake.check_stock(stock)


def test_plain_values_become_an_engine() -> None:
    engine = intake.engine_from(
        GOOD | {"cost": "420.00", "displacement": 3.4, "numbering": {"numbered_from": "flywheel"}, "claimed": ["ran"]}
    )
    assert (engine.layout, engine.cost, engine.displacement) == (Layout.VEE, Decimal("420.00"), "3.4")
    assert engine.numbering.numbered_from is NumberedFrom.FLYWHEEL
    assert engine.claimed == ("ran",)


@pytest.mark.parametrize(
    ("wrong", "says"),
    [
        ({"cylinders": 5}, "even number"),
        ({"cylinders": 0}, "cylinders"),
        ({"cylinders": 18}, "1 to 16"),
        ({"layout": "radial"}, "layout"),
        ({"layout": None}, "layout must be given"),
        ({"cost": "cheap"}, "cost"),
        ({"cost": "NaN"}, "cost"),
        ({"cost": "-1"}, "negative"),
        ({"colour": "red"}, "colour is no field"),
        ({"numbering": {"first_bank": "up"}}, "first_bank"),
        ({"valves_per_cylinder": 9}, "2 to 5"),
        ({"mains": 12}, "1 to 9"),
        ({"pump_end": "top"}, "pump_end"),
    ],
)
def test_what_is_wrong_is_said(wrong: dict[str, object], says: str) -> None:
    with pytest.raises(BenchvoiceError, match=says) as caught:
        intake.engine_from(GOOD | wrong)
    assert "\n" not in str(caught.value)


def test_all_problems_are_said_at_once() -> None:
    with pytest.raises(BenchvoiceError) as caught:
        intake.engine_from(GOOD | {"cost": "cheap", "fuel": "steam", "colour": "red"})
    assert all(word in str(caught.value) for word in ("cost", "fuel", "colour"))


def test_an_engine_comes_back_from_its_plain_values() -> None:
    engine = intake.engine_from(GOOD | {"cost": "12.30", "vin": "11111111111111111", "mains": 4})
    assert intake.engine_from(intake.as_plain(engine)) == engine


def test_a_file_of_an_engine(tmp_path: Path) -> None:
    file = tmp_path / "engine.toml"
    file.write_text(
        'stock = "E-1"\nlayout = "inline"\ncylinders = 4\nclaimed = ["ran"]\n[numbering]\nconfirmed = true\n'
    )
    assert intake.engine_from_file(file).numbering.confirmed
    file.write_text("stock = \n")
    with pytest.raises(BenchvoiceError, match="line 1"):
        intake.engine_from_file(file)
    file.write_bytes(b"\xff\xfe")
    with pytest.raises(BenchvoiceError, match="can't be read"):
        intake.engine_from_file(file)
    with pytest.raises(BenchvoiceError, match="no file"):
        intake.engine_from_file(tmp_path / "missing.toml")


def test_a_number_that_checks_is_kept_as_it_is_written_on_plates() -> None:
    ready = intake.checked(Engine(stock="E-1", vin=" 1m8gdm9axkp042788 "))
    assert ready.engine.vin == "1M8GDM9AXKP042788"
    assert any("Golf" in note for note in ready.notes), "what sounds alike is to be read back"


def test_a_number_that_doesnt_check_needs_a_note() -> None:
    with pytest.raises(BenchvoiceError, match="should be X") as caught:
        intake.checked(Engine(stock="E-1", vin="1M8GDM9A0KP042788"))
    assert "North America" in str(caught.value)
    ready = intake.checked(Engine(stock="E-1", vin="1M8GDM9A0KP042788", vin_note="from a market without the rule"))
    assert ready.engine.vin == "1M8GDM9A0KP042788"


def test_an_engine_is_taken_in_once_and_amended(journal: Journal) -> None:
    ready = intake.checked(intake.engine_from(GOOD))
    intake.take_in(journal, ready)
    with pytest.raises(BenchvoiceError, match="E-1 is taken"):
        intake.take_in(journal, intake.checked(intake.engine_from(GOOD | {"stock": "e-1"})))
    amended = intake.take_in(
        journal, intake.checked(intake.engine_from(GOOD | {"stock": "e-1", "maker": "Vennbrook"})), amend=True
    )
    assert amended.stock == "E-1"
    engine = journal.record("E-1").engine
    assert engine is not None
    assert engine.maker == "Vennbrook"
    with pytest.raises(BenchvoiceError, match="No engine"):
        intake.take_in(journal, intake.checked(intake.engine_from(GOOD | {"stock": "E-9"})), amend=True)


def test_settings_keep_a_persons_comments() -> None:
    assert settings.load().shop == ""
    settings.path().parent.mkdir(parents=True)
    settings.path().write_text('# ours since 1987\ncurrency = "EUR"\n')
    assert settings.save(shop="An invented shop") == settings.load()
    assert settings.load() == settings.Settings(shop="An invented shop", currency="EUR")
    assert "# ours since 1987" in settings.path().read_text()
    assert settings.path().stat().st_mode & 0o077 == 0


@pytest.mark.parametrize(
    ("text", "says"), [("shpo = 'x'", "Did you mean shop"), ("shop = 3", "text"), ("shop = ", "can't be read")]
)
def test_settings_that_are_wrong_are_said(text: str, says: str) -> None:
    settings.path().parent.mkdir(parents=True)
    settings.path().write_text(text)
    with pytest.raises(BenchvoiceError, match=says):
        settings.load()


def test_a_spec_sheet_is_found_from_any_folder(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, journal: Journal
) -> None:
    (tmp_path / "plover.toml").write_text("", encoding="utf-8")
    file = tmp_path / "e.toml"
    file.write_text('stock = "E-2"\nlayout = "inline"\ncylinders = 4\nspec_sheet = "plover.toml"\n', encoding="utf-8")
    full = str((tmp_path / "plover.toml").resolve())
    assert intake.engine_from_file(file).spec_sheet == full
    named = intake.engine_from(GOOD | {"spec_sheet": "plover.toml"})
    monkeypatch.chdir(tmp_path)
    assert intake.take_in(journal, intake.checked(named)).spec_sheet == full
    # One that isn't there may be in the folder of sheets: its name is kept.
    other = intake.engine_from(GOOD | {"stock": "E-3", "spec_sheet": "in-the-sheets-folder.toml"})
    assert intake.take_in(journal, intake.checked(other)).spec_sheet == "in-the-sheets-folder.toml"
