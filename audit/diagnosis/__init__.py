"""Diagnosis: why a node does not join, and what to check first.

    gathering/     what the files tell about a node: answers to questions, each with its places
    weights        how probable each cause is before anything is known: judgement and recorded calls
    posterior      how probable it is after what is known
    order          the order of checks that takes the fewest minutes to be expected
    missing        which nodes of a site are missing at their gateways

The causes, questions and checks are data: rules/joining-causes.yaml. One cause at a time is reckoned with,
and what is known counts as independent under each cause; both are simplifications, and are said.
"""
