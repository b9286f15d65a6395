"""Readbacks that look copied: a file for each kind of sign, and `weighing`, which puts them together."""
