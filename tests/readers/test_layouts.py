"""One family printed in many layouts: whoever has an entry in one of them has it in all.

The layouts are those in which family books are commonly printed (common practice, no source); Register, NGSQ, Henry
and d'Aboville numbers after the sources that ``draft/numbering.py`` names.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from io import BytesIO
from textwrap import wrap
from typing import NamedTuple

import docx
import pytest

from storylint.draft import docx as docx_reader
from storylint.draft import markdown, txt
from storylint.draft.sections import split


class Person(NamedTuple):
    """Number, forename, generation, forefathers (nearest first), Henry's number, life, text, children."""

    number: int
    name: str
    generation: int
    line: tuple[str, ...]
    henry: str
    born: int
    died: int
    told: str
    children: tuple[tuple[str, int], ...] = ()


FAMILY = (
    Person(1, "Robert", 1, (), "1", 1742, 1811,
           "was bred a mason and came to Gerlan in the spring of 1769 with two brothers of the trade. He took a lease of "
           "four acres in 1774. He married Jane Prydderch, who outlived him.", (("Owen", 2), ("Hugh", 3), ("Jane", 0))),
    Person(2, "Owen", 2, ("Robert",), "11", 1772, 1849,
           "lived all his life on the four acres, and was overseer of the poor from 1810 to 1814.", (("Evan", 4), ("Ellis", 5))),
    Person(3, "Hugh", 2, ("Robert",), "12", 1775, 1841,
           "went to the new quarry soon after the war. It is not known when he left Gerlan, but he gave up his share there "
           "on 4 May 1818. He married Ellen Bevan.", (("Catherine", 6), ("Hugh", 0))),
    Person(4, "Evan", 3, ("Owen", "Robert"), "111", 1798, 1870,
           "was a carpenter, and built the chapel that stands at the crossroads.", (("Griffith", 7),)),
    Person(5, "Ellis", 3, ("Owen", "Robert"), "112", 1805, 1880,
           "kept the ferry for thirty years. He married Sarah Lloyd in 1830 and had no issue by her."),
    Person(6, "Catherine", 3, ("Hugh", "Robert"), "121", 1811, 1890,
           "taught school at Carneddi before she married, in 1838, Captain Elias Parry, of that place."),
    Person(7, "Griffith", 4, ("Evan", "Owen", "Robert"), "1111", 1826, 1906,
           "sailed with his wife in 1857. He died at Hydeville and is buried there."),
)  # fmt: skip
ORDINALS = ("", "FIRST", "SECOND", "THIRD", "FOURTH")
Head = tuple[str, str | None]  # what opens an entry, and what goes on from it; None: the head is a line by itself


def _upper(p: Person) -> str:
    return f"{p.name.upper()} GETHIN"


def _line(p: Person, sign: str = "") -> str:
    digits = (f"{name}{sign}{p.generation - 1 - at}" if sign else name for at, name in enumerate(p.line))
    return f" ({', '.join(digits)})" if p.line else ""


LAYOUTS: dict[str, Callable[[Person], Head]] = {
    "numbered capitals": lambda p: (f"{p.number}. {_upper(p)}{_line(p)}", f", b. {p.born}; d. {p.died}; {p.told}"),
    "brackets": lambda p: (f"[{p.number}] {p.name} Gethin", f", born {p.born}, died {p.died}, {p.told}"),
    "parentheses": lambda p: (f"({p.number}) {p.name} Gethin", f", born in {p.born}, {p.told}"),
    "raised generation": lambda p: (f"{p.number}. {p.name}^{p.generation} Gethin{_line(p, '^')}", f" was born in {p.born}. He {p.told}"),
    "Henry": lambda p: (f"{p.henry}. {p.name} Gethin", f" (b. {p.born}, d. {p.died}) {p.told}"),
    "d'Aboville": lambda p: (f"{'.'.join(p.henry)} GETHIN, {p.name}", f", b. {p.born}, d. {p.died}. He {p.told}"),
    "family and number": lambda p: (f"FAMILY {p.number}. {_upper(p)}", None),
    "section sign": lambda p: (f"§ {p.number}. {_upper(p)}", f", b. {p.born}, {p.told}"),
    "No.": lambda p: (f"No. {p.number}. {p.name} Gethin", f", b. {p.born}; {p.told}"),
    "generation and number": lambda p: (f"{('I', 'II', 'III', 'IV')[p.generation - 1]}-{p.number}. {p.name} Gethin", f", b. {p.born}, {p.told}"),
    "capitals line with years": lambda p: (f"{_upper(p)}, {p.born}-{p.died}", None),
    "name with years": lambda p: (f"{p.name} Gethin ({p.born}–{p.died})", None),
    "chapter and name": lambda p: (f"Chapter {p.number}: {p.name} Gethin", None),
    "the story of": lambda p: (f"The Story of {p.name} Gethin", None),
    "run in with a dash": lambda p: (f"{_upper(p)}.--", f"Born {p.born}, died {p.died}. He {p.told}"),
    "no number, line of descent": lambda p: (f"{p.name} Gethin{_line(p)}", f", b. {p.born}, d. {p.died}; {p.told}"),
    "number behind": lambda p: (f"{p.name} Gethin ({p.number})", f", b. {p.born}; d. {p.died}. He {p.told}"),
    "forename alone": lambda p: (f"{p.number}. {p.name.upper()}", f", b. {p.born}, d. {p.died}; {p.told}"),
}  # fmt: skip


