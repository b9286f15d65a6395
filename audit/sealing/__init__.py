"""Sealing: a readback signed for as a baseline, and whether a baseline is what was sealed."""
