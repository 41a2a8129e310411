"""Slips put right in the same breath: what "no sorry" and "i mean" take back."""

from __future__ import annotations

from dataclasses import replace

from benchvoice.interpret.claims import Claims
from benchvoice.interpret.frames import Frame
from benchvoice.interpret.item import NOUNS, Item
from benchvoice.interpret.nouns import GLUE

RESTATING = NOUNS | {"value", "condition", "be", "not", "degree", "preposition", "hedge", "unseen", "slips", "have"}
"""What may follow a slip and put it right."""


class Slips(Claims):
    """Drops what a slip takes back."""

    def _on_slips(self, item: Item) -> None:
        """ "number two, no sorry, number four": what was begun is dropped. "And I mean stuck" takes back nothing."""
        before = self.items[self.index - 1] if self.index else None
        following = self._next(start=self.index + 1)
        linked = before is not None and (before.kind in ("and", "but", "be") or before.text == "and")
        if linked or (following is not None and following.kind not in RESTATING) or self._stresses(item, following):
            return
        if self._reclaims(following):
            return
        subject = self.frame.subject
        if subject is not None and subject.parts and subject.numbers and self.verb is None:
            owned = any(other.text == "of" for other in self.items[max(0, self.index - 4) : self.index])
            meant = self.noun_at(self.index + 1)
            renumbered = meant is not None and bool(meant[0].numbers) and not meant[0].names_part
            self.dropped = replace(subject, numbers=(), spans=()) if owned or renumbered else None
        self.frame = Frame()
        self._boundary()
        self.link = None

    def _reclaims(self, following: Item | None) -> bool:
        """Takes back what was last claimed where only that is put right: "bucket scuffed no sorry galled"."""
        frame = self.frame
        if frame.subject is None or not frame.claims or following is None:
            return False
        if following.kind not in ("condition", "degree", "value") or frame.claims[-1].kind not in (
            "condition",
            "value",
        ):
            return False
        meant = self._next(GLUE | {"degree"}, self.index + 1)
        if meant is None or meant.kind != frame.claims[-1].kind:
            return False
        gone = self._run_of_claims() if meant.kind == "condition" else list(frame.claims)
        frame.claims[:] = [claim for claim in frame.claims if claim not in gone]
        self._boundary()
        self.link = None
        return True

    def _stresses(self, item: Item, following: Item | None) -> bool:
        """True for "good i mean really good" and "one through four i mean the whole set", which take nothing back."""
        if item.text != "i mean":
            return False
        if following is None or following.kind not in NOUNS | {"value", "condition", "degree", "not"}:
            return True
        again = self._next(GLUE | {"degree"}, self.index + 1)
        last = self.frame.claims[-1] if self.frame.claims else None
        if last is not None and again is not None and again.kind == last.kind == "condition":
            return again.sense.value == last.name
        return following.kind == "group" and following.sense.value in ("all", "both")
