"""Settings of all tests."""

from __future__ import annotations

from hypothesis import settings

# How long a case takes depends on what else the machine does: no test fails for that.
settings.register_profile("usual", deadline=None)
settings.load_profile("usual")
