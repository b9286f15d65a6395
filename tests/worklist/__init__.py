"""Tests of the work list."""
