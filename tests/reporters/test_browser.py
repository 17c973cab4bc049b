"""The page in a real browser: headless Chromium, driven by Playwright, judged by axe-core.

Chromium is Debian's package ``chromium``; axe-core comes from npm (``npm install --prefix .ci-npm axe-core``) and is
used here alone. Where they are missing the tests are skipped, but not in a full run (see ``tests.conftest.FULL``).
"""

from __future__ import annotations

import os
import subprocess
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from storylint.findings import Reading
from storylint.reporters import render
from storylint.reporters.glance import persons, state, worst_first
from storylint.reporters.progressed import render as render_history
from storylint.revisions.history import told
from storylint.revisions.log import Log
from tests.conftest import missing, program
from tests.reporters.pages import hostile, large
from tests.reporters.test_compared import changed, page_of
from tests.revisions.books import revision
from tests.revisions.test_history import many

ROOT = Path(__file__).parents[2]
AXE = Path(os.environ.get("STORYLINT_AXE") or ROOT / ".ci-npm/node_modules/axe-core/axe.min.js")
FLAGS = ["--headless", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage"]
# WCAG 2.0 to 2.2, levels A and AA, and axe-core's own advice.
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]


class Watched:
    """A page in the browser, with all that it complained of or asked for."""

    def __init__(self, browser: Any, file: Path, **look: Any) -> None:
        self.said: list[str] = []
        self.asked: list[str] = []
        self.context = browser.new_context(
            reduced_motion="reduce", **({"viewport": {"width": 1280, "height": 900}} | look)
        )
        self.page = self.context.new_page()
        self.page.on("console", lambda message: self.said.append(message.text))
        self.page.on("pageerror", lambda fault: self.said.append(str(fault)))
        self.page.on("dialog", lambda dialog: (self.said.append(dialog.message), dialog.dismiss()))
        self.page.on("request", lambda request: self.asked.append(request.url))
        self.file = file
        self.page.goto(file.as_uri())

    def names(self) -> list[str]:
        """The names in the list that can be seen, in order."""
        rows = self.page.locator(".people tbody tr:not([hidden]) th").all_text_contents()
        return [" ".join(row.split()) for row in rows]

    def lit(self) -> list[str]:
        """The words that are lit up."""
        found: list[str] = self.page.evaluate("[...(CSS.highlights.get('lit') || [])].map(String)")
        return found

    def done(self) -> None:
        """Nothing was said, nothing was asked for but the page itself."""
        self.context.close()
        assert self.said == []
        assert self.asked == [self.file.as_uri()]


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    chromium = program("chromium", "chromium-browser", "google-chrome")
    try:
        from playwright.sync_api import sync_playwright
    except ImportError:
        missing("the package playwright is not installed")
    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=chromium, args=FLAGS)
        yield opened
        opened.close()


@pytest.fixture(scope="module")
def reading() -> Reading:
    """Eight persons, of whom the last is nearly done."""
    book = large(8)
    *others, last = book.sections
    return replace(book, sections=(*others, replace(last, scores=last.scores | {"overall": 75.0})))


@pytest.fixture(scope="module")
def file(reading: Reading, tmp_path_factory: pytest.TempPathFactory) -> Path:
    return written(reading, tmp_path_factory.mktemp("page") / "a report.html")


def written(reading: Reading, path: Path) -> Path:
    path.write_text(render("html", reading), encoding="utf-8")
    return path


@pytest.fixture
def seen(browser: Any, file: Path) -> Iterator[Watched]:
    watched = Watched(browser, file)
    yield watched
    watched.done()


