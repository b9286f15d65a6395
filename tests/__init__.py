"""Tests, in the folders of the code that they test."""
