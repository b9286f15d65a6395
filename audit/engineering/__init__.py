"""Engineering figures: pure functions, with units in their names and sources in their docstrings."""
