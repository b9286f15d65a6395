"""Tests of audit.drifting."""
