"""Events in SQLite: one writer, migrations, projections, recovery, backup."""

from benchvoice.journal.browse import CorrectionLine, EngineLine, Hit
from benchvoice.journal.faults import BusyJournalError, DamagedJournalError
from benchvoice.journal.journal import Journal
from benchvoice.journal.rescue import Rescue, rescue

__all__ = [
    "BusyJournalError",
    "CorrectionLine",
    "DamagedJournalError",
    "EngineLine",
    "Hit",
    "Journal",
    "Rescue",
    "rescue",
]
