"""The seeded-fault study: sites with known faults, and whether each is reported and nothing else.

python -m tests.study --sites 1000
"""
