"""Addresses and registers of a published bus, at their limits.

Sources:

- MODBUS over Serial Line, Specification and Implementation Guide V1.02 (2006-12-20), 2.1 and 2.2: address
  0 is for broadcasts, 1 to 247 for devices, 248 to 255 are reserved; an address is unique on its bus.
  Read. (2.3 says that valid 'slave nodes' addresses are 0 to 247, and devices have 1 to 247.)
- MODBUS Application Protocol Specification V1.1b3, 4.4 and figure 8: data number X has address X-1;
  6.3: a reading starts at 0x0000 to 0xFFFF and takes 1 to 125 registers, with the example of registers
  108 to 110 at address 0x6B; 7, exception code 02: start and length together must stay inside. Read, in a
  full transcription.

That two values of one host may not share a register is our own logic: common practice, no source.
"""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from tests.outside.sites import audited, named

INDIVIDUAL = ["1", "2", "246", "247"]
NO_DEVICE = ["0", *map(str, range(248, 256)), "256", "-1"]


def host(register: int | str, count: int | str = 1, device: int = 1) -> dict[str, str]:
    """Return the host map of a node, as typed."""
    return {"host_device": str(device), "host_register": str(register), "host_register_count": str(count)}


def of_each(addresses: list[str]) -> dict[str, Mapping[str, str]]:
    """Return a node for each address."""
    return {f"N{address}": {"address": address} for address in addresses}


def test_individual_addresses_are_accepted() -> None:
    """1 and 247 are the first and the last address that a device can have."""
    nodes = of_each(INDIVIDUAL)
    assert named(audited("modbus.yaml", nodes), "value-outside-device") == set()
    assert named(audited("modbus.yaml", nodes, found=nodes), "value-outside-device") == set()


def test_broadcast_and_reserved_addresses_are_found_in_a_plan() -> None:
    """No device has address 0 or 248 to 255, or an address that does not fit into a byte."""
    nodes = of_each(NO_DEVICE)
    assert named(audited("modbus.yaml", nodes), "value-outside-device") == set(nodes)


def test_broadcast_and_reserved_addresses_are_found_at_devices() -> None:
    """A device that shows such an address is reported, though its plan was right."""
    found = of_each(NO_DEVICE)
    planned = {tag: {"address": str(number)} for number, tag in enumerate(found, 1)}
    assert named(audited("modbus.yaml", planned, found=found), "value-outside-device") == set(found)


def test_an_address_is_unique_on_its_bus() -> None:
    """Two nodes with one address are reported if they are in one network, and not if they are in two."""
    one, other = {"N-1": {"address": "17"}}, {"N-2": {"address": "17"}}
    assert named(audited("modbus.yaml", {**one, **other}), "address-duplicate") == {"N-1"}
    assert named(audited("modbus.yaml", one, other), "address-duplicate") == set()


@pytest.mark.parametrize("register", ["0", "1", "65534", "65535", "0xFFFF", "0x6B"])
def test_addresses_of_sixteen_bits_are_in_reach(register: str) -> None:
    """0x0000 to 0xFFFF can be addressed, in decimal or hexadecimal."""
    assert named(audited("modbus.yaml", {"N-1": host(register)}), "register-out-of-reach") == set()


@pytest.mark.parametrize("register", ["-1", "65536", "65537", "0x10000", "400001"])
def test_addresses_beyond_sixteen_bits_are_found(register: str) -> None:
    """A negative address, or one above 0xFFFF, does not fit into a message."""
    node = {"N-1": host(register)}
    assert named(audited("modbus.yaml", node), "register-out-of-reach") == {"N-1"}
    planned = {"N-1": host(100)}
    assert named(audited("modbus.yaml", planned, found=node), "register-out-of-reach") == {"N-1"}


