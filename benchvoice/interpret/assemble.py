"""Frames to findings: each claim about each place of its subject, with what carries over from before."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

from benchvoice.domain.engine import Engine, Fuel
from benchvoice.domain.findings import Because, Degree, Finding, Flag, Kind, Place
from benchvoice.domain.words import Utterance
from benchvoice.interpret import values
from benchvoice.interpret.clauses import Claim, Frame
from benchvoice.interpret.doing import DAMAGE
from benchvoice.interpret.focus import Context, Focus, far
from benchvoice.interpret.nouns import Noun, settled
from benchvoice.interpret.places import Located, Locator
from benchvoice.interpret.senses import Sense
from benchvoice.interpret.tokens import Token
from benchvoice.lexicon import Lexicon

LOW = 0.5
"""Words less sure than this put a flag on a finding."""
STRANGE = 3
"""So many unknown words, and a claim that names no part isn't about the engine."""


@dataclass(slots=True)
class Assembler:
    """Makes the findings of one utterance. One use."""

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
    findings: list[Finding] = field(default_factory=list)
    here: Located | None = None
    """The last subject of this utterance."""

    # frames ------------------------------------------------------------------------------------------------------

    def read(self, frames: Sequence[Frame]) -> tuple[tuple[Finding, ...], Context]:
        for frame in frames:
            self._frame(frame)
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
        if self.here is not None and self.here is not before:
            self._focus_on(self.here)

    def _measure_conditions(self, frame: Frame) -> None:
        """Says what a length beside a condition measures: "bent five thou" is a runout, "a two inch crack" a length."""
        for index, claim in enumerate(list(frame.claims)):
            unit = claim.value.unit if claim.kind == "value" and claim.value else None
            if unit is None or claim.quantity is not None:
                continue
            dimension = self.lexicon.units[unit].dimension
            claim.quantity = {"distance": "distance_run", "ratio": "leakage"}.get(dimension)
            if dimension != "length":
                continue
            beside = [item for item in frame.claims[max(0, index - 1) : index + 2] if item.kind == "condition"]
            for other in beside:
                condition = self.lexicon.conditions[other.name]
                claim.quantity = condition.measured_as or condition.sized_as
                if condition.measured_as is not None and other in frame.claims:
                    frame.claims.remove(other)
                if claim.quantity is not None:
                    break

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
            if located is not None and (located.named or frame.claims):
                self.here = located
        return out

    def _shared(self, noun: Noun, nouns: Sequence[Noun], number: int) -> Noun:
        """A member of a list with what the others say for it: "intake and exhaust valves", "left and right heads"."""
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
        return locator.locate(noun, part, named)

    def _focus_on(self, located: Located) -> None:
        part = self.lexicon.parts[located.part]
        place = located.places[-1]
        if located.numbers and len(located.numbers) > 1 and part.number is not None:
            place = replace(place, **{part.number: None})  # type: ignore[arg-type]
        focus = Focus(part=located.part, place=place, numbers=located.numbers, n=self.utterance.n)
        self.context = self.context.after(focus, self.lexicon)

    # which part a claim is about ---------------------------------------------------------------------------------

    def _for_claim(
        self, claim: Claim, frame: Frame, subjects: Sequence[tuple[Noun | None, Located | None]], before: Located | None
    ) -> Iterator[Located]:
        for noun, located in subjects:
            about = self._about(claim, noun, located)
            if about is not None:
                yield about
                self.here = about
                continue
            if located is None and (noun is None or not noun.parts):
                located = self._from_focus(frame)
            if located is None or (not located.named and self._stranger(frame)):
                continue
            if self.here is None:
                self.here = located
            yield located

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
        if located is not None and located.named and located.part != "cylinder_bore":
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
        said = replace(noun, pointer=None, counted=None) if noun else Noun(0, 0)
        return locator.locate(said, name, True)

    def _suits(self, part: str, quantity: str) -> bool:
        """True if a quantity is likelier one of this part than of the part that it is usually about."""
        entry = self.lexicon.quantities[quantity]
        if part == entry.about or part in entry.on or part in entry.only:
            return True
        usual = self.lexicon.parts[entry.about] if entry.about else None
        return usual is None or (self.lexicon.parts[part].related(usual) and not entry.only)

    # claims ------------------------------------------------------------------------------------------------------

    def _claim(self, claim: Claim, frame: Frame, located: Located) -> None:
        located = self._refined(claim, located)
        for place in located.places:
            for where, extra in self._modified(claim, located.part, place):
                made = self._finding(claim, frame, located, where, extra)
                if made is not None:
                    self._put(made)

    def _refined(self, claim: Claim, located: Located) -> Located:
        """ "The piston is scuffed on the skirt" is about the skirt."""
        for noun in claim.modifiers:
            for word in noun.parts:
                for sense in word.senses:
                    if self.lexicon.parts[sense.value].within == located.part:
                        return replace(located, part=sense.value)
        return located

    def _modified(self, claim: Claim, part: str, place: Place) -> Iterator[tuple[Place, tuple[Noun, ...]]]:
        """The places of a claim with what its own modifiers say: "cracked at the rear", "wiped on three and six"."""
        places = [place]
        for noun in claim.modifiers:
            for piece in (noun, *noun.joined):
                located = Locator(self.lexicon, self.engine, self.context, self.utterance.n).locate(
                    replace(piece, pointer=None, parts=(), owners=piece.parts), part, True
                )
                spoken = [self._spoken_only(item, piece) for item in located.places]
                if piece is noun:
                    places = [self._laid_on(old, new) for old in places for new in spoken]
                else:
                    places += [self._laid_on(place, new) for new in spoken]
        for item in dict.fromkeys(places):
            yield item, tuple(claim.modifiers)

    def _spoken_only(self, place: Place, noun: Noun) -> Place:
        keys = place.as_dict()
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
        return self.ours or (self.taking and tuple(claim.text.split()) in action.past)

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

    # measurements ------------------------------------------------------------------------------------------------

    def _measurement(self, claim: Claim, base: Finding) -> Finding | None:
        if claim.value is None:
            return None
        for quantity in self._quantities(claim, base.part):
            base = replace(base, part=self.lexicon.quantities[quantity].moved.get(base.part, base.part))
            found = self._resolved(claim.value, quantity, base.part)
            if found is not None and (found.plausible or claim.quantity is not None):
                return self._measured(base, quantity, found)
        return None

    def _quantities(self, claim: Claim, part: str) -> Iterator[str]:
        """Quantities that a value may be of, likeliest first: named, measured before on this part, the part's own."""
        spoken = claim.value
        if claim.quantity is not None:
            entry = self.lexicon.quantities[claim.quantity]
            if entry.only and part not in entry.only and entry.elsewhere:
                yield entry.elsewhere
            elif self._has_unit(claim.quantity, spoken):
                yield claim.quantity
            elif spoken is not None and spoken.unit is not None:
                yield from self._by_unit(spoken.unit, part)
            if claim.quantity != "diameter":
                return
        before = None if claim.attributive else self.context.quantity
        if before is not None and before[1] == part and self._has_unit(before[0], spoken):
            yield before[0]
        own = self.lexicon.parts[part].measure
        if own is not None and self._has_unit(own, spoken):
            yield own
        unit = spoken.unit if spoken is not None else None
        if before is not None and before[1] != part and unit is not None and self._has_unit(before[0], spoken):
            if self.lexicon.parts[before[1]].related(self.lexicon.parts[part]):
                yield before[0]
        if spoken is not None and spoken.unit is not None:
            yield from self._by_unit(spoken.unit, part)

    def _by_unit(self, unit: str, part: str) -> Iterator[str]:
        dimension = self.lexicon.units[unit].dimension
        by_dimension = {
            "torque": ("torque",),
            "pressure": ("compression",) if part == "cylinder_bore" else ("pressure",),
            "temperature": ("temperature",),
            "distance": ("distance_run",),
            "ratio": ("leakage",) if part == "cylinder_bore" else (),
        }
        yield from by_dimension.get(dimension, ())

    def _has_unit(self, quantity: str, spoken: values.Spoken | None) -> bool:
        if spoken is None or spoken.unit is None:
            return True
        entry = self.lexicon.units[spoken.unit]
        units = self.lexicon.quantities[quantity].units
        return entry.unit in units or any(unit in units for unit, _ in entry.also)

    def _resolved(self, spoken: values.Spoken, quantity: str, part: str) -> values.Value | None:
        units = self.lexicon.quantities[quantity].units
        diesel = self.engine is not None and self.engine.fuel is Fuel.DIESEL
        return values.resolve(spoken, quantity, part, self.lexicon, diesel=diesel, habit=self.context.habit(units))

    def _measured(self, base: Finding, quantity: str, found: values.Value) -> Finding:
        flags = list(base.flags)
        if not found.plausible:
            flags.append(Flag.IMPLAUSIBLE)
        elif found.others:
            flags.append(Flag.TWO_READINGS)
        self.context = replace(self.context, quantity=(quantity, base.part))
        self.context = self.context.with_habit(_kind_of(found.unit), found.unit)
        return replace(
            base,
            kind=Kind.MEASUREMENT,
            quantity=quantity,
            value=found.value,
            unit=found.unit,
            resolution=found.resolution,
            upper=found.upper,
            bound=found.bound,
            readings=found.others,
            flags=tuple(flags),
        )

    # lists, exceptions, the same again ---------------------------------------------------------------------------

    def _exceptions(self, frame: Frame, subjects: Sequence[tuple[Noun | None, Located | None]]) -> None:
        """ "Not scuffed apart from three and six": the contrary at three and at six."""
        for _, located in subjects:
            located = located or self._from_focus(frame)
            if located is None:
                continue
            for noun in frame.exceptions:
                for piece in (noun, *noun.joined):
                    there = Locator(self.lexicon, self.engine, self.context, self.utterance.n).locate(
                        replace(piece, parts=(), owners=piece.parts, group=piece.group or "all"), located.part, True
                    )
                    for claim in frame.claims:
                        if claim.kind == "condition":
                            self._contrary(claim, frame, there)

    def _contrary(self, claim: Claim, frame: Frame, there: Located) -> None:
        for place in there.places:
            made = self._condition(claim, self._base(claim, frame, there, place))
            if made is not None:
                self._put(replace(made, present=not made.present, degree=None))

    def _same(self, frame: Frame, claim: Claim, subjects: Sequence[tuple[Noun | None, Located | None]]) -> None:
        """ "Same on five", "number six same thing", "so is the intake on six": what was last said, said here too."""
        nouns = [noun for noun, _ in subjects if noun is not None] or list(claim.modifiers)
        last = (tuple(self.findings[-1:]) and self._last_said()) or self.context.claims
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
        part = part if named and part is not None and (noun.parts or noun.counted) else last[0].part
        located = locator.locate(noun, part, True)
        self.here = located
        for place in located.places:
            for finding in last:
                base = self._base(claim, frame, located, place)
                hedged = finding.hedged or claim.hedged
                degree = Degree(claim.degree) if claim.degree else finding.degree
                self._put(replace(finding, part=part, place=place, hedged=hedged, degree=degree, t0=base.t0, t1=base.t1,
                                  text=base.text, confidence=base.confidence, flags=base.flags, why=base.why))  # fmt: skip

    def _put(self, finding: Finding) -> None:
        self.findings.append(finding)

    # why ---------------------------------------------------------------------------------------------------------

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


def _kind_of(unit: str) -> str:
    for name, units in (
        ("length", ("in", "mm")),
        ("pressure", ("psi", "kPa", "bar")),
        ("torque", ("ft_lbf", "in_lbf", "N_m")),
        ("temperature", ("deg_F", "deg_C")),
        ("distance", ("mi", "km")),
    ):
        if unit in units:
            return name
    return unit
