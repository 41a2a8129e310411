"""Figures in words, from the wording file."""

from __future__ import annotations

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import ROUND_UP, Decimal
from functools import cache

from benchvoice.domain.figures import Figure, Limit, Note, Verdict
from benchvoice.domain.findings import Place
from benchvoice.errors import GrammarError
from benchvoice.measure import units
from benchvoice.resources import folder

_THOU_BELOW = Decimal("0.1")
_KEPT = Decimal("0.95")
_ORDER = ("bank", "end", "cylinder", "journal", "valve", "side", "shell", "level")


@dataclass(frozen=True, slots=True, kw_only=True)
class Wording:
    """The wording file's tables."""

    tables: Mapping[str, Mapping[str, str]]

    def group(self, name: str) -> str:
        return self._get("group", name)

    def name(self, figure: Figure) -> str:
        """What a figure is called.

        >>> load().name(Figure(name="out_of_round", part="cylinder_bore", unit="in"))
        'out of round'
        """
        return self._get("name", figure.name).format(quantity=figure.quantity.replace("_", " "))

    def formula(self, name: str) -> str:
        return self._get("formula", name)

    def plot(self, name: str) -> str:
        """A title, axis or mark of a picture."""
        return self._get("plot", name)

    def word(self, verdict: Verdict) -> str:
        """A verdict's word by itself."""
        return self._get("verdict", verdict.value)

    def verdict(self, figure: Figure) -> str:
        """The verdict's word, with a rule of thumb's hint if that is all there is; "" for what isn't judged."""
        if figure.verdict is None:
            return ""
        word = self._get("verdict", figure.verdict.value)
        if figure.hint is not None:
            word += f" ({self._get('hint', figure.hint.value)})"
        return word

    def place(self, place: Place) -> str:
        """Where, in words.

        >>> load().place(Place(cylinder=6, level="top"))
        'cylinder 6, top'
        """
        said = place.as_dict()
        return ", ".join(self._get("word", key).format(value=said[key]) for key in _ORDER if key in said)

    def note(self, note: Note) -> str:
        """A note's sentence."""
        values = {key: self.tables["word"].get(value, value).replace("_", " ") for key, value in note.values}
        if note.code == "worst_at":
            place = {key: int(value) if value.isdigit() else value for key, value in note.values}
            values["place"] = self.place(Place.from_dict(place))
        return self._get("note", note.code).format(**values)

    def _get(self, table: str, key: str) -> str:
        return self.tables[table].get(key, key.replace("_", " "))


@cache
def load(language: str = "en") -> Wording:
    """The wording of a language. Raises GrammarError if its file can't be used."""
    file = folder("grammars") / language / "measure" / "wording.toml"
    try:
        return Wording(tables=tomllib.loads(file.read_text(encoding="utf-8")))
    except (OSError, tomllib.TOMLDecodeError) as error:
        raise GrammarError(f"measure/wording.toml can't be read: {error}.", hint="Mend the file.") from error


def with_unit(text: str, unit: str) -> str:
    """A number with its unit's symbol.

    >>> with_unit("65", "ft_lbf"), with_unit("3", "each")
    ('65 lbf·ft', '3')
    """
    sign = units.symbol(unit)
    return f"{text} {sign}" if sign else text


def limit_text(limit: Limit) -> str:
    """What is allowed, in signs, with where that comes from.

    >>> from benchvoice.domain.figures import Basis, Mark
    >>> limit_text(Limit(high=Decimal("0.0020"), unit="in", basis=Basis(mark=Mark.SHEET, source="manual, page 31")))
    'limit: at most 0.0020 in; sheet: manual, page 31'
    """
    basis = limit.basis
    title = "rule of thumb" if limit.rule_of_thumb else "limit"
    source = f"{basis.mark.value}: {basis.source}" if basis.source else basis.mark.value
    if limit.low is not None and limit.high is not None:
        return f"{title}: {with_unit(f'{_short(limit.low)} to {_short(limit.high)}', limit.unit)}; {source}"
    if limit.high is not None:
        return f"{title}: at most {with_unit(_short(limit.high), limit.unit)}; {source}"
    if limit.low is not None:
        return f"{title}: at least {with_unit(_short(limit.low), limit.unit)}; {source}"
    return f"{title}: {source}"


def _short(value: Decimal) -> str:
    """As written, but no more than five significant digits of a computed one."""
    text = f"{value:f}"
    return text if len(text) <= 7 else f"{Decimal(f'{value:.3g}'):f}"


def value_text(figure: Figure) -> str:
    """The value with its uncertainty and unit, or its interval; "about" where it was said with reserve.

    >>> value_text(Figure(name="taper", part="cylinder_bore", unit="in", value=Decimal("0.0029"), uncertainty=0.00029))
    '0.0029 ± 0.0003 in'
    """
    places = figure.digits
    about = "about " if figure.hedged else ""
    if figure.value is not None:
        if figure.uncertainty is None:
            return with_unit(about + figure.shown(), figure.unit)
        return with_unit(f"{about}{figure.shown()} ± {uncertainty_text(figure.uncertainty, places)}", figure.unit)
    low, high = (None if end is None else f"{end:.{places}f}" for end in (figure.low, figure.high))
    if low is not None and high is not None:
        return with_unit(f"{low} to {high}", figure.unit)
    if low is not None:
        return f"at least {with_unit(low, figure.unit)}"
    return f"at most {with_unit(high, figure.unit)}" if high is not None else "none"


def also_text(figure: Figure) -> str:
    """The same value as the trade says it (thou, inch fractions) and in the other system, no digit invented.

    >>> also_text(Figure(name="taper", part="cylinder_bore", unit="in", value=Decimal("0.0029"), digits=4))
    '2.9 thou, 0.074 mm'
    >>> also_text(Figure(name="reading", part="timing_chain", unit="in", value=Decimal("0.5"), digits=1))
    '1/2 in, 13 mm'
    """
    if figure.value is None:
        return ""
    step = Decimal(1).scaleb(-figure.digits)
    value = figure.value.quantize(step)
    said = []
    if figure.unit == "in":
        fraction = units.as_fraction(figure.value)
        if abs(value) < _THOU_BELOW:
            said.append(f"{units.in_thou(value)} thou")
        elif fraction is not None:
            said.append(f"{fraction} in")
    other = units.counterpart(figure.unit)
    if other:
        said.append(with_unit(f"{units.convert_honestly(value, step, figure.unit, other):f}", other))
    return ", ".join(said)


def uncertainty_text(uncertainty: float, places: int) -> str:
    """U with the value's decimal places, with one more where that would take more than a twentieth off (JCGM 100,
    7.2.6: two digits at most, and rather up than to the nearest).

    >>> uncertainty_text(0.00021, 4), uncertainty_text(0.00115, 3), uncertainty_text(0.00004, 3)
    ('0.0002', '0.0012', '0.00004')
    """
    if uncertainty <= 0:
        return f"{0:.{places}f}"
    exact = Decimal(f"{uncertainty:.3g}")
    step = Decimal(1).scaleb(-places)
    if exact < step:
        step = Decimal(1).scaleb(exact.adjusted())
    nearest = exact.quantize(step)
    return f"{nearest if nearest >= exact * _KEPT else exact.quantize(step / 10, rounding=ROUND_UP):f}"
