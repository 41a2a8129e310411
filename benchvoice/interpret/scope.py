"""Scope: how far "no", "looks", "except" and their like reach."""

from __future__ import annotations

from benchvoice.interpret.frames import SMALL, Claim
from benchvoice.interpret.item import NOUNS, Item
from benchvoice.interpret.nouns import GLUE
from benchvoice.interpret.senses import PLACE_KEYS
from benchvoice.interpret.strange import Strange

LIKENESS = GLUE | {"unknown", "condition", "feature", "theirs", "part"}
"""What a comparison is made of: "like a potato chip"."""


class Scope(Strange):
    """Handles the small words that decide how far a claim reaches and whether it is one."""

    def _on_not(self, item: Item) -> None:
        if self.turned == "open" and self.frame.claims:
            self.turned = "closed"
        if item.get("or"):
            self._on_or(item)
        if self._none_elsewhere(item):
            self._new()
            self._add(Claim("same", item.start, item.end, text=item.text, not_at=(item.start, item.end)))
            return
        self.negative = (item.start, item.end)
        if self._leans(item, ("be", "have"), self.sets.does):
            self._add(Claim("same", item.start, item.end, text=item.text))

    def _none_elsewhere(self, item: Item) -> bool:
        """True for "scored but none on three", which denies at a place what was just claimed."""
        last = self.frame.claims[-1] if self.frame.claims else None
        after = self.items[self.index + 1] if self.index + 1 < len(self.items) else None
        if last is None or last.kind != "condition" or after is None or after.kind != "preposition" or item.stop:
            return False
        found = self.noun_at(self.index + 2) if self.index + 2 < len(self.items) else None
        if item.text not in self.sets.found_none or found is None or not found[0].bare:
            return False
        following = self.items[found[1]] if found[1] < len(self.items) else None
        return following is None or following.kind in ("and", "but")

    def _leans(self, item: Item, kinds: tuple[str, ...], words: frozenset[str]) -> bool:
        """True for the last word of a clause that only denies or doubts what the one before it claimed: "the wheel is
        chipped the other isn't", "three is scuffed four possibly".
        """
        before = self.items[self.index - 1] if self.index else None
        following = self.items[self.index + 1] if self.index + 1 < len(self.items) else None
        last = self.frames[-1].claims[-1] if self.frames and self.frames[-1].claims else None
        return (
            self.frame.subject is not None and not self.frame.claims and not self.frame.after
            and last is not None and last.kind == "condition" and last.present and before is not None
            and (before.kind in kinds or before.text in words or ("valve" in kinds and before.get("valve") is not None))
            and before.end == item.start
            and (following is None or item.stop or following.kind in ("and", "but"))
        )  # fmt: skip

    def _on_hedge(self, item: Item) -> None:
        following = self._next(SMALL - {"hedge"} | {"be", "not", "there", "have"}, self.index + 1)
        trailing = following is None or following.kind in ("and", "but")
        if trailing and self.frame.claims and self.link != "but":
            for claim in self._run_of_claims():
                claim.hedged, claim.hedge_at = True, (item.start, item.end)
            return
        self.hedge = (item.start, item.end)
        if self.link == "but" and self.frame.claims and self._guesses(item):
            self.cause = True
        if trailing and self.verb is None and self._leans(item, ("places", *PLACE_KEYS), frozenset()):
            self._add(Claim("same", item.start, item.end, text=item.text))

    def _guesses(self, item: Item) -> bool:
        """True for "might be" and "must have"; a "may" alone guesses at no reason."""
        return item.text != "may" and item.text.split()[0] in self.sets.guessing

    def _on_denies(self, item: Item) -> None:
        self.negative = self.hedge = (item.start, item.end)

    def _on_degree(self, item: Item) -> None:
        sense = item.get("degree") or item.get("trailing")
        if sense is None:
            return
        at = (item.start, item.end)
        following = self._next(GLUE | {"degree"}, self.index + 1)
        ahead = following is not None and following.kind in ("condition", "action")
        last = self.frame.claims[-1] if self.frame.claims else None
        trailing = item.get("trailing")
        if ahead and not (
            trailing
            and last is not None
            and last.degree is None
            and last.end == item.start
            and following is not None
            and following.start > item.end
        ):
            self.degree = ((item.get("degree") or sense).value, at)
        elif trailing is not None and self.verb is None and self._leans(item, ("places", *PLACE_KEYS), frozenset()):
            self.degree = (trailing.value, at)
            self._add(Claim("same", item.start, item.end, text=item.text))
        elif last is not None and last.kind in ("condition", "same") and (trailing is not None or self._limits(last)):
            for claim in self._run_of_claims():
                claim.degree, claim.degree_at = (trailing or sense).value, at

    def _limits(self, last: Claim) -> bool:
        """True for a degree after "but" at the end: "five as well but only slightly"."""
        return self.link == "but" and last.degree is None and self._next(SMALL, self.index + 1) is None

    def _on_nail(self, item: Item) -> None:
        said = [*(self.frames[-1].claims if self.frames and self.frame.subject is None else ()), *self.frame.claims]
        found = next((claim for claim in reversed(said) if claim.kind in ("condition", "same")), None)
        value = item.sense.value
        if found is not None:
            found.degree, found.degree_at = value, (item.start, item.end)
        elif not self.frame.claims:
            self._add(Claim("nail", item.start, item.end, name=value, text=item.text))
        self.negative = None

    def _on_except(self, item: Item) -> None:
        following = self._next(GLUE | {"degree"}, self.index + 1)
        if item.text == "but not" and following is not None and following.kind == "condition":
            self._on_but(item)  # "dented but not leaking"
            self.negative = (item.start, item.end)
            return
        whole = item.text.split()[0] in self.sets.whole
        if self.frame.claims or self.frame.subject is not None or whole:
            self.excepting = True
        self.negative = self.hedge = None

    def _on_which(self, item: Item) -> None:
        if item.text.startswith("and "):
            self.unreal = False
        if (
            self.frame.exceptions
            and not self.frame.settled
            and (self.frame.claims or item.text == "which")
            and self._claim_follows_at(self.index + 1)
        ):
            self._about_exception()
        elif item.get("pronoun") and self._starts_clause_at(self.index + 1) and not self._none_of(item):
            self.negative = None

    def _none_of(self, item: Item) -> bool:
        """True after "none of" and "not one of", whose "them" is no new subject."""
        before = self.items[self.index - 1] if self.index else None
        if before is not None and before.text == "of" and self.index > 1 and before.end == item.start:
            before = self.items[self.index - 2]
            return before.kind == "not" or before.get("group") is not None
        return before is not None and before.get("group") is not None and before.end == item.start

    def _on_unreal(self, item: Item) -> None:
        following = self._next(start=self.index + 1)
        if (
            item.text.endswith("says")
            and self.frame.claims
            and following is not None
            and following.kind in ("and", "but")
        ):
            return
        none = self._sought_in_vain(item)
        if none is None:
            self.unreal = True
        else:
            self.negative = (none.start, none.end)

    def _sought_in_vain(self, item: Item) -> Item | None:
        """The "none" of "i went looking for scuffing and there isn't any"."""
        if item.text.split()[0] not in self.sets.seeking:
            return None
        after = self.items[self.index + 1 :]
        for place, other in enumerate(after):
            rest = after[place + 1 : place + 2]
            if other.kind in ("not", "blind") and (not rest or rest[0].kind in ("filler", "but")):
                return other
        return None

    def _on_reversal(self, item: Item) -> None:
        following = self._next(GLUE | {"degree"}, self.index + 1)
        if item.text.split()[-1] in self.sets.denying and following is not None and following.kind == "condition":
            self.negative = (item.start, item.end)
        elif item.sense.value == "opens":
            if self.frame.claims:
                self._new()
            self.turned = "open"
        elif self.turned == "open":
            self.turned = "closed"
            self.link = "but"

    def _on_be(self, item: Item) -> None:
        frame = self.frame
        self.verb_text, self.preposition = item.text, None
        if not frame.claims:
            self.verb = "be"
        if item.start == 0 and self.index == 0 and item.text in self.sets.asking:
            self.unreal = True

    def _on_have(self, item: Item) -> None:
        if item.text == "with" and self._only_moved():
            return
        if self.frame.claims and self.index and self.items[self.index - 1].text in self.sets.tellers:
            self._new()
        if not self.frame.claims or self.verb != "be" or self.link is not None:
            self.verb = "have"

    def _only_moved(self) -> bool:
        """Skips "with the covers off", which says what was taken away to see; True if that stood here."""
        found = self.noun_at(self.index + 1)
        if found is None or not found[0].parts or found[1] >= len(self.items):
            return False
        particle = self.items[found[1]]
        gone = particle.kind == "condition" and particle.text in self.sets.moved and bool(self.frame.claims)
        if not gone and (particle.kind == "condition" or particle.text not in self.sets.moved):
            return False
        if self.frame.subject is None and not self.frame.claims and not self.frames:
            self.moved = found[0]
        self.index = found[1] + 1
        return True

    def _on_filler(self, item: Item) -> None:
        if item.text == "like" and self.frame.claims:
            self._compared()
        if item.text == "since" and self.index and self._reason_ahead():
            self._on_but(item)

    def _compared(self) -> None:
        """Skips "like a potato chip", which says only what it looks like."""
        following = self.items[self.index + 1] if self.index + 1 < len(self.items) else None
        if following is None or following.text not in self.sets.likened:
            return
        while self.index + 1 < len(self.items) and self.items[self.index + 1].kind in LIKENESS:
            self.index += 1
            if self.items[self.index].stop:
                break
        self.index += 1

    def _reason_ahead(self) -> bool:
        """True for the "since" of "since it's grooved", which gives a reason."""
        following = self.items[self.index + 1] if self.index + 1 < len(self.items) else None
        return following is not None and following.kind in {"which", "pronoun", "there"}

    def _on_there(self, item: Item) -> None:
        if self.link == "and":
            self.unreal = False
        following = self._next(SMALL, self.index + 1)
        if (
            self.frame.claims
            and self.frame.subject is None
            and self.link is None
            and (following is None or following.kind in ("preposition", "between", "be"))
        ):
            return  # "rust was found in bore two": where it was found follows
        if self.frame.claims or (self.link == "and" and self.verb is not None and self._part_ahead()):
            self._new()
        self.verb = "there" if self.frame.subject is None else "have"

    def _part_ahead(self) -> bool:
        """True if this clause names a part: "the oil was black and there was metal in the filter"."""
        for item in self.items[self.index + 1 :]:
            if item.kind in ("and", "but") or item.stop:
                return item.kind == "part"
            if item.kind == "part":
                return True
        return False

    def _deny_last(self) -> None:
        """ "It's split and the right one isn't": what was said last is denied of another place."""
        frame, before = self.frame, self.frames[-1] if self.frames else None
        last = self.items[self.index - 1] if self.index else None
        if frame.claims or frame.subject is None or frame.subject.names_part or before is None or last is None:
            return
        verb = self.items[self.index - 2] if self.index > 1 else None
        denies = last.kind == "not" and verb is not None and verb.kind == "be" and self.negative is not None
        if denies and before.claims and before.claims[-1].kind == "condition" and not self.unreal:
            frame.claims.append(Claim("same", last.start, last.end, text=last.text, not_at=self.negative))

    def _on_and(self, item: Item) -> None:
        self._deny_last()
        before = self.items[self.index - 1] if self.index else None
        self.dangling = before is not None and before.kind == "preposition" and before.text in self.sets.dangling
        self.link = "and"
        self.cause = False
        self.preposition = None

    def _on_or(self, item: Item) -> None:
        self.link = "or"
        self.preposition = None

    def _on_but(self, item: Item) -> None:
        self._deny_last()
        self._boundary()
        self.unreal = False
        self.cause = item.text == "because" and self._unknown_ahead()

    def _unknown_ahead(self) -> bool:
        """True for "because gas blew through", whose reason lies in something that is no part."""
        following = self._next(start=self.index + 1)
        return following is not None and following.kind == "unknown"

    def _on_preposition(self, item: Item) -> None:
        before = self.items[self.index - 1] if self.index else None
        if self.negative is not None and before is not None and before.kind in ("unknown", "quantity"):
            self.negative = None  # "no play in the pump": what isn't there is no condition
        if item.text == "from" and self.frame.claims:
            following = self._next(start=self.index + 1)
            self.cause = following is not None and following.kind not in NOUNS
        self.preposition = item.text.split()[-1] if item.text != "out of" else "of"

    def _on_between(self, item: Item) -> None:
        self.preposition, self.between = "between", True

    def _on_than(self, item: Item) -> None:
        """ "worse than the rest": what follows is only compared with."""
        found = self.noun_at(self.index + 1)
        if found is not None:
            self.index = found[1]

    def _on_ours(self, item: Item) -> None:
        self.ours = self.ours or not self._only_when(item)

    def _only_when(self, item: Item) -> bool:
        """True for "when i got the intake off there was ...", which tells when something was seen."""
        if self.frame.claims or self.frames or item.text.split()[0] not in self.sets.when:
            return False
        for other in self.items[self.index + 1 :]:
            if other.kind in ("condition", "action"):
                return False
            if other.kind in ("and", "but", "there", "blind"):
                return True
        return True

    def _on_tag(self, item: Item) -> None:
        following = self._next(start=self.index + 1)
        if following is None or item.stop or following.kind in ("and", "but"):
            self.tagged = True

    def _on_while_taking(self, item: Item) -> None:
        self.taking = True

    def _on_theirs(self, item: Item) -> None:
        self.theirs = True
        if self.frame.claims and self.link is not None and self._claim_follows_at(self.index + 1):
            self._new()

    def _on_unknown(self, item: Item) -> None:
        frame = self.frame
        if not frame.claims or self.link is None:
            self.strange += 1
        if self._compound(item) or self._beside_part(item):
            frame.blocked = True
        elif self._of_foreign(item):
            if frame.claims or frame.subject is not None:
                self._new()
            self.frame.blocked = True
        elif (frame.claims or frame.subject is not None) and self._opens_strangely():
            self._new()
            self.frame.blocked = True
        if self.negative is not None and self.negative[1] == item.start and self._negated_verb():
            self.negative = None
        if frame.subject is None and not frame.claims:
            frame.strange += 3

    def _negated_verb(self) -> bool:
        """True if "not" stands before an unknown word and denies that alone: "I would not sell it"."""
        return self.items[self.index - 1].text in self.sets.denying_verb

    _on_sees_no = _on_not

    _on_trailing = _on_degree

    _on_pronoun = _on_which
