"""Every reader as a function of the bytes of one file, with the files around it that it needs.

A reader either returns or raises InputProblems with messages that can be shown; anything else is a fault.
"""

from __future__ import annotations

import io
import zipfile
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property, partial
from pathlib import Path

from audit.checks.expression import evaluated, program
from audit.diagnosis.log import read_log
from audit.entering.accepting import accept
from audit.errors import InputProblems
from audit.model.asked_of_values import Expression
from audit.model.device import DeviceType
from audit.model.plan import SiteInfo
from audit.model.readback import FIELDS
from audit.model.rule import Rule
from audit.reading.baselines import read_baseline
from audit.reading.changes import read_changes
from audit.reading.code_marks import read_marks
from audit.reading.codes import keyed_by
from audit.reading.device_types import read_device_types
from audit.reading.files import read_bytes
from audit.reading.inputs import Inputs
from audit.reading.loaded_plan import LoadedPlan
from audit.reading.plan import read_plan
from audit.reading.readback import read_readback
from audit.reading.results import read_result
from audit.reading.rule_names import unknown_names
from audit.reading.rules import read_rulebook, read_site_rules
from audit.reading.vocabulary import Vocabulary, vocabulary
from audit.reading.waivers import read_waivers
from audit.sealing.verifying import verify
from tests.small_site import ACCESS_CODE, DEFAULT_REFUSED, NAME, SETTINGS, run, small_site

KEY = b"0123456789abcdef" * 4
CAUSES = ("channel", "rate", "asleep")
WORKBOOK = {
    "[Content_Types].xml": '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
    '<Default Extension="xml" ContentType="application/xml"/></Types>',
    "_rels/.rels": '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">'
    '<Relationship Id="r1" Target="xl/workbook.xml" Type="http://schemas.openxmlformats.org/'
    'officeDocument/2006/relationships/officeDocument"/></Relationships>',
    "xl/workbook.xml": '<workbook xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" '
    'xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships">'
    '<sheets><sheet name="Found" sheetId="1" r:id="r1"/></sheets></workbook>',
    "xl/_rels/workbook.xml.rels": '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/'
    'relationships"><Relationship Id="r1" Target="worksheets/sheet1.xml" Type="http://schemas.'
    'openxmlformats.org/officeDocument/2006/relationships/worksheet"/></Relationships>',
}
"""The minimum of a workbook (ISO/IEC 29500-1) around its one sheet, which is the file's bytes."""
SPREADSHEET = {
    "mimetype": "application/vnd.oasis.opendocument.spreadsheet",
    "META-INF/manifest.xml": '<manifest:manifest xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:'
    'manifest:1.0"><manifest:file-entry manifest:full-path="content.xml" '
    'manifest:media-type="text/xml"/></manifest:manifest>',
}
"""The same of an OpenDocument spreadsheet (ISO/IEC 26300) around its content."""


@dataclass(frozen=True)
class Place:
    """A folder with a small site in it, in which a reader finds what it needs."""

    folder: Path

    @cached_property
    def site(self) -> Path:
        """The path of the site's plan."""
        settings = (*SETTINGS, ACCESS_CODE, DEFAULT_REFUSED)
        return small_site(self.folder, settings=settings).plan

    @cached_property
    def plan(self) -> LoadedPlan:
        """The site's plan, read."""
        return read_plan(self.site, Inputs())

    @cached_property
    def words(self) -> Vocabulary:
        """The words that may occur in its readbacks."""
        return vocabulary(self.plan.types.values(), FIELDS)

    @cached_property
    def types(self) -> list[DeviceType]:
        """Its device types."""
        return list(self.plan.types.values())

    @cached_property
    def rules(self) -> tuple[Rule, ...]:
        """The rules that come with the tool."""
        return read_rulebook([], self.types).rules

    def holding(self, data: bytes, name: str) -> Path:
        """Return a file with this content."""
        path = self.folder / name
        path.write_bytes(data)
        return path


def _readback(place: Place, data: bytes, name: str, mapping: Path | None = None) -> None:
    for table in read_readback([place.holding(data, name)], mapping, place.words, [NAME], Inputs()):
        for column, setting in place.words.settings.items():
            for text in table.texts(column)[:50] if column in table.columns else ():
                table.columns[column].codes or accept(text, setting, ".")


