"""The page on a screen: complete with and without scripts, narrow and wide, light and dark, by keyboard."""

from __future__ import annotations

import pytest
from playwright.sync_api import expect

from audit.reporting.html_report import render
from tests.browser.accessibility import violations
from tests.browser.conftest import Open, Opened
from tests.browser.pages import NAMES, source
from tests.reporting.detailed import detailed

ROWS = "table.findings tbody tr"

each_size = pytest.mark.parametrize("size", ["phone", "laptop"])
each_scheme = pytest.mark.parametrize("scheme", ["light", "dark"])
each_page = pytest.mark.parametrize("name", NAMES)
LOOKS = [*((name, *look) for name in NAMES if "600" not in name for look in (("phone", "light"),
         ("laptop", "dark"))), ("demo", "phone", "dark"), ("demo", "laptop", "light")]  # fmt: skip
"""Each page in each size and each scheme, and the demo in all pairs of them: the checker takes seconds.
Pages of 600 nodes are left out: they only have more of what others have, and the demo has their map."""


@pytest.mark.parametrize(("name", "size", "scheme"), LOOKS)
def test_the_page_is_accessible(open_page: Open, name: str, size: str, scheme: str) -> None:
    """The checker finds no violation: headings, tables, names, contrast, focus."""
    assert violations(open_page(source(name), size, scheme)) == []


@pytest.mark.parametrize(
    ("name", "script"), [*((name, True) for name in NAMES), ("demo", False), ("hostile text", False)]
)
def test_the_page_makes_no_requests_and_reports_no_errors(open_page: Open, name: str, script: bool) -> None:
    """There is no request except for the file, no error on the console, and no dialog."""
    opened = open_page(source(name), script=script)
    opened.page.mouse.wheel(0, 100_000)
    opened.page.screenshot()  # only what is in sight: of hundreds of nodes not everything is drawn

    assert opened.wrong == []


@each_size
@each_page
def test_the_page_never_scrolls_sideways(open_page: Open, name: str, size: str) -> None:
    """Wide tables and maps scroll in their own frames; the page itself is as wide as the screen."""
    page = open_page(source(name), size).page

    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")


def test_hostile_text_runs_nothing(open_page: Open) -> None:
    """A tag that is a script is shown as text; it adds no element and runs nothing."""
    opened = open_page(source("hostile text"))

    assert opened.page.evaluate("window.pwned === undefined")
    assert opened.page.locator("script").count() == 1
    assert opened.page.locator("img").count() == 0
    assert opened.wrong == []


def test_an_injected_script_would_not_run(open_page: Open) -> None:
    """If a text ever got through as a script element, the page's policy would keep it from running."""
    broken = source("6 nodes").replace("<main>", "<main><script>window.pwned = 1</script>")
    opened = open_page(broken)

    assert opened.page.evaluate("window.pwned === undefined")
    assert any("Content Security Policy" in wrong for wrong in opened.wrong)


def test_without_scripts_everything_is_shown(open_page: Open) -> None:
    """The filter is an addition: without scripts it is not there, and all findings are."""
    opened = open_page(source("demo"), script=False)

    assert opened.visible("#filter") == 0
    assert opened.visible(ROWS) == 16
    assert opened.visible("section > h2") == 10


# Filter and search


@pytest.fixture
def demo(open_page: Open) -> Opened:
    """Return the demo site's page."""
    return open_page(source("demo"))


def expect_shown(opened: Opened, count: int, words: str) -> None:
    """Check how many findings are visible, and what the page says about it; the search waits for typing."""
    expect(opened.page.locator("#shown")).to_have_text(words)
    assert opened.visible(ROWS) == count


def test_all_findings_are_shown_at_first(demo: Opened) -> None:
    """No filter is set at first, and the page says so."""
    expect_shown(demo, 16, "all 16 shown")


@pytest.mark.parametrize(
    ("words", "expected"),
    [("pt-66", 2), ("alarm-off-plan", 2), ("PT-66 order", 1), ("410072", 1), ("no such thing", 0)],
)
def test_search_finds_tags_rules_serials_and_values(demo: Opened, words: str, expected: int) -> None:
    """All words have to be in the finding, in any order, in capitals or small letters."""
    demo.page.locator("#q").fill(words)

    expect_shown(demo, expected, f"{expected} of 16 shown")


def test_networks_without_a_match_are_not_shown(demo: Opened) -> None:
    """Choosing a network shows its findings, and no empty tables of others."""
    demo.page.locator("#network").select_option("Middle")

    expect_shown(demo, 6, "6 of 16 shown")
    assert demo.visible("table.findings") == 1


def test_levels_and_waived_findings_can_be_left_out(demo: Opened) -> None:
    """A person with a punch list looks only at what is not excused."""
    demo.page.locator("#waived").uncheck()
    expect_shown(demo, 15, "15 of 16 shown")

    demo.page.locator("#level").select_option("note")
    expect_shown(demo, 0, "0 of 16 shown")


def test_show_all_undoes_the_filter(demo: Opened) -> None:
    """One button brings everything back."""
    demo.page.locator("#level").select_option("note")
    demo.page.get_by_role("button", name="Show all").click()

    expect_shown(demo, 16, "all 16 shown")


