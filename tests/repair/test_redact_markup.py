"""Cuts in Markdown: whatever emphasis, links, code, notes and pictures stand around or across them, a copy is written
that reads like the draft, without the words that go."""

from __future__ import annotations

import random
from collections.abc import Callable
from pathlib import Path

import pytest

from storylint.draft import opening
from tests.conftest import Ran

Run = Callable[..., Ran]
SETTINGS = '[living]\ntoday = "2026-05-01"\n'
BOOK = (
    "# The Prydderchs of Poultney\n\n## 1. Gwen Prydderch\n\n{}\n\n## 2. Owen Prydderch\n\nOwen was born in 1801.\n{}"
)
BORN = "She was born in 1960 and lives at {}"


@pytest.fixture
def cut(folder: Path, run: Run) -> Callable[..., str]:
    """What stands in the place of Gwen's section once it is redacted."""
    (folder / "storylint.toml").write_text(SETTINGS, encoding="utf-8")

    def ran(words: str, notes: str = "") -> str:
        (folder / "gwen.md").write_text(BOOK.format(words, notes), encoding="utf-8")
        done = run("redact", folder / "gwen.md", "-o", "copy.md", "--force")
        assert done.code == 0, f"{words!r}: {done.err}"
        text = (folder / "copy.md").read_text(encoding="utf-8")
        return text.partition("Gwen Prydderch\n\n")[2].partition("\n\n## 2.")[0]

    return ran


@pytest.mark.parametrize(
    ("words", "left"),
    [
        ("She was born in 1960 and lives at *Granville.*", "[…]"),
        ("**She was born in 1960** and lives at Granville.", "[…]"),
        ("*She was born in 1960 and lives at Granville.*", "[…]"),
        ("[She was born in 1960 and lives at Granville.](http://e.org/gwen)", "[…]"),
        ("She was born in 1960 and lives at Granville <http://e.org>", "[…]"),
        ("She was born in 1960 and lives at Granville. [a](http://e.org/0)", "[…]"),
        ("She was born in 1960 and lives at Granville &amp; Sons.", "[…]"),
        ("*She keeps bees. She was born in 1960* and lives at **Granville. She sings.**", "*She keeps bees.* […] **She sings.**"),
        ("`She keeps bees. She was born in 1960 and` lives at Granville.", "`She keeps bees.` […]"),
        ("She was born ![gate](g.png) in 1960 and lives at Granville.", "[…]![gate](g.png)"),
        ("Gwen was born <b>on 9 June</b> 1960, and sang.", "Gwen was born [date withheld], and sang."),
        ("Gwen was born *on* 9 _June 1960, and_ sang.", "Gwen was born [date withheld]_, and_ sang."),
        ("She was born in 1960^[Her letter.] and lives at Granville. She sings.^[A card.]",
         "[…]^[Source withheld: it names the living.] She sings.^[A card.]"),
    ],
)  # fmt: skip
def test_markup_goes_or_stays_in_pairs(cut: Callable[..., str], words: str, left: str) -> None:
    assert cut(words) == left


@pytest.mark.parametrize(
    "notes",
    [
        "\n## Notes\n\n1. Letter of Gwen Prydderch.\n2. Printed card, 1901.\n",
        "\n## Notes\n\n[1] Letter of Gwen Prydderch.\n\n    It goes on.\n\n[2] Printed card, 1901.\n",
    ],
)
def test_a_typed_note_is_emptied_in_its_list(cut: Callable[..., str], folder: Path, notes: str) -> None:
    words = "She was born in 1960 and lives at Granville.<sup>1</sup> She keeps bees.<sup>2</sup>"
    assert cut(words, notes) == "[…]<sup>1</sup> She keeps bees.<sup>2</sup>"
    found = opening.read(folder / "copy.md").notes
    assert found[0].text.startswith("Source withheld: it names the living.")
    assert found[1].text == "Printed card, 1901."
    assert "Letter" not in (folder / "copy.md").read_text(encoding="utf-8")


