"""The page of a comparison: that it says what the JSON says, and that no word of a draft becomes markup."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from html import unescape
from pathlib import Path
from typing import Any

import pytest

from storylint.findings import Reading
from storylint.reporters import compared
from storylint.revisions import comparison, side_by_side
from tests.conftest import DRAFT, Ran, read_text
from tests.reporters.pages import HOSTILE, hostile
from tests.reporters.test_html import Page
from tests.revisions.books import LIVES, chapter

NAMES = [*LIVES]


def page_of(old: Reading, new: Reading) -> tuple[dict[str, Any], str]:
    found = comparison.compare(old, new)
    data = side_by_side.as_data(found, ("old.md", "new.md"))
    return data, compared.render(data, side_by_side.lost_told(found), side_by_side.next_step(found))


def changed() -> tuple[Reading, Reading]:
    """Robert is lost, Hugh's death has no day any more, Catherine has a sentence more and another number."""
    lives = LIVES | {
        "Hugh Gethin": LIVES["Hugh Gethin"].replace("on 4 May 1911", "one morning"),
        "Catherine Lloyd": LIVES["Catherine Lloyd"] + " She never said who paid for the hat.",
    }
    return read_text(chapter(NAMES)), read_text(chapter([NAMES[3], *NAMES[:3]], lives))


def told(text: str) -> str:
    """The page's words."""
    return " ".join(unescape(re.sub(r"<(style|script).*?</\1>|<[^>]+>", " ", text, flags=re.S)).split())


def test_it_says_what_the_data_say() -> None:
    data, text = page_of(*changed())
    words, seen = told(text), Page(text)
    assert f"{data['verbatim']['sentences']} of {data['verbatim']['of']} old sentences stand word for word" in words
    assert "Persons: 4 in both, 1 lost." in words
    losses = words[words.index("Lost on the way") : words.index("Who changed most")]
    assert losses.index("5 Robert Gethin") < losses.index("2 Hugh Gethin")  # a whole person before a date
    for section in data["sections"]:
        for fact in section["lost"]["facts"]:
            assert f"{fact['date']} : “{fact['sentence']}” (it stood in line {fact['line']})" in losses
        for note in section["lost"]["notes"]:
            assert note["text"] in losses
        for text_ in (*section["added"], *section["cut"]):
            assert f"“{text_}”" in words
    assert "renumbered (was 4 Catherine Lloyd)" in words
    assert len(seen.attributes("id")) == len(set(seen.attributes("id")))
    assert all(href[1:] in seen.attributes("id") for href in seen.attributes("href"))


def test_whoever_is_lost_by_name_comes_before_a_date_that_went() -> None:
    children = "\n\nChildren of Gwen:\n\n- i. Morfydd, born 1 May 1880.\n- ii. Ieuan, born 3 June 1882."
    lives = LIVES | {"Gwen Gethin": LIVES["Gwen Gethin"] + children}
    new = chapter(NAMES, lives).replace("- ii. Ieuan, born 3 June 1882.", "").replace("on 4 May 1911", "one morning")
    _, text = page_of(read_text(chapter(NAMES, lives)), read_text(new))
    losses = told(text).split("Lost on the way")[1]
    assert losses.index("Ieuan is named nowhere any more") < losses.index("4 May 1911")


def test_who_is_renamed_is_told_with_the_name_she_had() -> None:
    lives = {name.replace("Catherine Lloyd", "Catherine Gethin"): life for name, life in LIVES.items()}
    data, text = page_of(read_text(chapter(NAMES)), read_text(chapter(lives, lives)))
    assert "renamed (was 4 Catherine Lloyd)" in told(text)
    [both] = [
        (each["old"]["person"], each["new"]["person"]) for each in data["sections"] if "renamed" in each["changes"]
    ]
    assert both == ("Catherine Lloyd", "Catherine Gethin")


def test_who_fell_comes_first_then_who_rose_most() -> None:
    old, new = (
        read_text(chapter([*NAMES[:2]], {NAMES[0]: one, NAMES[1]: other}))
        for one, other in (
            (LIVES[NAMES[0]], re.sub(r"\[.*?\]", "", LIVES[NAMES[1]])),
            (re.sub(r"\[.*?\]", "", LIVES[NAMES[0]]), LIVES[NAMES[1]]),
        )
    )
    data, text = page_of(old, new)
    gains = {
        s["person"]: s["new"]["scores"]["overall"] - s["old"]["scores"]["overall"]
        for s in data["sections"]
        if s["person"]
    }
    assert gains[NAMES[0]] < 0 < gains[NAMES[1]]
    assert f"1 {NAMES[0]} fell most, from " in told(text)
    assert [name for name in re.findall(r'<th scope="row" data-value="(.*?)"', text) if name in NAMES] == NAMES[:2]


