"""Replay: it finds every fault that a list can have, and counts how long nodes are unheard."""

from __future__ import annotations

from audit.worklist.holders import ADDRESS, Holder, Key, Set
from audit.worklist.replay import Turn, replay
from tests.worklist.sites import nodes

A, B = ("N", "A", ""), ("N", "B", "")
GATEWAY: Key = ("N", "GW", "")


def network(gateway: int, **channels: int) -> dict[Key, Holder]:
    """Return a gateway and nodes on channels, each node at an address of its own."""
    found = {GATEWAY: Holder("N", gateway=True, radio={"channel": gateway})}
    for n, (tag, channel) in enumerate(channels.items(), 1):
        found["N", tag, ""] = Holder("N", radio={"channel": channel}, address=n)
    return found


def on_channel(number: int, device: Key, before: int, after: int, minutes: float = 10) -> Turn:
    """Return a step that changes a channel."""
    return Turn(number, device, (Set("channel", before, after),), minutes)


def test_a_swap_without_a_spare_is_seen() -> None:
    """The first step of a naive exchange puts both on one address."""
    turns = [Turn(1, A, (Set(ADDRESS, 1, 2),)), Turn(2, B, (Set(ADDRESS, 2, 1),))]
    fault = replay(nodes({"A": 1, "B": 2}), turns).fault

    assert fault is not None
    assert (fault.step, fault.what) == (1, "puts A on the channel and address of B")


def test_two_that_meet_between_two_keys_are_seen() -> None:
    """The radio keyed in before the address brings A to B's address for a moment."""
    state = {A: Holder("N", radio={"channel": 9}, address=2), B: Holder("N", radio={"channel": 7}, address=2)}
    wrong = Turn(1, A, (Set("channel", 9, 7), Set(ADDRESS, 2, 1)))
    right = Turn(1, A, (Set(ADDRESS, 2, 1), Set("channel", 9, 7)))

    assert replay(state, [wrong]).fault is not None
    assert replay(state, [right]).fault is None


def test_those_who_share_an_address_as_found_are_no_fault_of_the_list() -> None:
    """A and B shared a place before; they part."""
    assert replay(nodes({"A": 1, "B": 1}), [Turn(1, B, (Set(ADDRESS, 1, 2),))]).fault is None


def test_those_who_are_heard_together_only_since_a_step_have_met() -> None:
    """A was on another rate, so that the gateway heard B alone at their address."""
    state = {
        A: Holder("N", radio={"channel": 7, "air_rate": "50"}, address=1),
        B: Holder("N", radio={"channel": 7, "air_rate": "100"}, address=1),
    }
    fault = replay(state, [Turn(1, A, (Set("air_rate", "50", "100"),))]).fault

    assert fault is not None
    assert fault.what == "puts A on the channel and address of B"


def test_a_silent_devices_other_address_counts() -> None:
    """S may be at its planned address, so no device may go there."""
    state = nodes({"A": 1}) | {
        ("N", "S", ""): Holder("N", radio={"channel": 7}, address=5, also=frozenset([2]))
    }

    assert replay(state, [Turn(1, A, (Set(ADDRESS, 1, 2),))]).fault is not None


def test_a_gateway_that_strands_nodes_that_are_right_is_seen() -> None:
    """Nothing about the nodes' radio changes, and they lose their gateway."""
    fault = replay(network(7, A=7, B=7), [on_channel(1, GATEWAY, 7, 9)]).fault

    assert fault is not None
    assert (fault.step, fault.what) == (1, "strands A, B without need")


def test_a_node_that_is_left_out_of_a_move_of_its_network_is_seen() -> None:
    """A moves with the gateway and B does not."""
    turns = [on_channel(1, A, 7, 9), on_channel(2, GATEWAY, 7, 9)]
    fault = replay(network(7, A=7, B=7), turns).fault

    assert fault is not None
    assert fault.what == "strands B without need"


def test_a_node_set_aside_and_forgotten_is_seen() -> None:
    """A loses its gateway in its own step, and never gets it back."""
    fault = replay(network(7, A=7), [on_channel(1, A, 7, 9)]).fault

    assert fault is not None
    assert (fault.step, fault.what) == (0, "leaves A without a gateway")


def test_nodes_may_be_blind_while_their_network_moves() -> None:
    """Nobody can re-set two devices at the same moment: node by node and the gateway last is no fault."""
    turns = [on_channel(1, A, 7, 9), on_channel(2, B, 7, 9), on_channel(3, GATEWAY, 7, 9)]
    replayed = replay(network(7, A=7, B=7), turns)

    assert replayed.fault is None
    assert replayed.blind_minutes == {"N": 10 + 2 * 10}


def test_minutes_of_blind_nodes_are_counted_from_the_first_step() -> None:
    """Two nodes cannot be heard until the gateway is back on their channel, after 15 minutes."""
    turns = [Turn(1, None, (), 5.0), on_channel(2, GATEWAY, 9, 7)]

    assert replay(network(9, A=7, B=7), turns).blind_minutes == {"N": 2 * 15}


def test_a_menu_that_is_locked_when_it_is_needed_is_seen() -> None:
    """Found locked, or locked by a step before: both times the next step cannot be done."""
    key_in = Turn(2, A, (Set(ADDRESS, 1, 2),), at_menu=True)
    lock = Turn(1, A, at_menu=False, locked_after=True)

    for turns, locked in (([key_in], [A]), ([lock, key_in], [])):
        fault = replay(nodes({"A": 1}), turns, locked).fault
        assert fault is not None
        assert (fault.step, fault.what) == (2, "keys in at A, whose menu is locked")


def test_a_menu_is_unlocked_for_the_work_and_locked_again() -> None:
    """Or unlocked for good, if the plan says so."""
    state = nodes({"A": 1})
    work = Turn(1, A, (Set(ADDRESS, 1, 2),), unlocks=True, at_menu=True)
    for_good = [Turn(1, A, locked_after=False), Turn(2, A, (Set(ADDRESS, 1, 2),), at_menu=True)]

    assert replay(state, [work, Turn(2, A, locked_after=True)], [A]).fault is None
    assert replay(state, for_good, [A]).fault is None
    forgotten = replay(state, [work], [A]).fault
    assert forgotten is not None
    assert (forgotten.step, forgotten.what) == (0, "leaves the menu of A unlocked")


def test_a_step_before_one_that_it_needs_is_seen() -> None:
    """The order of the list is a promise."""
    fault = replay(nodes({"A": 1}), [Turn(2, A, (), 1, (1,)), Turn(1)]).fault

    assert fault is not None
    assert (fault.step, fault.what) == (2, "comes before step 1, which it needs")


def test_a_step_that_expects_what_is_not_there_is_seen() -> None:
    """A is at 1, and the step was written for 3."""
    fault = replay(nodes({"A": 1}), [Turn(1, A, (Set(ADDRESS, 3, 2),))]).fault

    assert fault is not None
    assert fault.what == "expects address 3 and finds 1"


def test_a_step_about_nobody_is_seen() -> None:
    """A device that does not exist cannot be set."""
    assert replay({}, [Turn(1, A, (Set(ADDRESS, 1, 2),))]).fault is not None


def test_the_end_is_told() -> None:
    """What becomes of the devices."""
    assert replay(nodes({"A": 1}), [Turn(1, A, (Set(ADDRESS, 1, 2),))]).end == nodes({"A": 2})
