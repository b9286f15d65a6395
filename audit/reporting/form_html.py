"""The offline form: one page on which a person enters what devices show, with no network and no other file.

The page holds the plan's values so that it can say, after a value is entered, that it differs; it shows none
of them. The likely slip behind a differing value is worked out here and looked up there.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable, Mapping, Sequence
from decimal import Decimal
from typing import Any

from markupsafe import Markup

from audit.asking import AskedDevice
from audit.grouping import grouped
from audit.judging.cautions import of_types
from audit.model.device import READ_AT_WORDS, Setting
from audit.model.mapping import DEFAULT_BLANKS
from audit.model.plan import SiteInfo
from audit.model.value import Value
from audit.reading.quoting import CODE_WORDS
from audit.reading.units import split
from audit.reading.values import plain
from audit.reporting import pages

FAMILIES = (
    ("kPa", "MPa", "bar", "mbar", "psi"),
    ("m", "cm", "mm", "ft", "in"),
    ("°C", "°F"),
    ("L/s", "L/min", "m³/h"),
    ("s", "min", "h"),
    ("L", "m³"),
    ("mg/L", "g/L"),
    ("µS/cm", "mS/cm"),
)
"""Units that a display may show instead of one another; `asfound check` converts them."""
SHORTEST_RUN = 4
"""Shortest run of consecutive values that is stored as its first and last value."""

SCRIPT = ("plan.js", "texts.js", "numbers.js", "judging.js", "keeping.js", "entries.js", "drawing.js",
          "device.js", "field.js", "drafts.js", "entering.js", "export.js", "start.js")  # fmt: skip
"""The parts of the page's script, in their order."""

CAUTIONS = (
    "This form authorises nothing: local codes, permits and licensed people prevail.",
    "Read, and change nothing. Tell the control room before an alarm, a range or a loss action is changed.",
    "Never write an access code into this form, a note or a photo name. Try the factory code only with the "
    "owner's consent, and mind lockout counters.",
)
HAZARDOUS = (
    "Hazardous areas: permit to work, competent persons (IEC 60079-14, -17), and no phone or tablet that is "
    "not certified for the zone."
)

Slips = Callable[[AskedDevice, Setting], Mapping[str, str]]
"""The likely slips behind values other than the planned one: canonical text → words."""


def render(site: SiteInfo, devices: Sequence[AskedDevice], slips: Slips) -> str:
    """Return the form for devices of a site. The same plan gives the same bytes."""
    data = packed(site, devices, slips)
    style, script = pages.part("form.css"), Markup("\n").join(pages.part(f"form/{name}") for name in SCRIPT)
    return pages.render(
        "form.html",
        style,
        script,
        site=site,
        devices=len(devices),
        networks=len(data["networks"]),
        cautions=[*CAUTIONS, *of_types((one.type for one in devices), hazardous=HAZARDOUS)],
        data=_in_script(data),
    )


def packed(site: SiteInfo, devices: Sequence[AskedDevice], slips: Slips) -> dict[str, Any]:
    """Return what the page needs to know. What several devices have in common is stored once."""
    settings, types, expected, words, tables = _Shared(), _Shared(), _Shared(), _Shared(), _Shared()
    networks = list(dict.fromkeys(one.network for one in devices))
    known: dict[int, tuple[Mapping[str, str], int]] = {}
    rows = []
    for one in devices:
        kind = {
            "title": one.type.title or one.type.name,
            "settings": [settings.index(_asked(setting)) for setting in one.settings],
            "elsewhere": [f"{s.name} ({READ_AT_WORDS[s.read_at]})" for s in one.elsewhere if one.planned(s)],
        }
        wanted = []
        for setting in one.settings:
            value = one.planned(setting)
            if value is None:
                wanted.append(-1)
                continue
            table = slips(one, setting)
            if id(table) not in known:  # most devices share theirs; kept, so that its id stays its own
                known[id(table)] = table, tables.index(_grouped(table, words, setting))
            wanted.append(expected.index([canonical(value), known[id(table)][1]]))
        place = [networks.index(one.network), one.tag, types.index(kind), one.location, one.serial]
        rows.append([*place, wanted])
    data: dict[str, Any] = {
        "site": site.name,
        "revision": site.revision,
        "networks": networks,
        "settings": settings.all,
        "types": types.all,
        "expected": expected.all,
        "tables": tables.all,
        "words": words.all,
        "blanks": list(filter(None, DEFAULT_BLANKS)),
        "codes": sorted(CODE_WORDS),
        "devices": rows,
    }
    return data | {"digest": hashlib.sha256(_json(data).encode()).hexdigest()[:16]}


