"""For all tests."""

from __future__ import annotations

from hypothesis import settings

# How long an example takes says nothing on a machine that does other things besides.
settings.register_profile("patient", deadline=None)
settings.load_profile("patient")