def test_the_list_is_sorted_by_every_column_both_ways(seen: Watched, reading: Reading) -> None:
    worst = [f"{section.number} {section.person}" for section in worst_first(persons(reading))]
    assert seen.names() == worst
    for column in range(seen.page.locator("thead button").count()):
        button = seen.page.locator("thead button").nth(column)
        head = seen.page.locator("thead th").nth(column)
        button.click()
        first, order = seen.names(), head.get_attribute("aria-sort")
        button.click()
        assert {order, head.get_attribute("aria-sort")} == {"ascending", "descending"}
        assert seen.page.locator("[aria-sort]").count() == 1
        assert sorted(seen.names()) == sorted(first)
    seen.page.locator("thead button", has_text="Name").click()
    assert [name.split()[1] for name in seen.names()] == ["Jane"] * 4 + ["Owen"] * 4
    seen.page.locator("thead button", has_text="Words").click()
    longest = max(persons(reading), key=lambda section: section.words)
    assert seen.names()[0].endswith(str(longest.person))


def test_the_list_is_filtered_by_name_state_and_rule(seen: Watched, reading: Reading) -> None:
    seen.page.get_by_label("Name", exact=True).fill("jane")
    assert seen.names()
    assert all("Jane" in name for name in seen.names())
    assert seen.page.locator("output").inner_text() == f"{len(seen.names())} of {len(persons(reading))} shown"
    seen.page.get_by_label("Name", exact=True).fill("")
    for rule in ("boilerplate", "unsourced"):
        seen.page.get_by_label("With findings of").select_option(rule)
        found = [s for s in persons(reading) if any(finding.rule == rule for finding in s.findings)]
        assert 0 < len(seen.names()) == len(found)
    seen.page.get_by_label("With findings of").select_option("")
    seen.page.get_by_label("State").select_option("untouched")
    raw = [section for section in persons(reading) if state(section, reading.goal) == "untouched"]
    assert 0 < len(seen.names()) == len(raw) < len(persons(reading))


def test_a_person_is_opened_from_the_list_and_turned_over_to_the_next(seen: Watched) -> None:
    seen.page.locator("tbody a").first.click()
    opened = seen.page.locator(".person[open]")
    assert opened.count() == 1
    assert opened.locator("h3").inner_text() == seen.names()[0]
    assert opened.locator("h3").evaluate("node => node === document.activeElement")
    number = int(str(opened.get_attribute("id"))[1:])
    opened.get_by_role("link", name="The next").click()
    assert seen.page.locator(".person[open]").get_attribute("id") == f"s{number + 1}"
    seen.page.go_back()
    assert seen.page.locator(".person[open]").get_attribute("id") == f"s{number}"
    opened.get_by_role("link", name="Back to the list").click()
    assert seen.page.locator("h2#people").evaluate("node => node === document.activeElement")


def test_a_finding_is_followed_to_its_words_and_back(seen: Watched, reading: Reading) -> None:
    places = {place.quote for _, finding in reading.every() for place in finding.places}
    seen.page.locator("tbody a").first.click()
    links = seen.page.locator(".person[open] .card .spots a")
    assert links.count() > 3
    for at in range(links.count()):
        links.nth(at).click()
        (words,) = seen.lit()
        assert words in places
    mark = seen.page.locator(".person[open] mark").first
    assert mark.evaluate("node => getComputedStyle(node).textDecorationLine") == "underline"
    ref = seen.page.locator(".person[open] .ref").first
    assert str(ref.get_attribute("aria-label")).startswith(f"remark {ref.inner_text()}, ")
    ref.click()
    assert seen.page.evaluate("document.activeElement.className").startswith("card ")


def test_the_best_next_fix_leads_to_its_remark(seen: Watched) -> None:
    link = seen.page.locator(".next a").first
    target = str(link.get_attribute("href"))
    link.click()
    assert seen.page.locator(target).is_visible()
    assert seen.page.evaluate("'#' + document.activeElement.id") == target


def test_a_score_tells_every_sentence_that_counts_in_it(seen: Watched, reading: Reading) -> None:
    seen.page.locator("tbody a").first.click()
    section = worst_first(persons(reading))[0]
    details = seen.page.locator('.person[open] details[data-rule="boilerplate"]')
    details.locator("summary").click()
    rows = details.locator(".reasons li")
    rows.first.wait_for()  # the sentences are set when the details are opened
    assert rows.count() == len(section.shares["boilerplate"].reasons)
    assert details.locator(".counts").count() == sum(
        not reason.clean for reason in section.shares["boilerplate"].reasons
    )
    rows.first.locator("a").click()
    draft = reading.drafts[0]
    told = {draft.blocks[r.block].text[r.start : r.end] for r in section.shares["boilerplate"].reasons}
    assert set(seen.lit()) <= told
    assert seen.lit()


