"""Faults of whole devices: identity, reading twice or not at all, gateways, and the plan itself.

A fault uses a node, and often the next one; no other fault gets these, so faults do not meet by chance.
"""

from __future__ import annotations

import random

from tests.study.draft import Draft
from tests.study.faults import FAULTS, Seeded, fault, seeded


@fault("a node that nobody read")
def _unread(draft: Draft, chance: random.Random, i: int) -> Seeded:
    tag = draft.found[i]["tag"]
    draft.found[i] = {}
    return seeded("node-not-read", tag, not_joined="a node that was not read is in no list")


@fault("much of a node not read")
def _half(draft: Draft, chance: random.Random, i: int) -> Seeded:
    row = draft.found[i]
    for name in ("alarm_low_low", "alarm_low", "alarm_high", "alarm_high_high", "deadband", "loss_action",
                 "unit", "pulse_weight", "range_low", "range_high", "alarm_enabled", "report_interval",
                 "channel", "air_rate", "address", "network_id", "local_lock", "service_port"):  # fmt: skip
        row[name] = ""
    return seeded("much-not-read", row["tag"], setting_not_read="each of them",
                  critical_setting_not_read="each of them")  # fmt: skip


@fault("a device that is not in the plan")
def _stranger(draft: Draft, chance: random.Random, i: int) -> Seeded:
    tag = f"ZZ-{chance.randint(500, 999)}"
    network = draft.planned[i]["network"]
    draft.found.append({"tag": tag, "serial": f"Q{chance.randint(1000, 9999)}X", "network": network})
    return seeded("unplanned-node", tag, about=(f"GW-{network}",),
                  gateway_over_capacity="the gateway was full")  # fmt: skip


@fault("another serial number")
def _exchanged(draft: Draft, chance: random.Random, i: int) -> Seeded:
    draft.found[i]["serial"] = f"V{chance.randint(1000, 9999)}W"
    return seeded("tag-serial-mismatch", draft.found[i]["tag"])


@fault("a tag respelled")
def _respelled(draft: Draft, chance: random.Random, i: int) -> Seeded:
    tag = draft.planned[i]["tag"]
    draft.found[i]["tag"] = tag.lower().replace("-", " ")
    return seeded("tag-respelled", tag)


@fault("another device type")
def _type(draft: Draft, chance: random.Random, i: int) -> Seeded:
    draft.found[i]["type"] = "meter"
    return seeded("device-type-differs", draft.found[i]["tag"])


@fault("two readings that disagree")
def _twice(draft: Draft, chance: random.Random, i: int) -> Seeded:
    row = draft.found[i]
    again = {name: row[name] for name in ("tag", "serial", "read_at", "read_by", "configured_by")}
    draft.found.append({**again, "pulse_weight": 77})
    return seeded("readings-disagree", row["tag"], pulse_weight_differs="the latest one is off plan")


@fault("one person did both")
def _alone(draft: Draft, chance: random.Random, i: int) -> Seeded:
    draft.found[i]["configured_by"] = draft.found[i]["read_by"]
    return seeded("self-checked", None)


@fault("an old revision")
def _stale(draft: Draft, chance: random.Random, i: int) -> Seeded:
    draft.found[i]["plan_revision"] = "2"
    return seeded("plan-revision-stale", None)


@fault("a code in clear, and a trivial one")
def _clear(draft: Draft, chance: random.Random, i: int) -> Seeded:
    draft.found[i]["access_code"] = "7777"
    return seeded("code-trivial", draft.found[i]["tag"], code_in_clear="the readback has the code")


@fault("a code in clear")
def _in_clear(draft: Draft, chance: random.Random, i: int) -> Seeded:
    draft.found[i]["access_code"] = chance.choice(["5138", "5179", "6172", "8361"])
    return seeded("code-in-clear", None)


@fault("the factory code in an export")
def _factory(draft: Draft, chance: random.Random, i: int) -> Seeded:
    draft.found[i]["access_code"] = "8205"
    return seeded("default-code-accepted", draft.found[i]["tag"], code_in_clear="the readback has the code")


def pair(draft: Draft, i: int) -> int:
    """Return the next node of the same network; faults are seeded only where there is one."""
    assert draft.planned[i + 1]["network"] == draft.planned[i]["network"]
    return i + 1


@fault("an address twice")
def _duplicate(draft: Draft, chance: random.Random, i: int) -> Seeded:
    j = pair(draft, i)
    draft.found[i]["address"] = draft.found[j]["address"]
    tags = draft.found[i]["tag"], draft.found[j]["tag"]
    return seeded("address-duplicate", *tags, address_differs="differs")


@fault("two addresses swapped")
def _swapped(draft: Draft, chance: random.Random, i: int) -> Seeded:
    a, b = draft.found[i], draft.found[pair(draft, i)]
    a["address"], b["address"] = b["address"], a["address"]
    return seeded("address-pair-swapped", a["tag"], b["tag"], address_differs="each differs")


@fault("two units swapped, and set for their places")
def _units(draft: Draft, chance: random.Random, i: int) -> Seeded:
    a, b = draft.found[i], draft.found[pair(draft, i)]
    a["serial"], b["serial"] = b["serial"], a["serial"]
    return seeded("serials-swapped", a["tag"], b["tag"])


@fault("two tags swapped")
def _tags(draft: Draft, chance: random.Random, i: int) -> Seeded:
    a, b = draft.found[i], draft.found[pair(draft, i)]
    a["tag"], b["tag"] = b["tag"], a["tag"]
    return seeded("units-swapped", a["tag"], b["tag"])


