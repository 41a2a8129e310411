"""Use cases: a sitting, a review, a rerun, filing, reporting."""
