"""Blank sheets: what is on them, what they keep to themselves, and how they read back filled in."""
