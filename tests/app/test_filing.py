from __future__ import annotations

import hashlib
import json

import pytest

from benchvoice.app import filing
from benchvoice.app.review import Review
from benchvoice.domain.events import StretchBlanked, UtteranceHeard
from benchvoice.domain.findings import Place
from benchvoice.errors import BenchvoiceError, UnreviewedError
from benchvoice.interpret import Reader
from benchvoice.journal import Journal
from benchvoice.lexicon import Lexicon
from tests.app.conftest import STOCK, hear
from tests.domain.test_fold import finding, reading

SHOP = "An invented shop"
S = f"{STOCK}-s1"


def file(review: Review, **given: object):
    return filing.file(review.journal, STOCK, review.lexicon.opposites, by=SHOP, **given)


def test_it_refuses_while_findings_wait_and_says_which(review: Review) -> None:
    with pytest.raises(UnreviewedError, match="not reviewed yet") as caught:
        file(review)
    assert f"{S}.0.0" in str(caught.value)
    assert "number three rod bearing is wiped" in str(caught.value)
    assert "--leave-unreviewed" in str(caught.value)
    assert not review.record.revisions


def test_it_refuses_contradictions_even_if_told_to_leave_the_unreviewed(
    journal: Journal, lexicon: Lexicon, reader: Reader
) -> None:
    hear(journal, reader, "rod bearing three is good\nrod bearing three is wiped")
    review = Review(journal, STOCK, lexicon, reader)
    review.accept([entry.id for entry in review.unreviewed()])
    with pytest.raises(UnreviewedError, match="1 contradiction"):
        file(review, leave_unreviewed=True)


def test_it_files_what_was_accepted_and_nothing_else(review: Review) -> None:
    review.accept([f"{S}.0.0"])
    review.drop([f"{S}.1.0"])
    revision = file(review, leave_unreviewed=True)
    filed = revision.filed
    assert (filed.revision, filed.by, filed.finding_ids) == (1, SHOP, (f"{S}.0.0",))
    assert f"{S}.1.0" not in filed.left_unreviewed
    assert f"{S}.2.0" in filed.left_unreviewed
    assert filing.seal_holds(review.journal, STOCK, 1)


def test_the_seal_is_the_hash_of_a_document_that_anyone_can_make_again(review: Review) -> None:
    review.accept([f"{S}.0.0"])
    filed = file(review, leave_unreviewed=True).filed
    document = filing.document(review.record, filed.finding_ids, by=SHOP, revision=1)
    assert hashlib.sha256(document).hexdigest() == filed.sha256
    whole = json.loads(document)
    assert whole["findings"][0]["text"] == "number three rod bearing is wiped"
    assert whole["engine"]["stock"] == STOCK


def test_later_changes_make_a_new_revision_and_the_old_one_stays_readable(review: Review) -> None:
    review.accept([entry.id for entry in review.unreviewed()])
    first = file(review)
    with pytest.raises(BenchvoiceError, match="Nothing has changed"):
        file(review)
    review.move([f"{S}.0.0"], cylinder=6)
    second = file(review)
    assert (second.filed.revision, second.filed.sha256 != first.filed.sha256) == (2, True)
    old = filing.as_filed(review.journal, STOCK, 1)
    assert old.entries[f"{S}.0.0"].finding.place == Place(cylinder=3)
    assert review.record.entries[f"{S}.0.0"].finding.place == Place(cylinder=6)
    assert all(filing.seal_holds(review.journal, STOCK, number) for number in (1, 2))
    with pytest.raises(BenchvoiceError, match="It has 2"):
        filing.as_filed(review.journal, STOCK, 3)


def test_undoing_back_to_what_was_filed_is_no_change(review: Review) -> None:
    review.accept([entry.id for entry in review.unreviewed()])
    file(review)
    review.move([f"{S}.0.0"], cylinder=6)
    assert not filing.last_look(review.record, review.lexicon.opposites).unchanged
    review.undo()
    assert filing.last_look(review.record, review.lexicon.opposites).unchanged


def test_words_blanked_after_filing_break_the_seal_and_it_is_known(journal: Journal, lexicon: Lexicon) -> None:
    from benchvoice.domain.events import SittingOpened

    journal.append(SittingOpened(sitting=S, source="text"), STOCK)
    for n in (0, 1):
        journal.append(UtteranceHeard(sitting=S, reading=reading(n, finding(cylinder=n + 1))), STOCK)
    review = Review(journal, STOCK, lexicon)
    review.accept([entry.id for entry in review.unreviewed()])
    file(review)
    journal.blank(StretchBlanked(sitting=S, t0=0.0, t1=0.9), STOCK)
    assert not filing.seal_holds(journal, STOCK, 1)
    assert len(filing.as_filed(journal, STOCK, 1).accepted()) == 1


def test_a_revision_needs_findings_and_a_name(review: Review) -> None:
    with pytest.raises(UnreviewedError):
        file(review, leave_unreviewed=True)
    review.accept([f"{S}.0.0"])
    with pytest.raises(BenchvoiceError, match="shop's name"):
        filing.file(review.journal, STOCK, review.lexicon.opposites, by="  ", leave_unreviewed=True)
