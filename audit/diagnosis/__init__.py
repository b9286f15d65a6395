"""Diagnosis: why a node does not join, and what to check first.

    gathering/     what the files say about a node: answers to questions, each with its places
    weights        how probable each cause is before anything is known: judgement and recorded calls
    posterior      how probable it is, given what is known
    order          the order of checks with the shortest expected time
    missing        which nodes of a site are missing at their gateways

The causes, questions and checks are data: rules/joining-causes.yaml. Only one cause at a time is assumed, and
things known count as independent under each cause; both are simplifications, and reports say so.
"""
