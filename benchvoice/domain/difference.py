"""What changes when words are read again: words against words, findings against findings."""

from __future__ import annotations

from dataclasses import dataclass
from difflib import SequenceMatcher
from enum import StrEnum

from benchvoice.domain.findings import Finding


class Change(StrEnum):
    SAME = "same"
    GONE = "gone"
    NEW = "new"


@dataclass(frozen=True, slots=True, kw_only=True)
class WordRun:
    """A run of words that stayed, went or came."""

    change: Change
    words: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingChange:
    change: Change
    finding: Finding


def words_changed(before: str, after: str) -> tuple[WordRun, ...]:
    """How one text becomes the other, word by word; what went stands before what came in its place.

    >>> [(run.change.value, run.words) for run in words_changed("number five is wiped", "number six is wiped")]
    [('same', ('number',)), ('gone', ('five',)), ('new', ('six',)), ('same', ('is', 'wiped'))]
    """
    old, new = before.split(), after.split()
    runs: list[WordRun] = []
    for tag, i0, i1, j0, j1 in SequenceMatcher(a=old, b=new, autojunk=False).get_opcodes():
        if tag == "equal":
            runs.append(WordRun(change=Change.SAME, words=tuple(old[i0:i1])))
            continue
        if i1 > i0:
            runs.append(WordRun(change=Change.GONE, words=tuple(old[i0:i1])))
        if j1 > j0:
            runs.append(WordRun(change=Change.NEW, words=tuple(new[j0:j1])))
    return tuple(runs)


def findings_changed(before: tuple[Finding, ...], after: tuple[Finding, ...]) -> tuple[FindingChange, ...]:
    """Findings that stay, in the new reading's order, with those that are new; then those that are gone.

    Two findings are the same if they claim the same, whatever the words; each matches at most once.
    """
    left = list(before)
    out: list[FindingChange] = []
    for finding in after:
        match = next((old for old in left if old.same_claim(finding)), None)
        if match is not None:
            left.remove(match)
        out.append(FindingChange(change=Change.NEW if match is None else Change.SAME, finding=finding))
    return (*out, *(FindingChange(change=Change.GONE, finding=finding) for finding in left))
