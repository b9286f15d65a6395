"""Fixtures that the tests of several reports share."""

from __future__ import annotations

import pytest

from audit.model.result import Result
from tests.the_examples import audit


@pytest.fixture(scope="session")
def failed() -> Result:
    """Return the result of an example with faults."""
    return audit("merrow-vale", "as-found")
