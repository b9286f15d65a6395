"""Settings of all tests."""

from __future__ import annotations

import gc

from hypothesis import settings

# How long an example takes says nothing about the code on a busy machine.
settings.register_profile("asfound", deadline=None)
settings.load_profile("asfound")

# A test makes little garbage, and searching for it after every 700 objects takes a twentieth of the time.
gc.set_threshold(100_000)


def pytest_collection_finish() -> None:
    """Leave what was imported and collected, which stays to the end, out of all searches for garbage."""
    gc.freeze()
