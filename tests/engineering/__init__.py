"""Tests of the engineering formulas: invariants, limits, errors. Published values are in tests/outside/."""
