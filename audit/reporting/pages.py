"""What all pages share: templates that escape, and styles and scripts that are part of the page itself."""

from __future__ import annotations

import base64
import hashlib
from functools import cache
from importlib.resources import files
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from audit.phrases import clean, counted, listed


@cache
def environment() -> Environment:
    """Return the templates. An undefined name is an error, never a blank."""
    made = Environment(
        loader=PackageLoader("audit.reporting", "html"),
        autoescape=True,
        undefined=StrictUndefined,
        finalize=_finalize,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.filters |= {"n": counted, "listed": listed}
    return made


def _finalize(value: Any) -> Any:
    """Clean every text that is written: tags and values come from files that anyone may have made."""
    return clean(value) if isinstance(value, str) and not isinstance(value, Markup) else value


def render(template: str, style: Markup, script: Markup | None = None, **names: Any) -> str:
    """Return a page that allows this style and, if there is one, this script, but nothing else."""
    names |= {"style": style, "style_hash": _allowed(style), "script": script}
    return environment().get_template(template).render(names, script_hash=_allowed(script or ""))


def part(name: str) -> Markup:
    """Return one of the package's style or script files, unescaped."""
    return Markup(files("audit.reporting").joinpath("html", name).read_text(encoding="utf-8"))  # noqa: S704


def _allowed(text: str) -> str:
    """Return the hash by which a page allows its own script or style and nothing else."""
    return "sha256-" + base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()