SENTENCES = (
    "She was born in 1960 and lives at Granville.", "She keeps bees.", "Gwen lives at 14 Norton Avenue, Poultney.",
    "The house was built in 1871 of slate.", "Gwen was born on 9 June 1960 at Poultney and split slate.",
    "She has had a stroke.", "She married Paul Ash on 4 May 1985.",
)  # fmt: skip
PAIRS = (
    ("*", "*"), ("**", "**"), ("***", "***"), ("_", "_"), ("`", "`"), ("[", "](http://e.org/q)"), ("<i>", "</i>"),
    ("<b>", "</b>"), ("<span>", "</span>"), ("[", '](http://e.org/q "Gwen at home")'), ("[", "][Card]"),
    ('<span title="Gwen at home">', "</span>"),
)  # fmt: skip
ALONE = (
    "^[Her letter.]", " ![x](y.png)", " <http://e.org>", "<sup>1</sup>", "[^1]", "<!-- c -->", "&amp;", "\\!",
    "<br>", " [a](http://e.org/0)", "^2^", "\\*", " *", "3",
)  # fmt: skip
ENDS = (
    "",
    "\n[^1]: Letter of Gwen.\n",
    '\n[card]: http://e.org/gwen "Gwen at home"\n',
    "\n## Notes\n\n1. Letter of Gwen.\n2. Seen.\n\n   It goes on.\n",
)


def marked(dice: random.Random) -> str:
    """Sentences with markup thrown over them, some of it across their ends and across itself."""
    words = " ".join(dice.sample(SENTENCES, dice.randint(1, 5))).split(" ")
    for _ in range(dice.randint(1, 4)):
        first = dice.randrange(len(words))
        last = dice.randint(first, min(len(words) - 1, first + 6))
        opening_sign, closing_sign = dice.choice(PAIRS)
        words[first] = opening_sign + words[first]
        words[last] += closing_sign
    for _ in range(dice.randint(0, 3)):
        words[dice.randrange(len(words))] += dice.choice(ALONE)
    text = " ".join(words)
    if dice.random() < 0.3:
        text = text.replace(" ", dice.choice(("\n", "\\\n")), 1)
    before = dice.choice(("", "", "> ", "- ", "1. "))
    return before + (text.replace("\n", "\n> ") if before == "> " else text)


@pytest.mark.parametrize("seed", range(6))
def test_a_copy_is_written_whatever_the_markup(cut: Callable[..., str], folder: Path, run: Run, seed: int) -> None:
    dice = random.Random(seed)
    for _ in range(12):
        words = marked(dice)
        cut(words, dice.choice(ENDS))
        draft, copy = (opening.read(folder / name).blocks for name in ("gwen.md", "copy.md"))
        nobody = [block.text for block in draft] == [block.text for block in copy]  # who may be living: all told is old
        read = "".join(block.text for block in copy)  # half a link is read
        assert nobody or (folder / "copy.md").read_text(encoding="utf-8").count("at home") == read.count("at home"), (
            words
        )
        again = run("redact", "copy.md", "-o", "again.md", "--force")
        assert "copy.md: 0 cuts" in again.out.replace("again.md", "copy.md"), words


def test_it_says_where_nobody_was_recognised(folder: Path, run: Run, cut: Callable[..., str]) -> None:
    (folder / "plain.md").write_text("Gwen was born in 1960 and lives at Granville.\n", encoding="utf-8")
    ran = run("redact", "plain.md", "-o", "copy.md", "--force")
    assert "Nobody's section was recognised" in ran.out
    cut("She was born in 1960 and lives at Granville.")
    assert "Nobody's section" not in run("redact", "gwen.md", "-o", "copy.md", "--force").out


ROWS = "---\n{}\n---\n"


