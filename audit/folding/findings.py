"""What a pattern of folding reads, which is all findings so far, and what it yields."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from audit.checking import Found
from audit.folding.about import as_planned, newest_row
from audit.grouping import grouped
from audit.model.finding import Hit
from audit.model.rule import Rule
from audit.model.site import Site, Target


@dataclass(frozen=True, slots=True)
class Cause:
    """A new finding that names the cause of others."""

    hit: Hit
    dependents: Sequence[int]
    """Positions of the findings that go under it."""
    repeats: Rule | None = None
    """The rule of those findings, where the new one only says once what they all say."""
    its_remedy_alone: bool = False
    """Whether the remedy of that rule is all there is to do; else it follows the folding rule's own."""


@dataclass(frozen=True, slots=True)
class Under:
    """A finding that goes under one that is there already; both are positions."""

    dependent: int
    cause: int


@dataclass(frozen=True, slots=True)
class Alone:
    """A finding, by its position, that has a cause and after all does not follow from it."""

    dependent: int


Step = Cause | Under | Alone
"""What a pattern yields."""


@dataclass(frozen=True, slots=True)
class Findings:
    """All findings on a site and their causes, as far as folding has come. A pattern only reads them."""

    site: Site
    items: Sequence[Found]
    causes: Mapping[int, int]
    """Position of a finding → position of its cause."""

    def free(self) -> Iterator[tuple[int, Found]]:
        """Yield the findings that have no cause yet, each with its position."""
        return ((i, item) for i, item in enumerate(self.items) if i not in self.causes)

    def comparisons(self) -> list[tuple[int, Found]]:
        """Return the findings without a cause that say a value is not what it should be.

        Findings about a node that is as planned, but not as its gateway, are left out.
        """
        return [(i, item) for i, item in self.free() if item.hit.side == "found"
                and item.hit.settings and item.rule.check.kind in ("equals-plan", "equals-gateway")
                and not as_planned(self.site, item)]  # fmt: skip

    def by_device(self) -> dict[Target, list[int]]:
        """Return device → its comparisons, as positions."""
        return grouped((item.hit.order, i) for i, item in self.comparisons())

    def by_setting(self, mine: Iterable[int]) -> dict[str, list[int]]:
        """Return setting → positions of those findings that name it first."""
        return grouped((self.items[i].hit.settings[0], i) for i in mine)

    def hits(self, mine: Iterable[int]) -> list[Hit]:
        """Return the hits of the findings at some positions."""
        return [self.items[i].hit for i in mine]

    def serials_read(self) -> dict[Target, tuple[str, int]]:
        """Return device → the serial number read that is not its own, and the finding that says so."""
        found = {}
        for i, item in enumerate(self.items):
            if item.rule.id == "tag-serial-mismatch":
                table, entry = newest_row(self.site, item)
                found[item.hit.order] = table.texts("serial")[entry].strip(), i
        return found

    def common_cause(
        self, group: Sequence[int], message: str, settings: tuple[str, ...] = (), tags: Sequence[str] = ()
    ) -> Cause:
        """Return what a group of findings has in common, as their cause.

        It is about their devices or those with the tags given, and in their network if that is the same for
        all. It gives a planned or found value only where all of them have that value.
        """
        hits = self.hits(group)
        first = hits[0]
        planned, found = (
            value if settings and all(getattr(hit, side) == value for hit in hits) else ""
            for side, value in (("planned", first.planned), ("found", first.found))
        )
        places = first.places if first.side == "planned" else first.places[:1]  # each has its own reading
        unique = tuple(dict.fromkeys(tags or [hit.node for hit in hits]))
        hit = Hit(network_of(hits), "", settings, message, planned, found, places, unique, first.side,
                  first.order)  # fmt: skip
        return Cause(hit, group)


def settings_named(hits: Iterable[Hit]) -> tuple[str, ...]:
    """Return the settings that hits are about, each once."""
    return tuple(dict.fromkeys(name for hit in hits for name in hit.settings))


def network_of(hits: Iterable[Hit]) -> str:
    """Return the network that all hits are in, empty where they are in several."""
    networks = {hit.network for hit in hits}
    return networks.pop() if len(networks) == 1 else ""
