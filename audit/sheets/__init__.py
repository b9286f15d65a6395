"""Blank readback sheets: what is asked of each device, in the order in which it shows its settings."""
