"""Engineering formulas: pure functions, units in their names, sources in their docstrings.

Numbers outside a formula's domain raise ValueError with one message that says what was expected; where a
formula has a limit instead, its docstring says which. Distances and losses follow the path as it is
planned; what they leave out (foliage, rain, seasons, people) is for a survey, not for arithmetic.
"""