def _book(head: Callable[[Person], Head], paragraph: Callable[[str], list[str]], between: list[str]) -> Iterator[str]:
    """The lines of the book; ``between`` stands between two paragraphs."""
    yield from ["THE GETHIN FAMILY", "", "PREFACE", "", "Sarah Lloyd lent the Bible, which is here thanked for.", ""]
    generation = 0
    for p in FAMILY:
        if p.generation > generation:
            generation = p.generation
            yield from [f"{ORDINALS[generation]} GENERATION", *between]
        opening, rest = head(p)
        yield from [*paragraph(opening + rest), *between] if rest else [opening, *between]
        yield from [] if rest else [*paragraph(f"{p.name} {p.told}"), *between]
        if p.number == 3:
            yield from [*paragraph("GETHIN & SONS had the ferry house until 1795, and no paper tells why."), *between]
        if p.children:
            children = [f"{name}, born {p.born + 30 + 2 * at}." for at, (name, _) in enumerate(p.children)]
            yield from ["Children:", *children, *between]
    yield from ["", "APPENDIX", "", "The four acres were sold out of the family in 1910."]


TYPING: dict[str, tuple[Callable[[str], list[str]], list[str]]] = {
    "broken lines": (lambda text: wrap(text, 72), [""]),
    "set-in first lines": (lambda text: wrap(text, 72, initial_indent="   "), [""]),
    "a paragraph a line": (lambda text: [text], []),
}


@pytest.mark.parametrize("typing", TYPING)
@pytest.mark.parametrize("layout", LAYOUTS)
def test_everybody_has_an_entry_in_every_layout(layout: str, typing: str) -> None:
    paragraph, between = TYPING[typing]
    text = "\n".join(_book(LAYOUTS[layout], paragraph, between))
    people = [section.person for section in split(txt.read("book.txt", text.encode(), "")) if section.person]
    assert people == [f"{p.name} Gethin" for p in FAMILY]


def _docx(head: Callable[[Person], Head], styled: bool) -> bytes:
    """The book as a .docx: with heading and list styles, or with nothing but bold type and typed lists."""
    made = docx.Document()

    def heading(text: str, level: int) -> None:
        if styled:
            made.add_heading(text, level)
        else:
            made.add_paragraph().add_run(text).bold = True

    heading("The Gethin Family", 1)
    generation = 0
    for p in FAMILY:
        if p.generation > generation:
            generation = p.generation
            heading(f"{ORDINALS[generation].title()} Generation", 1)
        opening, rest = head(p)
        if rest:
            entry = made.add_paragraph()
            entry.add_run(opening).bold = True
            entry.add_run(rest)
        else:
            heading(opening, 2)
            made.add_paragraph(f"{p.name} {p.told}")
        made.add_paragraph("Gethin & Sons had the ferry house until 1795, and no paper tells why.")
        if p.children:
            made.add_paragraph(f"Children of {p.name} Gethin:")
        for at, (name, _) in enumerate(p.children):
            child = made.add_paragraph(f"{name} Gethin, born {p.born + 30 + 2 * at}.")
            child.style = "List Number" if styled else child.style
    heading("Appendix", 1)
    made.add_paragraph("The four acres were sold out of the family in 1910.")
    data = BytesIO()
    made.save(data)
    return data.getvalue()


@pytest.mark.parametrize("styled", [True, False])
@pytest.mark.parametrize("layout", LAYOUTS)
def test_everybody_has_an_entry_in_a_word_processors_file(layout: str, styled: bool) -> None:
    read = docx_reader.read("book.docx", _docx(LAYOUTS[layout], styled), "")
    people = [section.person for section in split(read) if section.person]
    assert people == [f"{p.name} Gethin" for p in FAMILY]


def test_bold_openings_in_markdown_are_not_taken_for_set_in_children() -> None:
    text = "\n".join(_book(lambda p: (f"**{p.name} Gethin**", f" {p.told}"), lambda text: [text], [""]))
    people = [section.person for section in split(markdown.read("book.md", text.encode(), "")) if section.person]
    assert people == [f"{p.name} Gethin" for p in FAMILY]


def test_a_story_inside_the_entries_of_another_layout_is_nobodys_entry() -> None:
    lines = list(_book(LAYOUTS["numbered capitals"], lambda text: [text], [""]))
    at = next(at for at, line in enumerate(lines) if line.startswith("2. OWEN"))
    lines[at + 1 : at + 1] = [
        "",
        "The Family of Jane Lloyd",
        "",
        "Jane Lloyd was born in 1780 at Carneddi. Her father kept bees.",
    ]
    people = [
        section.person for section in split(txt.read("book.txt", "\n".join(lines).encode(), "")) if section.person
    ]
    assert people == [f"{p.name} Gethin" for p in FAMILY]


def test_our_family_is_no_surname() -> None:
    text = "\n".join(_book(LAYOUTS["forename alone"], lambda text: [text], [""])).replace("THE GETHIN", "OUR")
    people = [section.person for section in split(txt.read("book.txt", text.encode(), "")) if section.person]
    assert people == [p.name for p in FAMILY]
