"""Texts that mean something to a terminal, a browser, a spreadsheet or a parser."""

from __future__ import annotations

from hypothesis import strategies as st

FRAGMENTS = (
    "\x00", "\x07", "\x1b[31m", "\x7f", "\x85", "\x9b", "\t", "\n", "\r\n", "\n\n# ", "\ud800", "\udfff",
    "\ufffe", "\uffff", "\u200b", "\u202e", "\u2066", "\u2028", "\ufeff", "=cmd|' /C calc'!A0", "=1+1", "+1",
    "-2.5", "@x", "'", '"', ",", ";", "<script>alert(1)</script>", "</testcase>", "<!--", "-->", "]]>",
    "<![CDATA[", "&amp;", "&", "{{ 7*7 }}", "{% raw %}", "{0}", "[a](http://example.invalid)", "](", "|", "`",
    "```", "*", "_", "<b>", "\\", "%", "&P", "_x000D_", "http://example.invalid", "水", "é", "🙂",
)  # fmt: skip
"""Text that some format, program or reader would obey."""
HOSTILE = st.lists(
    st.sampled_from(FRAGMENTS) | st.text(st.characters(exclude_categories=()), max_size=6),
    min_size=1,
    max_size=6,
).map("".join)
