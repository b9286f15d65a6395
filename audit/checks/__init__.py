"""The check kinds. A check is a function of a context and a rule's arguments; it yields facts only."""
