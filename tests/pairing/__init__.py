"""Tests of pairing: whose each row is, and what a device shows in the end."""
