"""Drift: what has changed since a baseline, device by device, and which change records explain it."""
