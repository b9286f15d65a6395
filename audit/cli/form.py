"""The offline form of `asfound sheet --form`: reads the plan and writes the page."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import TextIO

from audit.cli.writing import as_bytes, check_target, keep_apart, write_whole
from audit.errors import EXIT_PASS, stop

ENDINGS = (".html", ".htm")


def write_form(plan: Path, target: Path, networks: Sequence[str], stdout: TextIO) -> int:
    """Write the form for a plan, or some of its networks, and say what to do with it. Raises InputProblems."""
    from audit.asking import asked_devices
    from audit.foretelling import tables_of_slips
    from audit.reading.inputs import Inputs
    from audit.reading.plan import read_plan
    from audit.reporting.form_html import render
    from audit.reporting.lines import clean
    from audit.reporting.pages import counted

    if target.suffix.lower() not in ENDINGS:
        raise stop(f"--form {target.name!r} does not end in .html", "name it so; a phone opens it by its ending")
    check_target(target)
    inputs = Inputs()
    loaded = read_plan(plan, inputs)
    devices = asked_devices(loaded, networks)
    keep_apart([target], (file.file for file in inputs.files.values()))
    page = as_bytes(render(loaded.file.site, devices, tables_of_slips(loaded.file.site.elevation_m)))
    write_whole(target, page)
    covered = counted(len({one.network for one in devices}), "network")
    stdout.write(
        f"{clean(target.as_posix())}: a form for {counted(len(devices), 'device')} in {covered}, "
        f"{-(-len(page) // 1000):,} kB\n"
        "Copy it to the phone or tablet and open it in a browser there; it needs no network.\n"
        f"What it exports is read by: asfound check {clean(plan.as_posix())} FILE.jsonl\n"
    )
    return EXIT_PASS
