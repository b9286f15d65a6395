"""Engineering formulas: pure functions, units in their names, sources in their docstrings.

A number outside a formula's domain raises ValueError with one message that says what was expected; if a
formula has a limit value instead, its docstring names it. Distances and losses follow the path as planned;
what they leave out (foliage, rain, seasons, people) is for a survey, not for arithmetic.
"""
