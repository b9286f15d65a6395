"""The commands: one file each, wiring only."""
