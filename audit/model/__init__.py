"""The frozen models: what people write, what a run holds, what a run results in."""
