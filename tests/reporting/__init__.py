"""Tests of reporting."""
