"""Tests of the check kinds: a file a kind, a table of firing and silent cases a file."""
