"""Tests of what becomes of findings: the verdict, counts, evidence, and comparison with earlier ones."""
