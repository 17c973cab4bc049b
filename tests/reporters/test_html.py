"""The page: what it shows, and that no word of a draft becomes markup. A browser looks at it in ``test_browser``."""

from __future__ import annotations

import json
import re
from base64 import b64encode
from collections.abc import Callable
from dataclasses import replace
from functools import cache
from hashlib import sha256
from html.parser import HTMLParser
from pathlib import Path

import pytest

from storylint.draft.model import Block, Kind, Mark
from storylint.findings import Finding, Level, Place, Reading
from storylint.reporters import charts, render
from storylint.reporters.glance import STATES, best_fixes, glance
from storylint.reporters.html import Offer, asset, blocks_of, offer
from tests.conftest import DRAFT, Ran, read_text
from tests.reporters.pages import HOSTILE, hostile, large

MARGIN = {"sup", "a"}  # what stands among the words and is none of the draft's


class Page(HTMLParser):
    """The page as a parser that is no browser sees it."""

    def __init__(self, text: str) -> None:
        super().__init__(convert_charrefs=True)
        self.tags: list[tuple[str, dict[str, str]]] = []
        self.words: dict[str, str] = {}  # the draft's own words by the id of their paragraph
        self.texts: list[str] = []
        self.scripts: list[str] = []
        self._open: list[tuple[str, dict[str, str]]] = []
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        values = {name: value or "" for name, value in attrs}
        self.tags.append((tag, values))
        if tag not in ("meta", "input", "link"):
            self._open.append((tag, values))

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, {name: value or "" for name, value in attrs}))

    def handle_endtag(self, tag: str) -> None:
        while self._open and self._open.pop()[0] != tag:
            pass

    def handle_data(self, data: str) -> None:
        self.texts.append(data)
        if any(tag == "script" for tag, _ in self._open):
            self.scripts.append(data)
        at = next((i for i, (_, values) in enumerate(self._open) if values.get("class", "").startswith("words")), None)
        if at is not None and not any(t in MARGIN or v.get("class") == "label" for t, v in self._open[at + 1 :]):
            leaf = next(v["id"] for t, v in reversed(self._open[:at]) if v.get("class", "").startswith("leaf"))
            self.words[leaf] = self.words.get(leaf, "") + data

    def attributes(self, name: str) -> list[str]:
        """All values of an attribute."""
        return [values[name] for _, values in self.tags if name in values]


@cache
def page(reading_of: Callable[[], Reading] = lambda: read_text(DRAFT)) -> tuple[Reading, str, Page]:
    reading = reading_of()
    text = render("html", reading)
    return reading, text, Page(text)


def draft_reading() -> Reading:
    return read_text(DRAFT)


def few() -> Reading:
    return large(4)


def test_the_first_screen_has_the_book_at_a_glance() -> None:
    reading, _, seen = page(few)
    book, told = glance(reading), " ".join(" ".join(seen.texts).split())
    assert book.ease is not None
    assert f"{int(book.overall or 0)} of 100 overall; your goal is 85" in told
    assert f"{int(book.ease)} reading ease" in told
    for state in STATES:
        assert f"{book.states[state]} {state}" in told
    for fix in best_fixes(reading):
        assert fix.section is not None
        assert fix.first.fix in told


def test_what_was_not_asked_is_not_said_to_be_well() -> None:
    told = render("html", read_text("# A wish\n\nMay the slate hold.\n", only=["unbroken"]))
    assert "by the rules that were asked: unbroken." in told
    assert "Nothing has to be mended" not in told
    assert "Nothing has to be mended" in render("html", read_text("# A wish\n\nMay the slate hold.\n"))


def test_every_word_of_the_draft_stands_on_the_page_as_it_was_read() -> None:
    reading, _, seen = page(draft_reading)
    blocks = {f"d0b{block.index}": block.text for block in reading.drafts[0].blocks if block.text}
    assert seen.words == blocks