def canonical(value: Value) -> str:
    """Return a planned value in the one spelling that the page compares."""
    content = value.content
    if isinstance(content, bool):
        return "on" if content else "off"
    return plain(content) if isinstance(content, (int, Decimal)) else str(content)


def other_units(unit: str) -> list[str]:
    """Return the units that a display may show instead of a setting's own, the pressure reference kept."""
    name, reference = split(unit)
    suffix = {"gauge": " g", "absolute": " abs"}.get(reference, "")
    for family in FAMILIES:
        if name in (split(one)[0] for one in family):
            return [one + suffix for one in family if split(one)[0] != name]
    return []


Runs = list[tuple[str, str]]
"""First and last of values that are each one step of the display apart."""


def _grouped(said: Mapping[str, str], words: _Shared, setting: Setting) -> list[tuple[int, list[str], Runs]]:
    """Return the index of each distinct wording with the texts to which it applies."""
    groups = grouped((words.index(wording), text) for text, wording in said.items())
    step = setting.display_step if setting.numeric else None
    return [(wording, *_runs(texts, step)) for wording, texts in groups.items()]


def _runs(texts: list[str], step: Decimal | None) -> tuple[list[str], Runs]:
    """Return the single texts, and the runs of the others: 60 consecutive values become two texts."""
    if step is None:
        return texts, []
    runs: list[list[Decimal]] = []
    for number in sorted(map(Decimal, texts)):
        if runs and number - runs[-1][-1] == step:
            runs[-1].append(number)
        else:
            runs.append([number])
    alone = [plain(number) for run in runs if len(run) < SHORTEST_RUN for number in run]
    return alone, [(plain(run[0]), plain(run[-1])) for run in runs if len(run) >= SHORTEST_RUN]


class _Shared:
    """Distinct parts in the order in which they first came, each with its index."""

    def __init__(self) -> None:
        self.all: list[Any] = []
        self._index: dict[str, int] = {}

    def index(self, part: Any) -> int:
        """Return the index of a part, the same for equal parts."""
        key = part if isinstance(part, str) else _json(part)
        if key not in self._index:
            self._index[key] = len(self.all)
            self.all.append(part)
        return self._index[key]


def _asked(setting: Setting) -> dict[str, Any]:
    """Return what the page shows and checks of a setting; properties that it does not have are left out."""
    number = setting.numeric
    bounds = {"low": setting.low, "high": setting.high, "step": setting.step}
    parts: dict[str, Any] = {
        "name": setting.name,
        "label": setting.label,
        "kind": setting.kind,
        "at": setting.read_at,
        "where": setting.where,
        "unit": setting.unit,
        "units": other_units(setting.unit) if number and setting.unit else [],
        **{name: plain(bound) for name, bound in bounds.items() if number and bound is not None},
        "digits": setting.digits,
        "options": list(setting.options),
        "signed": number and setting.role != "deadband" and (setting.low is None or setting.low < 0),
        "optional": not setting.required,
        "code": setting.role == "default_refused",
    }
    return {name: part for name, part in parts.items() if part not in ("", None, False, [])}


def _json(part: Any) -> str:
    return json.dumps(part, ensure_ascii=True, separators=(",", ":"))


def _in_script(data: dict[str, Any]) -> Markup:
    """Return data as JSON that is safe between script tags: plain ASCII, without any tag."""
    text = _json(data)
    for character in "<>&":
        text = text.replace(character, f"\\u{ord(character):04x}")
    return Markup(text)  # noqa: S704 -- no character of it means anything to HTML
