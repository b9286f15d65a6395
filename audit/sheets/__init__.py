"""Blank readback sheets: what to read on each device, in the order in which it shows its settings."""
