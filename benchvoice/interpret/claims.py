"""What is claimed: conditions, values, things not looked at, things done, the same again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from benchvoice.interpret.doing import action_of
from benchvoice.interpret.frames import SMALL, Claim
from benchvoice.interpret.item import Item
from benchvoice.interpret.nouns import GLUE
from benchvoice.interpret.remarks import Remarks
from benchvoice.interpret.senses import Sense
from benchvoice.interpret.subjects import DESCRIBING

BESIDE = 3
"""So many tokens after a value may the name of its quantity stand."""
JUDGED = frozenset({"good", "scrap", "reusable"})
"""Conditions whose words praise or blame anything: "that's no good news"."""
AFTER_TOO = frozenset({"and", "but", "be", "have", "which", "pronoun", "preposition"})
"""What may follow a "too" that means likewise: not the "much" of "too much"."""


class Claims(Remarks):
    """Puts claims into frames, with the negation, the hedge and the degree that reach them."""

    def _add(self, claim: Claim) -> None:
        if self.unreal or (self.cause and self.frame.claims):
            self.index += 1
            return
        frame = self.frame
        if claim.kind == "condition" and frame.claims and frame.claims[-1].kind == "same" and self.link is None:
            frame.claims.pop()  # "it tells the same story it has blown": what is the same is said outright
        if frame.claims and self._needs_own_frame(claim) and not self._sizes(claim):
            reaching = self.negative, self.hedge, self.degree
            if self.link == "or" and self.negative is None:
                reaching = frame.claims[-1].not_at, self.hedge, self.degree
            self._new()
            self.negative, self.hedge, self.degree = reaching
        elif frame.claims and frame.exceptions and self.link is None and not self.excepting:
            self._new()
            self.frame.of_before = True
        frame = self.frame
        claim.joined = (
            bool(frame.claims)
            and self.link in ("and", "or")
            and self.degree is None
            and claim.kind == frame.claims[-1].kind == "condition"
            and not frame.claims[-1].modifiers
        ) or self._continues(claim)
        self._mark(claim)
        frame.claims.append(claim)
        self.excepting = False
        self.link = None
        self.preposition = None

    def _continues(self, claim: Claim) -> bool:
        """True for "worn down to the copper": two adjectives of one breath."""
        last = self.frame.claims[-1] if self.frame.claims else None
        return last is not None and last.form == claim.form == "adj" and last.end == claim.start and not last.modifiers

    def _mark(self, claim: Claim) -> None:
        """Puts the negation, the hedge and the degree that reach it on a claim."""
        previous = self.frame.claims[-1] if self.frame.claims else None
        if self.negative is not None:
            claim.present, claim.not_at = False, self.negative
        elif previous is not None and not previous.present and self._negation_goes_on(previous, claim):
            claim.present, claim.not_at = False, previous.not_at
        if self.hedge is not None:
            claim.hedged, claim.hedge_at = True, self.hedge
        elif previous is not None and claim.joined and previous.hedged:
            claim.hedged, claim.hedge_at = True, previous.hedge_at
        if self.degree is not None and claim.kind in ("condition", "same"):
            claim.degree, claim.degree_at = self.degree
        if self.turned == "open":
            claim.reversed = True
        self.negative = self.hedge = self.degree = None

    def _negation_goes_on(self, previous: Claim, claim: Claim) -> bool:
        if self.link == "or":
            return True
        return self.link == "and" and claim.form == previous.form == "noun" and self.degree is None

    def _needs_own_frame(self, claim: Claim) -> bool:
        """True if a further claim has a subject of its own after it: "scoring on two, pitting on three"."""
        frame = self.frame
        if frame.after and self.link in ("and", "or") and claim.form in DESCRIBING and self._describes(self.index + 1):
            return True
        at = self._subject_ahead(self.index + 1)
        if at is None:
            return False
        named = at.numbers or at.parts
        if frame.after:
            return bool(named)
        if self.verb == "there":
            return bool(named)
        if claim.kind == "value" and frame.claims[-1].kind == "value":
            return bool(named) and not (frame.subject is not None and frame.subject.numbers)
        return (
            bool(named)
            and claim.form == "noun"
            and self.link != "or"
            and (at.numbers != () or bool(at.parts and at.parts[-1].full))
        )

    def _describes(self, index: int) -> bool:
        """True for an adjective right before its part: "cracked flywheel and a bent damper"."""
        found = self.noun_at(index) if index < len(self.items) else None
        return found is not None and bool(found[0].parts) and not self._starts_clause_at(found[1])

    def _sizes(self, claim: Claim) -> bool:
        """True if the value before only says how big this is: "two inch crack"."""
        last = self.frame.claims[-1]
        return claim.kind == "condition" and last.kind == "value" and last.end == claim.start and last.quantity is None

    def _on_condition(self, item: Item) -> None:
        sense = item.get("condition")
        if sense is None:
            return
        if self._as_action(item):
            return
        quantity = item.get("quantity")
        if quantity is not None and self._value_near():
            self._on_quantity(item)
            return
        if self.frame.quantity is not None and self.preposition == "of":
            self.preposition = None
            return
        if self._only_names(item, sense) or self._is_reason() or self._aside(item, sense) or self._filled(sense):
            return
        if self._sought(sense):
            return
        subject = self.frame.subject
        unnamed = subject is None or not subject.names_part
        praised = self.verb != "be" or sense.value in JUDGED
        if sense.form == "adj" and unnamed and praised and self._before_unknown():
            return
        self._of_the_only_one()
        if self._cleft():
            self._new()
        claim = Claim(
            "condition", item.start, item.end, name=sense.value, form=sense.form, text=item.text,
            degree=sense.degree or None, senses=item.senses,
        )  # fmt: skip
        if sense.degree:
            claim.degree_at = (item.start, item.end)
        self._add(claim)
        article = self.items[self.index + 1].text if self.index + 1 < len(self.items) else ""
        if item.text.endswith(" through") and article in self.sets.articles:
            self.preposition = "through"
        if item.text.endswith(" between"):
            self.preposition, self.between = "between", True

    def _only_names(self, item: Item, sense: Sense) -> bool:
        """True for a noun that claims nothing: "chips of metal", "lip of the seal is cut"."""
        after = self.items[self.index + 1 : self.index + 3]
        if sense.form == "noun" and self._is_measured(item, after):
            return True
        if item.get("feature") and sense.form == "noun" and self.frame.claims and self.preposition in self.sets.within:
            return True
        if item.get("feature") and after and after[0].kind in ("be", "have") and sense.form == "noun":
            return True
        if sense.form != "noun" or not after or after[0].text != "of":
            return False
        if len(after) > 1 and after[1].kind == "condition":
            return True
        found = self.noun_at(self.index + 2) if item.get("feature") else None
        return found is not None and self._starts_clause_at(found[1])

    def _is_measured(self, item: Item, after: Sequence[Item]) -> bool:
        """True for a fault told before that is only measured: "crack length", "the crack is two inches long"."""
        if after and after[0].get("quantity") and after[0].start == item.end and not after[0].get("condition"):
            return True
        before = self.items[self.index - 1].text if self.index else ""
        return before in self.sets.told_already and [other.kind for other in after] == ["be", "value"]

    def _is_reason(self) -> bool:
        """True for what hid a part: "couldn't see the lobes for muck"."""
        last = self.frame.claims[-1] if self.frame.claims else None
        if last is None or last.kind != "unseen":
            return False
        return self.preposition == "for" or last.text.endswith(" for")

    def _sought(self, sense: Sense) -> bool:
        """True for "sprayed the crank for cracks" and "good for a polish"; where none were found, that is denied."""
        if self.preposition != "for" or sense.form != "noun":
            return False
        none = next((item for item in self.items[self.index + 1 :] if item.kind in ("not", "blind", "sees_no")), None)
        if none is not None:
            self.negative = (none.start, none.end)
        return none is None

    def _cleft(self) -> bool:
        """True for "... what leaked was the switch", whose subject follows."""
        before = [item.text for item in self.items[max(0, self.index - 2) : self.index] if item.kind != "be"]
        after = self._next(start=self.index + 1)
        return bool(self.frame.claims) and before[-1:] == ["what"] and after is not None and after.kind == "be"

    def _of_the_only_one(self) -> None:
        """Gives "there's only one that's worn and that's number three" its number."""
        before = [item.text for item in self.items[max(0, self.index - 4) : self.index]]
        numbers = next((item.places for item in self.items[self.index + 1 :] if item.places), ())
        subject = self.frame.subject
        if before[:2] == ["only", "one"] and subject is not None and not self.frame.claims and numbers:
            self.frame.subject = replace(subject, numbers=numbers, group=None)

    def _filled(self, sense: Sense) -> bool:
        """True for "plugged with mud" and "with the mud on it", which only tell what hides or fills a part."""
        index = self.index - 1
        while index >= 0 and self.items[index].kind in GLUE | {"degree"}:
            index -= 1
        before = self.items[index] if index >= 0 else None
        if sense.form != "noun" or before is None or before.text.split()[-1:] != ["with"]:
            return False
        last = self.frame.claims[-1] if self.frame.claims else None
        filled = last is not None and last.kind == "condition" and last.text.split()[0] in self.sets.filled
        return filled or self.items[self.index - 1].text == "the"

    def _before_unknown(self) -> bool:
        """True for an adjective of something that nobody knows: "blue silicone", "a broken window"."""
        following = self.items[self.index + 1] if self.index + 1 < len(self.items) else None
        return following is not None and following.kind == "unknown" and not self.items[self.index].stop

    def _value_near(self) -> bool:
        """True if a value stands right before or after: "two thou out of round", "warped six thou"."""
        last = self.frame.claims[-1] if self.frame.claims else None
        if last is not None and last.kind == "value" and last.quantity is None and self.link is None:
            return True
        for item in self.items[self.index + 1 :]:
            if item.kind == "value":
                return True
            if item.kind in ("condition", "quantity", "and", "but", "unseen", "or") or item.stop:
                return False
        return False

    def _compares(self) -> bool:
        """True for "six thou over what it ought to be" and "within five pounds", which measure no part."""
        after = [item.text for item in self.items[self.index + 1 : self.index + 3]]
        over = (
            after[:1] and after[0] in self.sets.comparing and after[1:] and after[1].split()[0] in self.sets.standards
        )
        ends = len(after) < 2 or self.items[self.index + 2].kind in ("and", "but", "which", "pronoun", "unknown")
        over = over or (bool(after) and after[0] in self.sets.machined and ends)
        before = self.items[self.index - 1] if self.index else None
        return bool(over) or (before is not None and before.text == "within")

    def _wanted(self) -> bool:
        """True for the ten of "fourteen thou and should be ten", which is what it ought to be."""
        hedge = next((item for item in self.items if self.hedge is not None and item.start == self.hedge[0]), None)
        return hedge is not None and hedge.text.split()[0] in self.sets.ought

    def _on_value(self, item: Item) -> None:
        if self.frame.exceptions and not self.frame.settled and self.frame.claims and not self.unreal:
            self._about_exception()
        if self._compares() or self._wanted():
            return
        claim = Claim("value", item.start, item.end, value=item.value, text=item.text)
        quantity = self.frame.quantity
        last = self.frame.claims[-1] if self.frame.claims else None
        if last is not None and last.kind == "value" and self.negative is not None and self.negative[1] == item.start:
            # "forty one point nine nine no forty one point nine eight": the second is what was meant
            self.frame.claims.pop()
            self.negative = None
        self._add(claim)
        if quantity is not None:
            claim.quantity, claim.quantity_at = quantity.value, self.frame.quantity_at
            claim.by_verb = quantity.form == "verb"
            if self.frame.quantity is None:
                self.frame.quantity = quantity

    def _on_quantity(self, item: Item) -> None:
        sense = item.get("quantity")
        if sense is None or self.unreal or (item.text == "long" and self._before_unknown()):
            return
        last = self.frame.claims[-1] if self.frame.claims else None
        at = (item.start, item.end)
        if last is not None and last.kind == "value" and last.quantity is not None and item.start - last.end > BESIDE:
            return
        if last is not None and last.kind == "value" and self.link is None and self._belongs_to(last, sense):
            last.quantity, last.quantity_at = sense.value, at
            self.frame.quantity, self.frame.quantity_at = sense, at
            self.preposition = None
            return
        if self.frame.quantity is not None and sense.form == "verb" and self.frame.quantity.form == "noun":
            return
        if last is not None and self.link in ("and", "but") and sense.form == "noun" and self.frame.after:
            self._new()
        self.frame.quantity, self.frame.quantity_at = sense, at
        self.preposition = None

    def _belongs_to(self, last: Claim, sense: Sense) -> bool:
        """A quantity after a value names it, unless the value has one and another value follows. A verb names a value
        before it only by the unit: "the six pulled from a coupe".
        """
        if sense.form == "verb" and last.value is not None and last.value.unit is None:
            return False
        if last.quantity is None:
            return True
        following = self._next(GLUE | {"bounds", "preposition", "be", "hedge"}, self.index + 1)
        return following is None or following.kind != "value"

    def _on_unseen(self, item: Item) -> None:
        if self.unreal or self._unmeant(item):
            return
        frame = self.frame
        if frame.claims and frame.claims[-1].kind == "unseen" and self.link != "and":
            return
        if frame.claims and frame.claims[-1].kind in ("condition", "value") and not self._noun_ahead():
            return  # it was seen, "but i haven't looked further"
        if (frame.claims and not frame.of_before and self.link != "and") or (
            frame.claims and frame.subject is not None and self._noun_ahead()
        ):
            self._new()
        self.negative = None
        self._add(Claim("unseen", item.start, item.end, text=item.text))

    def _unmeant(self, item: Item) -> bool:
        """True for "you wouldn't find that" and "threw it out without looking", which tell of no part left unseen."""
        before = [other.text for other in self.items[max(0, self.index - 2) : self.index]]
        would = self.sets.would
        supposed = any(text in would for text in before) or any(word in would for word in item.text.split())
        return supposed or (item.text.startswith("without") and not self._noun_ahead())

    def _on_blind(self, item: Item) -> None:
        following = self._next(SMALL | {"not", "preposition"}, self.index + 1)
        if self._unmeant(item):
            return
        if following is not None and following.kind in ("condition", "action"):
            self.negative = (item.start, item.end)
        elif self._only_felt(item):
            last = self.frame.claims[-1]
            last.degree, last.degree_at = "light", (item.start, item.end)
        elif item.text.split()[-1] not in self.sets.found_none:
            self._on_unseen(item)  # "found nothing in the pan" was looked at

    def _only_felt(self, item: Item) -> bool:
        """True for the depth test without its nail: "scratches you can't feel"."""
        felt = item.text.split()[-1] in self.sets.felt
        return felt and bool(self.frame.claims) and self.frame.claims[-1].kind == "condition" and not self._noun_ahead()

    def _on_likewise(self, item: Item) -> None:
        done = [other.text for other in self.items[max(0, self.index - 2) : self.index]]
        before = self.items[self.index - 1] if self.index else item
        elsewhere = before.kind in ("preposition", "filler") and before.text in self.sets.away
        after = self.items[self.index + 1] if self.index + 1 < len(self.items) else None
        measured = item.text == "too" and after is not None and not item.stop and after.kind not in AFTER_TOO
        if elsewhere or measured or (done[-1:] == ["did"] and done[0] in self.sets.persons):
            return
        if self.frame.subject is not None and not self.frame.claims and not self.unreal:
            self._add(Claim("same", item.start, item.end, text=item.text))

    def _on_same(self, item: Item) -> None:
        if self.unreal:
            return
        if self.frame.claims:
            self._new()
        if self.frame.subject is not None and not self._noun_ahead():
            self._add(Claim("same", item.start, item.end, text=item.text))
            return
        self._add(Claim("same", item.start, item.end, text=item.text))
        self.preposition = "on"

    def _on_action(self, item: Item) -> None:
        if not self._as_action(item) and item.get("condition"):
            self._on_condition(item)

    def _as_action(self, item: Item) -> bool:
        """Takes the item for something that was done, if it is; True if so."""
        if self.unreal:
            return False
        found = action_of(self, item)
        if found is None:
            return False
        if (self.frame.claims and self.frame.claims[-1].kind != "action") or (self.frame.claims and self.link == "and"):
            self._new()
        claim = Claim(
            "action", item.start, item.end, name=found.value, form=found.form, text=item.text, senses=item.senses
        )
        if self.negative is not None:
            self.negative = None
            return True
        self._add(claim)
        return True
