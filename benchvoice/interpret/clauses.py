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

from dataclasses import replace

from benchvoice.interpret.frames import Claim, Frame
from benchvoice.interpret.item import NOUNS, Item
from benchvoice.interpret.nouns import GLUE, Noun, merge
from benchvoice.interpret.scope import Scope

SHORT = NOUNS | GLUE | {"not", "be", "have", "preposition", "and", "but", "interjection"}


class Clauses(Scope):
    """Reads a row of items into frames. One use, one sentence."""

    def _pointed(self, noun: Noun) -> Noun:
        """ "That rod" is the one spoken of, with its number."""
        before = next((item for item in self.items if item.end == noun.start), None)
        if before is not None and before.text == "its" and bool(noun.parts or noun.places):
            return noun if noun.numbers or noun.pointer else replace(noun, pointer="its")
        pointed = before is not None and before.text in self.sets.pointing_back and before.end == noun.start
        plain = bool(noun.parts) and not noun.many and not noun.numbers and noun.pointer is None
        return replace(noun, pointer="this") if pointed and plain else noun

    def short(self) -> Item | None:
        """The "not" or the opening "and" of a sentence that claims nothing itself; None for any other sentence."""
        kinds = [item.kind for item in self.items]
        if not set(kinds) <= SHORT or not set(kinds) & NOUNS:
            return None
        if kinds.count("not") == 1:
            return self.items[kinds.index("not")]
        if {"not", "be", "have"} & set(kinds):
            return None
        return self.items[0] if kinds[0] == "and" or self.items[0].text == "also" else None

    def read(self) -> list[Frame]:
        while self.index < len(self.items):
            before = self.index
            self._step()
            if self.index == before:
                self.index += 1
        self._deny_last()
        self._close()
        self._of_moved()
        return [frame for frame in self.frames if frame.subject or frame.claims or frame.exceptions]

    def _of_moved(self) -> None:
        """What names no part after "with the main caps off" is said of them, or of what they leave open."""
        frame = next((frame for frame in self.frames if frame.claims), None)
        if self.moved is None or frame is None or frame.blocked:
            return
        if frame.subject is None:
            frame.subject = self.moved
        elif frame.subject.bare and frame.subject.pointer is None and frame.subject.numbers and self.moved.many:
            frame.subject = merge(replace(self.moved, numbers=()), frame.subject)

    def _step(self) -> None:
        item = self.items[self.index]
        found = None if item.kind == "preposition" else self.noun_at(self.index)
        if found is not None:
            noun, after = self._pointed(found[0]), found[1]
            stopped, first = self.items[after - 1].stop, self.index
            self.index = after
            denied = next((item for item in self.items[first:after] if item.get("group") and item.get("not")), None)
            self._noun(noun)
            if denied is not None:
                self.negative = (denied.start, denied.end)
            self.preposition, self.between = None, False
            if stopped:
                self._boundary()
            return
        handler = getattr(self, f"_on_{item.kind}", None)
        if handler is not None:
            handler(item)
        if item.stop:
            self._boundary()


__all__ = ["Claim", "Clauses", "Frame"]
