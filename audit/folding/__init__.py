"""Folding: findings with one cause are put under it. Each file holds the patterns of one kind of cause."""
