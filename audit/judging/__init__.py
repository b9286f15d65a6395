"""Judging: findings, gate and coverage become a result."""
