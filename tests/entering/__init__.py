"""Tests of audit/entering/."""