def test_each_finding_leads_to_its_very_words() -> None:
    reading, text, seen = page(draft_reading)
    links = {(v["href"][1:], v["data-at"]) for _, v in seen.tags if "data-at" in v}
    listed = [place.split() for value in seen.attributes("data-places") for place in value.split(";") if place]
    links |= {(leaf, at) for _, leaf, at in listed}
    places = [place for _, finding in reading.every() for place in finding.places]
    assert places
    for place in places:
        assert (f"d0b{place.block}", f"{place.start}-{place.end}") in links
        assert seen.words[f"d0b{place.block}"][place.start : place.end] == place.quote
    assert text.count("<mark") >= len({(p.block, p.start) for p in places if p.end - p.start < 200}) - 2


def test_every_link_leads_somewhere_on_the_page_and_none_leaves_it() -> None:
    _, text, seen = page(draft_reading)
    ids = seen.attributes("id")
    assert len(ids) == len(set(ids))
    for href in seen.attributes("href"):
        assert href.startswith("#")
        assert href[1:] in ids
    assert not seen.attributes("src")
    assert not re.findall(r"url\((?!#)", text)
    assert "@import" not in text


def test_the_notes_that_a_section_calls_are_at_hand() -> None:
    reading, _, seen = page(draft_reading)
    told = "".join(seen.texts)
    assert reading.drafts[0].notes
    for note in reading.drafts[0].notes:
        assert note.text in told


def test_the_policy_admits_the_style_and_the_script_and_nothing_else() -> None:
    _, text, seen = page(draft_reading)
    (policy,) = [v["content"] for _, v in seen.tags if v.get("http-equiv") == "Content-Security-Policy"]
    assert policy.startswith("default-src 'none'; ")
    style = text.split("<style>", 1)[1].split("</style>", 1)[0]
    script = text.rsplit("<script>", 1)[1].split("</script>", 1)[0]
    for name, part in (("style-src", style), ("script-src", script)):
        assert f"{name} 'sha256-{b64encode(sha256(part.encode()).digest()).decode()}'" in policy
    assert "unsafe" not in policy
    assert not seen.attributes("style")


def test_a_draft_can_never_become_markup_or_script() -> None:
    known = {(tag, name) for tag, values in page(draft_reading)[2].tags for name in values}
    _, text, seen = page(hostile)
    for tag, values in seen.tags:
        assert tag not in ("img", "iframe", "object", "embed", "textarea", "base")
        for name in values:
            assert (tag, name) in known or name in (
                "title",
                "tabindex",
                "data-at",
                "data-places",
                "href",
                "class",
                "id",
                "dir",
            ), (
                tag,
                name,
            )
            assert not name.startswith("on")
    assert len([tag for tag, _ in seen.tags if tag == "script"]) == 2
    assert all(href.startswith("#") and "javascript" not in href for href in seen.attributes("href"))
    assert "<script>alert" not in text
    assert "onerror=alert(2)&gt;" in text or "onerror=alert(2)&#" in text
    assert "{{ 7*7 }}" in "".join(seen.texts)  # the draft's words are shown, not run
    assert not re.search("[\x00\u202e]", text)
    json.loads(seen.scripts[0])


def test_names_are_kept_out_of_the_title_and_the_foot_has_a_caution() -> None:
    reading, text, _ = page(draft_reading)
    title = text.split("<title>", 1)[1].split("</title>", 1)[0]
    assert title == "The book at a glance – storylint"
    foot = text.split("<footer>", 1)[1]
    assert "living people" in foot
    assert "law" in foot
    assert reading.sections[1].person
    assert reading.sections[1].person not in foot.split("<script", 1)[0]


def test_the_reasons_of_a_score_are_there_for_the_script_to_show() -> None:
    reading, _, seen = page(draft_reading)
    data = json.loads(seen.scripts[0])
    for at, section in enumerate(reading.sections):
        for name, share in section.shares.items():
            if share.whole <= 0 or name not in section.scores:
                continue
            told = data["sections"][f"s{at}"]
            rows = told["rules"][name]
            assert len(rows) == len(share.reasons)
            for (unit, weight, clean, why), reason in zip(rows, share.reasons, strict=True):
                assert told["units"][unit] == [f"d0b{reason.block}", reason.start, reason.end]
                assert (weight, bool(clean), data["whys"][why]) == (round(reason.weight, 2), reason.clean, reason.why)


