"""Tests of the signs that a readback was copied, a file a kind of sign."""
