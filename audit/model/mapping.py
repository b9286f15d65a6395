"""Mapping: how to read a table that was not made for this tool."""

from __future__ import annotations

import re
from collections.abc import Iterable
from typing import Annotated, Any, Literal, Self

from pydantic import Field, PrivateAttr, field_validator, model_validator

from audit.model.base import Scalar, Written

DateForm = Literal[
    "",
    "DD.MM.YYYY",
    "DD/MM/YYYY",
    "DD-MM-YYYY",
    "MM/DD/YYYY",
    "YYYY/MM/DD",
    "DD.MM.YY",
    "DD/MM/YY",
    "MM/DD/YY",
]
"""How dates are written in a file; a time of day such as 08:50 or 8:50 pm may follow."""
DEFAULT_BLANKS = ("", "-", "--", "—", "n/a", "na", "none", "not read", "?")
"""Texts that mean 'not read', here in lower case, unless a mapping says otherwise. Common practice."""


TAG_FROM = re.compile(r"|file|sheet|([^{}]*\{[^{}]+\})+[^{}]*")
"""What may be stated under `tag_from`: one of two words, or a text with headings in braces."""
TAG_PART = re.compile(r"\{([^{}]+)\}")
"""A heading in it."""


class LongForm(Written):
    """The columns of a table with one row for each setting."""

    setting: str = "setting"
    """Heading of the column that names the setting."""
    value: str = "value"
    """Heading of the column with its value."""
    unit: str = ""
    """Heading of the column with the value's unit, if there is one."""


