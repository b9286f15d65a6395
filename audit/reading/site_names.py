"""The site that a file is of: it is that of the plan, by its present name or an earlier one."""

from __future__ import annotations

from collections.abc import Sequence

from audit.errors import stop
from audit.phrases import IF_RENAMED
from audit.reading.quoting import quoted


def check_site(kind: str, site: str, names: Sequence[str], file: str) -> None:
    """Raise InputProblems if a file is of another site than the plan, the site of which has these `names`."""
    if site not in names:
        message = f"is a {kind} of {quoted(site)}, but the plan is for {quoted(names[0])}"
        raise stop(message, f"give a {kind} of this site{IF_RENAMED}", file=file)