@pytest.mark.parametrize(
    ("old", "new", "was", "now"),
    [
        ("He split slate.", "He split slate.", [("He split slate.", False)], [("He split slate.", False)]),
        (
            "He died at Gerlan on 4 May 1911.",
            "He died at Gerlan one morning.",
            [("He died at Gerlan ", False), ("on 4 May 1911", True), (".", False)],
            [("He died at Gerlan ", False), ("one morning", True), (".", False)],
        ),
        ("A cat at sea!", "It was at war", [("A cat at sea!", True)], [("It was at war", True)]),
    ],
)
def test_words_that_differ_are_marked(old: str, new: str, was: list[Any], now: list[Any]) -> None:
    pieces = compared.marked(old, new)
    assert [[(piece.text, piece.own) for piece in side] for side in pieces] == [was, now]


def test_changed_words_are_marked_by_an_element_and_not_by_colour_alone() -> None:
    _, text = page_of(*changed())
    assert "<del>on 4 May 1911</del>" in text
    assert "<ins>one morning</ins>" in text


@pytest.mark.parametrize("turned", [False, True])
def test_a_draft_can_never_become_markup_or_script(turned: bool) -> None:
    both = (hostile(), read_text(DRAFT))
    data, text = page_of(*(reversed(both) if turned else both))
    assert data["old" if not turned else "new"]["drafts"][0]["path"] == HOSTILE
    seen = Page(text)
    for tag, values in seen.tags:
        assert tag not in ("img", "iframe", "object", "embed", "textarea", "base")
        assert not any(name.startswith("on") for name in values)
    assert [tag for tag, _ in seen.tags if tag == "script"] == ["script"]
    assert all(href.startswith("#") for href in seen.attributes("href"))
    assert not re.search("[\x00\u202e]", text)


def test_no_name_stands_in_the_title_and_the_foot_has_a_caution() -> None:
    _, text = page_of(*changed())
    assert text.split("<title>", 1)[1].split("</title>", 1)[0] == "Two revisions side by side – storylint"
    assert "living people" in text.split("<footer>", 1)[1]


def test_equal_books_lose_nothing() -> None:
    old, _ = changed()
    words = told(page_of(old, old)[1])
    assert "Nothing that has a name, a date, a note or a mark was lost on the way." in words
    assert "Every sentence is as it was." in words


def test_the_command_writes_the_page_and_the_data(run: Callable[..., Ran], folder: Path) -> None:
    (folder / "old.md").write_text(chapter(NAMES))
    (folder / "new.md").write_text(chapter(NAMES[:4]))
    done = run("compare", "old.md", "new.md", "--write", "html:page.html", "--write", "json:page.json")
    assert (done.code, done.err) == (0, "")
    assert "Lost on the way" in done.out
    assert Path("page.html").read_text(encoding="utf-8").startswith("<!doctype html>")
    assert json.loads(Path("page.json").read_text(encoding="utf-8"))["lost"]["persons"] == ["Robert Gethin"]
    assert run("compare", "old.md", "new.md", "--write", "html:page.html", "--person", "hugh").code == 0
    assert "Gwen" not in Path("page.html").read_text(encoding="utf-8")


@pytest.mark.parametrize(
    ("spec", "says"),
    [
        ("html", "write the kind, a colon and the file, as in json:report.json"),
        ("sarif:a.sarif", "there are json, html"),
        ("html:new.md", "is no report of storylint"),
        ("html:no/folder/page.html", "can't be written"),
    ],
)
def test_what_can_not_be_written_is_one_line(run: Callable[..., Ran], folder: Path, spec: str, says: str) -> None:
    for name in ("old.md", "new.md"):
        (folder / name).write_text(chapter(NAMES))
    done = run("compare", "old.md", "new.md", "--write", spec)
    assert (done.code, done.err.count("\n")) == (2, 1)
    assert says in done.err
    assert (folder / "new.md").read_text() == chapter(NAMES)
