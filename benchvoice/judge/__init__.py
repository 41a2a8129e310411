"""What the record means: what was not looked at, what to look at next, why it failed, what it is worth and what may
be said. Pure functions over the record; each result carries its reasons.
"""