def test_the_colours_follow_the_system_until_the_reader_chooses(browser: Any, file: Path) -> None:
    seen = Watched(browser, file, color_scheme="dark")
    ground = "getComputedStyle(document.body).backgroundColor"
    dark = seen.page.evaluate(ground)
    seen.page.get_by_role("button", name="Light").click()
    light = seen.page.evaluate(ground)
    assert light != dark
    assert seen.page.get_by_role("button", name="Light").get_attribute("aria-pressed") == "true"
    seen.page.get_by_role("button", name="As the computer").click()
    assert seen.page.evaluate(ground) == dark
    seen.page.get_by_role("button", name="Light").click()
    seen.page.reload()
    assert seen.page.evaluate(ground) == light
    seen.asked.pop()  # the page itself, for the second time
    seen.done()


def test_the_keyboard_alone_reaches_a_person(seen: Watched) -> None:
    seen.page.keyboard.press("Tab")
    assert seen.page.evaluate("document.activeElement.className") == "skip"
    seen.page.keyboard.press("Enter")
    for _ in range(40):
        seen.page.keyboard.press("Tab")
        if seen.page.evaluate("Boolean(document.activeElement.closest('tbody'))"):
            break
    seen.page.keyboard.press("Enter")
    assert seen.page.locator(".person[open]").count() == 1


def test_without_its_script_the_page_can_still_be_read(browser: Any, file: Path) -> None:
    seen = Watched(browser, file, java_script_enabled=False)
    seen.page.locator(".person > summary").first.click()
    assert seen.page.locator(".person .words").nth(1).is_visible()
    seen.context.close()


@pytest.mark.parametrize("width", [1280, 390], ids=["desk", "phone"])
def test_nothing_runs_out_of_the_screen(browser: Any, file: Path, width: int) -> None:
    seen = Watched(browser, file, viewport={"width": width, "height": 800})
    seen.page.locator("tbody a").first.click()
    assert seen.page.evaluate("document.documentElement.scrollWidth") <= width
    if width < 500:
        assert float(seen.page.evaluate("parseFloat(getComputedStyle(document.body).fontSize)")) >= 16
    seen.done()


def test_what_is_open_is_printed_and_the_tools_are_not(seen: Watched, tmp_path: Path) -> None:
    pdf = tmp_path / "page.pdf"
    seen.page.pdf(path=str(pdf), format="A4")
    closed = pdf.stat().st_size
    seen.page.get_by_role("button", name="Open everyone").click()
    assert seen.page.locator(".person:not([open])").count() == 0
    seen.page.pdf(path=str(pdf), format="A4")
    assert pdf.stat().st_size > closed
    told = subprocess.run([program("pdftotext"), str(pdf), "-"], capture_output=True, text=True, check=True).stdout
    assert "The book at a glance" in told
    assert "slate wharf" in told
    assert "Open everyone" not in told
    assert "As the computer" not in told


def test_hostile_words_are_shown_and_never_run(browser: Any, tmp_path: Path) -> None:
    seen = Watched(browser, written(hostile(), tmp_path / "hostile.html"))
    seen.page.get_by_role("button", name="Open everyone").click()
    for summary in seen.page.locator(".shares summary").all():
        summary.click()
    assert seen.page.locator("img, iframe, object, embed").count() == 0
    assert seen.page.evaluate("document.scripts.length") == 2
    assert "<script>alert(1)</script>" in seen.page.locator("main").inner_text()
    seen.done()


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [1280, 390], ids=["desk", "phone"])
def test_axe_finds_no_violation(browser: Any, file: Path, scheme: str, width: int) -> None:
    if not AXE.is_file():
        missing(f"axe-core is not at {AXE}")
    # axe-core is put into the page from outside, which the page's own policy would not allow
    seen = Watched(browser, file, color_scheme=scheme, viewport={"width": width, "height": 900}, bypass_csp=True)
    seen.page.evaluate(AXE.read_text(encoding="utf-8"))
    closed = violations(seen)
    seen.page.locator("tbody a").first.click()
    seen.page.evaluate(
        "document.querySelectorAll('.person[open] details, .chart-of-persons').forEach(d => d.open = true)"
    )
    seen.page.wait_for_selector(".reasons li")
    assert closed + violations(seen) == []
    seen.context.close()


