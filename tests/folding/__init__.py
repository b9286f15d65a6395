"""Tests of the folding patterns: one file for each group, with a table of firing and silent cases."""
