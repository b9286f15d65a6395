"""Tests of the folding patterns: a file a group of patterns, a table of firing and silent cases a file."""
