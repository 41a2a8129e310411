"""Which figures come of which measurements: one module a group, each a pure function from a case to figures."""
