"""Spare addresses: free as found and as planned, so that a device can wait there while others move."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from decimal import Decimal

from audit.errors import Problem, stop_if
from audit.model.plan import Network
from audit.worklist.devices import Device
from audit.worklist.holders import ADDRESS, State

MOST_TRIED = 100_000
"""Addresses looked at if the plan has no block."""


def spares_of(
    network: Network,
    networks: Collection[Network],
    nodes: Sequence[Device],
    state: State,
    given: Sequence[int],
) -> list[Decimal]:
    """Return the spare addresses of a network: those given, or those of its block, that are free.

    An address in the block of another of the `networks` is no spare, unless the plan gives it to this too.
    """
    used = _used(network.name, nodes, state)
    low, high = _range(nodes)
    numbers = [n for n in sorted(set(given)) if low <= n <= high] if given else _own(network, nodes)
    others = _with_blocks(networks, network)
    return [Decimal(n) for n in numbers if n not in used and not _other_with(n, network, others)]


def suggestion(
    network: Network, networks: Collection[Network], nodes: Sequence[Device], state: State
) -> int | None:
    """Return a free address after the block that the devices accept, for a person to state."""
    used = _used(network.name, nodes, state)
    used |= set(network.addresses.reserved) if network.addresses else set()
    low, high = _range(nodes)
    first = max(low, network.addresses.last + 1) if network.addresses else low
    others = _with_blocks(networks, network)
    free = (n for n in range(first, high + 1) if n not in used and not _other_with(n, network, others))
    return next(free, None)


def check_given(
    given: Sequence[int], networks: Collection[Network], devices: Sequence[Device], state: State
) -> None:
    """Raise InputProblems for every spare that is of no use in any network, and say why."""
    problems = []
    ranges = [_range([d for d in devices if d.network == network.name]) for network in networks if given]
    for number in given:
        taking = [one for one, (low, high) in zip(networks, ranges, strict=True) if low <= number <= high]
        reasons = [_why_not(number, network, networks, devices, state) for network in taking]
        if not taking:
            known = " or ".join(dict.fromkeys(f"{low} to {high}" for low, high in ranges))
            problems.append(
                Problem(f"--spare {number}: no device accepts this address", f"give one from {known}")
            )
        elif all(reasons):
            message = f"--spare {number} is not free ({'; '.join(dict.fromkeys(reasons))})"
            problems.append(Problem(message, "give an address that no device has or is planned to have"))
    stop_if(problems)


def _why_not(
    number: int, network: Network, networks: Collection[Network], devices: Sequence[Device], state: State
) -> str:
    """Return why a number is not a spare address of a network; empty if it is one."""
    other = _other_with(number, network, _with_blocks(networks, network))
    if other:
        return f"in the block of {other.name}"
    nodes = [device for device in devices if device.network == network.name]
    holders = [device.tag for device in nodes if number in (device.found.address, device.planned.address)]
    holders += [key[1] for key, holder in state.items() if holder.network == network.name
                and number in (holder.address, *holder.also) and key[1] not in holders]  # fmt: skip
    return f"held by or planned for {', '.join(holders)} of {network.name}" if holders else ""


def _used(network: str, nodes: Sequence[Device], state: State) -> set[object]:
    """Return the addresses that devices of a network have, may have, or are planned to have."""
    used: set[object] = {device.planned.address for device in nodes}
    for holder in state.values():
        if holder.network == network:
            used |= {holder.address, *holder.also}
    return used


def _with_blocks(networks: Collection[Network], network: Network) -> list[Network]:
    """Return the other networks that have blocks."""
    return [one for one in networks if one is not network and one.addresses]


def _other_with(number: int, network: Network, others: Sequence[Network]) -> Network | None:
    """Return another network in whose block a number is; None if it is in the network's own block too."""
    if network.addresses and network.addresses.holds(number):
        return None
    return next((one for one in others if one.addresses and one.addresses.holds(number)), None)


def _own(network: Network, nodes: Sequence[Device]) -> list[int]:
    """Return the addresses that may be spares by the plan: neither reserved nor a factory default."""
    low, high = _range(nodes)
    if network.addresses:
        low, high = max(low, network.addresses.first), min(high, network.addresses.last)
    out = set(network.addresses.reserved) if network.addresses else set()
    defaults = {
        str(s.default) for device in nodes if (s := device.setting(ADDRESS)) and s.default is not None
    }
    numbers = range(low, min(high, low + MOST_TRIED) + 1)
    return [n for n in numbers if n not in out and str(n) not in defaults]


def _range(nodes: Sequence[Device]) -> tuple[int, int]:
    """Return the lowest and highest address that every device accepts."""
    settings = [s for device in nodes if (s := device.setting(ADDRESS))]
    lows = [int(s.low) for s in settings if s.low is not None]
    highs = [int(s.high) for s in settings if s.high is not None]
    for options in (s.whole_options for s in settings):
        if options:
            lows.append(options[0])
            highs.append(options[-1])
    return max(lows, default=1), min(highs, default=65_535)
