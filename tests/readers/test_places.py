"""Every quote of every finding stands in the file where its place says, in all formats and however the file was typed.

The files are looked into without storylint (``lookup.py``).
"""

from __future__ import annotations

import json
import random
import textwrap
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from lookup import Source, letters
from small_files import docx, listed, note, notes, numbering, odt, odt_note, p, r, raised, style, table, text_box

from storylint.draft import opening
from tests.conftest import Ran

PEOPLE = ("Owen Prydderch", "Jane Roberts", "Huw Tregarth", "Ellen Bevan", "Ifan Hopkin")
# Something for every rule. Nothing in it is true.
SENTENCES = (
    "{0} was born on 31 June 1841 at Llanllechid, Caernarfonshire.",
    "{0} was living at Gerlan in 1881 as a slate splitter.",
    "{0} was living at Carneddi in 1891 as a slate splitter.",
    "{0} was living at Tregarth in 1871 as a slate splitter.",
    "{0} died in 1899 at Granville, New York, aged 20.",
    "{0} was buried on 3 May 1871 at Poultney, and died on 9 July 1899.",
    "It is said that {0} once carried a quarry boat’s anchor up the incline on a bet.",
    "The blast of that winter was heard as far as the chapel, where the deacons were counting the collection.",
    "The stove [check the make!] came from , Vermont.",
    "Nobody in the house spoke of the strike again, and the newspaper for those weeks was used to line the dresser.",
    "“We split for others,” {0} wrote home, “and the dust we keep.”",
    "A granddaughter, Carys (born 4 April 1989), lives at 12 Slate Row, Poultney, and has been ill since March.",
    "{0} walked with the tools in a flour sack, past the tollgate, past the mill, past the last house that spoke "
    "Welsh, past the new church with its tin roof, past the lime kiln, and on until the road was a cart track, and "
    "the cart track was only a path, and the path was nothing at all but a line of trodden grass between two walls.",
)
CHILDREN = ("William, born 8 June 1867 at Gerlan.", "Jane, born 1 March 1870; died young.", "Huw, born in 1871.")
CITED = "Parish register of Llanllechid, burials, p. {0}, Gwynedd Archives."
WRITERS = ("docx", "odt", "md", "txt")


class Entry(NamedTuple):
    """A person's entry: the name, paragraphs of sentences, whether a list of children and a table follow."""

    name: str
    paragraphs: list[list[str]]
    children: bool
    table: bool


def entries(rng: random.Random) -> list[Entry]:
    """A book, made up at random."""
    return [
        Entry(
            name,
            [
                [rng.choice(SENTENCES).format(name if rng.random() < 0.6 else name.split()[0])
                 for _ in range(rng.choice((1, 3, 5, 14)))]
                for _ in range(rng.randint(1, 4))
            ],
            rng.random() < 0.5,
            rng.random() < 0.4,
        )
        for name in PEOPLE
    ]  # fmt: skip


class Writer:
    """Types a book as untidy writers do: words in several runs, odd spaces, changes, marks of all kinds."""

    def __init__(self, rng: random.Random) -> None:
        self.rng = rng
        self.notes = 0
        self.typed = 0

    def sometimes(self, share: float) -> bool:
        return self.rng.random() < share

    def cut(self, sentence: str) -> list[str]:
        """The sentence in one to four pieces."""
        cuts = sorted(self.rng.sample(range(1, len(sentence)), self.rng.randint(0, 3)))
        return [sentence[a:b] for a, b in zip([0, *cuts], [*cuts, len(sentence)], strict=True)]

    def untidy(self, piece: str) -> str:
        """With a no-break space, a soft hyphen or a doubled space here and there."""
        if self.sometimes(0.1):
            piece = piece.replace(" ", self.rng.choice(("\N{NO-BREAK SPACE}", "  ")), 1)
        if self.sometimes(0.1) and len(piece) > 8:
            piece = piece[:4] + "\N{SOFT HYPHEN}" + piece[4:]
        return piece

    def mark(self) -> int | None:
        """The number of the next note, if the sentence gets one."""
        if not self.sometimes(0.4):
            return None
        self.notes += 1
        return self.notes


