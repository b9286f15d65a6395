"""The records of a JSON or YAML file: where they are, as a list, one for each key, or a single one."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from itertools import chain
from typing import Any

from audit.model.mapping import Mapping
from audit.model.readback import AT_THE_TOP
from audit.reading.mapped_names import is_ignored, key_for
from audit.reading.marks import Path
from audit.reading.vocabulary import folded


def records_in(data: Any, mapping: Mapping) -> tuple[Path, Any]:
    """Return the path of the records, and them: as the mapping says, at the top, or in the only list."""
    if mapping.records:
        return json_pointer(data, mapping.records)
    items = data.items() if isinstance(data, dict) else ()
    lists = [key for key, item in items if isinstance(item, list) and not is_ignored(key, mapping)]
    if len(lists) == 1 and not (is_device(data, mapping) and not _has_records(data[lists[0]])):
        return (lists[0],), data[lists[0]]
    return (), data


def json_pointer(data: Any, pointer: str) -> tuple[Path, Any]:
    """Return the path that an RFC 6901 pointer denotes, and its value. Raises KeyError if there is none.

    A key that is there only in another case of letters is taken, if it is the only one.
    """
    path: Path = ()
    for step in pointer.split("/")[1:]:
        name = step.replace("~1", "/").replace("~0", "~")
        key: str | int | None = _spelled(name, data) if isinstance(data, dict) else None
        if isinstance(data, list) and name.isdecimal() and int(name) < len(data):
            key = int(name)
        if key is None:
            raise KeyError(name)
        path, data = (*path, key), data[key]
    return path, data


def _spelled(name: str, keys: Collection[str]) -> str | None:
    if name in keys:
        return name
    alike = [key for key in keys if folded(name) and folded(key) == folded(name)]
    return alike[0] if len(alike) == 1 else None


def _has_records(value: Any) -> bool:
    return isinstance(value, list) and any(isinstance(item, dict) for item in value)


def are_keyed(data: Any, mapping: Mapping) -> bool:
    """Return whether the data are records with a key each: mappings with single values, and no records."""
    if not isinstance(data, dict) or not data or _are_parts(data, mapping):
        return False
    return all(_is_record(item, mapping) for item in data.values())


def _are_parts(data: Any, mapping: Mapping) -> bool:
    """Return whether the data are parts of one record named for its file: headings that are mapped say so."""
    if not mapping.tag_from or not isinstance(data, dict):
        return False
    parts = tuple(folded(f"{key}.") for key, item in data.items() if isinstance(item, dict))
    return any(folded(heading).startswith(parts) for heading in mapping.columns)


def _is_record(value: Any, mapping: Mapping) -> bool:
    items = value.items() if isinstance(value, dict) else ()
    single = any(not isinstance(item, dict | list) for _, item in items)
    return single and not any(
        _has_records(item) and not is_ignored(str(name), mapping) for name, item in items
    )


def is_device(data: Any, mapping: Mapping) -> bool:
    """Return whether the data are one record about a device, as in an export with a file a device."""
    if not _is_record(data, mapping):
        return _are_parts(data, mapping)
    return bool(mapping.tag_from) or not _meant(data, mapping).isdisjoint(("tag", "serial"))


def _meant(names: Iterable[Any], mapping: Mapping) -> set[str]:
    """Return what names in records mean, by the mapping or as they are."""
    keys = {name: key_for(name, mapping.columns, mapping) for name in {*map(str, names)}}
    return {folded(name if key is None else mapping.columns[key]) for name, key in keys.items()}


def with_tags(records: dict[str, Any], mapping: Mapping) -> list[dict[str, Any]]:
    """Return records with their keys as tags, unless they have a tag already."""
    if "tag" in _meant(chain.from_iterable(records.values()), mapping):
        return list(records.values())
    return [{"tag": key, **record} for key, record in records.items()]


def stated_above(data: Any, path: Path, mapping: Mapping) -> dict[str, Path]:
    """Return the fields that stand once above the records at a path, such as the site: key → where it is.

    The innermost counts. Other values there are about the export: its version, its format.
    """
    found: dict[str, Path] = {}
    for depth, step in enumerate(path):
        for key, value in data.items() if isinstance(data, dict) else ():
            single = value is not None and not isinstance(value, dict | list)
            if single and not _meant([key], mapping).isdisjoint(AT_THE_TOP):
                found[str(key)] = (*path[:depth], key)
        data = data[step]
    return found


def not_in(record: Any, above: dict[str, Path], mapping: Mapping) -> dict[str, Path]:
    """Return what stands above a record and does not stand in it too."""
    own = _meant(record, mapping) if isinstance(record, dict) else set()
    return {key: path for key, path in above.items() if _meant([key], mapping).isdisjoint(own)}
