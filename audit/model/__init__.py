"""The frozen models: what people write, what a run works on, and what it produces."""
