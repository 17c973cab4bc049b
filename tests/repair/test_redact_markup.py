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
    ("<b>", "</b>"), ("<span>", "</span>"),
)  # fmt: skip
ALONE = (
    "^[Her letter.]", " ![x](y.png)", " <http://e.org>", "<sup>1</sup>", "[^1]", "<!-- c -->", "&amp;", "\\!",
    "<br>", " [a](http://e.org/0)", "^2^", "\\*", " *", "3",
)  # fmt: skip
ENDS = ("", "\n[^1]: Letter of Gwen.\n", "\n## Notes\n\n1. Letter of Gwen.\n2. Seen.\n\n   It goes on.\n")


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
        again = run("redact", "copy.md", "-o", "again.md", "--force")
        assert "copy.md: 0 cuts" in again.out.replace("again.md", "copy.md"), words


def test_it_says_where_nobody_was_recognised(folder: Path, run: Run, cut: Callable[..., str]) -> None:
    (folder / "plain.md").write_text("Gwen was born in 1960 and lives at Granville.\n", encoding="utf-8")
    ran = run("redact", "plain.md", "-o", "copy.md", "--force")
    assert "Nobody's section was recognised" in ran.out
    cut("She was born in 1960 and lives at Granville.")
    assert "Nobody's section" not in run("redact", "gwen.md", "-o", "copy.md", "--force").out
