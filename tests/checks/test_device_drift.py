"""device-drift: units exchanged, tags and networks changed, devices come and gone."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tests.drifts import Fires, Silent, fires, reported, result_of, silent
from tests.small_site import SETTINGS, node

SPARE: dict[str, Any] = {"now": {"N-2": {"serial": "555001"}}}
CROSSED: dict[str, Any] = {"now": {"N-1": {"serial": "100002"}, "N-2": {"serial": "100001"}}}
SWAPPED: dict[str, Any] = {"now": {"N-1": {"serial": "100002", "address": "12"},
                                   "N-2": {"serial": "100001", "address": "11"}}}  # fmt: skip
LABELS: dict[str, Any] = {"N-1": {"tag": "N-2"}, "N-2": {"tag": "N-1"}}
BOTH: list[dict[str, Any]] = [{"what": "exchange", "node": n} for n in ("N-1", "N-2")]
SPARES = [one | {"to": spare} for one, spare in zip(BOTH, ("555001", "555002"), strict=True)]
EACH = [one | {"to": serial} for one, serial in zip(BOTH, ("100002", "100001"), strict=True)]
STRANGER = {"tag": "N-9", "serial": "999009", "network": "Main", "channel": "7", "address": "19"}
MOVED: dict[str, Any] = {"now": {"N-2": {"network": "South"}}}
RETAGS = [{"what": "retag", "node": "N-1", "to": "N-2"}, {"what": "retag", "node": "N-2", "to": "N-1"}]
TAGS_SWAPPED = {"N-1": {"tag": "N-2"}, "N-2": {"tag": "N-1"}}
OTHER: dict[str, Any] = {"N-2": {"serial": "555001"}}
LABEL: dict[str, Any] = {"N-2": {"tag": "N-22"}}
SOUTH: dict[str, Any] = {"N-2": {"network": "South"}}
METER: dict[str, Any] = {"N-2": {"type": "meter"}}
REMOVED = {"what": "removed", "node": "N-2"}
ANEW = {"what": "added", "node": "N-2", "to": "555001", "date": "2026-05-13"}
EXCHANGED_AND_RENAMED = {"serial": "555001", "tag": "N-22"}
EXCHANGE = {"what": "exchange", "node": "N-2", "to": "555001"}
RETAG = {"what": "retag", "node": "N-2", "to": "N-22"}
MOVE = {"what": "move", "node": "N-2", "to": "South"}
ALL_NAMES_ANEW = {**EXCHANGED_AND_RENAMED, "network": "South", "address": "99"}

FIRES: list[Fires] = [
    fires("unit-exchanged", "a spare", says="serial 100002 in the baseline, 555001 now", **SPARE),
    fires("unit-exchanged", "not read then", unread_then=["N-2"], only=False, **SPARE,
          says="serial 555001 was read; the baseline has 100002, planned but not read"),
    fires("unit-exchanged", "a record of another serial number", only=False, **SPARE,
          changes=[{"what": "exchange", "node": "N-2", "to": "555002"}]),
    fires("unit-exchanged", "a record of the day after it was read", only=False,
          now={"N-2": {"serial": "555001", "read_at": "2026-05-11"}},
          changes=[{"what": "exchange", "node": "N-2", "to": "555001"}]),
    fires("unit-exchanged", "of another type", says="is a 'meter' now", now={"N-2": {"type": "meter"}}),
    fires("unit-exchanged", "of another type, with a record of another unit", only=False,
          now={"N-2": {"type": "meter"}}, changes=[{"what": "exchange", "node": "N-2", "to": "555002"}]),
    fires("unit-exchanged", "another unit of another type than planned", plan={"N-2": {"serial": "555001"}},
          now={"N-2": {"serial": "555001", "type": "meter"}},  says="555001 now, and it is a 'meter'"),
    fires("units-swapped-since-baseline", "under each other's tag", "N-1", says="have been swapped",
          only=False, **SWAPPED),
    fires("units-swapped-since-baseline", "on record are two spares", "N-1", only=False, **SWAPPED,
          changes=SPARES),
    fires("serials-swapped-since-baseline", "each set for its tag", "N-1", says="its tag (address)",
          **CROSSED),
    fires("node-renamed", "the same serial number", now={"N-2": {"tag": "N-22"}},
          says="serial 100002 was N-2 in the baseline and is N-22 now"),
    fires("node-moved", "a record of the day after it was read", only=False,
          now={"N-2": {"network": "South", "read_at": "2026-05-11"}},
          changes=[{"what": "move", "node": "N-2", "to": "South"}]),
    fires("node-moved", "to another network", says="was in the network Main in the baseline, and is in South",
          **MOVED),
    fires("node-added", "a stranger", "N-9", more=[STRANGER], says="tag N-9 serial 999009"),
    fires("node-added", "a record of the day after it was read", "N-9", only=False,
          more=[STRANGER | {"read_at": "2026-05-11"}], changes=[{"what": "added", "node": "N-9"}]),
    fires("node-gone", "not found", gone=["N-2"], says="is in the baseline, but in no readback"),
    fires("node-gone", "not read then, and not now", gone=["N-2"], unread_then=["N-2"],
          says="was not read for the baseline"),
    fires("node-gone", "the plan still has it", gone=["N-2"], plan={}),
    fires("device-change-recorded", "exchange with its serial number", level="note", **SPARE,
          changes=[{"what": "exchange", "node": "N-2", "from": "100002", "to": "555001"}], says="change C-1"),
    fires("device-change-recorded", "exchange without one", level="note", **SPARE,
          changes=[{"what": "exchange", "node": "N-2"}]),
    fires("device-change-recorded", "both of two that changed places", "N-1", level="note", only=False,
          **SWAPPED, changes=BOTH),
    fires("device-change-recorded", "both got each other's tag", "N-1", level="note", **SWAPPED,
          changes=RETAGS, plan=TAGS_SWAPPED, says="other's tag: change C-1 of 2026-05-12, approved by"),
    fires("device-change-recorded", "both got each other's tag, and of one an exchange is on record too",
          "N-1", level="note", only=False, **SWAPPED, changes=[EACH[0], *RETAGS]),
    fires("units-swapped-since-baseline", "one of both got the other's tag on record", "N-1", only=False,
          **SWAPPED, changes=RETAGS[:1]),
    fires("device-change-without-record", "the plan has their tags exchanged", "N-1", level="warning",
          **SWAPPED, plan=TAGS_SWAPPED, says="the plan says so too"),
    fires("device-change-recorded", "both, with their serial numbers", "N-1", level="note", only=False,
          **SWAPPED, changes=EACH,
          says=": change C-1 of 2026-05-12, approved by I. Placeholder, and change C-2 of"),
    fires("device-change-recorded", "both of two that were exchanged and set anew", "N-1", level="note",
          **CROSSED, changes=BOTH),
    fires("device-change-recorded", "renamed", level="note", now={"N-2": {"tag": "N-22"}},
          changes=[{"what": "retag", "node": "N-2", "to": "N-22"}]),
    fires("device-change-recorded", "renamed, with the new tag as its node", level="note",
          now={"N-2": {"tag": "N-22"}},
          changes=[{"what": "retag", "node": "N-22", "from": "N-2", "to": "N-22"}]),
    fires("device-change-recorded", "moved", level="note", **MOVED,
          changes=[{"what": "move", "node": "N-2", "to": "South"}]),
    fires("device-change-recorded", "added", "N-9", level="note", more=[STRANGER],
          changes=[{"what": "added", "node": "N-9"}], says="its settings were compared with nothing"),
    fires("device-change-recorded", "added, on record in its network, and no network was read", "N-9",
          level="note", more=[STRANGER | {"network": ""}],
          changes=[{"what": "added", "node": "N-9", "network": "Main"}]),
    fires("device-change-recorded", "added, on record in its network, and its gateway was read", "N-9",
          level="note", more=[STRANGER | {"network": "GW-1"}],
          changes=[{"what": "added", "node": "N-9", "network": "Main"}]),
    fires("node-added", "added, on record in another network", "N-9", only=False, more=[STRANGER],
          changes=[{"what": "added", "node": "N-9", "network": "South"}]),
    fires("device-change-recorded", "removed, and another added under its tag", level="note", **SPARE,
          changes=[REMOVED, ANEW], says=": change C-1 of 2026-05-12, approved by I. Placeholder, and"),
    fires("unit-exchanged", "removed, and a third added under its tag", only=False, **SPARE,
          changes=[REMOVED, ANEW | {"to": "555002"}]),
    fires("unit-exchanged", "added first, and removed then", only=False, **SPARE,
          changes=[REMOVED | {"date": "2026-05-14"}, ANEW]),
    fires("unit-exchanged", "only added, which its tag was already", only=False, **SPARE, changes=[ANEW]),
    fires("device-change-recorded", "removed, and added under another tag", level="note",
          now={"N-2": {"tag": "N-22"}}, changes=[REMOVED, ANEW | {"node": "N-22", "to": "100002"}]),
    fires("device-change-recorded", "removed, and added under another tag; no network was read", level="note",
          now={"N-2": {"tag": "N-22", "network": ""}},
          changes=[REMOVED, ANEW | {"node": "N-22", "to": "100002", "network": "Main"}]),
    fires("device-change-recorded", "removed, and added under another tag of its gateway", level="note",
          now={"N-2": {"tag": "N-22", "network": "GW-1"}},
          changes=[REMOVED, ANEW | {"node": "N-22", "to": "100002", "network": "Main"}]),
    fires("node-renamed", "removed, and another unit added under that tag", only=False,
          now={"N-2": {"tag": "N-22"}}, changes=[REMOVED, ANEW | {"node": "N-22"}]),
    fires("device-change-recorded", "removed, and added in another network", level="note", **MOVED,
          changes=[REMOVED, ANEW | {"network": "South", "to": "100002"}]),
    fires("node-moved", "removed, and added in a third network", only=False, **MOVED,
          changes=[REMOVED, ANEW | {"network": "North", "to": "100002"}]),
    fires("device-change-recorded", "removed, on record under the tag that was read for the baseline",
          level="note", then=LABEL, gone=["N-2"], changes=[REMOVED | {"node": "N-22"}]),
    fires("device-change-recorded", "not read then, and removed before it was sealed", level="note",
          gone=["N-2"], unread_then=["N-2"], then={"N-1": {"read_at": "2026-03-10"}},
          changes=[REMOVED | {"date": "2026-03-20"}]),
    fires("device-change-recorded", "not read then, as it was gone already, and no longer in the plan",
          level="note", gone=["N-2"], unread_then=["N-2"], plan={}, plan_without=["N-2"],
          changes=[REMOVED | {"date": "2025-03-20"}]),
    fires("node-gone", "not read then, on record as removed before that, and still planned", only=False,
          gone=["N-2"], unread_then=["N-2"], plan={}, changes=[REMOVED | {"date": "2025-03-20"}]),
    fires("device-change-without-record", "read then, and on record as removed before that", level="warning",
          gone=["N-2"], plan={}, plan_without=["N-2"], changes=[REMOVED | {"date": "2025-03-20"}]),
    fires("device-change-recorded", "added, under a tag that another had on its label then", "N-22",
          level="note", then=LABEL, more=[STRANGER | {"tag": "N-22"}],
          changes=[{"what": "added", "node": "N-22"}], only=False),
    fires("device-change-recorded", "removed", level="note", gone=["N-2"],
          changes=[{"what": "removed", "node": "N-2"}]),
    fires("device-change-without-record", "the plan has the new unit", level="warning", **SPARE,
          plan={"N-2": {"serial": "555001"}}, says="the plan says so too"),
    fires("device-change-without-record", "exchanged and renamed, as the plan says", level="warning",
          now={"N-2": EXCHANGED_AND_RENAMED}, plan={"N-2": EXCHANGED_AND_RENAMED}),
    fires("device-change-recorded", "exchanged and renamed, each on record", level="note",
          now={"N-2": EXCHANGED_AND_RENAMED}, changes=[EXCHANGE, RETAG], plan={"N-2": EXCHANGED_AND_RENAMED}),
    fires("device-change-recorded", "exchanged, renamed, moved and set anew, each on record", level="note",
          now={"N-2": ALL_NAMES_ANEW}, changes=[EXCHANGE, RETAG, MOVE],
          says="555001 now, under the tag N-22: change C-1 of 2026-05-12, approved by I. Placeholder, and"),
    fires("node-gone", "exchanged, renamed, moved and set anew, and the move is not on record", only=False,
          now={"N-2": ALL_NAMES_ANEW}, changes=[EXCHANGE, RETAG]),
    fires("node-added", "exchanged, renamed, moved and set anew, and the new tag is not on record", "N-22",
          only=False, now={"N-2": ALL_NAMES_ANEW}, changes=[EXCHANGE, MOVE]),
    fires("node-renamed", "exchanged and renamed, with a record of the exchange alone", only=False,
          now={"N-2": EXCHANGED_AND_RENAMED}, changes=[EXCHANGE],
          says="the device with this network and address was N-2 in the baseline and is N-22 now"),
    fires("device-change-without-record", "no longer in the plan", level="warning", gone=["N-2"], plan={},
          plan_without=["N-2"], says="it is no longer in the plan"),
    fires("device-change-without-record", "the plan has the new one", "N-9", level="warning", more=[STRANGER],
          plan={}, plan_more=[{**node(9), "serial": "999009"}], says="it is in the plan"),
    fires("device-change-without-record", "renamed in the plan", level="warning",
          now={"N-2": {"tag": "N-22"}}, plan={"N-2": {"tag": "N-22"}}),
    fires("device-change-without-record", "the plan has them in each other's place", "N-1", level="warning",
          **CROSSED, plan={"N-1": {"serial": "100002"}, "N-2": {"serial": "100001"}}),
    fires("device-change-without-record", "the plan has the new unit, of another type", level="warning",
          now={"N-2": {"serial": "555001", "type": "meter"}}, kinds={"meter": SETTINGS},
          plan={"N-2": {"serial": "555001", "type": "meter"}},
          says="555001 now, and it is a 'meter', the baseline has a 'node'; the plan says so too"),
    fires("device-change-without-record", "of another type as planned", level="warning",
          now={"N-2": {"type": "meter"}}, kinds={"meter": SETTINGS}, plan={"N-2": {"type": "meter"}}),
    fires("device-difference-as-sealed", "another unit then and now", level="warning", plan={}, then=OTHER,
          now=OTHER, says="has serial 555001, as in the baseline; 100002 was planned then, and still is"),
    fires("device-change-pending", "another unit then and now, and the plan has a third", level="warning",
          plan={"N-2": {"serial": "555003"}}, then=OTHER, now=OTHER, says="the plan gives it serial 555003"),
    fires("unit-exchanged", "the unit that was planned then", then=OTHER,
          says="which was planned then: a number was read wrongly, or the unit was installed since"),
    fires("device-difference-as-sealed", "another tag then and now", level="warning", then=LABEL, now=LABEL,
          says="is called N-22, as it was for the baseline; N-2 was planned then"),
    fires("node-renamed", "known by its planned address, and not read then", only=False, unread_then=["N-2"],
          now={"N-2": {"tag": "lost", "serial": ""}},
          says="this network and address was N-2 in the baseline, where it was not read, and is lost now"),
    fires("node-renamed", "another tag then, and a third now", then=LABEL, now={"N-2": {"tag": "N-33"}}),
    fires("device-difference-as-sealed", "each other's tag then and now", "N-1", level="warning",
          then=SWAPPED["now"], **SWAPPED, says="are under each other's tag, as they were for the baseline"),
    fires("serials-swapped-since-baseline", "set as planned for their tags, and not read then", "N-1",
          only=False, unread_then=["N-1", "N-2"], **CROSSED,
          says="as the baseline has it, or plans it where it was not read, under its tag (address)"),
    fires("serials-swapped-since-baseline", "set for their tags, and one was not read then", "N-1",
          only=False, unread_then=["N-2"], **CROSSED),
    fires("device-difference-as-sealed", "each other's tag, and one was not read then", "N-1",
          level="warning", only=False, now=LABELS,
          then={"N-1": {"tag": "N-2"}, "N-2": {"tag": "lost"}}, unread_then=["lost"],
          says="are under each other's tag, as N-1 was for the baseline; N-2 was not read then"),
    fires("units-swapped-since-baseline", "each other's tag, and neither was read then", "N-1", only=False,
          now=LABELS, unread_then=["N-1", "N-2"]),
    fires("units-swapped-since-baseline", "each other's tag, and one was under its own then", "N-1",
          only=False, now=LABELS, unread_then=["N-2"]),
    fires("device-difference-as-sealed", "another network then and now", level="warning", then=SOUTH,
          now=SOUTH, says="is under the network South, as it was for the baseline; Main was planned then"),
    fires("node-moved", "another network then, and a third now", then=SOUTH,
          now={"N-2": {"network": "North"}}),
    fires("device-difference-as-sealed", "another type then and now", level="warning", then=METER,
          now={"N-2": {"type": "Meter"}}, says="is a 'Meter', as it was for the baseline; a 'node'"),
    fires("unit-exchanged", "another type then, and a third now", then=METER, now={"N-2": {"type": "valve"}},
          says="is a 'valve' now; in the baseline it is a 'meter'"),
    fires("unit-exchanged", "another type then, and exchanged for one of that type", then=METER,
          now={"N-2": {"type": "Meter", "serial": "555001"}},
          says="the unit was exchanged: serial 100002 in the baseline, 555001 now, and it is a 'Meter', as "
               "the one before was"),
    fires("device-change-recorded", "another type then, and exchanged for one since", level="note",
          then=METER, now=METER, changes=[{"what": "exchange", "node": "N-2"}]),
    fires("device-difference-as-sealed", "the other way round then and now", "N-1", level="warning",
          plan={}, then=CROSSED["now"], **CROSSED,
          says="N-1 and N-2 are the other way round from the plan, as they were in the baseline"),
    fires("device-difference-as-sealed", "the other way round then, and only one read now", level="warning",
          only=False, plan={}, then=CROSSED["now"], **CROSSED, gone=["N-1"],
          says="has serial 100001, as in the baseline; 100002 was planned then, and still is"),
    fires("device-difference-as-sealed", "a stranger then and now", "N-9", level="warning", more=[STRANGER],
          more_then=[STRANGER], says="an unplanned one of its name was there then: tag N-9 serial 999009"),
    fires("node-added", "another stranger then", "N-9", more=[STRANGER],
          more_then=[STRANGER | {"tag": "N-8", "serial": "999008"}]),
    fires("node-added", "another stranger of that tag", "N-9", more=[STRANGER | {"serial": "999008"}],
          more_then=[STRANGER]),
    fires("device-difference-as-sealed", "a stranger then and now, without its number", "N-9",
          level="warning", more=[STRANGER | {"serial": ""}], more_then=[STRANGER]),
    fires("device-change-recorded", "a stranger then, on record before that, and planned by now", "N-9",
          level="note", more=[STRANGER], more_then=[STRANGER], plan={},
          plan_more=[{**node(9), "serial": "999009"}],
          changes=[{"what": "added", "node": "N-9", "date": "2024-03-03"}], says="was there then: tag N-9"),
    fires("device-change-recorded", "added after the baseline was read and before it was sealed", "N-9",
          level="note", more=[STRANGER], then={"N-1": {"read_at": "2026-03-10"}},
          changes=[{"what": "added", "node": "N-9", "date": "2026-03-20"}]),
    fires("node-added", "on record before the baseline was read", "N-9", only=False, more=[STRANGER],
          then={"N-1": {"read_at": "2026-03-10"}},
          changes=[{"what": "added", "node": "N-9", "date": "2026-03-09"}]),
    fires("device-change-without-record", "a stranger then, and planned by now", "N-9", level="warning",
          more=[STRANGER], more_then=[STRANGER], plan={}, plan_more=[{**node(9), "serial": "999009"}],
          says="one of its name was there then: tag N-9 serial 999009; it is in the plan, but no"),
    fires("device-difference-as-sealed", "a stranger then and now, on record before the baseline", "N-9",
          level="warning", only=False, more=[STRANGER], more_then=[STRANGER], plan={},
          changes=[{"what": "added", "node": "N-9", "date": "2024-03-03"}]),
    fires("node-added", "on record before the baseline, which has no such stranger", "N-9", only=False,
          more=[STRANGER], changes=[{"what": "added", "node": "N-9", "date": "2024-03-03"}]),
    fires("device-change-pending", "planned, and not there", "N-9", level="warning", plan={},
          plan_more=[node(9)], says="is neither in the baseline nor in a readback"),
    fires("device-change-pending", "another unit in the plan alone", level="warning",
          plan={"N-2": {"serial": "555001"}},
          says="the plan gives it serial 555001; it has 100002, as in the baseline"),
    fires("device-change-pending", "in each other's place in the plan alone", "N-1", level="warning",
          plan={"N-1": {"serial": "100002"}, "N-2": {"serial": "100001"}},
          says="the plan swaps the units of N-1 and N-2"),
    fires("device-change-pending", "in each other's place in the plan alone, and only one read",
          level="warning", only=False, gone=["N-1"],
          plan={"N-1": {"serial": "100002"}, "N-2": {"serial": "100001"}},
          says="the plan gives it serial 100001; it has 100002, as in the baseline"),
    fires("device-change-pending", "renamed in the plan alone", level="warning",
          plan={"N-2": {"tag": "N-22"}}, says="the plan calls it N-22; it is N-2, as in the baseline"),
    fires("device-change-pending", "another type in the plan alone", level="warning",
          kinds={"meter": SETTINGS}, now={"N-2": {"type": "node"}}, plan={"N-2": {"type": "meter"}},
          says="the plan has a 'meter' in its place; it is a 'node', as in the baseline"),
    fires("device-change-pending", "another unit of another type", level="warning",
          kinds={"meter": SETTINGS}, plan={"N-2": {"serial": "555001", "type": "meter"}},
          says="serial 555001, as a 'meter'; it has 100002"),
    fires("device-change-pending", "taken out of the plan, and still there", level="warning", plan={},
          plan_without=["N-2"], says="but still there"),
]  # fmt: skip

SILENT: list[Silent] = [
    silent("unit-exchanged", "the same units"),
    silent("unit-exchanged", "another spelling of the serial number", now={"N-2": {"serial": "0100002"}}),
    silent("unit-exchanged", "a serial number that lost its digits", now={"N-2": {"serial": "1.00E+05"}}),
    silent("unit-exchanged", "a record explains it", **SPARE, changes=[{"what": "exchange", "node": "N-2"}]),
    silent("units-swapped-since-baseline", "only one was exchanged", **SPARE),
    silent("units-swapped-since-baseline", "each is set for its tag", **CROSSED),
    silent("serials-swapped-since-baseline", "each is set for its serial number", **SWAPPED),
    silent("device-difference-as-sealed", "another type then and now, and planned by now", then=METER,
           now=METER, kinds={"meter": SETTINGS}, plan=METER),
    silent("node-renamed", "another spelling", now={"N-2": {"tag": "n 2"}}),
    silent("node-moved", "the gateway's tag for the network", now={"N-2": {"network": "GW-1"}}),
    silent("node-moved", "the gateway's serial number for the network", now={"N-2": {"network": "900001"}}),
    silent("node-added", "nobody came"),
    silent("node-added", "it was there then", more=[STRANGER], more_then=[STRANGER]),
    silent("device-difference-as-sealed", "all as planned", plan={}),
    silent("device-difference-as-sealed", "the plan has followed", then=OTHER, now=OTHER,
           plan={"N-2": {"serial": "555001"}}),
    silent("device-difference-as-sealed", "the plan calls it so by now", then=LABEL, now=LABEL,
           plan={"N-2": {"tag": "N-22"}}),
    silent("device-difference-as-sealed", "it was put right", plan={}, then=LABEL),
    silent("node-renamed", "called so then", then=LABEL, now=LABEL),
    silent("units-swapped-since-baseline", "each other's tag then and now", then=SWAPPED["now"], **SWAPPED),
    silent("device-difference-as-sealed", "each other's tag, which the plan gives them by now",
           then=SWAPPED["now"], **SWAPPED, plan=TAGS_SWAPPED),
    silent("node-moved", "read so then", then=SOUTH, now=SOUTH),
    silent("node-gone", "nobody went"),
    silent("device-change-recorded", "nothing happened", changes=[
        {"what": "exchange", "node": "N-2", "date": "2026-01-02"}]),
    silent("device-change-recorded", "no records", idle=True, **SPARE),
    silent("device-change-without-record", "the plan says nothing of it", plan={}, **SPARE),
    silent("device-change-without-record", "no plan", idle=True, **SPARE),
    silent("device-change-pending", "the plan is as the baseline", plan={}),
    silent("device-change-pending", "one serial number planned twice, then and now", plan={},
           nodes=[node(1), {**node(2), "serial": "100001"}, node(3)]),
    silent("device-change-pending", "another unit in the plan, and nobody read which there is",
           plan={"N-2": {"serial": "555001"}}, now={"N-2": {"serial": ""}}),
    silent("device-change-pending", "another unit in the plan, and a third there",
           plan={"N-2": {"serial": "555001"}}, now={"N-2": {"serial": "555002"}}),
    silent("device-change-pending", "the plan has its number with a zero before it",
           plan={"N-2": {"serial": "0100002"}}),
    silent("device-change-pending", "planned, and found", plan={}, plan_more=[{**node(9),
          "serial": "999009"}],
           more=[STRANGER]),
    silent("device-change-pending", "no plan", idle=True),
]  # fmt: skip


@pytest.mark.parametrize("case", [*FIRES, *SILENT], ids=str)
def test_rules(case: Fires | Silent, tmp_path: Path) -> None:
    """The rule says what it should, or nothing."""
    case.check(tmp_path)


def test_an_exchange_is_one_cause_with_the_settings_that_differ_under_it(tmp_path: Path) -> None:
    """A spare that was not set is one exchange, and its wrong settings are listed under it."""
    factory = {"serial": "555001", "high_alarm": "0", "range_high": "100", "address": "247", "channel": "1"}

    result = result_of(tmp_path, now={"N-2": factory})

    (cause,) = (finding for finding in result.findings if finding.caused_by is None)
    assert (cause.rule, cause.node) == ("unit-exchanged", "N-2")
    assert sorted(f.setting or "" for f in result.findings if f.caused_by == cause.id) == (
        ["address", "channel", "high_alarm", "range_high"]
    )
    assert result.counts.root_causes == 1


def test_swapped_serial_numbers_are_one_cause(tmp_path: Path) -> None:
    """Each device is set as its place was: two units were swapped and re-set, or two labels misread."""
    (cause,) = result_of(tmp_path, **CROSSED).findings

    assert (cause.rule, cause.node, cause.others) == ("serials-swapped-since-baseline", "N-1", ["N-2"])


def test_settings_of_units_with_exchanged_tags_are_held_against_the_plan_of_each(tmp_path: Path) -> None:
    """The plan has the units swapped, each with the address of its new place, which has to be set there."""
    plan = {"N-1": {"serial": "100002"}, "N-2": {"serial": "100001"}}

    result = result_of(tmp_path, **SWAPPED, plan=plan)

    pending = [(f.node, f.message) for f in result.findings if f.rule == "change-pending"]
    assert pending == [
        ("N-1", "address is 11, as in the baseline; the plan now says 12; it was found under the tag N-2"),
        ("N-2", "address is 12, as in the baseline; the plan now says 11; it was found under the tag N-1"),
    ]
    assert "device-change-pending" not in [f.rule for f in result.findings]


def test_a_tag_that_another_device_had_goes_along_with_its_plan(tmp_path: Path) -> None:
    """N-1 is gone, and N-2 is called N-1 now, as the plan says: there is nothing else to do."""
    result = result_of(tmp_path, now={"N-2": {"tag": "N-1"}}, gone=["N-1"], plan={"N-2": {"tag": "N-1"}},
                       plan_without=["N-1"])  # fmt: skip

    assert reported(result) == [
        ("device-change-without-record", "N-1", None),
        ("device-change-without-record", "N-2", None),
    ]


@pytest.mark.parametrize("name", ["N-2", "N-9"])
def test_a_tag_of_a_host_export_does_not_hide_the_tag_that_was_on_the_unit(name: str, tmp_path: Path) -> None:
    """A newer row without a serial number was found by its tag: the label read wrong then is no drift now."""
    label, export = {"N-1": {"tag": name}}, {"tag": "N-1", "high_alarm": "780", "read_at": "2026-03-24T16:00"}
    result = result_of(tmp_path, "--detail", then=label, more_then=[export], now=label, more=[export])

    about_tags = [f for f in result.findings if f.rule in ("node-renamed", "device-difference-as-sealed")]
    assert [(f.rule, f.node, f.found, f.evidence[0].raw) for f in about_tags] == [
        ("device-difference-as-sealed", "N-1", name, name)
    ]


def test_of_two_units_read_under_a_tag_one_after_the_other_the_last_is_there(tmp_path: Path) -> None:
    """The unit of the baseline was read on Monday, another one on Wednesday, whose values count."""
    other = {
        "tag": "N-2",
        "serial": "555001",
        "network": "Main",
        "high_alarm": "700",
        "read_at": "2026-06-03",
    }
    result = result_of(tmp_path, now={"N-2": {"read_at": "2026-06-01"}}, more=[other])

    assert [(f.rule, f.found) for f in result.findings] == [
        ("unit-exchanged", "555001"), ("drift-unexplained", "700 kPa"),
    ]  # fmt: skip


def test_serial_numbers_of_a_gateway_and_a_node_are_no_units_that_changed_places(tmp_path: Path) -> None:
    """The one cannot do the other's work: only the numbers are crossed."""
    now = {"GW-1": {"serial": "100001"}, "N-1": {"serial": "900001"}}
    rules = [finding.rule for finding in result_of(tmp_path, now=now).findings]
    assert rules == ["serials-swapped-since-baseline"]


