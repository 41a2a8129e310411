"""Things that are no parts: clauses about a hose or a gizmo, of which nothing is claimed."""

from __future__ import annotations

from benchvoice.interpret.item import NOUNS, Item
from benchvoice.interpret.nouns import FLUIDS, GLUE
from benchvoice.interpret.slips import Slips


class Strange(Slips):
    """Tells what is said of a thing that nobody knows from what is said of a part."""

    def _compound(self, item: Item) -> bool:
        """True for "oil feed line": the word for what runs in it only describes an unknown thing after it."""
        frame = self.frame
        if frame.subject is None or frame.claims or not frame.subject.parts or self.verb is not None:
            return False
        word = frame.subject.parts[-1]
        beside = word.end == item.start == word.start + 1 and not word.many and not item.stop
        following = self._next(frozenset({"unknown"}), self.index + 1)
        fluid = word.senses[0].value in FLUIDS
        return fluid and beside and following is not None and following.kind in ("be", "have")

    def _beside_part(self, item: Item) -> bool:
        """True for "water pump hose", a thing that is no part and only named after one."""
        frame = self.frame
        if item.text not in self.sets.foreign or frame.subject is None or frame.claims or self.verb is not None:
            return False
        return bool(frame.subject.parts) and frame.subject.parts[-1].end == item.start and not item.stop

    def _of_foreign(self, item: Item) -> bool:
        """True for "the hose on the pump is split", said of a thing beside the part."""
        if item.text not in self.sets.foreign or self.preposition is not None:
            return False
        subject = self.frame.subject
        going_on = self.link is None and self.verb is None and (subject is None or not subject.bare)
        if (self.frame.claims or subject is not None) and going_on:
            return False
        index = self.index + 1
        past = GLUE | NOUNS | {"unknown", "preposition", "pronoun", "which"}
        while index < len(self.items) and self.items[index].kind in past:
            index += 1
        return index < len(self.items) and self.items[index].kind in ("be", "have", "condition", "hedge")

    def _opens_strangely(self) -> bool:
        """True if an unknown thing is the subject of the next clause: "dipstick's fine the gizmo is cracked"."""
        following = self._next(GLUE | {"unknown", "not", "hedge"}, self.index + 1)
        before, item_text = self.items[self.index - 1], self.items[self.index].text
        if following is not None and following.kind == "be" and item_text in self.sets.indefinite:
            return True
        return following is not None and following.kind == "be" and before.text in self.sets.before_strange
