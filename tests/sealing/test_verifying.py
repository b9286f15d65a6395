"""Altered baselines, broken chains, wrong keys: each is reported with its first byte."""

from __future__ import annotations

import hashlib
import json
import re
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any

import pytest

from audit.errors import InputProblems
from audit.reading.baselines import read_baseline
from audit.reading.files import FileBytes
from audit.sealing.canonical import laid_out
from audit.sealing.distrust import Distrust
from audit.sealing.verifying import verify
from tests.baselines import data_of, forged, key_files, seal
from tests.small_site import as_csv, as_planned, node, run, small_site


def doubts(data: bytes, trusted: tuple[str, ...] = ()) -> tuple[Distrust, ...]:
    """Return the reasons not to trust the bytes of a file."""
    file = FileBytes("b.json", Path("b.json"), data, hashlib.sha256(data).hexdigest())
    return verify([file], trusted)[0].distrust


def smallest(folder: Path) -> bytes:
    """Return a sealed and signed baseline of one node and two settings."""
    name = {"name": "channel", "kind": "integer", "role": "channel"}
    gateway = {"tag": "G", "type": "gateway", "settings": {"channel": 7}}
    nodes = [{"tag": "N", "settings": {"channel": 7}}]
    rows = as_planned(nodes=[{**nodes[0], "serial": "1"}], gateway={**gateway, "serial": "2"}, defaults={})
    site = small_site(folder, nodes=nodes, gateway=gateway, defaults={}, settings=[name],
                      gateway_settings=[name], readback_rows=rows)  # fmt: skip
    key, _ = key_files(folder)
    path = seal(site, "b.json", "--key", key, "--even-failing")
    data = data_of(path)
    del data["signature"]
    data["content"] |= {"packs": data["content"]["packs"][:1], "inputs": data["content"]["inputs"][:1]}
    forged(path, data)
    from audit.reading.files import read_bytes
    from audit.sealing.signing import private_key, sign

    data["signature"] = sign(data["sha256"], private_key(read_bytes(key), lambda: None)).model_dump()
    path.write_text(laid_out(data), encoding="utf-8", newline="")
    return path.read_bytes()


def alterations(data: bytes, i: int) -> Iterator[bytes]:
    """Yield the file with one byte altered in several ways, removed or inserted."""
    for mask in (0x01, 0x02, 0x20, 0x80):  # the next digit or letter, the other case, no ASCII any more
        yield data[:i] + bytes([data[i] ^ mask]) + data[i + 1 :]
    yield data[:i] + b"\n" + data[i:]
    yield data[:i] + data[i + 1 :]


