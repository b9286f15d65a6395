"""Tests of what becomes of findings: the verdict, counts, evidence, and how they stand to earlier ones."""
