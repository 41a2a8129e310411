"""Frames: one subject with the claims about it, and the walk along a row of items that makes them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from benchvoice.interpret.item import NOUNS, Item
from benchvoice.interpret.nouns import GLUE, Noun, read_noun
from benchvoice.interpret.senses import Sense
from benchvoice.interpret.values import Spoken
from benchvoice.lexicon.word_sets import WordSets


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
    by_verb: bool = False
    """The quantity is only that of a verb: "measures"."""
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
    blocked: bool = False
    """Its subject is something that nobody knows: "oil feed line"."""
    of_before: bool = False
    """Nothing names its subject, it goes on about the one before."""


CLAIMING = frozenset({"condition", "value", "unseen", "blind", "action"})

SMALL = GLUE | {"tag", "interjection", "degree", "trailing", "hedge", "bounds", "layout", "pronoun"}


class Walk:
    """Where the reading of a row of items stands: the frame at hand and what still reaches the next claim."""

    def __init__(self, items: Sequence[Item], sets: WordSets) -> None:
        self.items = items
        self.sets = sets
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
        self.verb_text = ""
        self.turned: str | None = None
        self.agent = False
        self.ours = False
        self.taking = False
        self.theirs = False
        self.tagged = False
        self.dangling = False
        """A preposition with nothing after it ended what was said: "sump off and ..."."""
        self.dropped: Noun | None = None
        """The noun phrase before a slip, if it was a part of a numbered thing: "crown of number five sorry ..."."""
        self.moved: Noun | None = None
        """The part that was only moved out of the way to see: "with the main caps off"."""
        self.used: set[int] = set()
        self.strange = 0
        self.cause = False
        """What is said now only tells why: "cracked from somebody running it dry"."""

    def noun_at(self, index: int) -> tuple[Noun, int] | None:
        """The noun phrase that starts at an item, and the index after it; None if none does."""
        return read_noun(self.items, index, self.sets)

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
        self.cause = False
        self.excepting = False
        return self.frame

    def _boundary(self) -> None:
        """The end of a clause that may go on about the same subject."""
        self.negative = self.hedge = self.degree = None
        self.cause = False
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
        item = self._next(SMALL | {"not", "sees_no", "which"})
        return item is not None and item.kind in (CLAIMING | {"be", "have", "quantity", "denies", "likewise"})

    def _claimed_past_places(self) -> bool:
        """True if a claim follows, past words that say where: "the coil on number three is cracked"."""
        if self._claim_follows():
            return True
        index = self.index
        while index < len(self.items) and self.items[index].kind in GLUE | NOUNS | {"preposition", "pronoun", "which"}:
            index += 1
        return index > self.index and index < len(self.items) and self.items[index].kind in ("be", "have")

    def _claim_follows_at(self, index: int) -> bool:
        item = self._next(SMALL | {"not"}, index)
        return item is not None and item.kind in (CLAIMING | {"be", "have"})

    def _starts_clause(self) -> bool:
        return self._starts_clause_at(self.index)

    def _starts_clause_at(self, index: int) -> bool:
        item = self._next(start=index)
        return item is not None and item.kind in ("be", "have") and item.text != "with"

    def _run_of_claims(self) -> list[Claim]:
        """The last claim and those that it was joined to."""
        out = []
        for claim in reversed(self.frame.claims):
            out.append(claim)
            if not claim.joined:
                break
        return out