@pytest.mark.parametrize(
    ("head", "words", "kept"),
    [
        ("", '[page](http://e.org/a "Gwen at Norton")', "[page](http://e.org/a)"),
        ("", "![bank](bank.png 'Gwen at Norton')", "![bank](bank.png)"),
        ("", '[page][p]\n\n[p]: http://e.org/a "Gwen at Norton"', "[page][p]\n\n[p]: http://e.org/a"),
        ("", "[page][p]\n\n[p]: <mailto:norton@e.org>", "[page][p]\n\n[p]: <>"),
        ("", "> [p]\n>\n> [p]: http://e.org/gwen-norton", "> [p]\n>\n> [p]: <>"),
        ("", "A\n\n[//]: # (She lives at Norton)\n\nB", "A\n\n\n\nB"),
        ("", '[p]: http://e.org/a\n"The\nNorton letter"\n\nB', "B"),
        ("", '<span data-at="Gwen, Norton" class="c">words</span>', '<span class="c">words</span>'),
        ("", '<p align=left title="Gwen at Norton">\nwords\n</p>', "<p align=left>\nwords\n</p>"),
        ("", "A <!-- Norton --> B", "A  B"),
        ("", "# Bees {#gwen-14-norton}", "# Bees \n"),
        ("", '![bank](b.png "Gwen at Norton"){width=50%}', "![bank](b.png){width=50%}"),
        (ROWS.format("title: Gwen\nsubject: At Norton"), "A", ROWS.format("title: Gwen") + "\nA"),
        (ROWS.format("toc: true\nhome: >\n  She lives\n  at Norton"), "A", ROWS.format("toc: true") + "\nA"),
        (ROWS.format("note: Norton\nfontsize: 12pt").replace("\n", "\r\n"), "A", "---\r\nfontsize: 12pt\r\n---"),
        ('+++\ntitle = "Bees"\nseen = "with Gwen at Norton"\n+++\n', "A", '+++\ntitle = "Bees"\n+++\n\nA'),
        (ROWS.format("home: 14 Norton Avenue"), "A", "A"),
    ],
)  # fmt: skip
def test_what_is_not_read_goes_and_the_rest_still_works(
    folder: Path, run: Run, head: str, words: str, kept: str
) -> None:
    (folder / "storylint.toml").write_text(SETTINGS, encoding="utf-8")
    end = "# Gwen Prydderch\n\nGwen was born at Poultney in 1960. She keeps bees.\n"
    (folder / "gwen.md").write_bytes(f"{head}\n{words}\n\n{end}".encode())
    ran = run("redact", "gwen.md", "-o", "copy.md")
    assert ran.code == 0, ran.err
    copy = (folder / "copy.md").read_bytes().decode()
    assert "not read on the page" in ran.out
    assert kept in copy
    assert "orton" not in copy
    assert "1960" not in copy


@pytest.mark.parametrize(
    ("head", "words"),
    [
        (ROWS.format("title: Bees\nauthor: Gwen Prydderch\ntoc: true\nbibliography: refs.bib\ndate: 4 May 2024"), "A"),
        (ROWS.format("header-includes: |\n  \\\\usepackage{fancyhdr}\n  \\\\fancyhead[LE]{a b c d e f g h}"), "A"),
        ("", '[page](http://e.org/a "The bank at Poultney") and [card][c]\n\n[c]: http://e.org/c "A card"'),
        ("", '<img src="gwen.png" alt="The bank"> [shortcut]\n\n[shortcut]: http://e.org/c'),
        ("", "[Card][]\n\n[ CARD ]: http://e.org/c"),
    ],
)  # fmt: skip
def test_settings_links_and_titles_that_tell_of_nobody_stay(folder: Path, run: Run, head: str, words: str) -> None:
    (folder / "storylint.toml").write_text(SETTINGS, encoding="utf-8")
    whole = f"{head}\n{words}\n\n# Gwen Prydderch\n\nGwen keeps bees. Gwen has had a stroke.\n"
    (folder / "gwen.md").write_text(whole, encoding="utf-8")
    assert run("redact", "gwen.md", "-o", "copy.md").code == 0
    assert (folder / "copy.md").read_text(encoding="utf-8") == whole.replace("Gwen has had a stroke.", "[…]")
