"""Slips from the surroundings: the default, an earlier value, the other of a pair, neighbouring rows."""

from __future__ import annotations

from dataclasses import replace

from audit.model.value import Value
from audit.slips.around import Key
from audit.slips.case import Case, Reach, key_of


def untouched(case: Case) -> Reach:
    """Return the factory default."""
    return case.reach_plain([] if case.default is None else [case.default])


def not_saved(case: Case) -> Reach:
    """Return the value of an earlier reading."""
    return case.reach_plain(_keys(case.around.baseline))


def pair_reversed(case: Case) -> Reach:
    """Return what is planned for the other setting of a pair, low and high."""
    name = case.around.pair_name
    words = f"low and high swapped: planned for {name}" if name else ""
    return case.reach((key, words) for key in _keys(case.around.pair))


def neighbour_row(case: Case) -> Reach:
    """Return what neighbouring rows plan, if the whole row supports it, or else another node's address."""
    around = case.around
    if around.neighbours:
        return case.reach_plain(_keys(*around.neighbours))
    reach = case.reach((key, f"the address planned for {around.taken_by}") for key in _keys(around.taken))
    return replace(reach, unlisted=around.others - 1) if reach.values else reach


def filled_series(case: Case) -> Reach:
    """Return what a sheet that counts up shows in this row."""
    return case.reach_plain(_keys(case.around.series))


def _keys(*values: Value) -> list[Key]:
    return [key for value in values if value.read and (key := key_of(value)) is not None]
