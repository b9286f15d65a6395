"""Sealing: a readback signed for as a baseline, and checks that a baseline is still what was sealed."""
