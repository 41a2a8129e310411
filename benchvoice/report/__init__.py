"""Record, figures and judgement become a report, and the report becomes files."""
