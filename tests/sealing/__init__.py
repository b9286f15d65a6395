"""Tests of audit.sealing."""
