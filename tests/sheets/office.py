"""LibreOffice without a screen, in a comma-decimal locale: fills sheets in as a person types, saves them.

Typing goes through the program's own input line, so that cell formats and validation act on it as they do
on a person. A value that validation questions opens a dialog, which ends a program without a screen: the
test then finds no files. Values that are to be questioned are put in without typing, and counted.
"""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from xml.sax.saxutils import escape

PROGRAM = "soffice"
LOCALE = "de-DE"
SECONDS = 120
"""A run takes two; beyond this the program hangs."""

SETTINGS = f"""<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry" xmlns:xs="http://www.w3.org/2001/XMLSchema"
 xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance">
<item oor:path="/org.openoffice.Setup/L10N"><prop oor:name="ooSetupSystemLocale" oor:op="fuse">
<value>{LOCALE}</value></prop></item>
</oor:items>
"""
LIBRARY = """<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE library:library PUBLIC "-//OpenOffice.org//DTD OfficeDocument 1.0//EN" "library.dtd">
<library:library xmlns:library="http://openoffice.org/2000/library" library:name="Standard"
 library:readonly="false" library:passwordprotected="false"><library:element library:name="Typing"/>
</library:library>
"""
MODULE = """<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE script:module PUBLIC "-//OpenOffice.org//DTD OfficeDocument 1.0//EN" "module.dtd">
<script:module xmlns:script="http://openoffice.org/2000/script" script:name="Typing"
 script:language="StarBasic">{code}</script:module>
"""
MACRO = """
Function Prop(name As String, value)
  Dim made As New com.sun.star.beans.PropertyValue
  made.Name = name
  made.Value = value
  Prop = made
End Function

Sub Main
  Dim book, sheet, dispatcher, frame, number, i, shape
  book = StarDesktop.loadComponentFromURL({source}, "_blank", 0, Array(Prop("Hidden", True){how}))
  sheet = book.Sheets.getByIndex(0)
  frame = book.CurrentController.Frame
  dispatcher = createUnoService("com.sun.star.frame.DispatchHelper")
{typing}
{putting}
  dispatcher.executeDispatch(frame, ".uno:ShowInvalid", "", 0, Array())
  number = FreeFile
  Open {log} For Output As #number
  For i = 0 To sheet.DrawPage.Count - 1
    shape = sheet.DrawPage.getByIndex(i)
    Print #number, shape.Position.X + shape.Size.Width / 2 & " " & shape.Position.Y + shape.Size.Height / 2
  Next
  Print #number, "cells"
{places}
  Close #number
  dispatcher.executeDispatch(frame, ".uno:ClearArrows", "", 0, Array())
{storing}
  book.close(True)
  StarDesktop.terminate
End Sub
"""
FILTERS = {
    "xlsx": ("Calc MS Excel 2007 XML", ""),
    "ods": ("calc8", ""),
    "csv": ("Text - txt - csv (StarCalc)", "59,34,76,1,,1031,false,true,false"),
}
"""Ending → filter and its options: for CSV a semicolon, UTF-8, German, cells as they are shown."""


@dataclass(frozen=True)
class Office:
    """A profile of its own, so that neither the user nor other tests are affected."""

    profile: Path

    def fill(
        self, sheet: Path, typed: Mapping[str, str], put: Mapping[str, str] | None = None
    ) -> tuple[dict[str, Path], set[str]]:
        """Fill a sheet in; return the saved files by ending, and the cells of `put` that are invalid."""
        folder = sheet.parent / "saved"
        folder.mkdir(exist_ok=True)
        files = {ending: folder / f"filled.{ending}" for ending in FILTERS}
        log = folder / "log.txt"
        put = put or {}
        self._write(_code(sheet, typed, put, files, log))
        self._run("macro:///Standard.Typing.Main")
        circles, _, cells = log.read_text(encoding="utf-8").partition("cells\n")
        return files, _inside(circles.splitlines(), cells.splitlines())

    def start(self) -> None:
        """Make the profile; the program replaces macros from before its first start."""
        (self.profile / "user").mkdir(parents=True)
        (self.profile / "user/registrymodifications.xcu").write_text(SETTINGS, encoding="utf-8")
        self._run("--terminate_after_init")
        (self.profile / "user/basic/Standard/script.xlb").write_text(LIBRARY, encoding="utf-8")

    def _write(self, code: str) -> None:
        file = self.profile / "user/basic/Standard/Typing.xba"
        file.write_text(MODULE.format(code=escape(code)), encoding="utf-8")

    def _run(self, *arguments: str) -> None:
        program = shutil.which(PROGRAM) or PROGRAM
        profile = f"-env:UserInstallation={self.profile.as_uri()}"
        subprocess.run([program, "--headless", "--norestore", profile, *arguments],
                       capture_output=True, check=False, timeout=SECONDS)  # fmt: skip


def _code(
    sheet: Path, typed: Mapping[str, str], put: Mapping[str, str], files: Mapping[str, Path], log: Path
) -> str:
    typing = [
        line
        for cell, text in typed.items()
        for line in (_dispatch("GoToCell", "ToPoint", cell), _dispatch("EnterString", "StringName", text))
    ]
    putting = [
        f"  sheet.getCellRangeByName({_text(cell)}).String = {_text(text)}" for cell, text in put.items()
    ]
    places = [
        f"  shape = sheet.getCellRangeByName({_text(cell)})\n"
        f'  Print #number, {_text(cell)} & " " & shape.Position.X & " " & shape.Position.Y & " " _\n'
        '    & shape.Size.Width & " " & shape.Size.Height'
        for cell in put
    ]
    storing = [
        f'  book.storeToURL({_text(file.as_uri())}, Array(Prop("FilterName", {_text(FILTERS[ending][0])}), '
        f'Prop("FilterOptions", {_text(FILTERS[ending][1])})))'
        for ending, file in files.items()
    ]
    unlocking = ['  sheet.unprotect("")'] if put else []
    how = ', Prop("FilterName", "Text - txt - csv (StarCalc)"), Prop("FilterOptions", "59,34,76,1,,1031")'
    return MACRO.format(
        source=_text(sheet.as_uri()), how=how if sheet.suffix == ".csv" else "", log=_text(str(log)),
        typing="\n".join(typing), putting="\n".join([*unlocking, *putting]), places="\n".join(places),
        storing="\n".join(storing),
    )  # fmt: skip


def _dispatch(command: str, name: str, value: str) -> str:
    """Return a line that gives a command with one argument, as a key or the mouse would."""
    argument = f"Array(Prop({_text(name)}, {_text(value)}))"
    return f'  dispatcher.executeDispatch(frame, ".uno:{command}", "", 0, {argument})'


def _text(text: str) -> str:
    """Return a text as Basic writes it."""
    return '"' + text.replace('"', '""') + '"'


def _inside(circles: Sequence[str], cells: Sequence[str]) -> set[str]:
    """Return the cells in which the middle of a circle lies."""
    found = set()
    for line in cells:
        if line:
            name, *numbers = line.split()
            left, top, width, height = map(float, numbers)
            for circle in circles:
                x, y = (float(number.replace(",", ".")) for number in circle.split())
                if left <= x <= left + width and top <= y <= top + height:
                    found.add(name)
    return found