class Mapping(Written):
    """How to read the files whose names match `files`."""

    files: Annotated[tuple[str, ...], Field(min_length=1)] = ("*",)
    """File name patterns, for instance `north-*.csv`; upper and lower case matter."""
    sheet: str = ""
    """Sheet of a workbook; if left out, all that have a column tag or serial, or mostly known headings."""
    skip_rows: Annotated[int, Field(ge=0)] = 0
    """Rows above the heading row; in a workbook on every sheet."""
    heading_rows: Annotated[int, Field(ge=1, le=3)] = 1
    """How many rows the headings take up: `Range` above `Low` and `High` makes `Range Low`, `Range High`.

    A heading extends to the right over blank cells that have a heading below them.
    """
    delimiter: Annotated[str, Field(min_length=1, max_length=1)] | None = None
    """Separates the cells of a CSV: a tab is `"\\t"`. If left out, what splits its heading row best."""
    encoding: str = ""
    """For instance `cp1252`; if left out, UTF-8, with or without a byte order mark."""
    decimal: Literal[".", ","] = "."
    """The decimal mark. It is declared, never guessed."""
    grouping: Literal["", ".", ",", " ", "'"] = ""
    """The mark between groups of three digits."""
    dates: DateForm = ""
    """How dates are written, for instance `DD.MM.YYYY`; if left out, ISO 8601. Declared, never guessed."""
    records: str = ""
    """Where in a JSON or YAML file the list of records is, for instance `/export/devices`.

    Keys may be in any case of letters. A step `*` goes through all items of a list or all keys of a mapping:
    `/devices/*/parameters`. With it, `records` leads to records or to lists of them. Single values on the way
    become columns, unless the record has its own; below a `*` also those in mappings beside the way. A key
    that `*` goes through is the tag if nothing else is. `columns` can name each by what leads to it:
    `{"/devices/*/name": tag, "/*": network}`.
    """
    form: Literal["wide", "long", "across"] = "wide"
    """`wide`: one row for each node. `long`: one row for each setting. `across`: one column for each node."""
    long: LongForm = LongForm()
    """For `form: long`: the headings of its columns, if they are others than setting, value and unit."""
    columns: dict[str, str] = {}
    """Column heading, in any case → field: tag, serial, read_at …, or a setting by name, label or role."""
    constants: dict[str, Scalar] = {}
    """Field → value where the file is blank, for instance `network: North`. A row must not say otherwise."""
    tag_from: str = ""
    """What names the node if no column does: `file` (its name without the ending), `sheet`, or columns.

    Columns are put together as in `"{Area}-{Function}{Number}"`. A row in which one of them is blank has no
    tag, except that a suffix may be: the last one, if it follows another directly.
    """
    values: dict[str, dict[str, str]] = {}
    """Field → text as found, letter by letter → text as the device type writes it; `""`: not read."""
    units: dict[str, str] = {}
    """Setting → unit of its column; it takes precedence over one in the heading."""
    unit_columns: dict[str, tuple[str, ...]] = {}
    """Column heading → the settings whose unit it gives in each row: `Unit: [range_low, range_high]`.

    A number followed by a unit of its own keeps that; one without any is not clear.
    """
    split: dict[str, tuple[str, str]] = {}
    """Column heading → the two settings whose numbers are in each of its cells, in their order.

    For instance `Range: [range_low, range_high]`. Between the numbers stands `-`, `to`, `bis`, `à`, `..`,
    `…`, `/` or `;`, and a unit after the second is that of both. With `/` or `;`, one may be left out by a
    word of `blanks`: `280 / -`.
    """
    labelled: tuple[str, ...] = ()
    """Headings of columns whose cells have settings behind labels: `L 280 / H 780 kPa`, `H=780; HH=900`.

    A unit after the last value is that of all, if no other has one. A minus sign needs a blank or an equals
    sign before it: the hyphen of `H-780` may be a dash. Further labels can be named under
    `columns`, and those to leave out under `ignore`.
    """
    blanks: tuple[str, ...] = DEFAULT_BLANKS
    """Texts that mean 'not read', in upper or lower case; a word that is an option of its setting is read."""
    only: dict[str, Scalar | tuple[Scalar, ...]] = {}
    """Column heading → a text or texts, both in any case: only rows that have one of them are read.

    With `form: across` these are columns of devices, and the heading is a label at the left.
    """
    leave_out: dict[str, Scalar | tuple[Scalar, ...]] = {}
    """Column heading → a text or texts, as under `only`: rows that have one of them are not read.

    `""` stands for a blank cell, as section titles and totals have below `Serial`.
    """
    ignore: tuple[str, ...] = ()
    """Headings of columns to leave out, in any case; `*` leaves out every column that is not known."""

    _origin: tuple[Any, int] = PrivateAttr(default=(None, 0))
    _told_apart: frozenset[str] = PrivateAttr(default=frozenset())

    def stands_in(self, document: Any, index: int) -> None:
        """Note the document that contains this mapping, and its position there."""
        self._origin = (document, index)

    def origin(self) -> tuple[Any, int]:
        """Return the document that contains this mapping, or None, and its position there."""
        return self._origin

    def telling_apart(self, headings: Iterable[str]) -> Self:
        """Return this mapping for a file that has each of these headings in several spellings."""
        its = self.model_copy()
        its._told_apart = frozenset(headings)
        return its

    @property
    def not_read(self) -> frozenset[str]:
        """`blanks` in lower case, and the empty text."""
        return frozenset({"", *map(str.casefold, self.blanks)})

    @property
    def told_apart(self) -> frozenset[str]:
        """Headings that the file has in several spellings, so that only the exact one counts."""
        return self._told_apart

    @field_validator("tag_from")
    @classmethod
    def _names_what(cls, text: str) -> str:
        if not TAG_FROM.fullmatch(text):
            raise ValueError(
                f"{text!r} does not say where the tag is -- "
                'state file, sheet, or headings in braces such as "{Area}-{Number}"'
            )
        return text

    @model_validator(mode="after")
    def _marks_differ(self) -> Self:
        if self.grouping == self.decimal:
            raise ValueError(
                "the grouping mark and the decimal mark are the same -- correct `grouping` or `decimal`"
            )
        return self


class MappingFile(Written):
    """A file of mappings; the first whose `files` match is used."""

    asfound: Literal["mapping/1"]
    """Marks the file as mappings, format 1."""
    mappings: Annotated[tuple[Mapping, ...], Field(min_length=1)]
