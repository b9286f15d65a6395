"""The benchmark, run on demand: `python -m tests.bench`. Nothing in here is a test."""