class WordProcessor(Writer):
    """A .docx with live footnotes, or with typed digits and a list."""

    def book(self, told: list[Entry]) -> bytes:
        live = self.sometimes(0.6)
        body = p("The Slate Book", style="Title")
        for number, entry in enumerate(told, 1):
            body += p(f"{number}. {entry.name}", style="Heading1") + "<w:p/>" * self.rng.randint(0, 2)
            body += "".join(self.paragraph(sentences, live) for sentences in entry.paragraphs)
            if entry.children:
                body += p(f"Children of {entry.name}:")
                body += "".join(p(*self.runs(child), properties=listed(1)) for child in CHILDREN)
            if entry.table:
                body += table(("Year", "Place"), ("1841", "Llanllechid")) + "<w:p/>"
            if self.sometimes(0.3):
                body += p("Boxed in:", text_box(p("A story that stands in a box of its own at the side.")))
        texts = [CITED.format(number) for number in range(1, self.notes + 1)]
        parts = {"styles": style("Heading1", "heading 1"), "numbering": numbering(("lowerRoman", "%1."))}
        if live:
            return docx(body, **parts, footnotes=notes("footnote", *texts))
        body += p("Notes", style="Heading1") + "".join(p(f"{at}. {text}") for at, text in enumerate(texts, 1))
        return docx(body, **parts)

    def paragraph(self, sentences: list[str], live: bool) -> str:
        content: list[str] = []
        for sentence in sentences:
            content += self.runs(sentence)
            number = self.mark()
            if number:
                content.append(note(number) if live else self.rng.choice((raised(str(number)), str(number))))
            content.append(r(" "))
        return p(*content)

    def runs(self, sentence: str) -> Iterator[str]:
        for piece in self.cut(self.untidy(sentence)):
            run = r(piece, self.rng.choice(("", "", "<w:i/>", "<w:b/>", "<w:lang w:val='cy-GB'/>")))
            if self.sometimes(0.15):
                run = f'<w:ins w:id="1" w:author="A">{run}</w:ins>'
            if self.sometimes(0.15):
                yield '<w:del w:id="2" w:author="A"><w:r><w:delText>Gone words. </w:delText></w:r></w:del>'
            if self.sometimes(0.05):
                yield r("Not for print.", "<w:vanish/>")
            yield run


class OpenDocument(Writer):
    """An .odt with live endnotes."""

    def book(self, told: list[Entry]) -> bytes:
        body = (
            "<text:tracked-changes><text:changed-region><text:deletion><text:p>Gone words.</text:p></text:deletion>"
            "</text:changed-region></text:tracked-changes><text:p>The Slate Book</text:p>"
        )
        for number, entry in enumerate(told, 1):
            body += f"<text:h text:outline-level='1'>{number}. {entry.name}</text:h>" + "<text:p/>" * self.rng.randint(
                0, 2
            )
            body += "".join(f"<text:p>{self.paragraph(sentences)}</text:p>" for sentences in entry.paragraphs)
            if entry.children:
                items = (f"<text:list-item><text:p>{self.spans(child)}</text:p></text:list-item>" for child in CHILDREN)
                body += f"<text:p>Children of {entry.name}:</text:p><text:list>{''.join(items)}</text:list>"
            if entry.table:
                cells = "".join(
                    f"<table:table-cell><text:p>{word}</text:p></table:table-cell>" for word in ("1841", "Gerlan")
                )
                body += f"<table:table><table:table-row>{cells}</table:table-row></table:table>"
        look = '<style:text-properties fo:font-style="italic"/>'
        return odt(body, automatic=f'<style:style style:name="I" style:family="text">{look}</style:style>')

    def paragraph(self, sentences: list[str]) -> str:
        content = ""
        for sentence in sentences:
            content += self.spans(sentence)
            number = self.mark()
            content += odt_note(str(number), CITED.format(number), "endnote") if number else ""
            content += self.rng.choice(
                (" ", "<text:s/>", " <office:annotation><text:p>Check.</text:p></office:annotation>")
            )
        return content

    def spans(self, sentence: str) -> str:
        pieces = self.cut(self.untidy(sentence))
        return "".join(f'<text:span text:style-name="I">{x}</text:span>' if self.sometimes(0.3) else x for x in pieces)


class Markdown(Writer):
    """Markdown with live notes, emphasis and links, hard-wrapped or not."""

    def book(self, told: list[Entry]) -> bytes:
        self.width = self.rng.choice((72, 10_000))
        parts = ["# The Slate Book"]
        for number, entry in enumerate(told, 1):
            parts.append(f"## {number}. {entry.name}")
            parts += [self.wrapped(" ".join(map(self.sentence, paragraph))) for paragraph in entry.paragraphs]
            if entry.children:
                parts += [
                    f"Children of {entry.name}:",
                    "\n".join(f"- {'i' * at}. {c}" for at, c in enumerate(CHILDREN, 1)),
                ]
            if entry.table:
                parts.append("| Year | Place |\n| --- | --- |\n| 1841 | Gerlan |")
        parts += [f"[^{number}]: {CITED.format(number)}" for number in range(1, self.notes + 1)]
        return ("\n\n" * self.rng.randint(1, 2)).join(parts).encode()

    def sentence(self, text: str) -> str:
        words = text.split(" ")
        at = self.rng.randrange(len(words) - 1)
        dress = self.rng.choice(("{}", "{}", "*{}*", "**{}**", "_{}_", "[{}](https://example.org/deed)", "<i>{}</i>"))
        if words[at].isalpha():
            words[at] = dress.format(words[at])
        number = self.mark()
        return " ".join(words) + (f"[^{number}]" if number else "")

    def wrapped(self, text: str) -> str:
        return "\n".join(textwrap.wrap(text, self.width, break_long_words=False, break_on_hyphens=False))


