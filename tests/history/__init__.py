"""Tests of the history over baselines."""
