"""Tests of the signs that a readback was copied, one file for each kind of sign."""
