"""Events in SQLite: one writer, migrations, projections, recovery, backup."""
