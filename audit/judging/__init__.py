"""Judging: hits, gate and coverage become a result."""
