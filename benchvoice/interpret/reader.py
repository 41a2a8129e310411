"""The reader: one utterance and what came before it in, a reading and what comes of it out. Pure."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from benchvoice.domain.engine import Engine, Fuel
from benchvoice.domain.findings import Finding, Kind
from benchvoice.domain.readings import Command, Order, Reading
from benchvoice.domain.words import Utterance, Word
from benchvoice.interpret.again import LATELY
from benchvoice.interpret.assemble import Assembler
from benchvoice.interpret.clauses import Clauses
from benchvoice.interpret.commands import Ordered, command_of
from benchvoice.interpret.ends import with_ends
from benchvoice.interpret.expect import Expectation
from benchvoice.interpret.focus import REMEMBERED, Context
from benchvoice.interpret.item import Item
from benchvoice.interpret.items import make_items
from benchvoice.interpret.numbers import Style, readings
from benchvoice.interpret.repair import Repairer
from benchvoice.interpret.runs import MOST
from benchvoice.interpret.senses import Span, Vocabulary
from benchvoice.interpret.tokens import Token, tokenise
from benchvoice.interpret.topic import Topic
from benchvoice.interpret.values import Spoken, resolve
from benchvoice.lexicon import Lexicon

TRADE = frozenset(
    {"part", "condition", "quantity", "unit", "action", "unseen", "bench", "numbers", "same", "nail", "likewise"}
)
"""Kinds of phrases that show that the talk is about the engine."""
TELLING = TRADE - {"condition", "unit", "action", "unseen"}
"""Those that show it by themselves, beside words that nobody knows."""
SHORTEST = 8
"""Words of a sentence that only goes on about what was last said: "the other one isn't"."""
LONGEST = 400
"""Words of one utterance that are read; nobody says more between two pauses."""


class Reader:
    """Reads utterances about one engine. Holds nothing that changes: what carries over is in the context."""

    def __init__(self, lexicon: Lexicon, engine: Engine | None = None) -> None:
        self.lexicon = lexicon
        self.engine = engine
        self._vocabulary = Vocabulary(lexicon)
        self._most = MOST if engine is None else max(engine.cylinders, engine.main_count)
        self._topic = Topic(lexicon)
        self._repairer = Repairer(lexicon, self._vocabulary.known)
        self._expectation = Expectation(lexicon, self._vocabulary)

    def start(self) -> Context:
        """The context before anything was said."""
        return Context()

    def read(self, utterance: Utterance, context: Context) -> tuple[Reading, Context]:
        """How an utterance is understood after what was said before. Any text at all gives a reading."""
        context = replace(context, n=utterance.n)
        words = utterance.words[:LONGEST]
        tokens = tokenise(words, self.lexicon.contractions)
        ordered = command_of([token.text for token in tokens], self.lexicon)
        if ordered is not None:
            return self._command(utterance, tokens, ordered, context)
        reading, after = self._plain(utterance, tokens, context)
        return reading, self._remember(after, reading)

    def read_all(self, utterances: Iterable[Utterance]) -> Iterator[Reading]:
        """Readings of a whole sitting, in order."""
        context = self.start()
        for utterance in utterances:
            reading, context = self.read(utterance, context)
            yield reading

    # commands ----------------------------------------------------------------------------------------------------

    def _command(
        self, utterance: Utterance, tokens: Sequence[Token], ordered: Ordered, context: Context
    ) -> tuple[Reading, Context]:
        order, rest = ordered.order, tokens[ordered.end :]
        text = _words_from(utterance.words, tokens, ordered.end)
        command = Command(order=order, text=text)
        if order is Order.STRIKE:
            return Reading(utterance=utterance, withdraws=context.live[-1:], command=command), replace(
                context, live=context.live[:-1]
            )
        if order is Order.REPLACE:
            reading, after = self._plain(utterance, rest, context)
            live = context.live[:-1]
            reading = replace(reading, withdraws=context.live[-1:], command=command, domain=True)
            return reading, self._remember(replace(after, live=live), reading)
        if order is Order.NEW_PART:
            reading, after = self._plain(utterance, rest, context)
            if reading.findings or after.focus == context.focus:
                whole, after = self._plain(utterance, tokens, context)
                return whole, self._remember(after, whole)
            return replace(reading, command=command, domain=True), self._remember(after, reading)
        return Reading(utterance=utterance, command=command), context

    def _remember(self, context: Context, reading: Reading) -> Context:
        claims = context.claims
        if reading.findings:
            context = replace(context, said=reading.utterance.n)
            last = reading.findings[-1]
            claims = tuple(item for item in reading.findings if item.part == last.part and item.place == last.place)
        live = context.live
        if reading.domain:
            live = (*live, reading.utterance.n)[-REMEMBERED:]
        return replace(context, claims=claims, live=live)

    # speech ------------------------------------------------------------------------------------------------------

    def _plain(self, utterance: Utterance, tokens: Sequence[Token], context: Context) -> tuple[Reading, Context]:
        """Reads speech; with misheard words put back where that makes sense of it."""
        mended, changed = self._repairer.repair(tokens, utterance.words, known=False)
        first = self._speech(utterance, mended, context, repaired=changed)
        if changed and not self._named(first[0]):
            mended = list(tokens)
            first = self._speech(utterance, tokens, context, repaired=False)
        expected = self._expectation.mend(mended)
        if expected.changed:
            other = self._speech(utterance, expected.tokens, context, repaired=True)
            if _says_more(other[0], first[0], surely=expected.surely) and self._named(other[0]):
                return other
        if first[0].findings or not first[0].domain:
            return first
        mended, changed = self._repairer.repair(tokens, utterance.words, known=True)
        if not changed:
            return first
        second = self._speech(utterance, mended, context, repaired=True)
        return second if second[0].findings and self._named(second[0]) else first

    def _named(self, reading: Reading) -> bool:
        """True if every finding stands on a part or a number that was spoken, so that a repair may be trusted."""
        return all(any(because.rule in ("parts", "places") for because in finding.why) for finding in reading.findings)

    def _speech(
        self, utterance: Utterance, tokens: Sequence[Token], context: Context, *, repaired: bool
    ) -> tuple[Reading, Context]:
        spans = with_ends(self._vocabulary.find(tokens), tokens, self.lexicon)
        about = utterance.domain and self._about_engine(spans, tokens, context)
        opening = self._topic.opening(spans, tokens)
        if not about and utterance.domain and context.claims and SHORTEST < len(tokens) != opening <= SHORTEST:
            tokens, spans = tokens[:opening], [span for span in spans if span.end <= opening]
            about = not self._topic.speaks_against(spans, tokens) and self._about_engine(spans, tokens, context)
        lately = utterance.domain and bool(context.claims) and context.n - context.said <= LATELY
        if not about and (not lately or len(tokens) > SHORTEST or self._topic.speaks_against(spans, tokens)):
            return Reading(utterance=utterance, domain=False), context
        clauses = Clauses(self._items(tokens, spans, context), self.lexicon.word_sets)
        short = clauses.short() if lately else None
        if not about and short is None:
            return Reading(utterance=utterance, domain=False), context
        frames = clauses.read()
        assembler = Assembler(
            lexicon=self.lexicon, engine=self.engine, context=context, utterance=utterance, tokens=tokens,
            ours=clauses.ours, taking=clauses.taking, theirs=clauses.theirs, tagged=clauses.tagged,
            repaired=repaired or utterance.raw is not None, short=short,
        )  # fmt: skip
        findings, after = assembler.read(frames)
        rest = tuple(item.text for item in clauses.items if item.kind == "unknown")
        tells = any(span.has(*TELLING) for span in spans) or self._topic.describes(spans, tokens)
        if not findings and rest and not tells:
            return Reading(utterance=utterance, domain=False, rest=rest), context
        return Reading(utterance=utterance, findings=findings, rest=rest), after

    def _about_engine(self, spans: Sequence[Span], tokens: Sequence[Token], context: Context) -> bool:
        against = self._topic.speaks_against(spans, tokens)
        if not context.claims and self._topic.tells_mileage(spans, tokens):
            return True  # a sitting begins with where the engine came from
        trade = any(span.has(*TRADE) and self._topic.speaks(span, tokens) for span in spans)
        if trade or self._topic.describes(spans, tokens):
            weighed = not against or against <= self._topic.speaks_for(spans, tokens)
            lately = bool(context.claims) and context.n - context.said <= LATELY
            return weighed or self._topic.clause_about(spans, tokens, lately=lately)
        return (
            context.quantity is not None
            and any(readings((token.text,), self.lexicon.numbers) for token in tokens)
            and len(tokens) <= 12
            and not against
        )

    def _items(self, tokens: Sequence[Token], spans: Sequence[Span], context: Context) -> list[Item]:
        named = [(span.start, sense.value) for span in spans if (sense := span.get("quantity"))]
        parts = [(span.start, sense.value) for span in spans if (sense := span.get("part"))]
        focus = context.near(context.focus, context.n)

        def hint(words: Sequence[str], unit: str | None, at: int) -> bool:
            quantity, part = _nearest(self._having(named, unit), at), _nearest(parts, at)
            if part is None and focus is not None:
                part = focus.part
            quantities = [quantity] if quantity is not None else self._quantities_for(unit, part, context)
            spoken = Spoken(readings=readings(tuple(words), self.lexicon.numbers), unit=unit)
            if not spoken.readings:
                return False
            if not quantities or (quantity is None and unit is None and self._counts(spoken, context)):
                return unit is not None
            return any(self._fits(spoken, name, part, context) for name in quantities)

        focused = bool(named) or (context.quantity is not None and focus is not None)
        return make_items(tokens, spans, self.lexicon, hint, focused, self._most)

    def _counts(self, spoken: Spoken, context: Context) -> bool:
        """True for a small whole number that nothing shows to be a size: "six through nine", no size before it."""
        measured = bool(context.claims) and context.claims[-1].kind is Kind.MEASUREMENT
        return not measured and all(item.style is Style.WHOLE and item.value <= self._most for item in spoken.readings)

    def _having(self, named: Sequence[tuple[int, str]], unit: str | None) -> list[tuple[int, str]]:
        """Those of the quantities named that can have a unit."""
        if unit is None:
            return list(named)
        spoken = self.lexicon.units[unit]
        options = {spoken.unit, *(other for other, _ in spoken.also)}
        return [(start, name) for start, name in named if options & set(self.lexicon.quantities[name].units)]

    def _fits(self, spoken: Spoken, quantity: str, part: str | None, context: Context) -> bool:
        """True if some reading is believable."""
        entry = self.lexicon.quantities[quantity]
        if entry.always and entry.about:
            part = entry.about
        diesel = None if self.engine is None else self.engine.fuel is Fuel.DIESEL
        found = resolve(spoken, quantity, part, self.lexicon, diesel=diesel, habit=context.habit(entry.units))
        return found is not None and found.plausible

    def _quantities_for(self, unit: str | None, part: str | None, context: Context) -> list[str]:
        """The quantities that a number may be: the one last measured, and the part's own, if the unit suits."""
        out = []
        last = context.quantity[0] if context.quantity else None
        own = self.lexicon.parts[part].measure if part else None
        for name in (last, own):
            if name is None:
                continue
            units = self.lexicon.quantities[name].units
            if unit is None or self.lexicon.units[unit].unit in units:
                out.append(name)
        return out


def _says_more(one: Reading, other: Reading, *, surely: bool) -> bool:
    """True if a reading has other findings than another: as many, or it is surely what was said or explains more."""
    fresh = [_brief(finding) for finding in one.findings]
    known = [_brief(finding) for finding in other.findings]
    if not fresh or fresh == known or len(one.rest) > len(other.rest):
        return False
    return surely or len(fresh) >= len(known) or len(one.rest) < len(other.rest)


def _brief(finding: Finding) -> Finding:
    """A finding without its flags, which tell how it came about; its reasons are not compared."""
    return replace(finding, flags=())


def _nearest(named: Sequence[tuple[int, str]], at: int) -> str | None:
    """The last of the names before a token, else the first after it."""
    before = [name for start, name in named if start < at]
    if before:
        return before[-1]
    return named[0][1] if named else None


def _words_from(words: Sequence[Word], tokens: Sequence[Token], end: int) -> str:
    """The heard words from a token on, as they were heard."""
    if end >= len(tokens):
        return ""
    return " ".join(word.text for word in words[tokens[end].word :])
