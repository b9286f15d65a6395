"""Tests of reading."""
