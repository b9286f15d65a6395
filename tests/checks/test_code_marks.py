"""code-marks: codes that other devices had in other runs, and codes that have not changed since.

Also where a change is noted.
"""

from __future__ import annotations

import json
from dataclasses import dataclass, replace
from pathlib import Path

import pytest

from audit.reading.codes import code, key_id, keyed_by
from tests.exported_codes import WITH_CODES
from tests.small_site import ACCESS_CODE, NAME, RADIO, small_site

KEY = b"5f" * 32
NOW = "2026-03-31"
NETWORK = "Main"
CHANGED_ON = {"name": "changed_on", "kind": "text", "role": "code_changed_on", "required": False}


@dataclass(frozen=True)
class Mark:
    """What another run read: the code of a device, on a day."""

    node: str
    code: str
    day: str
    site: str = NAME
    network: str = NETWORK
    serial: str | None = None
    """None in a file from before serial numbers were kept."""
    until: str = ""
    """Day on which it was last read, if that is another day."""


@dataclass(frozen=True)
class Case:
    """Marks of other runs, the codes read now, and what a rule says about them."""

    rule: str
    name: str
    known: tuple[Mark, ...]
    read: dict[str, str]
    says: tuple[str, ...] = ()
    read_at: str = ""
    """Day on which N-1 was read; by default the day of the run."""
    noted: str = ""
    """Day on which a change of the code of N-1 is noted."""
    names: tuple[str, ...] = ("access_code",)
    """Settings that the finding names, and whose cells it therefore shows."""

    def __str__(self) -> str:
        """Return the name under which a test reports it."""
        return f"{self.rule}: {self.name}"

    def check(self, folder: Path) -> None:
        """Assert that the rule says what is expected, and nothing else."""
        found = {node: {"access_code": text} for node, text in self.read.items()}
        found["N-1"] |= {"changed_on": self.noted, "read_at": self.read_at}
        (folder / "site").mkdir()
        (folder / "key").mkdir()
        site = small_site(folder / "site", settings=(*WITH_CODES, CHANGED_ON), found=found,
                          gateway_settings=(*RADIO, ACCESS_CODE),
                          plan_extra={"access_codes": {"change_every_days": 300}})  # fmt: skip
        key, marks, out = folder / "key/key", folder / "marks.json", folder / "r.json"
        key.write_bytes(KEY)
        marks.write_text(self._file(), encoding="utf-8")
        site.check("--code-marks", marks, "--code-key", key, "--on", NOW, "--out", out)
        findings = json.loads(out.read_text(encoding="utf-8"))["findings"]
        said = [f for f in findings if f["rule"] == self.rule]

        assert tuple(f["message"] for f in said) == self.says
        assert [tuple(f["settings"]) for f in said] == [self.names] * len(said)

    def _file(self) -> str:
        with keyed_by(KEY):
            marks = [
                {"site": mark.site, "network": mark.network, "node": mark.node, "setting": "access_code",
                 "mark": code(mark.code).token.hex(), "first_read_on": mark.day,
                 "last_read_on": mark.until or mark.day}
                | ({} if mark.serial is None else {"serial": mark.serial})
                for mark in self.known
            ]  # fmt: skip
        return json.dumps({"asfound": "code-marks/1", "key_id": key_id(KEY), "marks": marks})


