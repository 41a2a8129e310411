"""What a noun phrase is in its clause: subject, modifier, exception, or the start of the next clause."""

from __future__ import annotations

from dataclasses import replace

from benchvoice.interpret.frames import Claim, Frame, Walk
from benchvoice.interpret.item import NOUNS
from benchvoice.interpret.nouns import GLUE, Noun, join, merge, settled

DESCRIBING = ("adj", "absent")
"""Forms of a condition that stand before a noun."""
NEAR = 2
"""So many tokens may stand between two adjectives of one breath."""


class Subjects(Walk):
    """Puts noun phrases into frames."""

    def _noun(self, noun: Noun) -> None:
        frame = self.frame
        kept = self._just_before(noun)
        self._placed_noun(frame, noun)
        if kept is not None:
            self.negative, self.hedge = kept

    def _just_before(self, noun: Noun) -> tuple[tuple[int, int] | None, tuple[int, int] | None] | None:
        """What stands right before a noun phrase and reaches over it: "I don't think the wheel is bent"."""
        if self.negative is None and self.hedge is None:
            return None
        before = next((item for item in reversed(self.items) if item.end <= noun.start and item.kind not in GLUE), None)
        if before is None or before.kind not in ("denies", "hedge"):
            return None
        return self.negative, self.hedge

    def _placed_noun(self, frame: Frame, noun: Noun) -> None:
        if self.excepting:
            self._except(noun)
        elif not frame.claims:
            self._before_claims(noun)
        elif self._opens_at_place(noun) or self._takes_turns(noun):
            self._new(noun)
        elif self._points_there(noun) or self._says_where(noun):
            frame.claims[-1].modifiers.append(noun)
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

    def _except(self, noun: Noun) -> None:
        if noun.pointer == "this" and self.frame.exceptions and self._claim_follows_at(self.index):
            self._about_exception()
        elif self.preposition is not None and self.frame.exceptions:
            self.frame.exceptions[-1] = self._placed_at(self.frame.exceptions[-1], noun)
        else:
            self.frame.exceptions.append(noun)

    def _about_exception(self) -> None:
        """What follows is said of the exception: "except number four, which is wiped"."""
        before = self.frame
        before.settled = True
        noun = settled(before.exceptions[-1])
        self._new(noun)
        self.frame.of_exception = True
        if noun.bare and before.subject is not None and before.subject.parts:
            self.frame.subject = merge(noun, Noun(noun.start, noun.end, parts=before.subject.parts))

    def _before_claims(self, noun: Noun) -> None:
        frame = self.frame
        if frame.subject is None:
            frame.subject = merge(self.dropped, noun) if self.dropped is not None and noun.numbers else noun
            self.dropped = None
        elif self._slipped(noun):
            frame.subject, self.negative = noun, None
        elif self.link is not None and (
            self.dangling or self._was_object() or (self.verb is not None and self._claimed_past_places())
        ):
            self._new(noun)
        elif self.link in ("and", "or") and self.preposition is None:
            if not self._only_feature(noun):
                frame.subject = join(frame.subject, noun)
        elif self.preposition is not None and self.link is not None and noun.parts:
            self._new(noun)
        elif self.preposition is not None:
            frame.subject = self._placed_at(frame.subject, noun)
        elif (self.verb == "be" and self.link is not None) or self.link == "but":
            self._new(noun)
        elif frame.subject.numbers and noun.numbers and not noun.parts and not frame.subject.parts:
            frame.subject = noun if self.verb else join(frame.subject, noun)
        elif noun.parts and frame.subject.parts and self.verb is not None:
            self._new(noun)
        elif self.verb is not None and frame.subject.numbers and noun.numbers and self._starts_clause():
            self._new(noun)  # "one and two are marked three is gone"
        else:
            frame.subject = self._adjacent(frame.subject, noun)

    def _only_feature(self, noun: Noun) -> bool:
        """True for "the edge", which names nothing but a feature of what was spoken of."""
        return noun.feature and noun.bare and not (noun.numbers or noun.places or noun.group or noun.pointer)

    def _was_object(self) -> bool:
        """True if what was named before "and" was only handled: "i pulled the piston and the rings are seized"."""
        subject = self.frame.subject
        before = [item.text for item in self.items if subject is not None and item.end <= subject.start]
        if self._claim_follows() and any(text.split()[0] in self.sets.handled for text in before[-3:] if text):
            return True
        return any(text in self.sets.tellers for text in before[-5:]) and self._verb_ahead() in self.sets.singular

    def _verb_ahead(self) -> str:
        """The verb after a noun phrase and the words that say where, "" for none."""
        index = self.index
        while index < len(self.items) and self.items[index].kind in GLUE | NOUNS | {"preposition"}:
            index += 1
        return self.items[index].text if index < len(self.items) and self.items[index].kind in ("be", "have") else ""

    def _slipped(self, noun: Noun) -> bool:
        """True for "number two no number three", "intake valve no exhaust valve": "no" takes back the first."""
        subject = self.frame.subject
        if self.negative is None or self.verb is not None or subject is None:
            return False
        before = next((item for item in reversed(self.items) if item.end <= noun.start), self.items[0])
        if before.kind != "not" or before.text not in self.sets.taking_back:
            return False
        first, second = settled(subject), settled(noun)
        alike = self._last_word(first) == self._last_word(second) and bool(noun.parts)
        elsewhere = any(first.places.get(key, value) != value for key, value in second.places.items())
        other = bool(first.parts and second.parts) and first.parts[-1].senses[0] != second.parts[-1].senses[0]
        return (
            bool(noun.numbers and subject.numbers) or (elsewhere and not noun.parts) or (alike and (elsewhere or other))
        )

    def _last_word(self, noun: Noun) -> str:
        """The last word of the part's name."""
        end = noun.parts[-1].end if noun.parts else -1
        return next((item.text.split()[-1] for item in self.items if item.end == end and item.text), "")

    def _placed_at(self, subject: Noun, noun: Noun) -> Noun:
        """A noun phrase with another after a preposition: the first is spoken of, the second says where."""
        if not subject.parts and noun.parts:
            return merge(noun, subject)
        if self.preposition == "through" and len(subject.numbers) == len(noun.numbers) == 1 and not noun.parts:
            first, last = subject.numbers[0], noun.numbers[0]
            return replace(merge(subject, noun), numbers=tuple(range(first, last + 1)) or (first, last))
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
        elif frame.subject is not None and self._only_feature(frame.subject) and noun.parts and len(frame.claims) == 1:
            frame.subject = merge(noun, frame.subject)  # "there's teeth chipped on the gear"
        elif frame.after and self.link is None and frame.subject is not None and len(frame.claims) == 1:
            frame.subject = self._placed_at(frame.subject, noun)
        elif self.link == "and" and frame.after and frame.subject is not None and self._another(frame.subject, noun):
            frame.subject = join(frame.subject, noun)
        elif self.link == "and" and last.modifiers and self._another(last.modifiers[-1], noun):
            self._join_on(noun)
        elif last.kind == "unseen" and noun.parts and frame.subject is not None and not frame.subject.parts:
            frame.subject = merge(noun, frame.subject)
        else:
            for claim in self._run_of_claims():
                claim.modifiers.append(noun)

    def _opens_at_place(self, noun: Noun) -> bool:
        """True for "... and on four it's ninety"."""
        return self.preposition is not None and self.link is not None and noun.bare and self._claim_follows()

    def _takes_turns(self, noun: Noun) -> bool:
        """True where place and claim take turns: "gap on one twenty thou on three thirty thou"."""
        subject = self.frame.subject
        if self.preposition is None or self.link is not None or subject is None or self.frame.after:
            return False
        told = (bool(noun.numbers) and bool(subject.numbers)) or bool(noun.places.keys() & subject.places.keys())
        same = not noun.parts or noun.parts[-1].senses[0] in (subject.parts[-1].senses if subject.parts else ())
        return told and same and self._claim_follows()

    def _says_where(self, noun: Noun) -> bool:
        """True for a place at the very end, no word before it: "tray cracked rear end", "rings stuck number four"."""
        subject, last, noun = self.frame.subject, self.frame.claims[-1], settled(noun)
        if not noun.bare or noun.pointer is not None or noun.group is not None or self.link is not None:
            return False
        if subject is None or self.frame.after or last.kind not in ("condition", "value") or last.modifiers:
            return False
        fresh = not (subject.numbers and noun.numbers) and not noun.places.keys() & subject.places.keys()
        return fresh and bool(noun.numbers or noun.places) and self._next() is None and self.preposition is None

    def _points_there(self, noun: Noun) -> bool:
        """True for "the head's cracked there": where was said before."""
        near = self.frame.claims[-1].end == noun.start
        return near and noun.pointer == "this" and noun.bare and self.link is None and self._next() is None

    def _another(self, first: Noun, noun: Noun) -> bool:
        """True for a second place of the same thing: "at four exhaust and on the one at three intake"."""
        return bool(first.numbers) and bool(noun.numbers) and all(word.valve for word in noun.parts)

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
        if last.kind == "condition" and last.text.endswith(" past") and last.end >= noun.start - 1 and noun.parts:
            return True
        if last.kind != "condition" or last.form not in DESCRIBING or not noun.parts or self.link is not None:
            return False
        if noun.start - last.end > 1:
            return False
        denied = last.not_at is not None and last.not_at[1] == last.start and last.end == noun.start
        if self.frame.subject is None or self.verb == "have" or denied:
            return True
        return self.verb is None and self._object(noun)

    def _object(self, noun: Noun) -> bool:
        """True for an object: "number four spun a bearing", "what came off it plugged the cooler"."""
        before = next((item.text for item in self.items if item.end == noun.start), "")
        return before in self.sets.before_object or (before == "the" and not self._starts_clause())

    def _attribute(self, noun: Noun) -> None:
        frame = self.frame
        if frame.subject is None:
            frame.subject, frame.after = noun, True
            return
        moved = self._beside(noun)
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

    def _beside(self, noun: Noun) -> list[Claim]:
        """The adjectives of one breath before a noun phrase: "cracked and worn"."""
        out: list[Claim] = []
        start = noun.start
        for claim in self._run_of_claims():
            if claim.form not in DESCRIBING or (out and start - claim.end > NEAR):
                break
            out.insert(0, claim)
            start = claim.start
        return out

    def _of_owner(self, noun: Noun, owner: Noun) -> Noun:
        """ "pistons two and four have chipped crowns": crowns, two and four."""
        joined = (
            replace(other, parts=noun.parts, owners=other.parts) if other.parts else other for other in owner.joined
        )
        return merge(noun, replace(owner, joined=tuple(joined)))

    def _subject_ahead(self, index: int) -> Noun | None:
        """The noun phrase after a preposition or right after an adjective, if the claim at hand has one there."""
        while index < len(self.items) and self.items[index].kind in GLUE | {"trailing", "degree"}:
            index += 1
        if index < len(self.items) and self.items[index].kind in ("preposition", "between"):
            found = self.noun_at(index + 1)
            if found is None:
                return None
            following = self._next(start=found[1])
            return None if following is not None and following.kind in ("be", "have") else found[0]
        return None

    def _noun_ahead(self) -> bool:
        index = self.index + 1
        while index < len(self.items) and self.items[index].kind in GLUE | {"preposition", "not", "unknown"}:
            index += 1
        found = self.noun_at(index) if index < len(self.items) else None
        return found is not None and bool(found[0].parts or found[0].numbers or found[0].group)
