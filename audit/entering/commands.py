"""The commands: each begins with a slash, so that no value is mistaken for one."""

from __future__ import annotations

COMMANDS = {
    "skip": "/skip [REASON]   leave this setting out; withdraws an earlier reading of it",
    "back": "/back            go back to the previous setting",
    "note": "/note TEXT       write a note about this device",
    "photo": "/photo FILE      name a photo of this device",
    "keep": "/keep            record what was just refused, if the device really shows it",
    "node": "/node [TAG]      go to another device; what is still open here stays open",
    "network": "/network [NAME]  go to another network",
    "list": "/list            list the devices of this network and how much of each is done",
    "help": "/help            show this",
    "quit": "/quit            stop; everything is saved, and the next run goes on from here",
}
"""Command → its line of help."""

HELP = (
    "Type what the device shows, not what it should show.",
    "A unit may follow a number (2.8 bar).",
    "A device that is not in the plan goes into a sheet, which has rows for it.",
    'Put a text in quotes if it begins with / or is the name of a command: "skip".',
    *COMMANDS.values(),
)


def split(text: str) -> tuple[str, str]:
    """Return the command of an answer and what follows it; the command is empty for a value."""
    text = text.strip()
    if text == "?":
        return "help", ""
    if not text.startswith("/"):
        return "", text
    word, _, rest = text[1:].partition(" ")
    return word.casefold() or "/", rest.strip()


def is_bare_word(text: str) -> bool:
    """Tell whether an answer is the name of a command without its slash."""
    return text.strip().casefold() in COMMANDS


def unquoted(text: str) -> str:
    """Return a text without the quotation marks that say it is not a command."""
    text = text.strip()
    quoted = len(text) > 2 and text[0] == text[-1] == '"'
    return text[1:-1] if quoted else text
