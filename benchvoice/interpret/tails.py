"""What follows a unit and still belongs to the value: "two thou and a half", "four inch thirty"."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from decimal import Decimal

from benchvoice.interpret.numbers import NumberReading, Style, cardinal
from benchvoice.interpret.runs import find_run
from benchvoice.interpret.senses import Span
from benchvoice.lexicon import Lexicon

THOUSANDTHS = 3


def tail(
    low: tuple[NumberReading, ...],
    unit: str,
    end: int,
    texts: Sequence[str],
    blocked: Sequence[bool],
    at: Mapping[int, Span],
    lexicon: Lexicon,
) -> tuple[tuple[NumberReading, ...], int]:
    """The readings with what follows the unit added, in the same unit, and where the value ends."""
    table = lexicon.numbers
    index = end + 1 if end < len(texts) and texts[end] == "and" else end
    article = index + 1 if index < len(texts) and texts[index] in table.articles else index
    if index > end and (tuple(texts[article : article + 1]) in table.fractions):
        step = Decimal(1) / table.fractions[tuple(texts[article : article + 1])]
        return _plus(low, step, step), article + 1
    run = find_run(texts, index, blocked, table)
    if run is None:
        return low, end
    found = cardinal(run.words, table)
    span = at.get(run.end)
    sense = span.get("unit") if span else None
    if found is None:
        return low, end
    if unit == "thou" and sense is not None and sense.value == "tenth" and found[0] < 10 and span is not None:
        step = Decimal("0.1")
        return _plus(low, found[0] * step, step), span.end
    if unit == "inch" and sense is None and index == end and 10 <= found[0] < 1000 and len(low) == 1:
        step = Decimal(1).scaleb(-THOUSANDTHS)
        return _plus(low, found[0] * step, step), run.end
    return low, end


def _plus(low: tuple[NumberReading, ...], more: Decimal, step: Decimal) -> tuple[NumberReading, ...]:
    return tuple(
        NumberReading(item.value + more, step, Style.FRACTION) for item in low if item.value == int(item.value)
    )
