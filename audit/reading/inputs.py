"""The list of files that a run has read, in order, for the result."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from audit.errors import Problem
from audit.grouping import grouped
from audit.model.table import Place
from audit.model.used import InputFile
from audit.reading.files import FileBytes, whole_characters

if TYPE_CHECKING:  # entries are read by means that note their files here
    from audit.reading.entries import Entries, Key

NOT_READ = "not read"
"""What the list of inputs calls what was passed over."""
WITHHELD = ", so its digest is withheld"
"""How the note of a file without a digest ends."""


@dataclass
class Inputs:
    """Collects each file once, with its digest."""

    files: dict[str, InputFile] = field(default_factory=dict)
    codes: list[Place] = field(default_factory=list)
    """The keys of mappings that give access codes."""

    entered: list[Entries] = field(default_factory=list)
    """What was entered by hand, a file each."""

    left_out: dict[Key, Place] = field(default_factory=dict)
    """What a person skipped → where that is written, with the reason."""

    warnings: list[Problem] = field(default_factory=list)
    """What is wrong with files but does not stop the run."""

    def add(self, file: FileBytes, kind: str) -> None:
        """Note a file that was read. What is noted of it already stays: each sheet may be read separately."""
        known = self.files.get(file.name)
        if known is None or known.kind == NOT_READ:
            known = InputFile(file=file.name, kind=kind, sha256=file.sha256, note=None)
        self.files[file.name] = known.model_copy(update={"kind": kind})

    def passed_over(self, name: str, why: str) -> None:
        """Note a file that was not read, and why."""
        name, why = whole_characters(name), whole_characters(why)
        self.files[name] = InputFile(file=name, kind=NOT_READ, sha256=None, note=why)

    def warn(self, warnings: Iterable[Problem]) -> None:
        """Note what is wrong with files that can still be used; the result reports it too."""
        for warning in warnings:
            self.warnings.append(warning)
            if warning.file in self.files and warning.line:  # folders that were passed over are told already
                self.tell(warning.file, f"line {warning.line}: {warning.message}")

    def withhold(self, name: str, why: str = "carries access codes in clear") -> None:
        """Withhold a digest, from which the access codes in the file could be guessed."""
        known = self.files.get(name)
        if known:
            others = [part for part in (known.note or "").split("; ") if part and not part.endswith(WITHHELD)]
            note = "; ".join([*others, f"{why}{WITHHELD}"])
            self.files[name] = known.model_copy(update={"sha256": None, "note": note})

    def tell_copies(self, kind: str) -> None:
        """Note which files of a kind have the same content as another: one may be in the place of a third."""
        read = [one for one in self.files.values() if one.kind == kind and one.sha256]
        for names in grouped((one.sha256, one.file) for one in read).values():
            for name in names[1:]:
                self.tell(name, f"the same, byte for byte, as {names[0]}")

    def tell(self, name: str, what: str) -> None:
        """Note what the list of inputs says of a file in addition."""
        known = self.files[name]
        note = f"{known.note}; {what}" if known.note else what
        self.files[name] = known.model_copy(update={"note": note})
