"""What stays in the shop unless the seller says otherwise, and the count of it, so that the report can say so."""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from functools import cached_property

from benchvoice.domain.engine import Engine
from benchvoice.domain.record import Record, Said
from benchvoice.errors import BenchvoiceError
from benchvoice.report.clean import clean
from benchvoice.report.language import Wording
from benchvoice.report.model import Options, Rebuilt

VIN_LENGTH = 17
WITHHELD = 6
_MONEY_SIGN = re.compile(r"[$€£¥₹]\s*\d|\d\s*[$€£¥₹]")


def work_on_record(rebuilt: Rebuilt) -> bool:
    """True if all that 16 CFR 20.3(a) asks for is stated, and who did it."""
    return bool(rebuilt.done_by.strip()) and all(
        (
            rebuilt.dismantled_and_reconstructed, rebuilt.cleaned_inside_and_out, rebuilt.made_rust_free,
            rebuilt.worn_parts_restored_or_replaced, rebuilt.missing_parts_replaced,
            rebuilt.machined_to_sound_condition,
        )
    )  # fmt: skip


@dataclass
class Redactor:
    """Passes foreign text on, without what is private. `counts` says how much was held back, by kind."""

    engine: Engine
    options: Options
    words: Wording
    counts: dict[str, int] = field(default_factory=dict)

    def text(self, raw: str) -> str:
        """Clean text without the identification number's last six."""
        text = clean(raw)
        if self.engine.vin and not self.options.whole_vin and text:
            text = self._vin_pattern.sub(lambda found: self._hide(found.group()), text)
        return text

    def vin(self) -> str:
        """The identification number as it may be shown; "" if there is none."""
        vin = clean(self.engine.vin or "")
        if not vin or self.options.whole_vin:
            return vin
        self.count("vin", once=True)
        form: str = self.words.table("engine")["withheld"]["vin"]
        return form.format(head=vin[: max(0, min(len(vin), VIN_LENGTH) - WITHHELD)])

    def claim(self, raw: str) -> str | None:
        """A statement by others, None if it must not be passed on: a price, or a word that the record can't carry."""
        text = self.text(raw)
        if self.refused_word(text):
            self.count("claims")
            return None
        if self.speaks_of_money(text):
            self.count("money_words", once=True)
            return None
        return text

    def evidence_words(self, raw: str) -> str | None:
        """The words of an utterance, None if they speak of money or use a refused word."""
        text = self.text(raw)
        if self._spells_vin(text):
            self.count("vin", once=True)
            return None
        if self.speaks_of_money(text) or self.refused_word(text):
            self.count("money_words" if self.speaks_of_money(text) else "claims", once=True)
            return None
        return text

    def own_words(self, raw: str, what: str) -> str:
        """The seller's own text. Raises BenchvoiceError on a word that the record can't carry."""
        text = self.text(raw)
        word = self.refused_word(text)
        if word:
            raise BenchvoiceError(
                f"The {what} can't say {word!r}: the work that it stands for is not on record (16 CFR 20.3).",
                hint="Say what was done instead, or put that work on record.",
            )
        return text

    def refused_word(self, text: str) -> str | None:
        if work_on_record(self.options.rebuilt):
            return None
        found = self._refused_pattern.search(text)
        return found.group(1) if found else None

    def speaks_of_money(self, text: str) -> bool:
        if self.options.price_paid:
            return False
        if _MONEY_SIGN.search(text) or set(re.findall(r"[a-z]+", text.lower())) & self._money_words:
            return True
        cost = self.engine.cost
        return cost is not None and cost >= 1 and re.search(rf"(?<![\d.]){int(cost)}(?![\d.]*\d)", text) is not None

    def count(self, kind: str, number: int = 1, *, once: bool = False) -> None:
        self.counts[kind] = 1 if once else self.counts.get(kind, 0) + number

    def left_out(self, record: Record) -> tuple[str, ...]:
        """One phrase for each kind of thing that was held back."""
        counts = dict(self.counts)
        if self.engine.cost is not None and not self.options.price_paid:
            counts["price_paid"] = 1
        if self.engine.source and not self.options.origin:
            counts["origin"] = 1
        notes = sum(len(sitting.marks) for sitting in record.sittings.values())
        if notes and not self.options.notes:
            counts["notes"] = notes
        blanked = sum(len(sitting.blanked) for sitting in record.sittings.values())
        if blanked and not self.options.blanked_words:
            counts["blanked"] = blanked
        filed = record.revisions[-1].filed.left_unreviewed if record.revisions else ()
        unreviewed = max(len(record.unreviewed()), len(filed))
        if unreviewed:
            counts["unreviewed"] = unreviewed
        order = self.words.table("sentences")["left_out"]
        return tuple(self.words.say("left_out", kind, count=counts[kind]) for kind in order if counts.get(kind))

    def _spells_vin(self, text: str) -> bool:
        """True if the number's last six are spelled, sign by sign."""
        vin = self.engine.vin or ""
        if len(vin) < WITHHELD or self.options.whole_vin:
            return False
        digits = self.words.table("language")["digits"]
        signs = [digits.get(word, word if len(word) == 1 else " ") for word in text.lower().split()]
        return vin[-WITHHELD:].lower() in "".join(signs)

    @cached_property
    def _vin_pattern(self) -> re.Pattern[str]:
        vin = re.sub(r"[^A-Za-z0-9]", "", self.engine.vin or "")
        spaced = r"[\s.-]*".join(re.escape(sign) for sign in vin)
        tail = r"[\s.-]*".join(re.escape(sign) for sign in vin[-WITHHELD:])
        return re.compile(rf"{spaced}|(?<![A-Za-z0-9]){tail}(?![A-Za-z0-9])", re.IGNORECASE)

    def _hide(self, found: str) -> str:
        signs = re.sub(r"[^A-Za-z0-9]", "", found)
        self.count("vin", once=True)
        return f"{signs[:-WITHHELD]}……"

    @cached_property
    def _refused_pattern(self) -> re.Pattern[str]:
        words = sorted(self.words.table("disclosure")["refused"], key=len, reverse=True)
        joined = "|".join(re.escape(word).replace(r"\ ", r"[\s-]+") for word in words)
        return re.compile(rf"(?i)(?<!\w)({joined})(?!\w)")

    @cached_property
    def _money_words(self) -> set[str]:
        return {word for word in self.words.table("money")["words"] if " " not in word}


def is_blanked(record: Record, sitting: str, t0: float | None, t1: float | None, said: Said | None) -> bool:
    """True if the person had these words, or a part of their time, removed."""
    if said is not None and said.blanked:
        return True
    home = record.sittings.get(sitting)
    if home is None or t0 is None:
        return False
    end = t1 if t1 is not None else t0
    return any(stretch.t0 < end and t0 < stretch.t1 for stretch in home.blanked)
