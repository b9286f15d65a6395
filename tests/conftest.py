"""Settings of all tests."""

from __future__ import annotations

from hypothesis import settings

# How long an example takes says nothing about the code on a busy machine.
settings.register_profile("asfound", deadline=None)
settings.load_profile("asfound")
