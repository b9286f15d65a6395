"""Folding: findings with one cause are put under it. Each file holds the patterns for one kind of cause."""
