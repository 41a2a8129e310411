"""Grammar files become one immutable lexicon; all problems are reported at once."""
