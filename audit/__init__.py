"""asfound: compare the planned settings of wireless instrument nodes with what was found on them."""

__version__ = "0.1.0"
