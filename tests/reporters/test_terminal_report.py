"""The terminal report at several widths, with and without colour, with few and many persons."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from io import StringIO

import pytest
from rich.cells import cell_len
from rich.console import Console

from storylint.findings import Finding, Level, Place, Reading
from storylint.reporters import terminal
from storylint.reporters.glance import persons
from tests.conftest import DRAFT, read_text

FORENAMES = ["Owen", "Jane", "Griffith", "Catrin", "Ellis", "Margaret", "Hugh", "Sarah", "Robert", "Gwen"]
STYLED = re.compile(r"\x1b\[[\d;]*m")
COLOURED = re.compile(r"\x1b\[(?:\d+;)*(?:3[0-7]|9[0-7]|38;)")


def draft_of(people: int, name: Callable[[int], str] = lambda i: f"{FORENAMES[i % 10]} Prydderch") -> str:
    """A book of machine-made entries."""
    entries = [
        f"## {i + 1}. {name(i)}\n\n{name(i)} was born on 3 May {1800 + i} at Llanllechid. He married Ellen Thomas on 4 "
        f"June {1825 + i} at Bethesda. He was living at Gerlan in {1831 + i} as rockman. He died on 9 May {1860 + i}.\n"
        for i in range(people)
    ]
    return "# The Prydderchs\n\n" + "\n".join(entries)


Show = Callable[..., str]


@pytest.fixture
def show(monkeypatch: pytest.MonkeyPatch) -> Show:
    """The report as text, on a pipe or on a terminal of some width."""

    def shown(
        reading: Reading,
        width: int = 80,
        tty: bool = False,
        everything: bool = False,
        alone: bool = False,
        why: bool = False,
    ) -> str:
        out = StringIO()
        if tty:
            made = Console(file=out, width=width, force_terminal=True, color_system="standard", highlight=False)
            monkeypatch.setattr(made.__class__, "encoding", property(lambda _: "utf-8"))
        else:
            made = Console(file=out, width=width, force_terminal=False, highlight=False, markup=False, emoji=False)
        monkeypatch.setattr(terminal, "console_for", lambda _: made)
        if why:
            terminal.explain(reading)
        else:
            terminal.show(reading, everything, alone)
        return out.getvalue()

    return shown


THREE, MANY = read_text(draft_of(3)), read_text(draft_of(120))


@pytest.mark.parametrize("width", [60, 80, 100, 140])
@pytest.mark.parametrize("tty", [False, True])
@pytest.mark.parametrize("reading", [THREE, MANY], ids=["3 persons", "120 persons"])
def test_no_line_is_wider_than_the_screen(show: Show, reading: Reading, width: int, tty: bool) -> None:
    for line in STYLED.sub("", show(reading, width, tty)).splitlines():
        assert cell_len(line) <= width, line


def test_the_board_is_worst_first_with_every_score(show: Show) -> None:
    out = show(read_text(DRAFT))
    assert out.index("1 Owen Prydderch") < out.index("2 Jane Prydderch")
    for rule in ("boilerplate", "templates", "unsourced", "unbroken", "words", "ease"):
        assert rule in out.split("Owen")[0]
    owen = next(section for section in persons(read_text(DRAFT)) if section.person == "Owen Prydderch")
    row = next(line for line in out.splitlines() if line.startswith("1 Owen"))
    for score in owen.scores.values():
        assert score is None or f" {int(score)} " in f"{row} "
    assert re.search(r"#*\.+\|\.+", row)


def test_piped_output_has_no_colour_and_no_drawn_characters(show: Show) -> None:
    out = show(MANY)
    assert "\x1b" not in out
    assert not set("■╎│→✓✗") & set(out)


def test_a_terminal_has_bars_and_colour(show: Show) -> None:
    out = show(MANY, tty=True)
    assert "■" in out
    assert COLOURED.search(out)


def test_no_color_is_honoured(show: Show, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    out = show(THREE, tty=True)
    assert "■" in out
    assert not COLOURED.search(out)


def test_many_persons_stay_readable_and_it_says_how_to_see_more(show: Show) -> None:
    out = show(MANY)
    lines = out.splitlines()
    assert len(lines) < 200
    assert f"… and {120 - terminal.ROWS} more" in out
    assert "--all" in out
    assert "--person" in out
    everyone = show(MANY, everything=True)
    assert all(f"\n{i} " in everyone for i in range(1, 121))
    assert "--all" not in everyone.split("Next")[0]


def test_one_person_alone_is_shown_whole(show: Show) -> None:
    owen = next(section for section in read_text(DRAFT).sections if section.person == "Owen Prydderch")
    reading = replace(read_text(DRAFT), sections=(owen,), findings=())
    flat = " ".join(show(reading, alone=True).replace("|", " ").split())
    for finding in owen.findings:
        assert " ".join(finding.fix.split()) in flat
        for place in finding.places:
            if len(place.quote.split()) <= terminal.LONG:
                assert f"“{place.quote}”" in flat
    for share in owen.shares.values():
        assert share.whole == 0 or f"{share.clean:g} of {share.whole:g} {share.unit}" in flat


def test_the_words_a_finding_is_about_are_marked(show: Show) -> None:
    quote = "He married Gwen on the bont."
    place = Place("book.md", 0, 3, 0, len(quote), quote)
    finding = Finding("leftovers", Level.ERROR, "m", "f", (place,), {"words": ["bont"], "person": "on"}, id="x")
    out = show(replace(THREE, findings=(finding,)), tty=True)
    assert re.search(r"\x1b\[1;4mbont\x1b\[0m", out)
    pattern = terminal.about(finding._replace(details={"pattern": "[name] was living at [name] in [date or number]"}))
    assert {"was living at", "in"} <= pattern


def test_offers_are_listed_where_one_person_is_looked_at(show: Show) -> None:
    place = Place("book.md", 0, 3, 0, 9, "He sailed.")
    finding = Finding(
        "context", Level.WARNING, "m", "f", (place,), {"suggestions": ["the strike of 1900 (Lindsay)"]}, id="x"
    )
    reading = replace(THREE, sections=(replace(persons(THREE)[0], findings=(finding,)),))
    assert "- the strike of 1900 (Lindsay)" in show(reading, alone=True)
    assert "the strike of 1900" not in show(reading)


def test_a_long_quote_is_shortened_and_a_short_one_is_not() -> None:
    words = [f"w{i}" for i in range(100)]
    place = Place("book.md", 0, 1, 0, 1, " ".join(words))
    short = terminal.quoted(Finding("unbroken", Level.NOTE, "m", "f", (place,)), place).plain
    assert short.startswith("“w0 w1 ")
    assert short.endswith(" w98 w99”")
    assert " … " in short
    assert len(short.split()) < 40


def test_the_last_words_say_what_to_do_next_and_what_it_gives(show: Show) -> None:
    out = " ".join(show(read_text(DRAFT)).split())
    assert re.search(r"Next Begin with 1 Owen Prydderch: \w+, \d+ places?\. .* from \d+ to about \d+\. See it", out)
    assert "--person '1 Owen Prydderch'" in out
    assert "storylint sees marks, not truth" in out


def test_when_nothing_is_left_it_says_so(show: Show) -> None:
    out = " ".join(show(read_text("# A wish\n\nMay the slate hold.\n")).split())
    assert "Nothing in this book has to be mended" in out


def test_what_was_not_asked_is_not_said_to_be_well(show: Show) -> None:
    out = " ".join(show(read_text("# A wish\n\nMay the slate hold.\n", only=["unbroken"])).split())
    assert "by the rules that were asked: unbroken. Others were left out." in out
    assert "Nothing in this book" not in out
    assert "marks, not truth" not in out


def test_a_draft_without_persons_says_so_and_is_judged_by_heading(show: Show) -> None:
    out = show(
        read_text(
            "# On slate\n\nSlate is split while it is wet.\n\n# On rain\n\nIt was born in 1841 and died in 1899.\n"
        )
    )
    assert "No person's section was recognised" in out
    assert re.search(r"^On slate", out, re.MULTILINE)


def test_an_empty_draft_is_no_fault(show: Show) -> None:
    assert "0 persons" in show(read_text(""))


def test_remarks_and_unread_files_are_in_the_report(show: Show) -> None:
    draft = replace(THREE.drafts[0], remarks=("two pictures have no caption",))
    reading = replace(THREE, drafts=(draft,), unreadable=(("b.pdf", "is a PDF"),))
    out = show(reading)
    assert "book.md: two pictures have no caption" in out
    assert "b.pdf: not read: is a PDF" in out


@pytest.mark.parametrize("width", [80, 140])
@pytest.mark.parametrize(
    "name",
    ["Maximiliana Wilhelmina Prydderch-Ffoulkes van den Bergh of Plas Newydd", "王 玉蘭", "Ἑλένη Παππᾶ", "Łucja Żółć"],
)
def test_names_of_any_length_and_script_keep_the_columns(show: Show, name: str, width: int) -> None:
    section = replace(persons(THREE)[0], person=name, title=name)
    out = show(replace(THREE, sections=(section, *THREE.sections[1:])), width, tty=True)
    rows = [line for line in STYLED.sub("", out).splitlines() if "■" in line or "╎" in line][:3]
    starts = {cell_len(re.split("[■·╎]", row)[0]) for row in rows}
    assert len(starts) == 1
    assert all(cell_len(row) <= width for row in rows)


def test_a_draft_cannot_command_the_terminal(show: Show) -> None:
    hostile = "He was \x1b[31mborn\x1b]0;title\x07 in [bold]1841[/bold]."
    section = replace(persons(THREE)[0], person="Ow\x1b[2Jen", findings=(
        Finding("boilerplate", Level.WARNING, hostile, hostile, (Place("b", 0, 1, 0, 9, hostile),), id="x"),
    ))  # fmt: skip
    out = show(replace(THREE, sections=(section,)))
    assert "\x1b" not in out
    assert "\x07" not in out
    assert "[bold]1841[/bold]" in out


def test_living_people_bring_their_own_caution(show: Show) -> None:
    finding = Finding("living", Level.ERROR, "m", "f", (Place("b", 0, 1, 0, 9, "q"),), {"person": "Gwen"}, id="x")
    assert "ask before you print" in " ".join(show(replace(THREE, findings=(finding,))).split())


def test_why_tells_each_unit_of_each_score(show: Show) -> None:
    owen = next(section for section in read_text(DRAFT).sections if section.person == "Owen Prydderch")
    out = show(replace(read_text(DRAFT), sections=(owen,)), why=True)
    units = [line for line in out.splitlines() if re.match(r"\s+[\d.]+  “", line)]
    shown = [share for rule, share in owen.shares.items() if rule in terminal.RULES and share.whole]
    assert len(units) == sum(len(share.reasons) for share in shown)