def test_what_else_differs_where_serial_numbers_are_swapped_goes_under_it(tmp_path: Path) -> None:
    """Whoever set the unit in its new place left its alarm different."""
    now = {"N-1": CROSSED["now"]["N-1"], "N-2": CROSSED["now"]["N-2"] | {"high_alarm": "700"}}

    result = result_of(tmp_path, now=now)

    (cause,) = (finding for finding in result.findings if finding.caused_by is None)
    assert cause.rule == "serials-swapped-since-baseline"
    assert [f.setting for f in result.findings if f.caused_by == cause.id] == ["high_alarm"]


def test_a_record_of_an_exchange_does_not_excuse_its_settings(tmp_path: Path) -> None:
    """That the box may be another one does not mean that its settings may differ."""
    result = result_of(tmp_path, now={"N-2": {"serial": "555001", "high_alarm": "700"}},
                       changes=[{"what": "exchange", "node": "N-2", "to": "555001"}])  # fmt: skip

    assert reported(result) == [
        ("device-change-recorded", "N-2", None),
        ("drift-unexplained", "N-2", "high_alarm"),
    ]
    assert result.verdict == "fail"


def test_a_record_of_a_move_is_evidence_once(tmp_path: Path) -> None:
    """A gateway that moved under a record, and nodes that a record of the whole network moved."""
    moved = {"what": "move", "to": "South"}
    of_gateway = result_of(
        tmp_path / "g", now={"GW-1": {"network": "South"}}, changes=[moved | {"node": "GW-1"}]
    )
    of_network = result_of(
        tmp_path / "n", now={"N-1": {"network": "South"}}, changes=[moved | {"network": "Main"}]
    )

    for result in (of_gateway, of_network):
        (finding,) = (f for f in result.findings if f.rule == "device-change-recorded")
        assert [place.raw for place in finding.evidence].count("C-1") == 1


@pytest.mark.parametrize("row", [{}, {"serial": ""}, {"serial": "", "address": ""}])
def test_a_tag_that_became_a_date_is_no_new_name(row: dict[str, str], tmp_path: Path) -> None:
    """A spreadsheet made 3-Apr of 3-4, whatever else the row says."""
    nodes = [node(1) | {"tag": "3-4"}, node(2), node(3)]

    result = result_of(tmp_path, nodes=nodes, now={"3-4": {"tag": "3-Apr"} | row})

    assert "node-renamed" not in [finding.rule for finding in result.findings]
