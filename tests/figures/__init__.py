"""Tests of engineering figures."""
