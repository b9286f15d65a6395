"""Blank sheets: what is on them, what they do not reveal, and how they are read back when filled in."""
