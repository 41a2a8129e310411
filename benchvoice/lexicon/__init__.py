"""The words of the trade: grammar files in, one immutable lexicon out."""

from benchvoice.lexicon.lexicon import Lexicon
from benchvoice.lexicon.load import load

__all__ = ["Lexicon", "load"]