def test_an_offered_event_is_taken_apart_where_it_can_be() -> None:
    line = "Penrhyn lock-out (1900–1903): age 30–33; Men were out for three years; source: Jones, 1981 (from memory)"
    assert offer(line) == Offer(
        "Penrhyn lock-out", "1900–1903", "age 30–33", "Men were out for three years", "Jones, 1981 (from memory)"
    )
    several = "Bread riots (1893-94); a lost battle (1896) (1891–1896): age 27; Men left; source: Duggan"
    assert offer(several) == Offer(
        "Bread riots (1893-94); a lost battle (1896)", "1891–1896", "age 27", "Men left", "Duggan"
    )
    assert offer("Census (1841); Taken in June; source: Act") == Offer("Census", "1841", "", "Taken in June", "Act")
    assert offer("Something else entirely") == Offer("Something else entirely")


def test_remarks_that_overlap_mark_each_letter_by_the_gravest() -> None:
    reading = read_text("# Owen Prydderch\n\nOwen split slate all his life and said so.\n")
    block = next(block for block in reading.drafts[0].blocks if block.kind is Kind.PARAGRAPH)
    at = [s.block <= block.index for s in reading.sections].count(True) - 1
    section = reading.sections[at]

    def found(level: Level, start: int, end: int) -> Finding:
        place = Place(section.path, block.index, 3, start, end, block.text[start:end])
        return Finding("x", level, level.value, level.value, (place,), id=level.value)

    made = replace(
        section, findings=(found(Level.NOTE, 0, 20), found(Level.ERROR, 11, 16), found(Level.WARNING, 14, 30))
    )
    text = render("html", replace(reading, sections=tuple(made if s is section else s for s in reading.sections)))
    marks = re.findall(r'<mark class="(\w+)">(.*?)</mark>', text)
    assert marks == [
        ("note", "Owen split "),
        ("error", "sla"),
        ("error", "te"),
        ("warning", " all"),
        ("warning", " his life "),
    ]


def test_note_marks_italics_and_bold_keep_their_places() -> None:
    reading = read_text("# Owen Prydderch\n\nHe sailed.\n")
    draft = reading.drafts[0]
    block = Block(
        1, Kind.PARAGRAPH, "He sailed on.", marks=(Mark(9, "7", True, None),), italic=((3, 9),), bold=((0, 2),)
    )
    blocks = tuple(block if each.kind is Kind.PARAGRAPH else each for each in draft.blocks)
    bare = tuple(replace(section, findings=()) for section in reading.sections)
    text = render("html", replace(reading, drafts=(replace(draft, blocks=blocks),), sections=bare))
    assert '<b>He</b> <i>sailed</i><sup class="note">7</sup> on.' in text


def test_a_book_of_120_raw_persons_stays_under_five_megabytes() -> None:
    reading, text, _ = page(large)
    assert glance(reading).persons == 120
    assert sum(section.words for section in reading.sections) > 30_000
    assert len(text.encode()) < 5_000_000


def test_a_book_without_persons_and_an_empty_one_are_pages_too() -> None:
    assert "No person’s section was recognised" in render(
        "html", read_text("# On slate\n\nSlate is split while wet.\n")
    )
    assert "by the rules that were asked: none." in render("html", Reading((), (), ()))


def test_one_person_alone_has_her_own_text_and_no_other(book: Path, run: Callable[..., Ran]) -> None:
    assert (
        run("lint", "book.md", "--person", "Owen Prydderch", "--write", "html:o.html", "--fail-on", "never").code == 0
    )
    words = Page(Path("o.html").read_text(encoding="utf-8")).words
    assert any("slate splitter" in told for told in words.values())
    assert not any("slate wharf" in told or "A preface" in told for told in words.values())


def test_every_block_of_a_draft_stands_in_one_section() -> None:
    reading = read_text(DRAFT)
    owned = [block.index for blocks in blocks_of(reading) for block in blocks]
    assert owned == [block.index for block in reading.drafts[0].blocks]


