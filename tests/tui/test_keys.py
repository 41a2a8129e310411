"""What correcting costs: twenty planted errors in a sitting of two hundred utterances, every key counted.

The sitting is written from what is true; the errors are what a recogniser makes of such words. A correction begins on
the row, as a person reads down the log; keys that only go to the next row are reading and counted apart. The table is
printed (`pytest -s`).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from benchvoice.app.desk import Desk
from benchvoice.domain.findings import Finding
from benchvoice.tui.app import ReviewApp
from benchvoice.tui.loglist import LogList
from benchvoice.tui.logscreen import LogScreen
from tests.tui import talk
from tests.tui.conftest import SMALL

MOST = 6.0
"""Keys a correction, on average."""

CYLINDER_PARTS = ("rod bearing", "piston skirt", "bore", "connecting rod", "wrist pin", "rod cap", "ring land")
CONDITIONS = ("good", "scored", "worn", "scuffed", "cracked", "clean", "pitted")


@dataclass(frozen=True, slots=True, kw_only=True)
class Planted:
    """An error: what was said, what was heard, and the keys that put it right."""

    what: str
    true: str
    heard: str
    keys: Sequence[str]
    others: tuple[str, ...] = ()
    sure: float = 0.93


PLANTED = (
    Planted(what="number", true="number six wrist pin is tight", heard="number five wrist pin is tight", keys="6"),
    Planted(what="number", true="number two rod bolt is bent", heard="number three rod bolt is bent",
            keys="2"),
    Planted(what="number", true="number one exhaust valve is burned", heard="number four exhaust valve is burned",
            keys="1"),
    Planted(what="number of a main", true="main journal three is scored", heard="main journal two is scored", keys="3"),
    Planted(what="no such place", true="number five piston crown is melted", heard="number nine piston crown is melted",
            keys="5"),
    Planted(what="condition", true="number two pushrod is bent", heard="number two pushrod is worn",
            keys=["c", *"ben", "enter"]),
    Planted(what="condition", true="number four lifter is pitted", heard="number four lifter is cracked",
            keys=["c", *"pit", "enter"]),
    Planted(what="condition", true="camshaft is worn", heard="camshaft is broken", keys=["c", *"wor", "enter"]),
    Planted(what="part", true="number three rod cap is fretted", heard="number three main cap is fretted",
            keys=["p", *"rod c", "enter"]),
    Planted(what="part", true="number six intake valve is bent", heard="number six valve is bent",
            keys=["m", *"intake", "enter"], others=("number six intake valve is bent",)),
    Planted(what="other words", true="number one valve guide is loose", heard="number one valve guy is loose",
            keys=["o", "enter"], others=("number one valve guide is loose",), sure=0.55),
    Planted(what="other words", true="thrust bearing is wiped", heard="the rust fairing is wide",
            keys=["o", "enter"], others=("thrust bearing is wiped",), sure=0.5),
    Planted(what="other words", true="oil pump is scored", heard="oil pump is stored",
            keys=["o", "enter"], others=("oil pump is scored",), sure=0.5),
    Planted(what="false finding", true="", heard="my neighbor says his piston is seized", keys="x"),
    Planted(what="false finding", true="", heard="the oil filter is broken they told me on the phone", keys="x"),
    Planted(what="not there", true="no cracks in the deck", heard="cracks in the deck",
            keys=["e", "down", "down", "down", "enter", "a"]),
    Planted(what="value", true="main journal one measures two point four four eight inches",
            heard="main journal one measures two point four four five inches",
            keys=["v", *"2.448", "enter"], others=()),
    Planted(what="value", true="number two bore measures three point seven eight inches",
            heard="number two bore measures three point seven nine inches", keys=["o", "enter"],
            others=("number two bore measures three point seven eight inches",)),
    Planted(what="bank", true="left head gasket is blown", heard="right head gasket is blown",
            keys=["m", *"left b", "enter"]),
    Planted(what="other words", true="number four spark plug is oil fouled",
            heard="number four spark plug is oil found",
            keys=["o", "enter"], others=("number four spark plug is oil fouled",), sure=0.6),
)  # fmt: skip


def lines() -> tuple[list[talk.Line], dict[int, Planted]]:
    """Two hundred lines as heard, and which of them are wrong."""
    heard: list[talk.Line] = []
    wrong: dict[int, Planted] = {}
    numbers = ("one", "two", "three", "four", "five", "six")
    left = list(PLANTED)
    for n in range(200):
        if n % 10 == 7 and left:
            planted = left.pop(0)
            wrong[n] = planted
            heard.append(talk.Line(say=planted.heard, sure=planted.sure, others=planted.others))
            continue
        part = CYLINDER_PARTS[n % len(CYLINDER_PARTS)]
        heard.append(
            talk.Line(say=f"number {numbers[(n // 7) % 6]} {part} is {CONDITIONS[(n // 42) % len(CONDITIONS)]}")
        )
    return heard, wrong


def claims(findings: Sequence[Finding]) -> set[tuple[object, ...]]:
    return {finding.claim() for finding in findings}


def true_claims(text: str) -> set[tuple[object, ...]]:
    if not text:
        return set()
    reading = next(iter(talk.reader().read_all(talk.utterances([talk.Line(say=text)]))))
    assert reading.findings, f"nothing is read from {text!r}"
    return claims(reading.findings)


def row_claims(desk: Desk, index: int) -> set[tuple[object, ...]]:
    return claims([entry.finding for entry in desk.rows()[index].entries if entry.counts])


async def test_twenty_errors_cost_few_keys(tmp_path: Path, capsys: object) -> None:
    heard, wrong = lines()
    assert len(wrong) == 20
    desk = talk.desk(tmp_path / "journal.db", heard)
    app = ReviewApp(desk)
    table: list[tuple[str, str, str, int]] = []
    start = [row_claims(desk, index) for index in range(len(heard))]
    async with app.run_test(size=SMALL) as pilot:
        log = app.screen
        assert isinstance(log, LogScreen)
        rows = log.query_one(LogList)
        for index, planted in wrong.items():
            before = row_claims(desk, index)
            wanted = true_claims(planted.true)
            assert before != wanted, f"{planted.heard!r} is no error"
            rows.move_to(index)
            await pilot.pause()
            keys = list(planted.keys)
            await pilot.press(*keys)
            await pilot.pause()
            assert app.screen is log, f"{planted.what} is left open"
            assert row_claims(desk, index) == wanted, planted
            table.append((planted.what, planted.heard, " ".join(keys), len(keys)))
    average = sum(row[3] for row in table) / len(table)
    _print(table, average)
    assert average <= MOST
    for index, claimed in enumerate(start):
        if index not in wrong:
            assert row_claims(desk, index) == claimed, "a row that was right was changed"


async def test_a_wrong_stretch_costs_one_correction(tmp_path: Path) -> None:
    """ "All of these were cylinder six, not five": marked and put right together."""
    said = ("number five bore is scored", "number five piston skirt is scuffed", "number five ring land is broken")
    desk = talk.desk(tmp_path / "journal.db", [talk.Line(say=text) for text in said])
    app = ReviewApp(desk)
    async with app.run_test(size=SMALL) as pilot:
        await pilot.press("shift+down", "shift+down", "6")
        await pilot.pause()
    assert all(entry.finding.place.cylinder == 6 for entry in desk.record.standing())
    assert len(desk.record.undoable) == 3
    desk.undo()
    assert all(entry.finding.place.cylinder == 5 for entry in desk.record.standing())


def _print(table: Sequence[tuple[str, str, str, int]], average: float) -> None:
    write: Callable[[str], None] = print
    write("")
    for what, heard, keys, count in table:
        write(f"{what:<16} {heard:<55} {keys:<26} {count:>2}")
    write(f"{'on average':<16} {'':<55} {'':<26} {average:.2f}")
