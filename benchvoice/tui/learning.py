"""What the page about recurring fixes is given to work with, and what follows when one of them is kept."""

from __future__ import annotations

from typing import TYPE_CHECKING

from benchvoice import lexicon
from benchvoice.app import learn
from benchvoice.errors import BenchvoiceError
from benchvoice.tui.learnscreen import LearnScreen

if TYPE_CHECKING:
    from benchvoice.tui.app import ReviewApp


def page(app: ReviewApp) -> LearnScreen:
    """The page; it looks through all engines in threads that open the journal for themselves."""
    path = app.desk.review.journal.path
    return LearnScreen(
        app.desk.phrase,
        lambda: learn.gather(path, app.desk.lexicon),
        learn.change,
        lambda offer: learn.preview_all(offer, path),
    )


def keep(app: ReviewApp, offer: learn.Offer) -> None:
    """Write the offer down and use it from now on: what is typed here is read with it at once."""
    try:
        made = learn.keep(offer)
        app.desk.use(lexicon.load())
    except BenchvoiceError as error:
        app.tell(f"{error.what} {error.hint}".strip(), wrong=True)
        return
    app.warm()
    app.look()
    if isinstance(app.screen, LearnScreen):
        app.screen.kept(made, app.desk.review.stock)
