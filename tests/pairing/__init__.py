"""Tests of pairing: which device each row is about, and what a device shows in the end."""
