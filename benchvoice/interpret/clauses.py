"""Clauses: what is said of what. A row of items becomes frames, each one subject with the claims about it.

The rules, in the order in which they bite:

- A noun phrase before any claim is the subject; one after a claim is the subject of a clause that began with the claim
  ("scoring in number three", "cracked block"), a modifier of the last claim ("cracked at the rear"), an exception
  ("except number four"), or the subject of the next clause.
- A claim belongs to the subject before it, unless the clause so far ran claim first and another subject follows.
- "No" and "looks" reach the next claim, and further only over "or" and "and" without a word of their own.
- Nothing that stands under "if", "supposed to be", "will need" and their like is claimed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from benchvoice.interpret.items import Item
from benchvoice.interpret.nouns import GLUE, Noun, join, merge, read_noun, settled
from benchvoice.interpret.senses import PLACE_KEYS, Sense
from benchvoice.interpret.values import Spoken


@dataclass(slots=True)
class Claim:
    """One thing said of the subject. kind: "condition", "value", "unseen", "action", "same" or "absent_part"."""

    kind: str
    start: int
    end: int
    name: str = ""
    form: str = ""
    text: str = ""
    present: bool = True
    degree: str | None = None
    degree_at: tuple[int, int] | None = None
    hedged: bool = False
    hedge_at: tuple[int, int] | None = None
    not_at: tuple[int, int] | None = None
    quantity: str | None = None
    quantity_at: tuple[int, int] | None = None
    value: Spoken | None = None
    modifiers: list[Noun] = field(default_factory=list)
    joined: bool = False
    """It continues the claim before it: "scored and pitted"."""
    reversed: bool = False
    ours: bool = False
    theirs: bool = False
    attributive: bool = False
    """It stands right before its part: "four inch bore"."""
    senses: tuple[Sense, ...] = ()


@dataclass(slots=True)
class Frame:
    """A subject and the claims about it. `exceptions` are those of whom the contrary holds."""

    subject: Noun | None = None
    after: bool = False
    """The subject stood after the first claim."""
    claims: list[Claim] = field(default_factory=list)
    exceptions: list[Noun] = field(default_factory=list)
    settled: bool = False
    """What holds of the exceptions was said outright."""
    quantity: Sense | None = None
    quantity_at: tuple[int, int] | None = None
    strange: int = 0
    """Unknown words where a subject should be."""
    of_exception: bool = False
    of_before: bool = False
    """Nothing names its subject, it goes on about the one before."""


CLAIMING = frozenset({"condition", "value", "unseen", "blind", "action"})
SMALL = GLUE | {"tag", "interjection", "degree", "trailing", "hedge", "bounds", "layout", "pronoun"}


class Clauses:
    """Reads a row of items into frames. One use, one sentence."""

    def __init__(self, items: Sequence[Item]) -> None:
        self.items = items
        self.frames: list[Frame] = []
        self.frame = Frame()
        self.index = 0
        self.negative: tuple[int, int] | None = None
        self.hedge: tuple[int, int] | None = None
        self.degree: tuple[str, tuple[int, int]] | None = None
        self.link: str | None = None
        self.preposition: str | None = None
        self.between = False
        self.excepting = False
        self.unreal = False
        self.verb: str | None = None
        self.turned: str | None = None
        self.agent = False
        self.ours = False
        self.taking = False
        self.theirs = False
        self.tagged = False
        self.used: set[int] = set()
        self.strange = 0

    # the walk ----------------------------------------------------------------------------------------------------

    def read(self) -> list[Frame]:
        while self.index < len(self.items):
            before = self.index
            self._step()
            if self.index == before:
                self.index += 1
        self._close()
        return [frame for frame in self.frames if frame.subject or frame.claims or frame.exceptions]

    def _step(self) -> None:
        item = self.items[self.index]
        found = None if item.kind == "preposition" else read_noun(self.items, self.index)
        if found is not None:
            noun, after = found
            stopped = self.items[after - 1].stop
            self.index = after
            self._noun(noun)
            self.preposition, self.between = None, False
            if stopped:
                self._boundary()
            return
        handler = getattr(self, f"_on_{item.kind}", None)
        if handler is not None:
            handler(item)
        if item.stop:
            self._boundary()

    def _close(self) -> None:
        if self.frame.subject or self.frame.claims or self.frame.exceptions or self.frame.quantity:
            self.frame.strange += self.strange
            self.frames.append(self.frame)
        self.frame = Frame()
        self.strange = 0

    def _new(self, subject: Noun | None = None) -> Frame:
        quantity, quantity_at = self.frame.quantity, self.frame.quantity_at
        self._close()
        self.frame = Frame(subject=subject)
        if quantity is not None and quantity.form == "noun":
            self.frame.quantity, self.frame.quantity_at = quantity, quantity_at
        self.verb = None
        self.hedge = None
        self.negative = None
        self.excepting = False
        return self.frame

    def _boundary(self) -> None:
        """The end of a clause that may go on about the same subject."""
        self.negative = self.hedge = self.degree = None
        self.link = "but"
        self.excepting = False
        self.preposition = None

    def _next(self, skip: frozenset[str] = GLUE, start: int | None = None) -> Item | None:
        """The next item past filling."""
        index = self.index if start is None else start
        while index < len(self.items):
            if self.items[index].kind not in skip:
                return self.items[index]
            index += 1
        return None

    def _claim_follows(self) -> bool:
        item = self._next(SMALL | {"not", "sees_no"})
        return item is not None and item.kind in (CLAIMING | {"be", "have", "quantity", "denies", "likewise"})

    # nouns -------------------------------------------------------------------------------------------------------

    def _noun(self, noun: Noun) -> None:
        frame = self.frame
        if self.excepting:
            self._except(noun)
        elif not frame.claims:
            self._before_claims(noun)
        elif self.preposition is not None:
            self._after_preposition(noun)
        elif self.link in ("and", "or") and self._goes_on(noun):
            self._join_on(noun)
        elif self._attributive(noun):
            self._attribute(noun)
        elif frame.subject is None and not self._starts_clause() and self.link is None and not frame.of_before:
            frame.subject, frame.after = noun, True
            frame.claims[-1].attributive = bool(noun.parts)
        elif noun.feature and noun.bare and not noun.numbers and not noun.places:
            pass
        else:
            self._new(noun)
        self.link = None

    def _starts_clause(self) -> bool:
        item = self._next()
        return item is not None and item.kind in ("be", "have")

    def _except(self, noun: Noun) -> None:
        if noun.pointer == "this" and self.frame.exceptions and self._claim_follows_at(self.index):
            self._about_exception()
        elif self.preposition is not None and self.frame.exceptions:
            self.frame.exceptions[-1] = self._placed_at(self.frame.exceptions[-1], noun)
        else:
            self.frame.exceptions.append(noun)

    def _before_claims(self, noun: Noun) -> None:
        frame = self.frame
        if frame.subject is None:
            frame.subject = noun
        elif self.link in ("and", "or") and self.preposition is None:
            frame.subject = join(frame.subject, noun)
        elif self.preposition is not None and self.link is not None and noun.parts:
            self._new(noun)
        elif self.preposition is not None:
            frame.subject = self._placed_at(frame.subject, noun)
        elif self.verb == "be" and self.link is not None or self.link == "but":
            self._new(noun)
        elif frame.subject.numbers and noun.numbers and not noun.parts and not frame.subject.parts:
            frame.subject = noun if self.verb else join(frame.subject, noun)
        elif noun.parts and frame.subject.parts and self.verb is not None:
            self._new(noun)
        else:
            frame.subject = self._adjacent(frame.subject, noun)

    def _placed_at(self, subject: Noun, noun: Noun) -> Noun:
        """A noun phrase with another after a preposition: the first is spoken of, the second says where."""
        if not subject.parts and noun.parts:
            return merge(noun, subject)
        return merge(subject, noun)

    def _adjacent(self, first: Noun, second: Noun) -> Noun:
        """Two noun phrases side by side: the last part is spoken of."""
        if second.parts and first.parts:
            return merge(second, first)
        return merge(first, second)

    def _after_preposition(self, noun: Noun) -> None:
        frame = self.frame
        last = frame.claims[-1]
        if last.kind == "same":
            last.modifiers[-1:] = [self._placed_at(last.modifiers[-1], noun)] if last.modifiers else [noun]
        elif frame.subject is None and not frame.of_before:
            frame.subject, frame.after = noun, True
        elif frame.after and self.link is None and frame.subject is not None and len(frame.claims) == 1:
            frame.subject = self._placed_at(frame.subject, noun)
        elif last.kind == "unseen" and noun.parts and frame.subject is not None and not frame.subject.parts:
            frame.subject = merge(noun, frame.subject)
        else:
            for claim in self._run_of_claims():
                claim.modifiers.append(noun)

    def _run_of_claims(self) -> list[Claim]:
        """The last claim and those that it was joined to."""
        out = []
        for claim in reversed(self.frame.claims):
            out.append(claim)
            if not claim.joined:
                break
        return out

    def _goes_on(self, noun: Noun) -> bool:
        """True if "and" adds this noun phrase to the one before instead of starting a clause."""
        if self._claim_follows():
            return False
        return (
            self.frame.after
            or bool(self.frame.claims[-1].modifiers)
            or self.frame.claims[-1].kind in ("unseen", "same", "action")
        )

    def _join_on(self, noun: Noun) -> None:
        frame = self.frame
        modifiers = frame.claims[-1].modifiers
        if modifiers:
            modifiers[-1] = join(modifiers[-1], noun)
        elif frame.subject is not None:
            frame.subject = join(frame.subject, noun)

    def _attributive(self, noun: Noun) -> bool:
        """True for "cracked block", "has a worn rocker": an adjective that stands before its noun."""
        last = self.frame.claims[-1]
        if last.kind != "condition" or last.form != "adj" or not noun.parts or self.link is not None:
            return False
        if noun.start - last.end > 1:
            return False
        if self.frame.subject is None or self.verb == "have":
            return True
        return self.verb is None and self._article_before(noun)

    def _article_before(self, noun: Noun) -> bool:
        """True for an object: "number four spun a bearing"."""
        return any(item.end == noun.start and item.text in ("a", "an", "its") for item in self.items)

    def _attribute(self, noun: Noun) -> None:
        frame = self.frame
        if frame.subject is None:
            frame.subject, frame.after = noun, True
            return
        moved = [claim for claim in self._run_of_claims() if claim.form == "adj"]
        moved.reverse()
        owner = frame.subject
        frame.claims = [claim for claim in frame.claims if claim not in moved]
        keep = frame if frame.claims else None
        if keep is None:
            frame.subject = self._of_owner(noun, owner)
            frame.claims = moved
            return
        verb = self.verb
        self._new(self._of_owner(noun, owner))
        self.frame.claims = moved
        self.verb = verb

    def _of_owner(self, noun: Noun, owner: Noun) -> Noun:
        """ "pistons two and four have chipped crowns": crowns, two and four."""
        return merge(noun, owner)

    # claims ------------------------------------------------------------------------------------------------------

    def _add(self, claim: Claim) -> None:
        if self.unreal:
            self.index += 1
            return
        frame = self.frame
        if frame.claims and self._needs_own_frame(claim) and not self._sizes(claim):
            self._new()
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
        if self.degree is not None and claim.kind == "condition":
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

    def _sizes(self, claim: Claim) -> bool:
        """True if the value before only says how big this is: "two inch crack"."""
        last = self.frame.claims[-1]
        return claim.kind == "condition" and last.kind == "value" and last.end == claim.start and last.quantity is None

    def _subject_ahead(self, index: int) -> Noun | None:
        """The noun phrase after a preposition or right after an adjective, if the claim at hand has one there."""
        while index < len(self.items) and self.items[index].kind in GLUE | {"trailing", "degree"}:
            index += 1
        if index < len(self.items) and self.items[index].kind in ("preposition", "between"):
            found = read_noun(self.items, index + 1)
            if found is None:
                return None
            following = self._next(start=found[1])
            return None if following is not None and following.kind in ("be", "have") else found[0]
        return None

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
        if sense.form == "adj" and self.verb != "be" and self._before_unknown():
            return
        claim = Claim(
            "condition", item.start, item.end, name=sense.value, form=sense.form, text=item.text,
            degree=sense.degree or None, senses=item.senses,
        )  # fmt: skip
        if sense.degree:
            claim.degree_at = (item.start, item.end)
        self._add(claim)

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

    def _on_value(self, item: Item) -> None:
        claim = Claim("value", item.start, item.end, value=item.value, text=item.text)
        quantity = self.frame.quantity
        self._add(claim)
        if quantity is not None:
            claim.quantity, claim.quantity_at = quantity.value, self.frame.quantity_at
            if self.frame.quantity is None:
                self.frame.quantity = quantity

    def _on_quantity(self, item: Item) -> None:
        sense = item.get("quantity")
        if sense is None or self.unreal:
            return
        last = self.frame.claims[-1] if self.frame.claims else None
        at = (item.start, item.end)
        if last is not None and last.kind == "value" and self.link is None and self._belongs_to(last, sense):
            last.quantity, last.quantity_at = sense.value, at
            self.frame.quantity, self.frame.quantity_at = sense, at
            return
        if self.frame.quantity is not None and sense.form == "verb" and self.frame.quantity.form == "noun":
            return
        if last is not None and self.link in ("and", "but") and sense.form == "noun" and self.frame.after:
            self._new()
        self.frame.quantity, self.frame.quantity_at = sense, at
        self.preposition = None

    def _belongs_to(self, last: Claim, sense: Sense) -> bool:
        """A quantity after a value names it, unless the value has one and another value follows."""
        if last.quantity is None:
            return True
        following = self._next(GLUE | {"bounds", "preposition", "be", "hedge"}, self.index + 1)
        return following is None or following.kind != "value"

    def _on_unseen(self, item: Item) -> None:
        if self.unreal:
            return
        frame = self.frame
        if frame.claims and frame.claims[-1].kind == "unseen" and self.link != "and":
            return
        if (
            frame.claims
            and not frame.of_before
            and self.link != "and"
            or frame.claims
            and frame.subject is not None
            and self._noun_ahead()
        ):
            self._new()
        self.negative = None
        self._add(Claim("unseen", item.start, item.end, text=item.text))

    def _noun_ahead(self) -> bool:
        index = self.index + 1
        while index < len(self.items) and self.items[index].kind in GLUE | {"preposition", "not"}:
            index += 1
        found = read_noun(self.items, index) if index < len(self.items) else None
        return found is not None and bool(found[0].parts or found[0].numbers)

    def _on_blind(self, item: Item) -> None:
        following = self._next(SMALL | {"not", "preposition"}, self.index + 1)
        if following is not None and following.kind in ("condition", "action"):
            self.negative = (item.start, item.end)
        else:
            self._on_unseen(item)

    def _on_likewise(self, item: Item) -> None:
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

    # doing -------------------------------------------------------------------------------------------------------

    def _on_action(self, item: Item) -> None:
        if not self._as_action(item) and item.get("condition"):
            self._on_condition(item)

    def _as_action(self, item: Item) -> bool:
        """Takes the item for something that was done, if it is; True if so."""
        from benchvoice.interpret.doing import action_of

        if self.unreal:
            return False
        found = action_of(self, item)
        if found is None:
            return False
        if self.frame.claims and self.frame.claims[-1].kind != "action":
            self._new()
        elif self.frame.claims and self.link == "and":
            self._new()
        claim = Claim(
            "action", item.start, item.end, name=found.value, form=found.form, text=item.text, senses=item.senses
        )
        if self.negative is not None:
            self.negative = None
            return True
        self._add(claim)
        return True

    def _on_ours(self, item: Item) -> None:
        self.ours = True

    def _on_tag(self, item: Item) -> None:
        self.tagged = True

    def _on_while_taking(self, item: Item) -> None:
        self.taking = True

    def _on_theirs(self, item: Item) -> None:
        self.theirs = True

    # scope -------------------------------------------------------------------------------------------------------

    def _on_not(self, item: Item) -> None:
        if self.turned == "open" and self.frame.claims:
            self.turned = "closed"
        self.negative = (item.start, item.end)

    _on_sees_no = _on_not

    def _on_hedge(self, item: Item) -> None:
        following = self._next(SMALL - {"hedge"} | {"be", "not", "there", "have"}, self.index + 1)
        trailing = following is None or following.kind in ("and", "but")
        if trailing and self.frame.claims:
            for claim in self._run_of_claims():
                claim.hedged, claim.hedge_at = True, (item.start, item.end)
            return
        self.hedge = (item.start, item.end)

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
        elif trailing is not None and last is not None and last.kind in ("condition", "same"):
            for claim in self._run_of_claims():
                claim.degree, claim.degree_at = trailing.value, at

    _on_trailing = _on_degree

    def _on_nail(self, item: Item) -> None:
        found = next((claim for claim in reversed(self.frame.claims) if claim.kind == "condition"), None)
        value = item.sense.value
        if found is not None:
            found.degree, found.degree_at = value, (item.start, item.end)
        elif not self.frame.claims:
            self._add(Claim("nail", item.start, item.end, name=value, text=item.text))
        self.negative = None

    def _on_except(self, item: Item) -> None:
        whole = item.text.split()[0] in ("all", "everything")
        if self.frame.claims or self.frame.subject is not None or whole:
            self.excepting = True
        self.negative = self.hedge = None

    def _on_which(self, item: Item) -> None:
        if (
            self.frame.exceptions
            and not self.frame.settled
            and self.frame.claims
            and self._claim_follows_at(self.index + 1)
        ):
            self._about_exception()
        elif item.get("pronoun") and self._next() is not None and self._starts_clause_at(self.index + 1):
            self.negative = None

    _on_pronoun = _on_which

    def _about_exception(self) -> None:
        """What follows is said of the exception: "except number four, which is wiped"."""
        before = self.frame
        before.settled = True
        noun = settled(before.exceptions[-1])
        self._new(noun)
        self.frame.of_exception = True
        if noun.bare and before.subject is not None and before.subject.parts:
            self.frame.subject = merge(noun, Noun(noun.start, noun.end, parts=before.subject.parts))

    def _starts_clause_at(self, index: int) -> bool:
        item = self._next(start=index)
        return item is not None and item.kind in ("be", "have")

    def _claim_follows_at(self, index: int) -> bool:
        item = self._next(SMALL | {"not"}, index)
        return item is not None and item.kind in (CLAIMING | {"be", "have"})

    def _on_unreal(self, item: Item) -> None:
        self.unreal = True

    def _on_reversal(self, item: Item) -> None:
        if item.sense.value == "opens":
            if self.frame.claims:
                self._new()
            self.turned = "open"
        elif self.turned == "open":
            self.turned = "closed"
            self.link = "but"

    def _on_be(self, item: Item) -> None:
        frame = self.frame
        if not frame.claims:
            self.verb = "be"
        if item.start == 0 and self.index == 0 and item.text in ("is", "are", "was", "were"):
            self.unreal = True

    def _on_have(self, item: Item) -> None:
        if not self.frame.claims or self.verb != "be" or self.link is not None:
            self.verb = "have"

    def _on_there(self, item: Item) -> None:
        if self.frame.claims:
            before = self.frame.subject
            self._new()
            self.frame.of_before = before is not None and False
        self.verb = "there" if self.frame.subject is None else "have"

    def _on_and(self, item: Item) -> None:
        self.link = "and"
        self.preposition = None

    def _on_or(self, item: Item) -> None:
        self.link = "or"
        self.preposition = None

    def _on_but(self, item: Item) -> None:
        self._boundary()
        self.unreal = False
        if self.turned == "open":
            pass

    def _on_preposition(self, item: Item) -> None:
        self.preposition = item.text.split()[-1] if item.text != "out of" else "of"

    def _on_between(self, item: Item) -> None:
        self.preposition, self.between = "between", True

    def _on_slips(self, item: Item) -> None:
        """ "number two, no sorry, number four": what was begun is dropped."""
        self.frame = Frame()
        self._boundary()
        self.link = None

    def _on_unknown(self, item: Item) -> None:
        frame = self.frame
        self.strange += 1
        if self.negative is not None and self.negative[1] == item.start and self._negated_verb():
            self.negative = None
        if frame.subject is None and not frame.claims:
            frame.strange += 3

    def _negated_verb(self) -> bool:
        """True if "not" stands before an unknown word and denies that alone: "I would not sell it"."""
        return self.items[self.index - 1].text in ("n't", "not", "never")

    def _on_than(self, item: Item) -> None:
        """ "worse than the rest": what follows is only compared with."""
        found = read_noun(self.items, self.index + 1)
        if found is not None:
            self.index = found[1]


__all__ = ["PLACE_KEYS", "Claim", "Clauses", "Frame"]