def test_a_link_to_a_hidden_finding_shows_it(demo: Opened) -> None:
    """Evidence can be reached from its cause, whatever the filter."""
    demo.page.locator("#level").select_option("note")
    demo.page.locator("#causes a", has_text="evidence").first.click()

    expect(demo.page.locator("tr:target")).to_be_in_viewport()


# By keyboard


def test_the_first_stop_skips_to_the_verdict(demo: Opened) -> None:
    """A person at the keyboard need not go through the list of sections."""
    demo.page.keyboard.press("Tab")

    assert demo.page.evaluate("document.activeElement.textContent") == "Skip to the verdict"
    assert demo.page.locator(".skip").is_visible()


def test_the_filter_works_by_keyboard(demo: Opened) -> None:
    """With the focus in the search field, the findings follow what is typed."""
    demo.page.locator("#q").focus()
    demo.page.keyboard.type("PT-66")

    expect_shown(demo, 2, "2 of 16 shown")


def test_only_what_scrolls_is_a_tab_stop(open_page: Open) -> None:
    """On a phone a wide table can be reached and scrolled by keyboard; on a laptop it is not a tab stop."""
    for size, stops in (("phone", "0"), ("laptop", "-1")):
        frame = open_page(source("demo"), size).page.locator(".wide:has(table.counts)")
        frame.scroll_into_view_if_needed()
        expect(frame).to_have_attribute("tabindex", stops)


def test_a_narrow_screen_shows_the_gateway_first(open_page: Open) -> None:
    """A map wider than the screen is first shown at its middle, where the gateway is."""
    page = open_page(source("demo"), "phone").page
    page.locator(".wide:has(svg.map)").first.scroll_into_view_if_needed()

    expect(page.locator("svg.map rect.gateway").first).to_be_in_viewport(ratio=0.99)


# Nothing by colour alone


def test_states_are_told_apart_by_shape(demo: Opened) -> None:
    """On the map a node as planned, one that differs, one with a finding and one not read look different."""
    upper = demo.page.locator("svg.map").first

    assert upper.locator("circle.planned").count() == 18
    diamonds, triangles = "path.differs:not([d*=h])", "path.differs[d*=h]"
    assert (upper.locator(diamonds).count(), upper.locator(triangles).count()) == (3, 1)
    assert upper.locator("rect.unread").count() == 1
    assert set(upper.locator("text.differs").all_text_contents()) == {
        "× PT-34", "≠ PT-41", "≠ LT-38", "≠ FQ-46",
    }  # fmt: skip
    assert upper.locator("text.unread").first.text_content() == "? PT-44"


@each_scheme
@pytest.mark.parametrize("name", ["demo", "60 nodes", "600 nodes"])
def test_marks_and_tags_stand_out_from_the_ground(open_page: Open, name: str, scheme: str) -> None:
    """In both schemes marks and tags have colours of their own, and the dark scheme's background is dark."""
    page = open_page(source(name), "laptop", scheme).page
    ground, differs, tag = page.evaluate(
        """() => [getComputedStyle(document.body).backgroundColor,
                  getComputedStyle(document.querySelector('svg.map path.differs')).fill,
                  getComputedStyle(document.querySelector('svg.map text:not([class])')).fill]"""
    )

    assert len({ground, differs, tag}) == 3
    assert ground == ("rgb(24, 23, 21)" if scheme == "dark" else "rgb(255, 254, 251)")


@pytest.mark.parametrize("name", ["demo", "6 nodes", "60 nodes", "600 nodes"])
def test_tags_on_maps_are_large_enough_to_read(open_page: Open, name: str) -> None:
    """On a laptop the tags of a map are at least ten pixels high."""
    page = open_page(source(name)).page
    heights = page.evaluate(
        """() => [...document.querySelectorAll('svg.map')].map(svg =>
               10.5 * svg.getBoundingClientRect().width / svg.viewBox.baseVal.width)"""
    )

    assert min(heights) >= 10


@pytest.mark.parametrize("name", ["demo", "60 nodes", "600 nodes"])
def test_tags_on_maps_do_not_overlap(open_page: Open, name: str) -> None:
    """As the browser draws them, in its own font, no two tags of a map overlap."""
    page = open_page(source(name)).page
    overlaps = page.evaluate(
        """() => [...document.querySelectorAll('svg.map')].flatMap(svg => {
               const tags = [...svg.querySelectorAll('text')].map(t => [t.textContent, t.getBBox()]);
               return tags.flatMap(([a, p], i) => tags.slice(0, i)
                 .filter(([, q]) => p.x < q.x + q.width && q.x < p.x + p.width
                                 && p.y + 3 < q.y + q.height && q.y + 3 < p.y + p.height)
                 .map(([b]) => `${a} / ${b}`));
             })"""
    )

    assert overlaps == []


# Size


@pytest.mark.parametrize("networks", [84, 1])
def test_2000_nodes_open_as_fast_a_node_as_200(open_page: Open, networks: int) -> None:
    """A very large site's page is usable, with many networks or one: no work grows with its square."""

    def seconds(nodes: int) -> float:
        opened = open_page(render(detailed(nodes, networks)))
        assert opened.wrong == []
        return float(opened.page.evaluate("performance.getEntriesByType('navigation')[0].loadEventEnd"))

    few = min(seconds(200) for _ in range(3))
    many = seconds(2000)

    assert many < 40 * few
