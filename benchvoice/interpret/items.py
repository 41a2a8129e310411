"""The row of items that the clause rules work on."""

from __future__ import annotations

from collections.abc import Sequence

from benchvoice.interpret.item import RANK, SIDES, Hint, Item
from benchvoice.interpret.runs import place_number
from benchvoice.interpret.senses import PLACE_KEYS, Sense, Span
from benchvoice.interpret.spoken import SpokenNumbers
from benchvoice.interpret.tokens import Token
from benchvoice.lexicon import Lexicon


def make_items(
    tokens: Sequence[Token], spans: Sequence[Span], lexicon: Lexicon, hint: Hint, focused: bool, most: int
) -> list[Item]:
    """Items of a sentence, left to right. focused: a quantity is named or was spoken of just before. most: the
    highest number that a place of this engine has.
    """
    maker = _Maker(tokens, spans, lexicon, hint, focused, most)
    return maker.make()


class _Maker(SpokenNumbers):
    """Gives every phrase the meaning that its surroundings leave."""

    def make(self) -> list[Item]:
        index = 0
        while index < len(self.tokens):
            index = (
                self._described_one(index)
                or self._ordinal(index)
                or self._number(index)
                or self._article_unit(index)
                or self._span(index)
            )
        return self.items

    def _span(self, index: int) -> int:
        span = self.at.get(index)
        text = self.texts[index]
        if span is None:
            kind = "number" if place_number(text, self.table) else "unknown"
            self._put(Item(kind, index, index + 1, text=text, stop=self._stop(index + 1)))
            return index + 1
        senses = sorted(span.senses, key=lambda sense: RANK.get(sense.kind, len(RANK)))
        senses = self._settle(span, senses)
        text = " ".join(self.texts[span.start : span.end])
        self._put(Item(senses[0].kind, span.start, span.end, tuple(senses), text=text, stop=self._stop(span.end)))
        return span.end

    def _settle(self, span: Span, senses: list[Sense]) -> list[Sense]:
        """The senses with the right one first, from what stands beside the phrase."""
        following = self._following(span.end)
        text = " ".join(self.texts[span.start : span.end])
        if senses[0].kind == "reversal" and senses[0].value == "opens":
            self.opened = True
        if senses[0].kind == "reversal" and not self.opened:
            denies = " " in text and text.split()[-1] in self.sets.denying
            senses = senses[1:] or [Sense("not", "not") if denies else Sense("filler", text)]
        if span.has("unseen") and self._never_opened(span):
            senses.sort(key=lambda sense: sense.kind != "condition")
        if span.has("unit") and len(senses) > 1:
            senses = [sense for sense in senses if sense.kind != "unit"]
        if span.has("layout") and span.has("condition") and self._describes_engine(span.end):
            senses = [Sense("layout", text)]
        if span.has("interjection"):
            senses = self._interjected(span, senses, text)
        if span.has("degree") and following is not None and span.has("condition", "quantity"):
            noun = following.get("condition")
            if noun is not None and (noun.form == "noun" or following.start == span.end):
                senses.sort(key=lambda sense: sense.kind != "degree")
        if span.has("trailing") and span.has("quantity") and self._trails():
            senses.sort(key=lambda sense: sense.kind != "trailing")
        beside = self.at.get(span.end)
        if span.has("pointer") and span.has("same") and beside is not None and beside.has("part"):
            senses.sort(key=lambda sense: sense.kind != "pointer")
        bound = next((sense for sense in senses if sense.kind == "bounds" and sense.value == "about"), None)
        if bound is not None and self._is_run(span.end):
            senses.sort(key=lambda sense: sense.kind != "bounds")
        return [Sense("filler", text)] if self._says_nothing(span, following, text) else senses

    def _never_opened(self, span: Span) -> bool:
        """True for "it has never been apart", said of the engine and of no part of it."""
        denied = span.get("condition")
        named = [item for item in self.items if item.kind in ("places", "part", *PLACE_KEYS)]
        other = [item for item in named if item.kind != "part" or item.sense.value != "engine"]
        never = "never" in self.texts[span.start : span.end]
        return denied is not None and denied.form == "absent" and never and not other

    def _trails(self) -> bool:
        """True for the "deep" of "scored deep", where nothing was measured."""
        said = [item.kind for item in self.items if item.kind not in ("filler", "locator")]
        return said[-1:] == ["condition"] and "value" not in said

    def _describes_engine(self, index: int) -> bool:
        """True before the number of "straight six", where no part was named of which it could be said."""
        named = [item for item in self.items if item.kind in ("part", "places", "be")]
        return self._is_run(index) and all(item.get("part") and item.sense.value == "engine" for item in named)

    def _interjected(self, span: Span, senses: list[Sense], text: str) -> list[Sense]:
        """ "Okay" and "right" at the start mean nothing, but for "right head" and a lone "good"."""
        lone = [sense for sense in senses if sense.kind != "interjection"]
        opening = all(item.kind in ("filler", "bench") for item in self.items)
        whole = span.start == 0 and span.end == len(self.tokens)
        near = self.at.get(span.end)
        beside = self.texts[span.end : span.end + 2]
        placed = span.has(*PLACE_KEYS) and (
            (near is not None and near.has("part", *PLACE_KEYS)) or self._is_subject(beside, span.end)
        )
        return [Sense("filler", text)] if not lone or (opening and not whole and not placed) else lone

    def _is_subject(self, beside: Sequence[str], index: int) -> bool:
        """True where "right" is a place of which something is said: "right ones are good", "right's five"."""
        if not beside or beside[0] in self.sets.ones:
            return bool(beside)
        return beside[0] in self.sets.side_verbs and (self._is_run(index + 1) or self._claims_at(index + 1))

    def _claims_at(self, index: int) -> bool:
        span = self.at.get(index)
        return span is not None and span.has("condition", "value", "not", "degree")

    def _says_nothing(self, span: Span, following: Span | None, text: str) -> bool:
        """True for a phrase that is only filling here: "I looked", a bare "right", "'s" between a part and its part."""
        if (
            span.has("aside")
            or self._intensifies(span, text)
            or (span.has("hedge") and text in self.sets.looks and self._looker(span.start))
        ):
            return True
        if text in self.sets.bare_places and not self._placed(span, following):
            return True
        owned = following is not None and following.has("part", "feature", *PLACE_KEYS)
        owned = owned and following is not None and not following.has("condition")
        return text == "'s" and owned

    def _intensifies(self, span: Span, text: str) -> bool:
        """True for the "good" of "good and tight"."""
        at = self.at.get(span.end + 1)
        described = at.get("condition") if at is not None and self.texts[span.end] == "and" else None
        return text in self.sets.intensifying and described is not None and described.form == "adj"

    def _looker(self, start: int) -> bool:
        """True if somebody looks: "before I looked", "have a look"."""
        before = self.texts[start - 1] if start else ""
        return before in self.sets.lookers

    def _placed(self, span: Span, following: Span | None) -> bool:
        """True if a bare "left", "back", "top" is a place here."""
        text = self.texts[span.start]
        before = self.texts[span.start - 1] if span.start else ""
        if text == "back" and self.at_part_before(span.start) and self.sets.moving & set(self.texts[: span.start]):
            return False  # "push the crank back"
        if before in {" ".join(phrase) for phrase in self.lexicon.words["locator"].phrases}:
            return text not in SIDES or before not in self.sets.leading_levels
        if text in SIDES and self._is_subject(self.texts[span.end : span.end + 2], span.end):
            return True
        near = self.at.get(span.end)
        if near is not None and near.has("part", "numbers", *PLACE_KEYS):
            return True
        if self.texts[span.end : span.end + 1] == ["of"]:
            return True
        follows_claim = following is not None and following.start == span.end and following.has("be", "have", "hedge")
        return follows_claim or (span.start > 0 and self.at_part_before(span.start))

    def at_part_before(self, index: int) -> bool:
        return (
            bool(self.items) and self.items[-1].kind in ("part", "places", *PLACE_KEYS) and self.items[-1].end == index
        )
