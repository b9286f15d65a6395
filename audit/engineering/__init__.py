"""Engineering formulas: pure functions, units in their names, sources in their docstrings."""
