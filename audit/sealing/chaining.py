"""Chaining: whether baselines follow one another without a break, and in which order."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from functools import partial

from audit.grouping import grouped
from audit.model.baseline import Content
from audit.sealing.distrust import Distrust, FileText, Verified


def with_chain(files: Sequence[Verified]) -> list[Verified]:
    """Return the files in the order of their chain, with what is wrong between them.

    A single file is not a chain; it cannot show whether anything comes before it. The order in which the
    files are given makes no difference.
    """
    if len(files) < 2:
        return list(files)
    files = sorted(files, key=partial(_by_site_and_date, _sites(files)))
    before = {id(one): _predecessor(one, files) for one in files}
    ordered = _in_order(files, before)
    return [
        replace(one, distrust=_by_offset([*one.distrust, *_links(one, before[id(one)], ordered[:n], files)]))
        for n, one in enumerate(ordered)
    ]


def _by_offset(reasons: list[Distrust]) -> tuple[Distrust, ...]:
    return tuple(sorted(reasons, key=lambda reason: reason.offset))


def _sites(files: Sequence[Verified]) -> dict[str, str]:
    """Return name of a site → the first, by the alphabet, of all the names that the site has had."""
    sites: list[set[str]] = []
    for names in [{*one.content.site.names} for one in files if one.content]:
        same = [site for site in sites if site & names]
        sites = [*(site for site in sites if site not in same), names.union(*same)]
    return {name: min(site) for site in sites for name in site}


def _by_site_and_date(sites: Mapping[str, str], one: Verified) -> tuple[str, str, str]:
    if one.content is None:
        return "", "", one.name
    return sites[one.content.site.name], one.content.sealed_on.isoformat(), one.name


def _predecessor(one: Verified, files: Sequence[Verified]) -> Verified | None:
    """Return the baseline before one: the file that states the digest it follows, or whose content has it."""
    wanted = one.content.previous if one.content else None
    if wanted is None:
        return None
    others = [other for other in files if other is not one and other.baseline]
    written = [other for other in others if other.baseline and other.baseline.sha256 == wanted]
    return next(iter([*written, *(other for other in others if other.computed == wanted)]), None)


def _in_order(files: Sequence[Verified], before: dict[int, Verified | None]) -> list[Verified]:
    """Return the files so that each comes after the one it follows."""
    followers = grouped((id(before[id(one)]), one) for one in files)
    ordered: list[Verified] = []
    todo = followers.get(id(None), [])[::-1]
    while todo:
        one = todo.pop()
        ordered.append(one)
        todo.extend(followers.get(id(one), [])[::-1])
    return [*ordered, *(one for one in files if one not in ordered)]


def _links(
    one: Verified, previous: Verified | None, earlier: Sequence[Verified], files: Sequence[Verified]
) -> Iterator[Distrust]:
    """Yield what is wrong between a baseline and those before it."""
    if one.baseline is None:  # what is wrong with the file itself is told already
        return
    here, content = FileText(one.file), one.baseline.content
    same = [other for other in earlier if other.baseline and other.baseline.sha256 == one.baseline.sha256]
    if same:
        yield here.at(0, f"is the same baseline as {same[0].name}")
        return
    if previous is None:
        yield from _beginning(here, content, one, files)
        return
    its = previous.content
    if its and its.site.name not in content.site.names:
        yield here.at_value("previous", "", f"follows {previous.name}, a baseline of another site")
    if its and its.sealed_on > content.sealed_on:
        message = (
            f"was sealed on {content.sealed_on}, before {previous.name} ({its.sealed_on}), which it follows"
        )
        yield here.at_value("sealed_on", "", message)
    rivals = [one.name for one in earlier if one.content and one.content.previous == content.previous]
    if rivals:
        yield here.at_value(
            "previous", "", f"follows the same baseline as {rivals[0]}: one of the two is not in the chain"
        )


def _beginning(
    here: FileText, content: Content, one: Verified, files: Sequence[Verified]
) -> Iterator[Distrust]:
    """Yield what is wrong with a baseline that follows none of the files."""
    names = content.site.names
    of_site = [f for f in files if f.content and f.content.site.name in names and f is not one]
    if content.previous is None:
        first = [f for f in of_site if f.content and f.content.previous is None and
                 (f.content.sealed_on, f.name) < (content.sealed_on, one.name)]  # fmt: skip
        if first:
            message = f"says that no baseline comes before it, as does {first[0].name}: the chain is broken"
            yield here.at(here.after("content"), message)
        return
    followed = {f.content.previous for f in files if f.content}
    ends = [(f.name, b.sha256) for f in of_site if (b := f.baseline) and
            not {b.sha256, f.computed} & followed and b.content.sealed_on <= content.sealed_on]  # fmt: skip
    if ends:
        name, sha256 = ends[-1]
        message = (
            f"the chain is broken: it follows a baseline that is not among these files, and none follows "
            f"{name}: a baseline is missing, or one of the two was replaced"
        )
        yield here.at_value("previous", sha256, message)
    else:
        yield here.at_value(
            "previous", "", "a baseline is missing: the one that it follows is not among these files"
        )