def violations(seen: Watched) -> list[str]:
    """What axe-core objects to: the rule and the first element."""
    found = seen.page.evaluate("rules => axe.run(document, {runOnly: {type: 'tag', values: rules}})", RULES)
    assert len(found["passes"]) > 20
    return [f"{each['id']}: {each['nodes'][0]['html']}" for each in found["violations"]]


@pytest.fixture(scope="module")
def compared(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("compared") / "compared.html"
    path.write_text(page_of(*changed())[1], encoding="utf-8")
    return path


def test_a_comparison_is_filtered_and_followed_to_its_person(browser: Any, compared: Path) -> None:
    seen = Watched(browser, compared)
    assert len(seen.names()) == 5
    seen.page.get_by_label("Who has").select_option("lost")
    assert {name.split()[1] for name in seen.names()} == {"Hugh", "Robert"}
    seen.page.locator("thead button", has_text="Name").click()
    seen.page.locator(".card a", has_text="Robert").click()
    opened = seen.page.locator(".person[open]")
    assert opened.locator("h3").inner_text() == "5 Robert Gethin"
    opened.get_by_role("link", name="Back to the list").click()
    seen.page.locator(".people tbody a", has_text="Hugh").click()
    assert opened.locator("del").inner_text() == "on 4 May 1911"
    for tag, line in (("del", "line-through"), ("ins", "underline")):
        assert opened.locator(tag).evaluate("node => getComputedStyle(node).textDecorationLine") == line
    seen.done()


@pytest.fixture(scope="module")
def progressed(tmp_path_factory: pytest.TempPathFactory) -> Path:
    entries = [revision(0, *many(20, 30)), revision(28, *many(90, 40), rules={"boilerplate": 2})]
    path = tmp_path_factory.mktemp("progressed") / "progressed.html"
    path.write_text(render_history(told(Log(Path("storylint-log.jsonl")), entries, None), {}), encoding="utf-8")
    return path


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [1280, 390], ids=["desk", "phone"])
@pytest.mark.parametrize("page", ["compared", "progressed"])
def test_axe_finds_no_violation_over_revisions(
    browser: Any, page: str, scheme: str, width: int, request: pytest.FixtureRequest
) -> None:
    if not AXE.is_file():
        missing(f"axe-core is not at {AXE}")
    look = {"color_scheme": scheme, "viewport": {"width": width, "height": 900}, "bypass_csp": True}
    seen = Watched(browser, request.getfixturevalue(page), **look)
    seen.page.evaluate(AXE.read_text(encoding="utf-8"))
    if page == "compared":
        seen.page.get_by_role("button", name="Open everyone").click()
        assert seen.page.locator(".person[open]").count() == 5
    assert violations(seen) == []
    assert seen.said == []
    assert seen.page.evaluate("document.documentElement.scrollWidth") <= width
    seen.context.close()


def test_a_page_grows_with_its_persons(browser: Any, tmp_path: Path) -> None:
    """Elements are counted and no time is taken: what a page costs a browser is what stands on it."""
    counts = []
    for size in (30, 120):
        path = written(large(size), tmp_path / f"{size}.html")
        seen = Watched(browser, path)
        assert len(seen.names()) == size
        counts.append(seen.page.evaluate("document.querySelectorAll('*').length"))
        seen.done()
    assert path.stat().st_size < 5_000_000
    assert counts[1] < 4.5 * counts[0]
