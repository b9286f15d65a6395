"""Readbacks that look copied: one file for each kind of sign, and `weighing`, which puts them together."""