def _zipped(parts: dict[str, str], name: str, data: bytes) -> bytes:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w") as archive:
        for part, text in parts.items():
            archive.writestr(part, text)
        archive.writestr(name, data)
    return buffer.getvalue()


def _xlsx(place: Place, data: bytes) -> None:
    _readback(place, _zipped(WORKBOOK, "xl/worksheets/sheet1.xml", data), "x.xlsx")


def _ods(place: Place, data: bytes) -> None:
    _readback(place, _zipped(SPREADSHEET, "content.xml", data), "x.ods")


def _mapping(place: Place, data: bytes) -> None:
    mapping = place.holding(data, "mapping.yaml")
    _readback(place, b"tag;CH;note\nN-1;7,0;x\n", "x.csv", mapping)


def _plan(place: Place, data: bytes) -> None:
    read_plan(place.holding(data, "other.yaml"), Inputs())


def _device_type(place: Place, data: bytes) -> None:
    place.holding(data, "type.yaml")
    read_device_types(place.site, [("type.yaml", 1)], "plan.yaml", Inputs())


def _rules(place: Place, data: bytes) -> None:
    own, document, _ = read_site_rules(place.holding(data, "rules.yaml"))
    raise InputProblems(unknown_names([(document, own.rules, True)], [(document, own)], place.types))


def _waivers(place: Place, data: bytes) -> None:
    read_waivers([place.holding(data, "waivers.yaml")], place.rules, place.words, Inputs())


def _changes(place: Place, data: bytes) -> None:
    read_changes([place.holding(data, "changes.yaml")], place.types, Inputs())


def _marks(place: Place, data: bytes) -> None:
    with keyed_by(KEY):
        read_marks(place.holding(data, "marks.json"), KEY, SiteInfo(name=NAME), Inputs())


def _baseline(place: Place, data: bytes) -> None:
    path = place.holding(data, "baseline.json")
    verify([read_bytes(path)])
    read_baseline(path)


def _values(place: Place, data: bytes) -> None:
    text = data.decode("utf-8", "replace")
    for setting in place.words.settings.values():
        for decimal in ".,":
            accept(text, setting, decimal)


def _expression(place: Place, data: bytes) -> None:
    found = {"channel": 7.0, "address": 11.0, "network_id": "A7", "range_high": None}
    when = data.decode("utf-8", "replace")[:2000]
    if when:
        evaluated(Expression(kind="expression", when=when), {"found": found, "planned": found})
    program.cache_clear()  # a cache meant for the rules of one site


def _check(place: Place, data: bytes) -> None:
    """Run a whole check into every form of the result; none may upset the terminal or end in a fault."""
    found = place.holding(data, "found.csv")
    for form in ("text", "punch-csv", "junit", "markdown", "html"):
        outcome = run("check", place.site, found, "--on", "2026-04-17", "--format", form)
        if outcome.code not in {0, 1, 2} or "internal fault" in outcome.stderr:
            raise AssertionError(outcome.stderr)
        if any(character < " " and character not in "\n\t\r" for character in outcome.written):
            raise AssertionError(f"{form}: control characters")


Reader = Callable[[Place, bytes], None]

READERS: dict[str, Reader] = {
    "csv": partial(_readback, name="x.csv"),
    "json": partial(_readback, name="x.json"),
    "yaml": partial(_readback, name="x.yaml"),
    "workbook": partial(_readback, name="x.xlsx"),
    "xlsx": _xlsx,
    "ods": _ods,
    "entries": partial(_readback, name="x.jsonl"),
    "plan": _plan,
    "device-type": _device_type,
    "mapping": _mapping,
    "rules": _rules,
    "waivers": _waivers,
    "changes": _changes,
    "code-marks": _marks,
    "result": lambda place, data: (read_result(place.holding(data, "result.json")), None)[1],
    "baseline": _baseline,
    "calls": lambda place, data: (read_log(place.holding(data, "calls.jsonl"), CAUSES, Inputs()), None)[1],
    "values": _values,
    "expression": _expression,
    "check": _check,
}


def give(reader: str, place: Place, data: bytes) -> None:
    """Give bytes to a reader; return if it reads them or says why it cannot."""
    try:
        READERS[reader](place, data)
    except InputProblems as error:
        "\n".join(map(str, error.problems)).encode()


def placed(folder: Path) -> Place:
    """Return a place in a folder, with its own files already read."""
    place = Place(folder)
    assert place.words.settings
    return place
