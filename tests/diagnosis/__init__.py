"""Tests of the diagnosis: why a node does not join."""
