"""Intake: what an engine is, where it came from, what was claimed about it and what of that was verified."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Callable, Mapping
from dataclasses import asdict, dataclass, fields, replace
from functools import cache
from pathlib import Path
from typing import Any, Final

from pydantic import ConfigDict, TypeAdapter, ValidationError

from benchvoice.domain import vin
from benchvoice.domain.engine import Engine, Layout
from benchvoice.domain.events import EngineTakenIn
from benchvoice.errors import BenchvoiceError
from benchvoice.journal import Journal

STOCK: Final = re.compile(r"[A-Za-z0-9][A-Za-z0-9_-]{0,31}")
"""Stock numbers become file names, sitting names and labels, so they keep to what is safe everywhere."""

REQUIRED: Final = ("stock", "layout", "cylinders")
"""What no default may stand in for: every place that is spoken of depends on it."""

MAX_CYLINDERS: Final = 16
MAX_MAINS: Final = 9
"""As far as spoken places go."""

_DEVICES = {"con", "prn", "aux", "nul", *(f"{name}{k}" for name in ("com", "lpt") for k in range(1, 10))}

_Rule = tuple[Callable[[Engine], bool], str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Intake:
    """An engine that may be taken in, and what to tell the person about it."""

    engine: Engine
    notes: tuple[str, ...] = ()


def check_stock(text: str) -> str:
    """The stock number without outer spaces. BenchvoiceError if it isn't safe as a file name on every system."""
    stock = text.strip()
    if not STOCK.fullmatch(stock) or stock.lower() in _DEVICES:
        raise BenchvoiceError(
            f"{stock!r} can't be a stock number.",
            hint="Use up to 32 letters, digits, - and _, a letter or digit first, such as E-0417.",
        )
    return stock


def engine_from(data: Mapping[str, Any], *, where: str = "The intake") -> Engine:
    """An engine from plain values, as a form or a file holds them; all problems at once in one BenchvoiceError."""
    missing = [name for name in REQUIRED if not data.get(name)]
    if missing:
        raise BenchvoiceError(f"{where}: {' and '.join(missing)} must be given.")
    try:
        shaped: Engine | None = _adapter().validate_python(dict(data))
    except ValidationError as error:
        problems = "; ".join(_problem(item) for item in error.errors(include_url=False, include_input=False))
        raise BenchvoiceError(f"{where}: {problems}.") from error
    assert shaped is not None
    engine = replace(shaped, stock=check_stock(shaped.stock))
    problems = "; ".join(said for broken, said in _RULES if broken(engine))
    if problems:
        raise BenchvoiceError(f"{where}: {problems}.")
    return engine


def engine_from_file(path: Path) -> Engine:
    """An engine from a TOML file whose keys are the fields of `Engine`; a spec sheet counts from the file's folder."""
    try:
        data = tomllib.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError as error:
        raise BenchvoiceError(f"There is no file {path}.") from error
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise BenchvoiceError(f"{path} can't be read: {error}.") from error
    engine = engine_from(data, where=str(path))
    sheet = engine.spec_sheet
    return replace(engine, spec_sheet=found_sheet(sheet, beside=path.resolve().parent)) if sheet else engine


def checked(engine: Engine) -> Intake:
    """Check the donor's number and gather what the person should know before the engine is taken in.

    BenchvoiceError for a number that fails its check and has no note saying why it is kept.
    """
    if not engine.vin:
        return Intake(engine=replace(engine, vin=None), notes=_numbering(engine))
    found = vin.check(engine.vin)
    engine = replace(engine, vin=found.vin)
    if not found.passes:
        if not engine.vin_note:
            near = f" Sounding alike, these pass: {', '.join(found.near[:3])}." if found.near else ""
            raise BenchvoiceError(
                f"The VIN {found.vin} does not check: {found.problem}.",
                hint=f"{found.advice}{near} A note (--vin-note) keeps it as it is.",
            )
        return Intake(engine=engine, notes=(f"The VIN does not check ({found.problem}) and is kept with your note.",))
    doubtful = [f"{item.position} ({vin.SPELLING[item.character]})" for item in vin.read_back(found.vin)]
    notes = ["The VIN checks."]
    if doubtful:
        notes.append(
            f"If it was read aloud, read back position {', '.join(doubtful)}: "
            "these sound like characters that the check digit can't tell from them."
        )
    return Intake(engine=engine, notes=(*notes, *_numbering(engine)))


def take_in(journal: Journal, intake: Intake, *, amend: bool = False) -> Engine:
    """Open the engine's record, or with `amend` change what is known of one that is there."""
    engine = intake.engine
    if engine.spec_sheet:
        engine = replace(engine, spec_sheet=found_sheet(engine.spec_sheet))
    known = next((line.stock for line in journal.engines() if line.stock.lower() == engine.stock.lower()), None)
    if known is not None and not amend:
        raise BenchvoiceError(
            f"The stock number {known} is taken.", hint="Use another, or --amend to change what is known of it."
        )
    if known is None and amend:
        journal.canonical(engine.stock)
    if known is not None:
        engine = replace(engine, stock=known)
    journal.append(EngineTakenIn(engine=engine), engine.stock)
    return engine


def found_sheet(named: str, *, beside: Path | None = None) -> str:
    """A spec sheet's full path, so that it is found from any folder later on; as it was named if no such file is there.

    beside: the folder that a relative name counts from, the working folder if None.
    """
    path = (beside or Path.cwd()) / Path(named).expanduser()
    return str(path.resolve()) if path.is_file() else named


def as_plain(engine: Engine) -> dict[str, Any]:
    """The engine as JSON values; money as text, so that it stays exact."""
    out = asdict(engine)
    out["cost"] = None if engine.cost is None else str(engine.cost)
    return out


def _numbering(engine: Engine) -> tuple[str, ...]:
    if engine.numbering.confirmed:
        return ()
    return (
        "The cylinder numbering isn't confirmed: look at the drawing of `benchvoice show` before you talk about "
        "cylinders. Schemes put number one at opposite ends.",
    )


@cache
def _adapter() -> TypeAdapter[Any]:
    shape: Any = Engine | None
    return TypeAdapter(shape, config=ConfigDict(extra="forbid", allow_inf_nan=False, coerce_numbers_to_str=True))


def _problem(item: Any) -> str:
    where = ".".join(str(part) for part in item["loc"] if part != "Engine")
    known = sorted(field.name for field in fields(Engine))
    if item["type"] == "unexpected_keyword_argument":
        return f"{where} is no field of an engine (there are {', '.join(known)})"
    return f"{where}: {item['msg'][0].lower()}{item['msg'][1:]}"


_RULES: tuple[_Rule, ...] = (
    (lambda e: not 1 <= e.cylinders <= MAX_CYLINDERS, f"cylinders must be 1 to {MAX_CYLINDERS}"),
    (
        lambda e: e.layout is not Layout.INLINE and (e.cylinders < 2 or e.cylinders % 2 == 1),
        "a vee or flat engine has an even number of cylinders",
    ),
    (lambda e: e.mains is not None and not 1 <= e.mains <= MAX_MAINS, f"mains must be 1 to {MAX_MAINS}"),
    (lambda e: not 2 <= e.valves_per_cylinder <= 5, "valves_per_cylinder must be 2 to 5"),
    (lambda e: e.numbering.first_bank not in ("left", "right"), "numbering.first_bank must be left or right"),
    (lambda e: e.pump_end not in ("front", "rear"), "pump_end must be front or rear"),
    (lambda e: e.cost is not None and e.cost < 0, "cost can't be negative"),
)
