"""Faults of the machine: a process killed or interrupted, no room, no permission to write, no reader.

python -m tests.faults --rounds 200
"""
