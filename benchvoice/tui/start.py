"""Opening the review screen for one engine."""

from __future__ import annotations

from benchvoice import lexicon
from benchvoice.app import settings
from benchvoice.app.desk import Desk
from benchvoice.app.review import Review
from benchvoice.journal import Journal
from benchvoice.tui.app import ReviewApp


def run(stock: str, *, live: bool = False, mouse: bool = True) -> None:
    """Show the screen until the person leaves it. `live`: begin with the page that follows a sitting.

    UnknownStockError if there is no such engine.
    """
    with Journal.open() as journal:
        desk = Desk(Review(journal, stock, lexicon.load()))
        ReviewApp(desk, shop=settings.load().shop, live=live).run(mouse=mouse)
