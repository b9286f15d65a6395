"""The accessibility checker, run inside a page."""

from __future__ import annotations

import json
from importlib.resources import files
from typing import Any

from tests.browser.conftest import Opened

AXE = files("axe_playwright_python").joinpath("axe.min.js").read_text(encoding="utf-8")
RUN = """axe.run({ resultTypes: ['violations'], rules: { 'target-size': { enabled: true } } })
  .then(results => results.violations)"""
"""With this type alone, elements that pass are not listed one by one. The size of what is pressed (WCAG 2.2,
2.5.8) is looked at only if the checker is asked to."""


def violations(opened: Opened) -> list[str]:
    """Return what the accessibility checker finds, of any impact."""
    opened.page.evaluate(AXE)
    found: list[dict[str, Any]] = opened.page.evaluate(RUN)
    return [f"{one['id']} ({one['impact']}): {json.dumps(one['nodes'][0]['target'])}" for one in found]
