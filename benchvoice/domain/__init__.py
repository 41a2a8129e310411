"""Words, findings, events, the fold and the engine's layout. Standard library only."""