@pytest.mark.parametrize(
    ("start", "count", "reported"),
    [(65535, 1, False), (65534, 2, False), (65411, 125, False), (65535, 2, True), (65412, 125, True)],
)
def test_the_last_register_of_a_block_is_in_reach_too(start: int, count: int, reported: bool) -> None:
    """Start and length count together: a block may end at 0xFFFF, not beyond it (7, exception code 02)."""
    result = audited("modbus.yaml", {"N-1": host(start, count)})
    assert named(result, "register-out-of-reach") == ({"N-1"} if reported else set())


@pytest.mark.parametrize(
    ("count", "reported"), [(0, True), (1, False), (2, False), (125, False), (126, True)]
)
def test_one_reading_takes_1_to_125_registers(count: int, reported: bool) -> None:
    """A length that the device type does not allow is reported, like such an address (6.3: 1 to 0x7D)."""
    result = audited("modbus.yaml", {"N-1": host(100, count)})
    assert named(result, "value-outside-device") == ({"N-1"} if reported else set())


@pytest.mark.parametrize(
    ("planned", "found", "off_by_one"),
    [
        pytest.param("107", "0x6B", None, id="the same, in hexadecimal"),
        pytest.param("107", "108", True, id="number instead of address, registers 108 to 110 of 6.3"),
        pytest.param("54", "55", True, id="number instead of address, holding register 55 of figure 8"),
        pytest.param("55", "54", True, id="address instead of number"),
        pytest.param("0", "1", True, id="first register"),
        pytest.param("65535", "65534", True, id="last register"),
        pytest.param("107", "109", False, id="two above"),
        pytest.param("107", "105", False, id="two below"),
        pytest.param("107", "40108", False, id="with the prefix of holding registers"),
    ],
)
def test_counting_from_zero_or_one(planned: str, found: str, off_by_one: bool | None) -> None:
    """A register exactly one off the planned one is distinguished from any other difference."""
    result = audited("modbus.yaml", {"N-1": host(planned)}, found={"N-1": host(found)})
    assert named(result, "register-off-by-one") == ({"N-1"} if off_by_one else set())
    assert named(result, "register-differs") == ({"N-1"} if off_by_one is False else set())


@pytest.mark.parametrize(
    ("one", "other", "overlap"),
    [
        pytest.param(host(100, 2), host(102, 2), False, id="end to end"),
        pytest.param(host(100, 2), host(101, 2), True, id="one register shared"),
        pytest.param(host(100, 2), host(100, 2), True, id="the same block"),
        pytest.param(host(100, 2), host(99, 1), False, id="just below"),
        pytest.param(host(100, 2), host(99, 2), True, id="from below"),
        pytest.param(host(100, 125), host(225, 1), False, id="after the longest block"),
        pytest.param(host(100, 125), host(224, 1), True, id="at the end of the longest block"),
        pytest.param(host(100, 125), host(150, 2), True, id="inside"),
        pytest.param(host(0, 1), host(0, 1, device=2), False, id="at another device"),
        pytest.param(host(65535, 1), host(65534, 2), True, id="last register"),
        pytest.param(host("0x64", 2), host("101", 2), True, id="hexadecimal and decimal"),
    ],
)
def test_blocks_of_registers(one: Mapping[str, str], other: Mapping[str, str], overlap: bool) -> None:
    """Two blocks of one device overlap exactly if some register belongs to both, in plan and host alike."""
    nodes = {"N-1": one, "N-2": other}
    apart = {"N-1": host(1000, 2), "N-2": host(2000, 2)}
    for result in (audited("modbus.yaml", nodes), audited("modbus.yaml", apart, found=nodes)):
        assert bool(named(result, "register-overlap")) == overlap


def test_a_long_block_overlaps_all_that_lie_in_it() -> None:
    """Each value inside a long block is reported, even the last, which follows two that ended before it."""
    nodes = {"N-1": host(100, 50), "N-2": host(110), "N-3": host(120), "N-4": host(149), "N-5": host(150)}
    assert named(audited("modbus.yaml", nodes), "register-overlap") == {"N-2", "N-3", "N-4"}
