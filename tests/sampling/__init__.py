"""Tests of audit/sampling/, from the command line through to what reports say."""