@fault("one entry of the vault for two")
def _shared(draft: Draft, chance: random.Random, i: int) -> Seeded:
    a, b = draft.found[i], draft.found[pair(draft, i)]
    a["code_reference"] = b["code_reference"]
    return seeded("code-shared", a["tag"], b["tag"])


@fault("one register for two")
def _overlap(draft: Draft, chance: random.Random, i: int) -> Seeded:
    a, b = draft.found[i], draft.found[pair(draft, i)]
    a["host_register"] = b["host_register"]
    return seeded("register-overlap", a["tag"], b["tag"], register_differs="one of them differs",
                  register_off_by_one="one of them differs")  # fmt: skip


@fault("a serial number planned twice")
def _serial(draft: Draft, chance: random.Random, i: int) -> Seeded:
    j = pair(draft, i)
    draft.planned[i]["serial"] = draft.planned[j]["serial"]
    draft.found[i]["serial"] = draft.found[j]["serial"]
    return seeded("serial-duplicate", draft.planned[i]["tag"], draft.planned[j]["tag"])


# Gateways. A fault of one concerns all its nodes.


def _gateway(draft: Draft, i: int, name: str, value: object, rule: str, **also: str) -> Seeded:
    network = draft.planned[i]["network"]
    shown = draft.gateways[network]
    assert shown is not None
    shown[name] = value
    nodes = tuple(draft.planned[n]["tag"] for n in draft.on(network))
    return seeded(rule, f"GW-{network}", about=nodes, **also)


@fault("a gateway retuned")
def _retuned(draft: Draft, chance: random.Random, i: int) -> Seeded:
    channel = draft.networks[draft.planned[i]["network"]]["gateway"]["channel"]
    return _gateway(draft, i, "channel", channel + 3, "gateway-off-plan",
                    channel_differs="all its nodes", nodes_orphaned_by_gateway="all its nodes")  # fmt: skip


@fault("a join window open")
def _window(draft: Draft, chance: random.Random, i: int) -> Seeded:
    return _gateway(draft, i, "join_window", "open", "join-window-open")


@fault("a gateway's service port")
def _port(draft: Draft, chance: random.Random, i: int) -> Seeded:
    return _gateway(draft, i, "service_port", "on", "service-port-on")


@fault("a gateway's factory code")
def _hub_code(draft: Draft, chance: random.Random, i: int) -> Seeded:
    return _gateway(draft, i, "default_refused", "no", "default-code-accepted")


@fault("a gateway that nobody read")
def _hub_unread(draft: Draft, chance: random.Random, i: int) -> Seeded:
    network = draft.planned[i]["network"]
    draft.gateways[network] = None
    return seeded("gateway-not-read", f"GW-{network}")


# The plan alone.


@fault("a gateway planned over its capacity")
def _capacity(draft: Draft, chance: random.Random, i: int) -> Seeded:
    network = draft.planned[i]["network"]
    draft.networks[network]["capacity"] = {"nodes": len(draft.on(network)) - 1}
    return seeded("gateway-over-capacity", f"GW-{network}")


@fault("reports over the capacity")
def _reports(draft: Draft, chance: random.Random, i: int) -> Seeded:
    network = draft.planned[i]["network"]
    draft.networks[network]["capacity"] = {"reports_per_hour": 60 * len(draft.on(network)) - 1}
    return seeded("reports-over-capacity", f"GW-{network}")


@fault("an address planned outside its block")
def _block(draft: Draft, chance: random.Random, i: int) -> Seeded:
    draft.planned[i]["address"] = draft.found[i]["address"] = 230 + chance.randint(0, 9)
    return seeded("address-out-of-block", draft.planned[i]["tag"])


@fault("a node planned without encryption")
def _clear_radio(draft: Draft, chance: random.Random, i: int) -> Seeded:
    draft.planned[i]["encryption"] = draft.found[i]["encryption"] = "off"
    return seeded("encryption-differs", draft.planned[i]["tag"])


@fault("too little time to respond")
def _response(draft: Draft, chance: random.Random, i: int) -> Seeded:
    draft.planned[i]["response_time_s"] = 30
    return seeded("alarm-too-slow", draft.planned[i]["tag"])


@fault("an authorised alarm that is off")
def _authorised(draft: Draft, chance: random.Random, i: int) -> Seeded:
    draft.found[i] |= {"alarm_enabled": "off", "alarm_authorisation": "AUT-7 until 2026-06-30"}
    return seeded("alarm-switched", draft.found[i]["tag"])


@fault("an alarm that is off for ever")
def _endless(draft: Draft, chance: random.Random, i: int) -> Seeded:
    draft.found[i] |= {"alarm_enabled": "off", "alarm_authorisation": "AUT-8"}
    return seeded("authorisation-without-end", draft.found[i]["tag"])


NAMES = tuple(FAULTS)
"""All faults, of settings and of devices."""
OF_NETWORKS = frozenset(
    ("a gateway retuned", "a join window open", "a gateway's service port", "a gateway's factory code",
     "a gateway that nobody read", "a gateway planned over its capacity", "reports over the capacity",
     "reports in haste", "a device that is not in the plan", "a node that nobody read")
)  # fmt: skip
"""Faults of which a network has one at most, since they change its load or what its gateway shows."""
PLAIN = frozenset(NAMES) - OF_NETWORKS
"""Faults of nodes, of which a network may have several."""
