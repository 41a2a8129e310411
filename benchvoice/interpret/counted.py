"""Numbers that only count: "eight pushrods", "the two turbos", "broken in three pieces", "one more"."""

from __future__ import annotations

from collections.abc import Sequence

from benchvoice.interpret.item import Hint, Item
from benchvoice.interpret.runs import Around, Cut, Run, find_run
from benchvoice.interpret.senses import Sense, Span
from benchvoice.interpret.tokens import Token
from benchvoice.lexicon import Lexicon


class Counted:
    """The row at hand, and which of its numbers are neither places nor values."""

    def __init__(
        self, tokens: Sequence[Token], spans: Sequence[Span], lexicon: Lexicon, hint: Hint, focused: bool, most: int
    ) -> None:
        self.texts = [token.text for token in tokens]
        self.tokens = tokens
        self.lexicon = lexicon
        self.table = lexicon.numbers
        self.sets = lexicon.word_sets
        self.hint = hint
        self.focused = focused
        self.most = most
        weak = {
            "filler", "bench", "preposition", "or", "and", "not", "but", "layout", "locator", "which", "pronoun",
            "feature", "have", "there", "interjection",
        }  # fmt: skip
        self.blocked = [False] * len(tokens)
        self.at: dict[int, Span] = {}
        for span in spans:
            self.at[span.start] = span
            if not {sense.kind for sense in span.senses} <= weak:
                for i in range(span.start, span.end):
                    self.blocked[i] = True
        self.items: list[Item] = []
        self.opened = False

    def _put(self, item: Item) -> None:
        self.items.append(item)

    def _stop(self, end: int) -> bool:
        return self.tokens[end - 1].stop

    def _previous(self) -> Item | None:
        """The last item that is more than filling."""
        return next((item for item in reversed(self.items) if item.kind not in ("filler", "bench", "locator")), None)

    def _following(self, index: int) -> Span | None:
        """The next phrase at or after a token, past articles."""
        while index < len(self.tokens):
            span = self.at.get(index)
            if span is None:
                return None
            if not all(sense.kind in ("filler", "locator", "bench") for sense in span.senses):
                return span
            if self._is_run(index):
                return None
            index = span.end
        return None

    def _is_run(self, index: int) -> bool:
        return find_run(self.texts, index, self.blocked, self.table) is not None

    def _no_number(self, run: Run, previous: Item | None) -> Item | None:
        """What a run is that is neither a place nor a value; None if it may be one."""
        start, end, words = run.start, run.end, run.words
        if self._stands_for_noun(run):
            return Item("filler", start, end, text="one", stop=self._stop(end))
        if previous is not None and previous.kind in ("end", "level") and self._some_of(run, previous):
            return Item("group", start, end, (Sense("group", "all"),), text=" ".join(words), stop=self._stop(end))
        single = len(words) == 1 and words[0] not in self.table.lone
        if single and end < len(self.texts) and self.texts[end] in self.sets.after_count:
            return Item("filler", start, end + 1, text=self.texts[end])
        following = self.at.get(end)
        marked = previous is not None and previous.kind == "numbers"
        whole = words == ("one",) and following is not None and following.has("numbers", "feature")
        split = self.texts[start - 1 : start] == ["into"] and words in self._small()
        if not marked and (whole or split or self._counts_all(run, following)):
            return Item("count", start, end, text=" ".join(words), stop=self._stop(end))
        told = any((sense := item.get("quantity")) and sense.value == "count" for item in self.items)
        if following is not None and following.has("counted") and not marked and not told:
            return Item("count", start, end, text=" ".join(words), stop=self._stop(end))
        if following is not None and following.has("sizes") and not marked:
            return Item("size", start, following.end, text="size")
        if previous is not None and previous.kind == "group" and words in self._small():
            measured = previous.sense.value == "rest" and self.focused and end == len(self.tokens)
            return None if measured else Item("count", start, end, text=" ".join(words), stop=self._stop(end))
        described = previous is not None and previous.kind == "layout"
        return Item("filler", start, end) if described else None

    def _layout(self, run: Run) -> Item | None:
        """ "A five cylinder" and "five cylinder diesel", which describe the engine."""
        named = self.at.get(run.end)
        cylinder = named.get("numbers") if named is not None else None
        if named is None or cylinder is None or cylinder.value != "cylinder" or len(run.words) > 1:
            return None
        after = self.at.get(named.end)
        part = after.get("part") if after is not None else None
        engine = after is not None and (after.has("layout") or (part is not None and part.value == "engine"))
        if not engine and (not run.start or self.texts[run.start - 1] not in self.sets.one_unit):
            return None
        return Item("layout", run.start, named.end, text="cylinder", stop=self._stop(named.end))

    def _some_of(self, run: Run, previous: Item) -> bool:
        """True for the "two" of "the rear two are fine"."""
        led = self.texts[previous.start - 1 : previous.start] == ["the"] and previous.end == run.start
        following = self.at.get(run.end)
        claimed = following is not None and following.has("be", "have", "condition", "filler", "sees_no")
        return led and claimed and run.words in self._small() and run.words != ("one",)

    def _counts_all(self, run: Run, following: Span | None) -> bool:
        """True for the "two" of "of the two turbos"."""
        if len(run.words) > 1 or not run.start or self.texts[run.start - 1] not in self.sets.before_count:
            return False
        if following is None or following.has("level", "feature"):
            return following is not None and following.start == run.end
        part = following.get("part")
        return part is not None and part.many and self.texts[run.start - 2 : run.start - 1] == ["of"]

    def _stands_for_noun(self, run: Run) -> bool:
        """True for "the one in seven", which counts nothing."""
        before = self.texts[run.start - 1] if run.start else ""
        span = self.at.get(run.end)
        led = before in self.sets.leading_one or (before == "the" and span is not None and span.has("preposition"))
        return run.words == ("one",) and led

    def _described_one(self, index: int) -> int | None:
        """ "The wiped one and four": a "one" that stands for what was described."""
        last = self.items[-1] if self.items else None
        if self.texts[index] != "one" or last is None or last.kind != "condition" or last.end != index:
            return None
        if not last.start or self.texts[last.start - 1] not in self.sets.before_described_one:
            return None
        self._put(Item("filler", index, index + 1, text="one", stop=self._stop(index + 1)))
        return index + 1

    def _small(self) -> frozenset[tuple[str, ...]]:
        """Single words for a number that a group may have: "all six"."""
        return frozenset((word,) for word in (*self.table.digits, *self.table.teens))

    def _named_before(self, start: int) -> bool:
        """True if the name of a quantity leads to a number: "the gap is one"."""
        said = [item for item in self.items if item.kind not in ("filler", "be", "bounds", "preposition", "locator")]
        return bool(said) and said[-1].kind == "quantity"

    def _counts(self, run: Run, around: Around, cut: Cut) -> bool:
        """True for a number that only counts: "eight pushrods", "one piston"."""
        if around.before in ("marker", "part", "prep") or cut.size != 1:
            return False
        following = self._following(run.end)
        part = following.get("part") if following is not None else None
        if following is not None and around.before == "place" and following.has("valve"):
            return False
        return part is not None and (part.many or run.words == ("one",))
