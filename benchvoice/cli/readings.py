"""How `hear` and `read` print what was understood."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from benchvoice.cli import output

if TYPE_CHECKING:
    from benchvoice.domain.readings import Reading
    from benchvoice.lexicon import Lexicon

Printer = Callable[["Reading"], None]


def printer(lexicon: Lexicon, *, as_json: bool, explain: bool = False) -> Printer:
    """Prints a reading as soon as there is one: a line of JSON, an explanation, or the words and their findings."""
    from benchvoice.domain.readings import reading_to_contract
    from benchvoice.interpret import explain as explained
    from benchvoice.lexicon.phrases import short_phrase

    def in_words(reading: Reading) -> None:
        utterance = reading.utterance
        at = "" if utterance.t0 is None else f"{int(utterance.t0) // 60}:{int(utterance.t0) % 60:02d} "
        aside = "" if reading.domain else "   (not about the engine)"
        output.line(f"{at}{utterance.text}{aside}")
        if reading.command is not None:
            output.line(f"    [{reading.command.order.value.replace('_', ' ')}]")
        if reading.withdraws:
            output.line(f"    takes back {', '.join(str(n) for n in reading.withdraws)}")
        for finding in reading.findings:
            flags = f"   ({', '.join(flag.value.replace('_', ' ') for flag in finding.flags)})" if finding.flags else ""
            output.line(f"    {short_phrase(finding, lexicon)}{flags}")

    def in_detail(reading: Reading) -> None:
        for text in explained(reading):
            output.line(text)

    if as_json:
        return lambda reading: output.json_line(reading_to_contract(reading))
    return in_detail if explain else in_words
