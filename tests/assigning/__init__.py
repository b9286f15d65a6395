"""Tests of assigning channels and addresses."""
