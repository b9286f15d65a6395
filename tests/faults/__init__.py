"""Faults of the machine: killed, interrupted, no room, nothing that may be written, nobody who reads.

python -m tests.faults --rounds 200
"""
