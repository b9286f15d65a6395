"""Tests of the check kinds: one file for each kind, with a table of firing and one of silent cases."""
