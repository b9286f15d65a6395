"""Tests of audit/engineering/sampling."""
