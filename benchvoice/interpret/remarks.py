"""Side remarks: words for conditions that in their clause are said of a person or of a thing that is no part."""

from __future__ import annotations

from benchvoice.interpret.item import NOUNS, Item
from benchvoice.interpret.nouns import GLUE
from benchvoice.interpret.senses import Sense
from benchvoice.interpret.subjects import Subjects

ACTING = GLUE | {"have", "not", "be", "degree", "preposition", "pronoun"}
"""What may stand between a person and what the person does or is."""
THINGS = frozenset({"unknown", "bench"})
SPEAKING = frozenset({"be", "have", "hedge", "preposition"})


class Remarks(Subjects):
    """Tells remarks from claims about parts."""

    def _aside(self, item: Item, sense: Sense) -> bool:
        """True if what a word for a condition says isn't said of a part."""
        return (
            self._of_person(item, sense)
            or self._of_thing(item, sense)
            or self._likened(item, sense)
            or self._aimed(item)
            or self._bidden(item, sense)
            or self._bought(item, sense)
        )

    def _bidden(self, item: Item, sense: Sense) -> bool:
        """True for what somebody is told to do or could do: "bend the belt and you see", "a buyer can clean that"."""
        if sense.form == "verb" or item.text.split()[0] not in self.sets.plain_verbs:
            return False
        before = self.items[self.index - 1] if self.index else None
        if (
            before is not None
            and before.end == item.start
            and before.text.split()[-1:]
            and before.text.split()[-1] in self.sets.may
        ):
            return True
        opens = self.frame.subject is None and not self.frame.claims and self.verb is None
        after = self.items[self.index + 1] if self.index + 1 < len(self.items) else None
        if not opens or after is None or after.start != item.end or not after.text:
            return False
        if after.text.split()[0] not in self.sets.before_done:
            return False
        found = self.noun_at(self.index + 1)
        return after.text in self.sets.objects or (found is not None and found[0].names_part)

    def _bought(self, item: Item, sense: Sense) -> bool:
        """True for "so fit new ones" and "plan on a good one", which say what is wanted and not what is there."""
        following = self.items[self.index + 1] if self.index + 1 < len(self.items) else None
        if sense.value not in ("good", "reusable") or following is None or following.text not in self.sets.ones:
            return False
        before = next((other for other in reversed(self.items[: self.index]) if other.kind not in GLUE), None)
        wants = before is not None and (before.kind == "unknown" or before.text in self.sets.wanting)
        return wants and bool(self.frame.claims or self.frame.subject is not None or self.frames)

    def _aimed(self, item: Item) -> bool:
        """True for the "loose" of "to break the main bolts loose", which somebody worked for."""
        before = self.items[max(0, self.index - AIMING) : self.index]
        freeing = self.sets.freeing
        return item.text in self.sets.freed and any(word in freeing for it in before for word in it.text.split()[-1:])

    def _likened(self, item: Item, sense: Sense) -> bool:
        """True for the noun of "brittle as potato chips", which says only how brittle."""
        if sense.form != "noun":
            return False
        before = self.items[max(0, self.index - LIKENED) : self.index]
        at = next((place for place, other in enumerate(before) if other.text == "as"), None)
        if not at or any(other.kind not in LIKENING for other in before[at + 1 :]):
            return False
        return before[at - 1].kind == "condition" and before[at - 1].end == before[at].start

    def _of_person(self, item: Item, sense: Sense) -> bool:
        """True for what a person is or does: "I'm worn out", "I dragged a magnet", "you could have gone"."""
        if sense.form == "noun":
            return False
        index = self.index - 1
        while index >= 0 and self.index - index <= ACTS:
            before = self.items[index]
            if before.kind == "theirs" and before.end == item.start:
                return not self._described(item) and not self._noun_ahead()
            had = before.kind == "condition" and before.end == item.start and before.text.endswith(" it")
            if before.stop or (before.kind not in ACTING | {"which"} and not had):
                return False
            if before.text in self.sets.persons:
                return not self._described(item)
            owned = before.text in self.sets.objects and index > 0 and self.items[index - 1].kind == "have"
            if not owned and (before.kind in ("pronoun", "which") or before.text == "one"):
                return False
            index -= 1
        return False

    def _described(self, item: Item) -> bool:
        """True if a part follows that the word describes: "I have cracked rings"."""
        following = self._next(frozenset({"degree"}), self.index + 1)
        has = self.items[self.index - 1]
        return has.kind == "have" and following is not None and following.kind in NOUNS and not item.stop

    def _of_thing(self, item: Item, sense: Sense) -> bool:
        """True for an adjective of what is no part: "your blue smoke", "the good straightedge", "the junk"."""
        if sense.form != "adj" or not self.index or item.stop:
            return False
        before = self.items[self.index - 1]
        following = self.items[self.index + 1] if self.index + 1 < len(self.items) else None
        if following is None or not before.text or before.text.split()[-1] not in self.sets.pointing:
            return False
        other = item.text.split()[-1] == "new" and following.text == "one"
        return other or following.kind in THINGS or (before.text == "the" and following.kind in SPEAKING)


AIMING = 5
"""So many items back may stand what is done to get a part free."""
LIKENED = 4
"""So many items back may stand what is likened to something."""
LIKENING = frozenset({"unknown", "filler", "locator", "bench"})
ACTS = 4
"""So many items may stand between a person and what the person does."""