LAST_YEAR = "2025-04-02"
BACK = (Mark("N-1", "8068", "2024-04-02"), Mark("N-1", "3917", LAST_YEAR))
"""Another code, and then the first one again."""
SERIAL = "100001"
"""Of N-1, as planned."""
FIRES = [
    Case("code-shared-elsewhere", "with a device of another site", (Mark("PT-9", "8068", LAST_YEAR, "Hill"),),
         {"N-1": "8068"}, ("the access code is also that of PT-9 of Main, Hill, read on 2025-04-02",)),
    Case("code-shared-elsewhere", "with several, on the same day",
         (Mark("PT-9", "8068", NOW, "Hill"), Mark("PT-7", "8068", NOW, "Hill")), {"N-1": "8068"},
         ("the access code is also that of PT-9 of Main, Hill, read on 2026-03-31, and of 1 more",)),
    Case("code-shared-elsewhere", "with a device of this site that was not read now",
         (Mark("N-2", "8068", LAST_YEAR),), {"N-1": "8068"},
         (f"the access code is also that of N-2 of Main, {NAME}, read on 2025-04-02",)),
    Case("code-shared-elsewhere", "with a unit that has given its place to another",
         (Mark("PT-9", "8068", LAST_YEAR, "Hill", serial="7"), Mark("PT-9", "3917", NOW, "Hill", serial="8")),
         {"N-1": "8068"}, ("the access code is also that of PT-9 of Main, Hill, read on 2025-04-02",)),
    Case("code-unchanged", "since last year", (Mark("N-1", "8068", LAST_YEAR),), {"N-1": "8068"},
         ("the access code is still the one that was read on 2025-04-02",)),
    Case("code-unchanged", "renamed since, and known by its serial number",
         (Mark("X-1", "8068", LAST_YEAR, serial=SERIAL),), {"N-1": "8068"},
         ("the access code is still the one that was read at X-1 of Main on 2025-04-02",)),
    Case("code-unchanged", "its network was renamed since", (Mark("N-1", "8068", LAST_YEAR, network="Old"),),
         {"N-1": "8068"}, ("the access code is still the one that was read at N-1 of Old on 2025-04-02",)),
    Case("code-shared-elsewhere", "with another unit of this site that is planned no more",
         (Mark("X-1", "8068", LAST_YEAR, serial="77"),), {"N-1": "8068"},
         (f"the access code is also that of X-1 of Main, {NAME}, read on 2025-04-02",)),
    Case("code-unchanged", "changed before it was first read", (Mark("N-1", "8068", LAST_YEAR),),
         {"N-1": "8068"}, ("the access code is still the one that was read on 2025-04-02",),
         noted="2025-04-02"),
    Case("code-unchanged", "back after another one", BACK, {"N-1": "8068"},
         ("the access code is again the one that was read on 2024-04-02",)),
    Case("code-unchanged", "back after another one, the same sheet given once more",
         (replace(BACK[0], until=NOW), BACK[1]), {"N-1": "8068"},
         ("the access code is again the one that was read on 2024-04-02",)),
    Case("code-too-old", "back since it was last read", (replace(BACK[0], until="2025-05-02"), BACK[1]),
         {"N-1": "8068"},
         ("the access code is at least 333 days old (read on 2025-05-02); the plan allows 300 days",)),
    Case("code-not-changed-as-noted", "noted, not done", (Mark("N-1", "8068", LAST_YEAR),), {"N-1": "8068"},
         ("the access code is said to have been changed on 2025-04-03, and is still the one that was read on "
          "2025-04-02",), noted="2025-04-03", names=("changed_on", "access_code")),
    Case("code-too-old", "the code itself was seen before the day that was noted",
         (Mark("N-1", "8068", LAST_YEAR),), {"N-1": "8068"},
         ("the access code is at least 363 days old (read on 2025-04-02); the plan allows 300 "
          "days",),
         noted="2026-01-20"),
]  # fmt: skip
SILENT = [
    Case("code-shared-elsewhere", "no marks yet", (), {"N-1": "8068"}),
    Case("code-shared-elsewhere", "another code", (Mark("PT-9", "8069", NOW, "Hill"),), {"N-1": "8068"}),
    Case("code-shared-elsewhere", "its own of before", (Mark("N-1", "8068", LAST_YEAR),), {"N-1": "8068"}),
    Case("code-shared-elsewhere", "one that has another code now", (Mark("N-2", "8068", LAST_YEAR),),
         {"N-1": "8068", "N-2": "3917"}),
    Case("code-shared-elsewhere", "one that had another code when it was last read",
         (Mark("PT-9", "8068", LAST_YEAR, "Hill"), Mark("PT-9", "3917", NOW, "Hill")), {"N-1": "8068"}),
    Case("code-shared-elsewhere", "the factory default", (Mark("PT-9", "1234", LAST_YEAR, "Hill"),),
         {"N-1": "1234"}),
    Case("code-shared-elsewhere", "its own, before it was renamed",
         (Mark("X-1", "8068", LAST_YEAR, serial=SERIAL),), {"N-1": "8068"}),
    Case("code-shared-elsewhere", "its own, before its network was renamed",
         (Mark("N-1", "8068", LAST_YEAR, network="Old"),), {"N-1": "8068"}),
    Case("code-shared-elsewhere", "perhaps its own under another tag: nobody knows of which unit it was",
         (Mark("X-1", "8068", LAST_YEAR),), {"N-1": "8068"}),
    Case("code-unchanged", "the same sheet, given once more", (Mark("N-1", "8068", LAST_YEAR),),
         {"N-1": "8068"}, read_at=LAST_YEAR),
    Case("code-unchanged", "changed since", (Mark("N-1", "3917", LAST_YEAR),), {"N-1": "8068"}),
    Case("code-unchanged", "first read today", (Mark("N-1", "8068", NOW),), {"N-1": "8068"}),
    Case("code-unchanged", "of another site's device of that tag", (Mark("N-1", "8068", LAST_YEAR, "Hill"),),
         {"N-1": "8068"}),
    Case("code-unchanged", "what was noted of it is another rule's matter", (Mark("N-1", "8068", LAST_YEAR),),
         {"N-1": "8068"}, noted="2026-01-20"),
    Case("code-not-changed-as-noted", "changed as noted", (Mark("N-1", "3917", LAST_YEAR),),
         {"N-1": "8068"}, noted="2026-01-20"),
    Case("code-not-changed-as-noted", "first read after the day", (Mark("N-1", "8068", LAST_YEAR),),
         {"N-1": "8068"}, noted="2025-03-20"),
    Case("code-not-changed-as-noted", "changed as noted, to the one before the last", BACK,
         {"N-1": "8068"}, noted="2026-01-20"),
    Case("code-too-old", "back after another one", BACK, {"N-1": "8068"}, noted="2026-01-20"),
    Case("code-not-changed-as-noted", "no day noted", (Mark("N-1", "8068", LAST_YEAR),), {"N-1": "8068"}),
]  # fmt: skip


@pytest.mark.parametrize("case", FIRES, ids=str)
def test_fires(case: Case, tmp_path: Path) -> None:
    """A code that is known from another device, or from before."""
    case.check(tmp_path)


@pytest.mark.parametrize("case", SILENT, ids=str)
def test_silent(case: Case, tmp_path: Path) -> None:
    """A code that is its device's own, and new."""
    case.check(tmp_path)
