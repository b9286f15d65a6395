"""Sampling: how many nodes to visit, which ones, and what the visit then shows.

chance      the chance of drawing a given sample, in exact fractions
size        how many nodes to visit for a given confidence
bounds      how many defective nodes there may still be
spreading   how a sample is shared out over networks, and what that costs
tables      the plans of MIL-STD-105E
switching   when to inspect more and when less
"""
