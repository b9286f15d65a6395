"""A sample of a plan's nodes: which are visited, in which order, and what they have shown.

nodes      the nodes of a plan, with their duties
changed    which of them have changed since a baseline was sealed, or were wrong in it
terms      what a sample has to show, from the words of the command line
making     plan → the sample, and the route sheet for it
reading    a recorded sample, which has to be the one that its seed gives for the plan
by_chance  the order that a seed gives the nodes
drawing    which nodes, from a seed
visited    which nodes were visited, by what was read
verdict    what a sample shows
deciding   findings → what the sample shows, and the findings about the sample itself

The calculations are in audit/engineering/sampling/.
"""
