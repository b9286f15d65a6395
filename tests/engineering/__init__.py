"""Tests of audit/engineering."""
