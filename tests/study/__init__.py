"""The seeded-fault study: on sites with known faults, each must be reported, and nothing else.

python -m tests.study --sites 1000
"""
