"""Verifying sealed baselines: whether they are what was sealed, and where the first doubt arises."""

from __future__ import annotations

import codecs
import json
from collections.abc import Collection, Iterator, Mapping, Sequence
from json.encoder import encode_basestring
from typing import Any

from pydantic import ValidationError

from audit import __version__
from audit.model.baseline import BaselineFile
from audit.reading.files import FileBytes
from audit.sealing.canonical import BASELINE, NO_FORM, digest, laid_out, line_of, part, parts_of, pieces
from audit.sealing.chaining import with_chain
from audit.sealing.distrust import MOST_SHOWN, Distrust, FileText, Verified, agreeing, shown
from audit.sealing.signing import fingerprint, is_signed
from audit.sealing.tracing import altered_byte

MARKS = (b'"asfound"', b"baseline/1", b'"content"')
"""What a baseline begins with; a file that begins with none of these was never one."""
MOST_PARTS = 20
"""Altered parts that are listed singly: finding the altered byte takes a tenth of a second for each."""


def verify(files: Sequence[FileBytes], trusted: Collection[str] = ()) -> list[Verified]:
    """Return the files in the order of their chain, each with every reason not to trust it.

    Each file has to be signed with one of the `trusted` public keys. If there are none, a signature has to
    be good, whoever made it.
    """
    return with_chain([_alone(file, trusted) for file in files])


def _alone(file: FileBytes, trusted: Collection[str]) -> Verified:
    """Return what can be said of a file by itself."""
    here = FileText(file)
    values = _values(here)
    if isinstance(values, Distrust):
        return Verified(file, None, (values,))
    reasons = list(_layout(here, values))
    baseline, computed = None, ""
    try:
        baseline = BaselineFile.model_validate_json(file.data)
        computed = digest("".join(pieces(values["content"], BASELINE["content"])))
        reasons += [*_digests(here, values, computed, baseline), *_signature(here, baseline, trusted)]
    except ValidationError as error:
        for fault in error.errors():
            place = f"/{'/'.join(map(str, fault['loc']))}"
            message = f"is not a valid baseline at {place}: {fault['msg']}"
            if fault["type"] == "extra_forbidden":
                message = f"contains {place}, which asfound {__version__} does not know"
            reasons.append(here.at_line(line_of(values, fault["loc"]), message))
    return Verified(file, baseline, tuple(sorted(reasons, key=lambda reason: reason.offset)), computed)


def _values(here: FileText) -> Any:
    """Return the values of a file, or why it has none."""
    if here.data.startswith(codecs.BOM_UTF8):
        return here.at(0, "begins with a byte order mark, as some editors add it", "", "'{'")
    try:
        here.data.decode("utf-8")
        return json.loads(here.text)
    except UnicodeDecodeError as error:
        return here.at(error.start, "is not UTF-8 text", f"the byte {here.data[error.start]:#04x}")
    except json.JSONDecodeError as error:
        offset = len(here.text[: error.pos].encode())
        return here.at(offset, f"is not JSON: {error.msg}", shown(here.text[error.pos :]))
    except (RecursionError, ValueError):
        return here.at(0, "holds values that no baseline can hold", shown(here.text))


def _layout(here: FileText, values: Any) -> Iterator[Distrust]:
    """Yield where a file is not laid out as its values require."""
    text, wanted = here.text, laid_out(values)
    if text != wanted:
        same = agreeing(text, wanted)
        expected = "" if wanted[same:].startswith(NO_FORM) else shown(wanted[same:])
        offset = len(text[:same].encode("utf-8", "surrogatepass"))
        message = "is not laid out as it was sealed"
        if text.replace("\r\n", "\n") == wanted:
            keep = "keep baselines unchanged (`*.json -text` in .gitattributes)"
            message = f"its line ends are not those with which it was sealed: {keep}"
        yield here.at(offset, message, shown(text[same:]), expected)


def _digests(here: FileText, values: Any, computed: str, baseline: BaselineFile) -> Iterator[Distrust]:
    """Yield where the content and its digests do not agree.

    The digests of the parts show which part was altered. If all parts agree with theirs, it is the digest of
    the whole that was altered.
    """
    parts = parts_of(values["content"])
    names = sorted(parts.keys() | baseline.parts.keys())
    altered = [name for name in names if parts.get(name) != baseline.parts.get(name)]
    for name in altered[:MOST_PARTS]:
        if computed == baseline.sha256:
            line = line_of(values, ("parts", name) if name in baseline.parts else ("parts",))
            expected = f"{parts[name]!r}" if name in parts else "no such digest"
            yield here.at_line(line, f"the digest of the part {name} was altered", expected)
        else:
            yield _altered(here, values, name, parts, baseline.parts)
    if len(altered) > MOST_PARTS:
        yield here.at(len(here.data), f"{len(altered) - MOST_PARTS:,} more parts were altered")
    if computed != baseline.sha256 and parts == baseline.parts:
        yield here.at_value("sha256", computed, "the digest is not that of the content")


def _altered(
    here: FileText, values: Any, name: str, parts: Mapping[str, str], sealed: Mapping[str, str]
) -> Distrust:
    """Return the place of a part that was altered: of its altered byte, if there is only one."""
    steps = tuple(step.replace("~1", "/").replace("~0", "~") for step in name.split("/")[1:])
    line = line_of(values, ("content", *steps))
    if name not in parts or name not in sealed:
        what = "taken out" if name in sealed else "added"
        return here.at_line(line, f"{name} was {what} after it was sealed")
    found = altered_byte(part(values["content"], steps), sealed[name])
    if found is None:
        return here.at_line(line, f"{name} was altered after it was sealed")
    start = here.at_line(line, "").offset + len(f"{encode_basestring(steps[-1])}:".encode())
    offset, was = start + found[0], found[1]
    stands = here.data[offset : offset + MOST_SHOWN].decode("utf-8", "replace")
    return here.at(offset, f"{name} was altered after it was sealed, in this byte", shown(stands), repr(was))


def _signature(here: FileText, baseline: BaselineFile, trusted: Collection[str]) -> Iterator[Distrust]:
    """Yield what is wrong with the signature, or with whose it is."""
    signature = baseline.signature
    if signature is None:
        if trusted:
            yield here.at(len(here.data), "is not signed, and a trusted key was given", "", "a signature")
        return
    wanted = fingerprint(signature.public_key)
    if signature.fingerprint != wanted:
        yield here.at_value("fingerprint", wanted, "the fingerprint is not that of the public key")
    if trusted and signature.public_key not in trusted:
        message = (
            f"is signed with a key that is not among the trusted ones, {signature.fingerprint}; if keys were "
            "changed since, give the old public key with --trusted-key too"
        )
        yield here.at_value("public_key", next(iter(trusted)), message)
    if not is_signed(baseline.sha256, signature.public_key, signature.value):
        offset = here.data.rfind(b'"signature":')
        yield here.at(offset, "the signature was not made over this digest with the key that it names")
