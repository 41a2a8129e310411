"""Number words of an utterance as items: places, values with their units, and counts that say nothing more."""

from __future__ import annotations

from collections.abc import Sequence

from benchvoice.interpret.counted import Counted
from benchvoice.interpret.ends import up_to_next_clause
from benchvoice.interpret.item import CLAIMS, VALUE_WORDS, Item
from benchvoice.interpret.numbers import NumberReading, readings
from benchvoice.interpret.runs import Around, Cut, Run, choose, cuts, find_run, range_between
from benchvoice.interpret.senses import PLACE_KEYS, Span
from benchvoice.interpret.tails import tail
from benchvoice.interpret.values import Spoken


def _names_valve(span: Span) -> bool:
    return span.has("valve")


class SpokenNumbers(Counted):
    """Makes items of number words, seeing what stands before and after. One use, one sentence."""

    def _ordinal(self, index: int) -> int | None:
        """ "third main", "the second and third cylinders"."""
        word = self.texts[index]
        number = self.table.ordinals.get(word)
        if number is None or self.blocked[index]:
            return None
        following = self._following(index + 1)
        numbers = [number]
        end = index + 1
        if end + 1 < len(self.texts) and self.texts[end] == "and" and self.texts[end + 1] in self.table.ordinals:
            numbers.append(self.table.ordinals[self.texts[end + 1]])
            end += 2
            following = self._following(end)
        if self.texts[end : end + 1] and self.texts[end] in self.sets.pointing:
            return None  # "first the chain"
        if following is None or (not following.has("part", "numbers") and self.texts[end : end + 1] != ["one"]):
            return None
        if self.texts[end : end + 1] == ["one"]:
            end += 1
        self._put(Item("places", index, end, places=tuple(numbers), text=word, stop=self._stop(end)))
        return end

    def _number(self, index: int) -> int | None:
        previous = self.items[-1] if self.items else None
        if previous is not None and self.texts[index] in self.table.sounds_like and self._wants_number(previous, index):
            number = self.table.sounds_like[self.texts[index]]
            self._put(Item("places", index, index + 1, places=(number,), text=self.texts[index]))
            return index + 1
        run = find_run(self.texts, index, self.blocked, self.table)
        named = self.at.get(index)
        if run is None or (named is not None and named.has("feature") and named.end > run.end):
            return None  # "one edge" is a feature
        item = self._layout(run) or self._no_number(run, previous)
        if item is None:
            return self._run(run)
        self._put(item)
        return item.end

    def _wants_number(self, previous: Item, index: int) -> bool:
        """True where a word that sounds like a number must be one: "number for", "gudgeon pin to is tight"."""
        if previous.kind == "numbers":
            return True
        part = self.lexicon.parts.get(previous.sense.value) if previous.kind == "part" else None
        following = self.at.get(index + 1)
        return part is not None and part.number is not None and following is not None and following.has("be", "have")

    def _run(self, run: Run) -> int:
        unit, unit_start, unit_end = self._unit_after(run)
        if unit is None:
            after_verb = self._before(None) == "value" and self.items[-1].kind != "preposition"
            run = up_to_next_clause(run, self.items, self.at.get(run.end), after_verb, self.texts, self.lexicon)
        around = self._around(run, unit)
        found = cuts(run.words, self.table)
        if self.focused and around.before != "marker":
            found = [cut for cut in found if all(place <= self.most for place in cut.places)] or found

        def fits(words: Sequence[str]) -> bool:
            return self.hint(words, unit, run.start)

        between = self.items and self.items[-1].kind == "between" and unit is not None
        cut = (range_between(run.words, self.table) if between else None) or choose(found, around, fits)
        if cut is not None and not cut.value and self._counts(run, around, cut):
            cut = None
        if cut is None:
            self._put(Item("count", run.start, run.end, text=" ".join(run.words), stop=self._stop(run.end)))
            return run.end
        split = run.end - len(self._value_words(run, cut))
        if cut.places:
            self._put(Item("places", run.start, split, places=cut.places, text="", stop=self._stop(split)))
        if not cut.value:
            return run.end
        if unit is None and " ".join(cut.value) in self.sets.for_some and not self._named_before(run.start):
            self._put(Item("count", split, run.end, text=" ".join(cut.value), stop=self._stop(run.end)))
            return run.end
        return self._value(run, cut, split, unit, unit_start, unit_end)

    def _value_words(self, run: Run, cut: Cut) -> tuple[str, ...]:
        """The words of the run that the value takes."""
        if not cut.value:
            return ()
        size = len(cut.value) + (len(cut.upper) + 1 if cut.upper else 0)
        return run.words[len(run.words) - size :]

    def _value(self, run: Run, cut: Cut, start: int, unit: str | None, unit_start: int, unit_end: int) -> int:
        low = readings(cut.value, self.table)
        end = run.end
        if unit is not None:
            end = unit_end
            low, end = self._more(low, unit, end)
        bound = self._bound(start) or self._bound_after(end)
        spoken = Spoken(
            readings=low, upper=readings(cut.upper, self.table) if cut.upper else (), unit=unit, bound=bound
        )
        self._put(Item("value", start, end, value=spoken, text=" ".join(self.texts[start:end]), stop=self._stop(end)))
        return end

    def _unit_after(self, run: Run) -> tuple[str | None, int, int]:
        index = run.end
        ahead = self.texts[index : index + 2]
        if (
            len(ahead) == 2
            and ahead[0] == "of"
            and ahead[1] in self.table.articles
            and run.words[-1] in self.sets.of_unit
        ):
            index += 2
        elif ahead and ahead[0] in self.table.linking and (run.words[-1],) in self.table.fractions:
            index += 1
        span = self.at.get(index)
        if span is None or (self.tokens[run.end - 1].stop and not span.has("unit")):
            return None, 0, 0
        sense = span.get("unit")
        if sense is None:
            return None, 0, 0
        if self.texts[index] == "in" and not (run.words[-1][-1].isdigit()):
            return None, 0, 0
        return sense.value, index, span.end

    def _more(self, low: tuple[NumberReading, ...], unit: str, end: int) -> tuple[tuple[NumberReading, ...], int]:
        """What follows a unit and belongs to the value: "two thou and a half", "four inch thirty"."""
        return tail(low, unit, end, self.texts, self.blocked, self.at, self.lexicon)

    def _around(self, run: Run, unit: str | None) -> Around:
        last = self.items[-1] if self.items else None
        before = self._before(unit)
        following = self._following(run.end)
        if last is not None and last.kind in ("have", "there", "not", "sees_no"):
            before = "value" if last.text == "got" and self.table.point & set(run.words) else "counted"
        claims = (following is not None and following.has(*CLAIMS)) or (following is None and self._is_run(run.end))
        verb = following.get("quantity") if following is not None else None
        said = self.texts[run.end : run.end + 1]
        # "two and three i did get out"
        claims = claims or (before == "start" and len(said) == 1 and said[0] in self.sets.tellers)
        claims = claims or (verb is not None and verb.form == "verb" and before == "start")
        counted = following.get("part") if following is not None else None
        described = following.get("condition") if following is not None else None
        if following is not None and described is not None and described.form == "adj":
            behind = self.at.get(following.end)
            counted = behind.get("part") if behind is not None and following.start == run.end else None
            claims = claims and counted is None
        after = self.texts[run.end : run.end + 1]
        beside = self.at.get(run.end)
        ends = not after or run.end in self.at or after[0] in self.sets.after_number
        return Around(
            before=before, unit=unit is not None, claims=claims, quantity=self.focused,
            again=bool(after) and after[0] in self.sets.placing, told=after == ["at"] and self._valued(run.end + 1),
            part="" if counted is None else "many" if counted.many else "one",
            ends=ends or self.tokens[run.end - 1].stop,
            valve=unit is None and beside is not None and _names_valve(beside),
            led=unit is None and before == "start" and self.focused and self._number_past_filling(run.end),
        )  # fmt: skip

    def _valued(self, index: int) -> bool:
        """True if a number with its unit or its point stands at a token."""
        run = find_run(self.texts, index, self.blocked, self.table)
        return run is not None and ("point" in run.words or self._unit_after(run)[0] is not None)

    def _number_past_filling(self, index: int) -> bool:
        """True if a number follows after nothing but filling, and something of that."""
        start = index
        while index < len(self.tokens) and (span := self.at.get(index)) is not None:
            if not all(sense.kind in ("filler", "locator", "bounds", "reversal", "but") for sense in span.senses):
                return False
            if self._is_run(index):
                break
            index = span.end
        return index > start and index < len(self.tokens) and self._is_run(index)

    def _before(self, unit: str | None) -> str:
        """What stands before a run, by its role."""
        previous = self._previous()
        last = self.items[-1] if self.items else None
        if previous is None or previous.stop or (last is not None and last.stop):
            return "start"
        if previous.kind == "numbers":
            return "marker"
        if previous.kind == "part" or previous.kind in PLACE_KEYS:
            parts = [self.lexicon.parts[sense.value] for sense in previous.senses if sense.kind == "part"]
            return "part" if previous.get("valve") or any(part.number for part in parts) else "other"
        if previous.kind in VALUE_WORDS or previous.text in self.sets.before_value:
            return self._before_value(previous, unit)
        if previous.kind == "group" and previous.sense.value != "rest":
            return "prep" if unit else "place"
        if previous.kind == "preposition" and previous.text != "at" and previous.text in self.sets.placing:
            return "prep" if unit else "place"
        if previous.kind in {"preposition", "between", "except", "same", "unseen", "blind"}:
            return "prep"
        return "start" if previous.kind in ("and", "but", "or", "hedge", "value", "likewise") else "other"

    def _before_value(self, previous: Item, unit: str | None) -> str:
        """A verb, a name of a quantity or "at" stands before: a value follows, unless "at" only says where."""
        if previous.kind == "be" and not unit and not self.focused:
            return "value"
        at = previous.text == "at" and previous.kind == "preposition" and not unit
        valued = self.items[-2].kind if len(self.items) > 1 else ""
        if at and valued == "value":
            return "place"
        if at and (self._claimed_before() or not self._quantity_before() or not self._subject_before()):
            return "place"
        return "value" if self.focused or unit or previous.kind == "quantity" else "prep"

    def _quantity_before(self) -> bool:
        return any(item.kind in {"quantity", "value"} for item in self.items) or self.focused

    def _subject_before(self) -> bool:
        """False for "and at four", which names nothing that could be measured."""
        return any(item.kind in {"quantity", "value", "part", "places", "pointer", "be"} for item in self.items)

    def _claimed_before(self) -> bool:
        """True if what was said last is what something is like, so that "at" says where."""
        said = [item.kind for item in self.items if item.kind in ("condition", "unseen", "quantity", "value")]
        return bool(said) and said[-1] in ("condition", "unseen")

    def _bound(self, start: int) -> str | None:
        previous = self.items[-1] if self.items else None
        sense = previous.get("bounds") if previous is not None and previous.end == start else None
        return sense.value if sense else None

    def _bound_after(self, end: int) -> str | None:
        span = self.at.get(end)
        sense = span.get("bounds") if span else None
        return sense.value if sense and sense.value == "about" and self.texts[end] in self.sets.about_after else None

    def _article_unit(self, index: int) -> int | None:
        """ "a thou", "an inch and a half", "a tenth": one of the unit."""
        lone = self.at.get(index)
        if lone is not None and lone.has("unit") and self.texts[lone.end : lone.end + 2] == ["and", "a"]:
            return self._lone_unit(index, lone)
        if self.texts[index] not in self.sets.one_unit or index + 1 not in self.at:
            return None
        span = self.at[index + 1]
        sense = span.get("unit")
        if sense is None or self.texts[index + 1] in self.sets.no_unit or span.has("part"):
            return None
        low = readings(("one",), self.table)
        low, end = self._more(low, sense.value, span.end)
        spoken = Spoken(readings=low, unit=sense.value, bound=self._bound(index))
        self._put(Item("value", index, end, value=spoken, text=" ".join(self.texts[index:end]), stop=self._stop(end)))
        return end

    def _lone_unit(self, index: int, span: Span) -> int | None:
        """ "Thou and a half", the article lost."""
        sense = span.get("unit")
        if sense is None or (self.items and self.items[-1].kind in ("value", "count", "places")):
            return None
        low, end = self._more(readings(("one",), self.table), sense.value, span.end)
        if end == span.end:
            return None
        spoken = Spoken(readings=low, unit=sense.value)
        self._put(Item("value", index, end, value=spoken, text=" ".join(self.texts[index:end]), stop=self._stop(end)))
        return end
