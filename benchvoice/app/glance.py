"""The engine at a glance: coverage cells laid out as the engine lies, parts down, positions across.

Cylinders stand in the order in which they lie, bank by bank from the front, so that the sheet has the shape of the
engine; main journals stand from the front. Parts that have no number share one column, or one a bank.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from enum import StrEnum

from benchvoice.domain.coverage import CoverageCell, Looked, State
from benchvoice.domain.engine import Engine
from benchvoice.domain.findings import Place


class Seen(StrEnum):
    """What a cell of the sheet says, in the one word that matters to a buyer."""

    NOT_LOOKED_AT = "not_looked_at"
    IN_PART = "in_part"
    LOOKED_AT = "looked_at"
    MEASURED = "measured"
    BAD = "bad"
    LEFT = "left"
    """Not looked at, on purpose."""
    GONE = "gone"


@dataclass(frozen=True, slots=True, kw_only=True)
class Square:
    """One square of the sheet."""

    seen: Seen
    cell: CoverageCell
    worst: str = ""
    """The gravest condition that was found there; empty if nothing bad was."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """One part across its positions, None where the engine has no such square. `detail` narrows the part: "intake"."""

    part: str
    detail: str
    squares: tuple[Square | None, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """`group` is the heading that neighbours share ("left bank"), `name` what stands over the column."""

    name: str
    place: Place
    group: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Block:
    """Parts that are counted the same way. `axis` is "cylinder", "journal", "bank" or "engine"."""

    axis: str
    columns: tuple[Column, ...]
    lines: tuple[Line, ...]


def seen_of(cell: CoverageCell) -> Seen:
    """What a coverage cell comes to: bad weighs more than how it was looked at."""
    if cell.state in (State.SPOILED, State.IMPAIRED):
        return Seen.BAD
    if cell.looked is Looked.GONE:
        return Seen.GONE
    if cell.looked is Looked.MEASURED:
        return Seen.MEASURED
    if cell.looked in (Looked.SEEN, Looked.FELT):
        return Seen.LOOKED_AT
    if cell.looked is Looked.SEEN_IN_PART:
        return Seen.IN_PART
    return Seen.LEFT if cell.left_on_purpose else Seen.NOT_LOOKED_AT


def sheet(engine: Engine, cells: Iterable[CoverageCell], severity: Mapping[str, int]) -> tuple[Block, ...]:
    """The sheet of an engine, blocks from the numbered parts to the single ones; blocks without a part are left out.

    severity: how grave each condition is, 0 for none.
    """
    by_axis: dict[str, list[CoverageCell]] = {}
    for cell in cells:
        by_axis.setdefault(_axis(cell.place), []).append(cell)
    blocks = (
        _block(axis, columns, by_axis.get(axis, []), severity)
        for axis, columns in (
            ("cylinder", _cylinders(engine)),
            ("journal", _journals(engine)),
            ("bank", _banks(engine)),
            ("engine", (Column(name="", place=Place()),)),
        )
    )
    return tuple(block for block in blocks if block.lines)


def counted(blocks: Iterable[Block]) -> dict[Seen, int]:
    """How many squares say what, every word present."""
    out = dict.fromkeys(Seen, 0)
    for block in blocks:
        for line in block.lines:
            for square in line.squares:
                if square is not None:
                    out[square.seen] += 1
    return out


def _axis(place: Place) -> str:
    if place.cylinder is not None:
        return "cylinder"
    if place.journal is not None:
        return "journal"
    return "bank" if place.bank is not None else "engine"


def _block(axis: str, columns: tuple[Column, ...], cells: list[CoverageCell], severity: Mapping[str, int]) -> Block:
    at = {_across(column.place): i for i, column in enumerate(columns)}
    lines: dict[tuple[str, str], list[Square | None]] = {}
    for cell in cells:
        index = at.get(_across(cell.place))
        if index is None:
            continue
        squares = lines.setdefault((cell.part, _detail(cell.place, axis)), [None] * len(columns))
        grave = max(cell.conditions, key=lambda name: severity.get(name, 0), default="")
        squares[index] = Square(seen=seen_of(cell), cell=cell, worst=grave if severity.get(grave, 0) else "")
    made = (Line(part=part, detail=detail, squares=tuple(squares)) for (part, detail), squares in lines.items())
    return Block(axis=axis, columns=columns, lines=tuple(made))


def _across(place: Place) -> tuple[object, ...]:
    """What of a place decides its column: the number where there is one, else the bank."""
    if place.cylinder is not None or place.journal is not None:
        return (place.cylinder, place.journal)
    return (place.bank,)


def _detail(place: Place, axis: str) -> str:
    rest = replace(place, cylinder=None, journal=None, bank=None if axis != "engine" else place.bank)
    return " ".join(str(value) for value in rest.as_dict().values())


def _cylinders(engine: Engine) -> tuple[Column, ...]:
    if not engine.banks:
        order: tuple[tuple[str, int], ...] = tuple(("", c) for c in engine.in_order_from_front())
    else:
        order = tuple(
            (f"{bank} bank", c)
            for bank in engine.banks
            for c in sorted(engine.cylinders_of_bank(bank), key=engine.station_of)
        )
    return tuple(Column(name=str(c), place=Place(cylinder=c), group=group) for group, c in order)


def _journals(engine: Engine) -> tuple[Column, ...]:
    return tuple(Column(name=str(j), place=Place(journal=j)) for j in engine.journal_numbers)


def _banks(engine: Engine) -> tuple[Column, ...]:
    return tuple(Column(name=bank, place=Place(bank=bank)) for bank in engine.banks)