def test_the_page_is_written_and_replaced_but_nothing_else_is(book: Path, run: Callable[..., Ran]) -> None:
    assert run("lint", "book.md", "--write", "html:report.html", "--fail-on", "never").code == 0
    assert run("lint", "book.md", "--write", "html:report.html", "--fail-on", "never").code == 0
    assert Path("report.html").read_text(encoding="utf-8").startswith("<!doctype html>")
    Path("mine.html").write_text("my own page")
    assert run("lint", "book.md", "--write", "html:mine.html").code == 2
    assert Path("mine.html").read_text() == "my own page"


# --------------------------------------------------------------------------------------------------------------- charts


def spine(words: int, score: float | None, name: str = "Owen") -> charts.Spine:
    return charts.Spine("s1", name, "1", words, score, 60.0, "done" if score else "")


def test_the_shelf_shows_length_as_width_and_score_as_height() -> None:
    drawn = charts.shelf([spine(100, 50), spine(200, 100), spine(100, 50)], 85)
    found = re.findall(r'class="spine[^"]*" x="[\d.]+" y="[\d.]+" width="([\d.]+)" height="([\d.]+)"', drawn)
    sizes = [(float(wide), float(tall)) for wide, tall in found]
    assert sizes[1][0] + 2 == pytest.approx(2 * (sizes[0][0] + 2))
    assert sizes[1][1] == pytest.approx(2 * sizes[0][1])


def test_no_chart_is_drawn_of_nothing() -> None:
    assert charts.shelf([], 85) == charts.persons([], 85) == charts.trend([charts.Point("1 May 2026", 1, 2)]) == ""


def test_the_trend_tells_in_words_what_it_draws() -> None:
    points = [
        charts.Point("1 May 2026", 41.0, 60.0),
        charts.Point("3 May 2026", None, 62.0, True),
        charts.Point("9 May 2026", 58.0, 66.0),
    ]
    drawn = charts.trend(points)
    assert (
        'aria-label="From 1 May 2026 to 9 May 2026: overall score from 41 to 58, reading ease from 60 to 66"' in drawn
    )
    assert drawn.count('class="disc"') == 2
    assert drawn.count('class="diamond"') == 3
    assert drawn.count('class="anew"') == 1


def test_the_recorded_revisions_are_drawn(book: Path, run: Callable[..., Ran]) -> None:
    run("lint", "book.md")
    book.write_text(DRAFT.replace("He died on 9 July 1899.", "He died, they said, of dust."), encoding="utf-8")
    run("lint", "book.md", "--write", "html:report.html")
    assert 'class="chart trend"' in Path("report.html").read_text(encoding="utf-8")


# ------------------------------------------------------------------------------------------------------------ its looks


def luminance(colour: str) -> float:
    """Relative luminance, WCAG 2.2, 'Definition of relative luminance'."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, two: str) -> float:
    """Contrast ratio, WCAG 2.2, 'Definition of contrast ratio'."""
    high, low = sorted((luminance(one), luminance(two)), reverse=True)
    return (high + 0.05) / (low + 0.05)


@pytest.mark.parametrize("theme", [0, 1, 2], ids=["light", "dark by system", "dark by choice"])
def test_letters_have_the_contrast_of_level_aa_on_every_ground(theme: int) -> None:
    palettes = re.findall(r"--paper: #[^}]*", asset("page.css"))
    colours = dict(re.findall(r"--(\w+): (#[0-9a-f]{6})", palettes[theme]))
    for ground in ("paper", "leaf", "shade", "lit"):
        for letters in ("ink", "soft", "link", "error", "warning", "note", "good"):
            if ground == "lit" and letters not in ("ink", "link", "warning"):
                continue
            assert contrast(colours[letters], colours[ground]) >= 4.5, (letters, ground)
    for drawn in ("edge", "good", "note", "warning", "link"):  # what is drawn: 1.4.11
        assert contrast(colours[drawn], colours["paper"]) >= 3.0, drawn


def test_the_dark_palette_is_the_same_by_system_and_by_choice() -> None:
    palettes = [
        re.findall(r"--(\w+): (#[0-9a-f]{6})", part) for part in re.findall(r"--paper: #[^}]*", asset("page.css"))
    ]
    assert palettes[1] == palettes[2]


def test_hostile_words_are_long_enough_to_matter() -> None:
    assert "<script>" in HOSTILE
    assert HOSTILE in hostile().drafts[0].blocks[0].text
