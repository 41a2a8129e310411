"""Words to findings: spoken numbers, places, scope, focus. Pure; touches no disk but through the lexicon."""

from benchvoice.interpret.explain import explain
from benchvoice.interpret.focus import Context
from benchvoice.interpret.reader import Reader

__all__ = ["Context", "Reader", "explain"]
