"""The words that are no values: each begins with a stroke, so that no value is mistaken for one."""

from __future__ import annotations

COMMANDS = {
    "skip": "/skip [REASON]   leave this setting out; takes an earlier reading of it back",
    "back": "/back            go back to the setting before",
    "note": "/note TEXT       write a note about this device",
    "photo": "/photo FILE      name a photo of this device",
    "keep": "/keep            record what was just refused, if the device really shows it",
    "node": "/node [TAG]      go to another device; what is open here stays open",
    "network": "/network [NAME]  go to another network",
    "list": "/list            list the devices of this network and how far they are",
    "help": "/help            show this",
    "quit": "/quit            stop; everything is saved, and the next time goes on from here",
}
"""Command → its line of help."""

HELP = (
    "Type what the device shows, not what it should show.",
    "A unit may stand behind a number (2.8 bar).",
    'A text that begins with / or is a command\'s word stands between quotes: "skip".',
    *COMMANDS.values(),
)


def split(text: str) -> tuple[str, str]:
    """Return the command of an answer and what stands behind it; an empty command for a value."""
    text = text.strip()
    if text == "?":
        return "help", ""
    if not text.startswith("/"):
        return "", text
    word, _, rest = text[1:].partition(" ")
    return word.casefold() or "/", rest.strip()


def is_bare_word(text: str) -> bool:
    """Tell whether an answer is a command's word without its stroke."""
    return text.strip().casefold() in COMMANDS


def unquoted(text: str) -> str:
    """Return a text without the quotation marks that say that it is no command."""
    text = text.strip()
    quoted = len(text) > 2 and text[0] == text[-1] == '"'
    return text[1:-1] if quoted else text