class Typescript(Markdown):
    """Plain text with typed marks and a list of notes, hard-wrapped or not, its lines ended as on any machine."""

    def book(self, told: list[Entry]) -> bytes:
        self.width = self.rng.choice((66, 78, 10_000))
        self.dress = self.rng.choice(("{}", "[{}]"))
        parts = ["THE SLATE BOOK"]
        for number, entry in enumerate(told, 1):
            parts.append(f"{number}. {entry.name}")
            parts += [self.wrapped("  ".join(map(self.sentence, paragraph))) for paragraph in entry.paragraphs]
            if entry.children:
                parts += [
                    f"Children of {entry.name}:",
                    "\n".join(f"   {'i' * at}. {c}" for at, c in enumerate(CHILDREN, 1)),
                ]
        parts += ["NOTES", *(f"{number}. {CITED.format(number)}" for number in range(1, self.notes + 1))]
        return "\n\n".join(parts).replace("\n", self.rng.choice(("\n", "\r\n", "\r"))).encode("utf-8-sig")

    def sentence(self, text: str) -> str:
        number = self.mark()
        return text + (self.dress.format(number) if number else "")


WRITE: dict[str, type[WordProcessor | OpenDocument | Markdown | Typescript]] = dict(
    zip(WRITERS, (WordProcessor, OpenDocument, Markdown, Typescript), strict=True)
)


def written(folder: Path, form: str, seed: int) -> Path:
    """A book in a file."""
    rng = random.Random(f"{form} {seed}")
    path = folder / f"book{seed}.{form}"
    path.write_bytes(WRITE[form](rng).book(entries(rng)))
    return path


def read(run: Callable[..., Ran], path: Path) -> dict[str, Any]:
    """The JSON reading of a draft."""
    ran = run("lint", path, "--format", "json", "--no-record", "--fail-on", "never")
    assert (ran.code, ran.err) == (0, "")
    reading: dict[str, Any] = json.loads(ran.out)
    return reading


def findings(reading: dict[str, Any]) -> list[dict[str, Any]]:
    return [*reading["findings"], *(finding for section in reading["sections"] for finding in section["findings"])]


@pytest.mark.parametrize("form", WRITERS)
def test_every_quote_is_found_again(folder: Path, run: Callable[..., Ran], form: str) -> None:
    rules: set[str] = set()
    for seed in range(6):
        path = written(folder, form, seed)
        reading, source = read(run, path), Source(path)
        texts = {block.index: block.text for block in opening.read(path).blocks if block.text}
        for finding in findings(reading):
            rules.add(finding["rule"])
            for place in finding["places"]:
                assert source.holds(place), (path, finding["rule"], place)
                if place["start"] < place["end"]:
                    assert texts[place["block"]][place["start"] : place["end"]] == place["quote"], (path, place)
        for section in reading["sections"]:
            title = {
                "quote": section["title"],
                "line": section["line"],
                "block": section["block"],
                "start": 0,
                "end": 1,
            }
            assert source.holds(title), (path, title)
        assert [s["person"] for s in reading["sections"] if s["person"]] == list(PEOPLE), path
    assert rules >= {"boilerplate", "templates", "unsourced", "unbroken", "dates", "leftovers"}


@pytest.mark.parametrize("form", WRITERS)
def test_a_place_that_is_wrong_is_noticed(folder: Path, run: Callable[..., Ran], form: str) -> None:
    path = written(folder, form, 0)
    source = Source(path)
    places = [place for finding in findings(read(run, path)) for place in finding["places"] if len(place["quote"]) > 40]
    moved = [place | {"block": place["block"] - 1, "line": place["line"] and place["line"] - 1} for place in places]
    doctored = [place | {"quote": place["quote"][:20] + "slate" + place["quote"][20:]} for place in places]
    assert len(places) > 20
    assert sum(map(source.holds, moved)) < 0.2 * len(moved)  # a sentence may come twice running
    assert not any(map(source.holds, doctored))


def test_letters_are_what_is_compared() -> None:
    assert letters("‘Owen’s³ 1841”") == "owens"
    assert letters("1841.") == "1841"
