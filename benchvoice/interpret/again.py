"""What was last said, said again of another place, or denied of it: "same on five", "two isn't", "and at four"."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from benchvoice.domain.findings import Degree, Finding, Kind
from benchvoice.interpret.frames import Claim, Frame
from benchvoice.interpret.measuring import Measuring
from benchvoice.interpret.nouns import Noun, settled
from benchvoice.interpret.places import Located, Locator

LATELY = 2
"""So many utterances later a bare "two isn't" may deny what was said."""


class Again(Measuring):
    """Repeats what was last said."""

    def _same(self, frame: Frame, claim: Claim, subjects: Sequence[tuple[Noun | None, Located | None]]) -> None:
        """ "Same on five", "number six same thing", "so is the intake on six": what was last said, said here too."""
        nouns = [noun for noun, _ in subjects if noun is not None] or list(claim.modifiers)
        last: Sequence[Finding] = (tuple(self.findings[-1:]) and self._last_said()) or self.context.claims
        if not claim.present:
            last = [replace(item, present=False, degree=None) for item in last if item.present and item.condition]
        for noun in nouns:
            for piece in (noun, *(noun.joined if noun not in [n for n, _ in subjects] else ())):
                self._again(frame, claim, piece, last)

    def _last_said(self) -> tuple[Finding, ...]:
        """The findings of this utterance about the place that came last."""
        last = self.findings[-1]
        return tuple(item for item in self.findings if item.part == last.part and item.place == last.place)

    def _again(self, frame: Frame, claim: Claim, noun: Noun, last: Sequence[Finding]) -> None:
        if not last:
            return
        locator = Locator(self.lexicon, self.engine, self.context, self.utterance.n)
        noun = settled(noun)
        part, named = locator.part_of(noun)
        named = named and part is not None and bool(noun.parts or noun.counted)
        part = part if named and part is not None else last[0].part
        located = locator.locate(noun, part, True)
        if noun.bare and noun.places and not noun.numbers and not any(place.as_dict() for place in located.places):
            return  # a place that this part doesn't have: "the middle three don't"
        if not named and (self.short is not None or self.findings):
            located = at_same_valve(located, last[0].place.valve)
        self.here = located
        for place in located.places:
            for finding in last:
                base = self._base(claim, frame, located, place)
                hedged = finding.hedged or claim.hedged
                degree = Degree(claim.degree) if claim.degree else finding.degree
                denied = claim.not_at is not None
                if denied:
                    hedged, degree = claim.hedged, None
                present = finding.present and not denied
                said = replace(finding, part=part, place=place, hedged=hedged, degree=degree, why=base.why)
                said = replace(said, present=present)
                said = replace(said, t0=base.t0, t1=base.t1, text=base.text, flags=base.flags)
                self._put(replace(said, confidence=base.confidence))

    def _continued(self, frames: Sequence[Frame]) -> None:
        """ "Two and three aren't", "and at four": the conditions last said, denied or said of other places."""
        none = self.short is not None and self.short.text in self.lexicon.word_sets.none_of_them
        last = [item for item in self.context.claims if item.kind is Kind.CONDITION and (item.present or none)]
        if self.short is None or not last or self.context.n - self.context.said > LATELY:
            return
        denied = self.short.kind == "not"
        claim = Claim("same", self.short.start, self.short.end, text=self.short.text)
        if denied:
            claim.not_at = (self.short.start, self.short.end)
        for frame in frames:
            for noun in (frame.subject, *(frame.subject.joined if frame.subject else ())):
                if noun is not None and (noun.parts or noun.numbers or noun.places or noun.pointer or noun.group):
                    self._again(frame, claim, noun, last)
        if denied:
            self.findings = [replace(item, present=False, degree=None, hedged=False) for item in self.findings]


def at_same_valve(located: Located, valve: str | None) -> Located:
    """The places with the valve that was spoken of, where none was said."""
    if valve is None or any(place.valve for place in located.places):
        return located
    return replace(located, places=tuple(replace(place, valve=valve) for place in located.places))
