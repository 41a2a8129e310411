"""Frames to findings: each claim about each place of its subject, with what carries over from before."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from benchvoice.domain.findings import Finding, Kind, Place
from benchvoice.interpret.again import Again, at_same_valve
from benchvoice.interpret.focus import Context, Focus
from benchvoice.interpret.frames import Claim, Frame
from benchvoice.interpret.nouns import Noun, settled
from benchvoice.interpret.places import Located, Locator

SIZES = frozenset({"length", "depth"})
"""Quantities that tell how big a fault is."""
STRANGE = 3
"""So many unknown words, and a claim that names no part isn't about the engine."""


class Assembler(Again):
    """Makes the findings of one utterance. One use."""

    def read(self, frames: Sequence[Frame]) -> tuple[tuple[Finding, ...], Context]:
        for frame in frames:
            if not frame.blocked:
                self._frame(frame)
        if self.short is not None and not self.findings:
            self._continued(frames)
        return tuple(self._distinct()), self.context

    def _distinct(self) -> Iterator[Finding]:
        seen = set()
        for finding in self.findings:
            key = (finding.kind, finding.part, finding.place, finding.condition, finding.present, finding.quantity,
                   finding.value, finding.action)  # fmt: skip
            if key not in seen:
                seen.add(key)
                yield finding

    def _frame(self, frame: Frame) -> None:
        before = self.here
        self._measure_conditions(frame)
        subjects = self._subjects(frame)
        for claim in frame.claims:
            if claim.kind == "same":
                self._same(frame, claim, subjects)
                continue
            for located in self._for_claim(claim, frame, subjects, before):
                self._claim(claim, frame, located)
        if frame.exceptions and not frame.settled:
            self._exceptions(frame, subjects)
        subject = frame.subject
        passing = not frame.claims and self.findings and subject is not None
        if passing and subject is not None and not subject.numbers and not subject.places:
            self.here = before
        elif self.here is not None and self.here is not before:
            self._focus_on(self.here)

    def _subjects(self, frame: Frame) -> list[tuple[Noun | None, Located | None]]:
        """The subject noun phrases of a frame, each with what it means; one (None, ...) for a frame without one."""
        if frame.subject is None:
            return [(None, self.here)]
        nouns = [frame.subject, *frame.subject.joined]
        out: list[tuple[Noun | None, Located | None]] = []
        for number, noun in enumerate(nouns):
            shared = self._shared(noun, nouns, number)
            located = self._locate(shared)
            out.append((shared, located))
            if located is not None and (located.named or frame.claims or located.numbers):
                self.here = located
        return out

    def _shared(self, noun: Noun, nouns: Sequence[Noun], number: int) -> Noun:
        """A member of a list with what the others say for it: "intake and exhaust valves", "left and right heads"."""
        if number and noun.numbers and nouns[0].parts:
            noun = settled(noun)
        valve = next((word.valve for word in noun.parts if word.valve and not word.full), None)
        after = next((item for item in nouns[number + 1 :] if item.parts), None)
        if valve is not None and len(noun.parts) == 1 and after is not None:
            return replace(noun, parts=after.parts, places={"valve": valve, **noun.places})
        if noun.parts:
            return noun
        other = next((item for item in (*nouns[number + 1 :], *reversed(nouns[:number])) if item.parts), None)
        if other is None:
            return noun
        return replace(noun, parts=other.parts, numbers=noun.numbers or (other.numbers if noun.places else ()))

    def _locate(self, noun: Noun) -> Located | None:
        locator = Locator(self.lexicon, self.engine, self.context, self.utterance.n)
        part, named = locator.part_of(noun)
        if part is None:
            return None
        located = locator.locate(noun, part, named)
        lost = noun.bare and noun.group is not None and noun.places and located.places == (Place(),)
        return None if lost else located  # "the middle three" of something that has no middle

    def _focus_on(self, located: Located) -> None:
        if not located.places:
            return
        part = self.lexicon.parts[located.part]
        place = located.places[-1]
        if located.numbers and len(located.numbers) > 1 and part.number is not None:
            place = replace(place, **{part.number: None})
        focus = Focus(part=located.part, place=place, numbers=located.numbers, n=self.utterance.n)
        self.context = self.context.after(focus, self.lexicon)

    def _for_claim(
        self, claim: Claim, frame: Frame, subjects: Sequence[tuple[Noun | None, Located | None]], before: Located | None
    ) -> Iterator[Located]:
        for noun, spoken in subjects:
            about = self._about(claim, noun, spoken)
            if about is not None:
                yield about
                self.here = about
                continue
            carries = spoken is None and (noun is None or not (noun.parts or (noun.group and noun.places)))
            located = (self._at_sized(claim) or self._from_focus(frame)) if carries else spoken
            if located is None or (not located.named and self._stranger(frame)):
                continue
            if self.here is None:
                self.here = located
            yield located

    def _at_sized(self, claim: Claim) -> Located | None:
        """Where the thing is whose size a value gives: "the crack is two inches long"."""
        last = self.context.claims[-1] if self.context.claims else None
        focus = self.context.near(self.context.focus, self.utterance.n)
        if last is None or last.condition is None or not last.present or focus is None or last.part != focus.part:
            return None
        if claim.kind != "value" or claim.quantity is None or claim.quantity not in SIZES:
            return None
        if self.lexicon.conditions[last.condition].sized_as is None and claim.quantity != "depth":
            return None
        keys = ("part", *last.place.as_dict())
        return Located(part=last.part, places=(last.place,), named=False, carried=keys, source=focus)

    def _stranger(self, frame: Frame) -> bool:
        return frame.strange >= STRANGE or self.tagged

    def _from_focus(self, frame: Frame) -> Located | None:
        locator = Locator(self.lexicon, self.engine, self.context, self.utterance.n)
        focus = locator.focus
        if focus is None:
            return None
        return locator.locate(Noun(0, 0, group="all" if frame.exceptions else None), focus.part, False)

    def _about(self, claim: Claim, noun: Noun | None, located: Located | None) -> Located | None:
        """The part that the claim itself is about, when no part was named with it."""
        told = claim.kind == "condition" and self.lexicon.conditions[claim.name].about in claim.text.split()
        whole = claim.kind == "value" and claim.quantity is not None and self.lexicon.quantities[claim.quantity].always
        if located is not None and located.named and located.part != "cylinder_bore" and not told and not whole:
            return None
        name: str | None = None
        if claim.kind == "condition":
            name = self.lexicon.conditions[claim.name].about
        elif claim.kind == "value" and claim.quantity is not None:
            quantity = self.lexicon.quantities[claim.quantity]
            focus_part = located.part if located else self.context.focus.part if self.context.focus else None
            suits = focus_part is not None and not quantity.always and self._suits(focus_part, claim.quantity)
            name = None if suits else quantity.about
        elif claim.kind == "action":
            action = self.lexicon.actions[claim.name]
            name = action.about if noun is None or not noun.parts else None
        if name is None or (located is not None and located.part == name and located.named):
            return None
        locator = Locator(self.lexicon, self.engine, self.context, self.utterance.n)
        stays = noun is not None and claim.kind == "value" and noun.pointer in ("this", "next", "previous")
        pointer = noun.pointer if noun is not None and stays else None
        said = replace(noun, pointer=pointer, counted=None) if noun and not told else Noun(0, 0)
        if whole:  # "leak down is forty percent on three out of the exhaust"
            said = replace(said, parts=())
        return locator.locate(said, name, True)

    def _claim(self, claim: Claim, frame: Frame, located: Located) -> None:
        located = self._refined(claim, located)
        for place in located.places:
            for where, extra in self._modified(claim, located, place):
                made = self._finding(claim, frame, located, where, extra)
                if made is not None:
                    self._put(made)
                    if any(noun.numbers for noun in extra) and len(located.places) == 1:
                        self.here = replace(located, places=(where,), numbers=())

    def _refined(self, claim: Claim, located: Located) -> Located:
        """ "The piston is scuffed on the skirt" is about the skirt."""
        if sum(bool(noun.parts) for noun in claim.modifiers) > 1:
            return located  # "a crack from the pin boss to the skirt"
        for noun in claim.modifiers:
            for word in noun.parts:
                for sense in word.senses:
                    if self.lexicon.parts[sense.value].within == located.part:
                        return replace(located, part=sense.value)
        return located

    def _modified(self, claim: Claim, at: Located, place: Place) -> Iterator[tuple[Place, tuple[Noun, ...]]]:
        """The places of a claim with what its own modifiers say: "cracked at the rear", "wiped on three and six"."""
        part, carried, places = at.part, at.carried, [place]
        for noun in claim.modifiers:
            for piece in (noun, *noun.joined):
                located = Locator(self.lexicon, self.engine, self.context, self.utterance.n).locate(
                    replace(piece, pointer=None, parts=(), owners=piece.parts), part, True
                )
                spoken = [self._spoken_only(item, piece, located.carried) for item in located.places]
                if piece.pointer == "this" and not piece.numbers:
                    spoken = [self._spot(part) if "part" in carried or not _numbered(place) else Place()]
                if piece is noun:
                    places = [self._laid_on(old, new) for old in places for new in spoken]
                else:
                    places += [self._laid_on(place, new) for new in spoken]
        for item in dict.fromkeys(places):
            yield item, tuple(claim.modifiers)

    def _spot(self, part: str) -> Place:
        """The number last spoken of, for "cracked there"."""
        said = (*self.context.claims, *self.findings)
        if said and said[-1].part == part and not self.findings and self.utterance.n - self.context.said <= 1:
            return _number_and_level(said[-1].place)
        number = (said[-1].place.cylinder or said[-1].place.journal) if said else None
        return Place.from_dict({self.lexicon.parts[part].number or "cylinder": number} if number else {})

    def _spoken_only(self, place: Place, noun: Noun, carried: Sequence[str]) -> Place:
        keys = {key: value for key, value in place.as_dict().items() if key not in carried}
        if not noun.numbers:
            keys.pop("cylinder", None)
            keys.pop("journal", None)
        return Place.from_dict(keys)

    def _laid_on(self, old: Place, new: Place) -> Place:
        return Place.from_dict(old.as_dict() | new.as_dict())

    def _finding(
        self, claim: Claim, frame: Frame, located: Located, place: Place, modifiers: tuple[Noun, ...]
    ) -> Finding | None:
        base = self._base(claim, frame, located, place)
        if claim.kind == "condition":
            return self._condition(claim, base)
        if claim.kind == "value":
            return self._measurement(claim, base)
        if claim.kind == "unseen":
            return replace(base, kind=Kind.UNSEEN, hedged=False)
        if claim.kind == "action":
            return self._event(claim, base)
        if claim.kind == "nail":
            return self._nail(claim, base)
        return None

    def _exceptions(self, frame: Frame, subjects: Sequence[tuple[Noun | None, Located | None]]) -> None:
        """ "Not scuffed apart from three and six": the contrary at three and at six."""
        for _, spoken in subjects:
            located = spoken or self._from_focus(frame)
            if located is None:
                continue
            for noun in frame.exceptions:
                for piece in (noun, *noun.joined):
                    there = Locator(self.lexicon, self.engine, self.context, self.utterance.n).locate(
                        replace(piece, parts=(), owners=piece.parts, group=piece.group or "all"), located.part, True
                    )
                    valve = located.places[0].valve if located.places else None
                    there = at_same_valve(there, valve)
                    for claim in frame.claims:
                        if claim.kind == "condition":
                            self._contrary(claim, frame, there)

    def _contrary(self, claim: Claim, frame: Frame, there: Located) -> None:
        for place in there.places:
            made = self._condition(claim, self._base(claim, frame, there, place))
            if made is not None:
                self._put(replace(made, present=not made.present, degree=None))


def _numbered(place: Place) -> bool:
    return bool(place.cylinder or place.journal)


def _number_and_level(place: Place) -> Place:
    return Place(cylinder=place.cylinder, journal=place.journal, level=place.level)