def test_altering_any_single_byte_is_detected(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each byte in turn: altered in several ways, removed, another inserted before it. All are reported."""
    monkeypatch.setattr(
        "audit.sealing.verifying.altered_byte", lambda *_: None
    )  # which byte it was is not asked here
    data = smallest(tmp_path)
    assert doubts(data) == ()

    unnoticed = [
        (i, altered[max(0, i - 10) : i + 10])
        for i in range(len(data))
        for altered in alterations(data, i)
        if not doubts(altered)
    ]

    assert unnoticed == []
    assert doubts(data + b"\n")
    assert doubts(data[:-1])


def test_a_digit_that_was_altered_is_found_to_the_byte(tmp_path: Path) -> None:
    """The first doubt names the byte, what is there now, and what was there when it was sealed."""
    data = seal(small_site(tmp_path), "b.json").read_bytes()
    devices = data.index(b'"devices":{')
    at = data.index(b"780", devices) + 1

    (doubt,) = doubts(data[:at] + b"9" + data[at + 1 :])

    assert doubt.offset == at
    assert doubt.line == data[:at].count(b"\n") + 1
    assert doubt.column == len('"high_alarm":"7') + 1
    assert doubt.stands.startswith("'9")
    assert doubt.expected == "'8'"
    assert "/devices/Main/N-1" in doubt.message


def test_every_digit_of_a_device_can_be_traced(tmp_path: Path) -> None:
    """Whichever digit of a setting is replaced by another, it is traced."""
    data = seal(small_site(tmp_path), "b.json").read_bytes()
    start = data.index(b'"settings":{', data.index(b'"N-2":{', data.index(b'"devices":{')))
    digits = [at for at in range(start, data.index(b"}", start)) if data[at : at + 1].isdigit()]
    assert len(digits) > 10

    for at in digits:
        other = b"8" if data[at : at + 1] != b"8" else b"9"
        (doubt,) = doubts(data[:at] + other + data[at + 1 :])
        assert (doubt.offset, doubt.expected) == (at, repr(chr(data[at])))


def test_more_than_a_byte_is_found_to_the_part(tmp_path: Path) -> None:
    """If more was altered, the first line of the device is named, and each device that was altered."""
    data = seal(small_site(tmp_path), "b.json").read_bytes()
    place = data.index(b'"devices":{')

    altered = data[:place] + data[place:].replace(b'"high_alarm":"780"', b'"high_alarm":"991"')
    found = doubts(altered)

    assert [doubt.message for doubt in found] == [
        f"/devices/Main/{tag} was altered after it was sealed" for tag in ("N-1", "N-2", "N-3")
    ]
    assert altered[found[0].offset :].startswith(b'"N-1":{')


def test_of_very_many_altered_parts_the_first_are_listed(tmp_path: Path) -> None:
    """The others are counted, at the end of the file."""
    site = small_site(tmp_path, nodes=[node(n) for n in range(10, 35)])
    data = seal(site, "b.json").read_bytes()
    place = data.index(b'"devices":{')

    found = doubts(data[:place] + data[place:].replace(b'"high_alarm":"780"', b'"high_alarm":"991"'))

    assert len(found) == 21
    assert found[0].message == "/devices/Main/N-10 was altered after it was sealed"
    assert (found[-1].message, found[-1].offset) == ("5 more parts were altered", len(data))


def test_a_device_that_was_taken_out_or_put_in(tmp_path: Path) -> None:
    """Either is reported, at the devices."""
    path = seal(small_site(tmp_path), "b.json")
    out = data_of(path)
    del out["content"]["devices"]["Main"]["N-2"]
    put = data_of(path)
    put["content"]["devices"]["Main"]["N-4"] = put["content"]["devices"]["Main"]["N-2"]

    assert [d.message for d in doubts(laid_out(out).encode())] == (
        ["/devices/Main/N-2 was taken out after it was sealed"]
    )
    assert [d.message for d in doubts(laid_out(put).encode())] == (
        ["/devices/Main/N-4 was added after it was sealed"]
    )


def test_a_digest_that_was_altered_is_told_from_an_altered_content(tmp_path: Path) -> None:
    """The digests of the parts still agree, so the digest of the whole was altered, at this digit."""
    path = seal(small_site(tmp_path), "b.json")
    data = path.read_bytes()
    at = data.rindex(b'"sha256":"') + len(b'"sha256":"') + 5
    other = b"0" if data[at : at + 1] != b"0" else b"1"

    (doubt,) = doubts(data[:at] + other + data[at + 1 :])

    assert doubt.offset == at
    assert doubt.expected.startswith("'" + chr(data[at]))


def test_a_digest_of_a_part_that_was_altered_taken_out_or_put_in(tmp_path: Path) -> None:
    """The content still has the digest of the whole, so it is the list of parts that was altered."""
    path = seal(small_site(tmp_path), "b.json")
    data = data_of(path)
    out, altered = (data["parts"].pop(f"/devices/Main/{tag}") for tag in ("N-1", "N-2"))
    data["parts"] |= {"/devices/Main/N-2": "0" * 16, "/devices/Main/N-9": out}

    found = doubts(laid_out(data).encode())

    assert {(doubt.message, doubt.expected) for doubt in found} == {
        ("the digest of the part /devices/Main/N-1 was altered", repr(out)),
        ("the digest of the part /devices/Main/N-2 was altered", repr(altered)),
        ("the digest of the part /devices/Main/N-9 was altered", "no such digest"),
    }
    lines = laid_out(data).splitlines()
    assert {lines[doubt.line - 1].partition(":")[0] for doubt in found} == (
        {'"parts"', '"/devices/Main/N-2"', '"/devices/Main/N-9"'}
    )


LAYOUTS: dict[str, Callable[[bytes], bytes]] = {
    "line ends of another system": lambda data: data.replace(b"\n", b"\r\n"),
    "a byte order mark": lambda data: b"\xef\xbb\xbf" + data,
    "indented": lambda data: json.dumps(json.loads(data), indent=1).encode(),
    "in one line": lambda data: data.replace(b"\n", b""),
    "keys in another order": lambda data: json.dumps(dict(reversed(json.loads(data).items()))).encode(),
    "a key twice": lambda data: data.replace(b'"verdict":"pass"', b'"verdict":"pass",\n"verdict":"pass"'),
    "an escape for a letter": lambda data: data.replace(b'"R. Sample"', rb'"\u0052. Sample"'),
    "a number in another form": lambda data: data.replace(b'"networks":1', b'"networks":1.0'),
    "cut in the middle": lambda data: data[: len(data) // 2],
    "something behind it": lambda data: data + b"{}",
}


@pytest.mark.parametrize("change", LAYOUTS.values(), ids=LAYOUTS)
def test_another_layout_of_the_same_values(tmp_path: Path, change: Callable[[bytes], bytes]) -> None:
    """A file that says the same in other bytes is not the file that was sealed."""
    data = seal(small_site(tmp_path), "b.json").read_bytes()
    altered = change(data)
    assert altered != data

    first = doubts(altered)[0]

    same = next((i for i, (a, b) in enumerate(zip(data, altered, strict=False)) if a != b), len(data))
    assert first.offset <= same + 1
    path = tmp_path / "b.json"
    path.write_bytes(altered)
    if altered.replace(b"\n", b"") != data.replace(b"\n", b""):
        with pytest.raises(InputProblems):
            read_baseline(path)


def test_a_forgery_with_fitting_digests_is_told_by_its_signature(tmp_path: Path) -> None:
    """Someone who recalculates all digests cannot make a new signature without the key."""
    key, _ = key_files(tmp_path)
    path = seal(small_site(tmp_path), "b.json", "--key", key)
    data = data_of(path)
    data["content"]["devices"]["Main"]["N-1"]["settings"]["high_alarm"] = "990"

    (doubt,) = doubts(forged(path, data).read_bytes())

    assert "signature" in doubt.message


def test_a_fingerprint_of_another_key(tmp_path: Path) -> None:
    """Whoever compares fingerprints by eye would take the signature for somebody else's."""
    key, _ = key_files(tmp_path)
    data = data_of(seal(small_site(tmp_path), "b.json", "--key", key))
    data["signature"]["fingerprint"] = "0" * 64

    (doubt,) = doubts(laid_out(data).encode())

    assert doubt.message == "the fingerprint is not that of the public key"


def test_keys(tmp_path: Path) -> None:
    """A trusted key passes; another key, or no signature when a key is trusted, does not."""
    key, public = key_files(tmp_path, 1)
    _, other = key_files(tmp_path, 2)
    signed = seal(small_site(tmp_path / "s"), "b.json", "--key", key)
    unsigned = seal(small_site(tmp_path / "u"), "b.json")

    assert run("seal", "--verify", signed).code == 0
    assert run("seal", "--verify", signed, "--trusted-key", public).code == 0
    assert run("seal", "--verify", signed, "--trusted-key", other, "--trusted-key", public).code == 0
    wrong = run("seal", "--verify", signed, "--trusted-key", other)
    assert wrong.code == 1
    assert "a key that is not among the trusted ones" in " ".join(wrong.stdout.split())
    missing = run("seal", "--verify", unsigned, "--trusted-key", public)
    assert (missing.code, "is not signed" in missing.stdout) == (1, True)


def chain(folder: Path, names: Sequence[str] = ("c.json", "a.json", "b.json")) -> list[Path]:
    """Seal a year of one site for each name, from 2024 on; the names are not in the order of their dates."""
    paths: list[Path] = []
    for year, name in enumerate(names, 2024):
        site = small_site(folder, readback_rows=as_planned(found={"N-1": {"read_by": f"Person {year}"}}))
        previous = ("--previous", paths[-1]) if paths else ()
        paths.append(seal(site, name, *previous, on=f"{year}-03-31"))
    return paths


def test_a_chain_is_in_order_whatever_the_names(tmp_path: Path) -> None:
    """Files given in any order are checked and reported in the order of the chain."""
    paths = chain(tmp_path)

    outcome = run("seal", "--verify", "--width", "400", *sorted(paths))

    assert outcome.code == 0
    told = [line for line in outcome.stdout.splitlines() if line[:2] in ("1.", "2.", "3.")]
    assert len(told) == len(paths)
    for number, (line, path) in enumerate(zip(told, paths, strict=True), 1):
        assert line.startswith(f"{number}. {path.as_posix()}: ")


def test_a_missing_link(tmp_path: Path) -> None:
    """Without the middle one the chain is broken, at the byte where it is named."""
    paths = chain(tmp_path)

    outcome = run("seal", "--verify", paths[2], paths[0])

    assert outcome.code == 1
    assert "a baseline is missing" in " ".join(outcome.stdout.split())
    # What is shown begins where the two digests part, and now and then they begin alike.
    assert data_of(paths[2])["content"]["previous"][6:24] in outcome.stdout


def test_of_several_gaps_each_is_told_of_the_files_on_both_sides(tmp_path: Path) -> None:
    """The second and the fourth of five are missing; in whatever order the others are given."""
    first, _, third, _, fifth = chain(tmp_path, ("d.json", "c.json", "a.json", "b.json", "e.json"))

    told = run("seal", "--verify", "--width", "400", first, third, fifth).stdout

    gaps = re.findall(r"none follows \S*/(\w\.json)", told)
    assert gaps == [first.name, third.name]
    assert run("seal", "--verify", "--width", "400", fifth, third, first).stdout == told


def test_a_baseline_beside_a_chain_without_gaps_is_said_to_follow_none_of_it(tmp_path: Path) -> None:
    """It is not told that nothing follows a link which another one does follow."""
    paths = chain(tmp_path)
    site = small_site(tmp_path, found={"N-2": {"read_by": "Somebody"}})
    beside = seal(site, "beside.json", on="2024-06-30")
    after = seal(site, "after.json", "--previous", beside, on="2025-06-30")

    told = run("seal", "--verify", "--width", "400", *paths, after).stdout

    assert "a baseline is missing: the one that it follows is not among these files" in told
    assert "none follows" not in told


def test_a_link_that_cannot_be_read(tmp_path: Path) -> None:
    """It is told of the file itself, and of the one after it that what it follows is not there."""
    paths = chain(tmp_path)
    paths[1].write_bytes(paths[1].read_bytes()[:-100])

    outcome = run("seal", "--verify", "--width", "400", *paths)

    assert outcome.code == 1
    assert "is not JSON" in outcome.stdout
    assert f"none follows {paths[0].as_posix()}" in outcome.stdout


@pytest.mark.parametrize(
    ("change", "told"),
    [
        ({"sealed_on": "2025-03-30"}, "was sealed on 2025-03-30, before a.json (2025-03-31), which it"),
        ({"site": {"name": "Other Site"}}, "follows a.json, a baseline of another site"),
    ],
    ids=["before the one it follows", "of another site"],
)
def test_a_forged_link_that_cannot_follow(change: dict[str, Any], told: str, tmp_path: Path) -> None:
    """Nobody can seal such a baseline; its digests fit, and the chain tells."""
    paths = chain(tmp_path)
    data = data_of(paths[2])
    data["content"] |= change
    forged(paths[2], data)

    outcome = run("seal", "--verify", "--width", "400", *paths)

    assert outcome.code == 1
    assert told in outcome.stdout.replace(f"{tmp_path.as_posix()}/", "")


def test_a_missing_beginning(tmp_path: Path) -> None:
    """Without the first one, the second follows a baseline that is not there."""
    paths = chain(tmp_path)

    outcome = run("seal", "--verify", *paths[1:])

    assert outcome.code == 1
    assert "a baseline is missing" in " ".join(outcome.stdout.split())


def test_a_link_that_was_made_anew(tmp_path: Path) -> None:
    """A baseline that was replaced, with digests that fit it, is not the one that the next one follows."""
    paths = chain(tmp_path)
    data = data_of(paths[1])
    data["content"]["devices"]["Main"]["N-1"]["settings"]["high_alarm"] = "990"
    forged(paths[1], data)
    assert run("seal", "--verify", paths[1]).code == 0, "alone it looks as sealed; only the chain tells"

    outcome = run("seal", "--verify", *paths)

    assert outcome.code == 1
    assert "the chain is broken" in " ".join(outcome.stdout.split())


def test_two_that_follow_one(tmp_path: Path) -> None:
    """A fork is not a chain."""
    paths = chain(tmp_path)
    site = small_site(tmp_path, found={"N-2": {"read_by": "Somebody"}})
    rival = seal(site, "rival.json", "--previous", paths[1], on="2026-04-30")

    outcome = run("seal", "--verify", *paths, rival)

    assert outcome.code == 1
    assert "follows the same baseline as" in " ".join(outcome.stdout.split())


def test_two_beginnings(tmp_path: Path) -> None:
    """Two first baselines of one site are not a chain."""
    paths = chain(tmp_path)
    site = small_site(tmp_path, found={"N-2": {"read_by": "Somebody"}})
    rival = seal(site, "rival.json", on="2026-04-30")

    outcome = run("seal", "--verify", *paths, rival)

    assert outcome.code == 1
    assert "no baseline comes before it" in " ".join(outcome.stdout.split())


def test_a_file_given_twice(tmp_path: Path) -> None:
    """It is reported, since it may hide one that is missing."""
    paths = chain(tmp_path)

    assert run("seal", "--verify", *paths, paths[0]).code == 1


def test_sites_have_chains_of_their_own(tmp_path: Path) -> None:
    """Baselines of two sites, given together, do not break each other's chain."""
    one = seal(small_site(tmp_path / "one", nodes=[node(1)]), "b.json")
    other = small_site(tmp_path / "other").replace("Little Site", "Other Site")
    two = seal(other, "b.json")

    assert run("seal", "--verify", one, two).code == 0


def test_line_ends_that_version_control_changed_are_told_as_that(tmp_path: Path) -> None:
    """A baseline checked out with other line ends is refused, with advice on how to keep them."""
    site = small_site(tmp_path).read("found.csv", as_csv(as_planned()))
    path = seal(site, "b.json")
    path.write_bytes(path.read_bytes().replace(b"\n", b"\r\n"))

    with pytest.raises(InputProblems, match="gitattributes"):
        read_baseline(path)


@pytest.mark.parametrize(
    ("layout", "says"),
    [
        ("line ends of another system", "its line ends are not those"),
        ("a byte order mark", "byte order mark"),
    ],
)
def test_what_editors_and_version_control_do_is_named(tmp_path: Path, layout: str, says: str) -> None:
    """Nobody has to guess what an invisible character at the beginning of a line means."""
    data = seal(small_site(tmp_path), "b.json").read_bytes()

    assert says in doubts(LAYOUTS[layout](data))[0].message


def test_an_altered_file_with_other_line_ends_is_not_said_to_have_only_these(tmp_path: Path) -> None:
    """What was altered besides is told as well."""
    data = seal(small_site(tmp_path), "b.json").read_bytes()

    told = [one.message for one in doubts(data.replace(b"R. Sample", b"R. Simple").replace(b"\n", b"\r\n"))]

    assert any(one.startswith("its line ends") for one in told)
    assert any("/signed_by was altered" in one for one in told)
