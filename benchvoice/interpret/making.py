"""Single findings: one claim about one place, with the words that it stands on."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

from benchvoice.domain.engine import Engine
from benchvoice.domain.findings import Because, Degree, Finding, Flag, Kind, Place
from benchvoice.domain.words import Utterance
from benchvoice.interpret.doing import DAMAGE
from benchvoice.interpret.focus import Context, far
from benchvoice.interpret.frames import Claim, Frame
from benchvoice.interpret.item import Item
from benchvoice.interpret.places import Located
from benchvoice.interpret.senses import Sense
from benchvoice.interpret.tokens import Token
from benchvoice.lexicon import Lexicon

LOW = 0.5
"""Words less sure than this put a flag on a finding."""


@dataclass(slots=True)
class Making:
    """What is known while the findings of one utterance are made, and how one is made of a claim and a place."""

    lexicon: Lexicon
    engine: Engine | None
    context: Context
    utterance: Utterance
    tokens: Sequence[Token]
    ours: bool = False
    taking: bool = False
    theirs: bool = False
    tagged: bool = False
    repaired: bool = False
    short: Item | None = None
    """The word that makes a sentence without a claim of its own go on about the last one: "not", "and"."""
    findings: list[Finding] = field(default_factory=list)
    here: Located | None = None
    """The last subject of this utterance."""

    def _base(self, claim: Claim, frame: Frame, located: Located, place: Place) -> Finding:
        words = self.utterance.words
        used = [words[i] for i in self._words(claim.start, claim.end)]
        confidence = min((word.confidence for word in used), default=1.0)
        flags = []
        if self.engine and not self.engine.has(cylinder=place.cylinder, journal=place.journal, bank=place.bank):
            flags.append(Flag.NOT_ON_ENGINE)
        if located.carried and far(located.source, self.utterance.n):
            flags.append(Flag.FOCUS_FAR)
        if confidence < LOW:
            flags.append(Flag.LOW_CONFIDENCE)
        if self.repaired:
            flags.append(Flag.REPAIRED)
        return Finding(
            kind=Kind.CONDITION,
            part=located.part,
            place=place,
            hedged=claim.hedged,
            t0=self.utterance.t0,
            t1=self.utterance.t1,
            text=self.utterance.text,
            confidence=min(confidence, self.utterance.confidence),
            flags=tuple(flags),
            why=tuple(self._why(claim, frame, located, place)),
        )

    def _condition(self, claim: Claim, base: Finding) -> Finding | None:
        sense = self._meant(claim, base.part)
        if sense is None:
            return None
        condition = self.lexicon.conditions[sense.value]
        if condition.is_bad and claim.present and self._could_be_ours(claim):
            return replace(base, kind=Kind.EVENT, action=DAMAGE, done_by="teardown")
        present = claim.present and not claim.reversed
        if sense.form == "absent":
            present = not present
        degree = Degree(claim.degree) if claim.degree and present else None
        other = condition.moved.get(base.part)
        if other is not None and base.place.journal is None:
            base = replace(base, part=other, place=Place(bank=base.place.bank))
        return replace(base, condition=sense.value, present=present, degree=degree)

    def _meant(self, claim: Claim, part: str) -> Sense | None:
        """The condition that the words mean on this part: a flat lobe is worn away, a flat deck is as it should be."""
        restricted = [item for item in claim.senses if item.kind == "condition"]
        restricted.sort(key=lambda item: claim.text not in self.lexicon.conditions[item.value].for_parts)
        for sense in restricted:
            only = self.lexicon.conditions[sense.value].for_parts.get(claim.text)
            if only is None or part in only:
                return sense
        return None

    def _could_be_ours(self, claim: Claim) -> bool:
        """True if what is broken was broken at the bench, by what the sentence says."""
        action = self.lexicon.actions.get(DAMAGE)
        if action is None or claim.name not in action.conditions:
            return False
        return (self.ours and not self.theirs) or (self.taking and tuple(claim.text.split()) in action.past)

    def _nail(self, claim: Claim, base: Finding) -> Finding | None:
        """ "I can catch it with a nail", said by itself: the depth of what was just seen."""
        last = next(
            (item for item in reversed(self.context.claims) if item.kind is Kind.CONDITION and item.present), None
        )
        if last is None or last.part != base.part or self.context.n - 1 > self.utterance.n:
            return None
        return replace(base, condition=last.condition, degree=Degree(claim.name), place=last.place)

    def _event(self, claim: Claim, base: Finding) -> Finding | None:
        action = self.lexicon.actions[claim.name]
        if action.only and base.part not in action.only:
            return None
        by = "before" if self.theirs and not self.ours else "teardown"
        return replace(base, kind=Kind.EVENT, action=claim.name, done_by=by)

    def _put(self, finding: Finding) -> None:
        self.findings.append(finding)

    def _words(self, start: int, end: int) -> range:
        """Word indices of some tokens."""
        tokens = self.tokens[start:end]
        return range(tokens[0].word, tokens[-1].word + 1) if tokens else range(0)

    def _span(self, at: tuple[int, int] | None) -> tuple[int, int] | None:
        if at is None:
            return None
        words = self._words(*at)
        return (words.start, words.stop) if words else None

    def _why(self, claim: Claim, frame: Frame, located: Located, place: Place) -> Iterator[Because]:
        subject = frame.subject
        source = located.source.n if located.source else None
        spans = {name: (start, end) for name, start, end in subject.spans} if subject else {}
        for noun in claim.modifiers:
            spans |= {name: (start, end) for name, start, end in noun.spans}
        for noun in (*((subject,) if subject else ()), *claim.modifiers):
            for word in (*noun.parts, *noun.owners):
                if word.valve is not None and word.valve == place.valve:
                    spans.setdefault("valve", (word.start, word.end))
        if "part" in located.carried or "part" not in spans:
            yield Because(field="part", value=located.part, rule="focus", words=None, utterance=source)
        else:
            yield Because(field="part", value=located.part, rule="parts", words=self._span(spans["part"]))
        for key, value in place.as_dict().items():
            at = spans.get("number" if key in ("cylinder", "journal") else key)
            if key in located.carried or at is None:
                yield Because(field=key, value=str(value), rule="focus", utterance=source)
            else:
                yield Because(field=key, value=str(value), rule="places", words=self._span(at))
        rule = {"condition": "conditions", "value": "numbers", "unseen": "unseen", "action": "actions"}
        yield Because(
            field=claim.kind, value=claim.name or claim.text, rule=rule.get(claim.kind, claim.kind),
            words=self._span((claim.start, claim.end)),
        )  # fmt: skip
        for name, shown, at, file in (
            ("present", "false", claim.not_at, "not"),
            ("degree", claim.degree or "", claim.degree_at, "degrees"),
            ("hedged", "true", claim.hedge_at, "hedges"),
            ("quantity", claim.quantity or "", claim.quantity_at, "quantities"),
        ):
            if at is not None:
                yield Because(field=name, value=shown, rule=file, words=self._span(at))
