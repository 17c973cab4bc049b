"""Numbering systems against what has been published about them. The source stands beside each check.

The people are invented; where a line is a published example it is quoted in full and said to be one.
"""

from __future__ import annotations

import pytest

from storylint.draft.model import Block, Draft, Kind, Section
from storylint.draft.names import read_name
from storylint.draft.numbering import (
    System,
    decide_system,
    generation_heading,
    generation_of,
    parent_of,
    read_child_line,
    read_lineage,
    read_number,
)
from storylint.draft.sections import numbering_system, split


def book(text: str) -> Draft:
    lines = [line.strip() for line in text.strip().splitlines() if line.strip()]
    return Draft("book.txt", "txt", "0" * 64, tuple(Block(i, Kind.PARAGRAPH, line) for i, line in enumerate(lines)))


def people(draft: Draft) -> list[Section]:
    return [section for section in split(draft) if section.person]


def told(draft: Draft) -> list[tuple[str | None, str | None, int | None]]:
    return [(s.person, s.number, s.generation) for s in people(draft)]


# Register style: layout after Helen S. Ullmann, "Writing a Family Sketch in Register Style", New England Ancestors 8:3
# (Summer 2007), 41–42, 45, and the Register style template of the New England Historic Genealogical Society: names in
# capitals, superscript generation after the forename, line of descent in brackets nearest ancestor first, children in
# small roman numerals, an arabic number only before those carried forward.
REGISTER = """
    FIRST GENERATION
    1. EVAN{1} CADNANT was born at Llandygái, Caernarfonshire, 3 April 1788. He married there, 2 May 1810, ANN PUGH.
    He carried slate to the quay for the better part of his life.
    Children of Evan and Ann (Pugh) Cadnant, born at Llandygái:
    i. MARGIAD{2} CADNANT, b. 5 Apr. 1811; d. 1 June 1812.
    2. ii. GRUFFYDD CADNANT, b. 18 March 1813; m. ANN POWELL.
    iii. SARAH CADNANT, bp. 6 Jan. 1816; living 1840.
    3. iv. ELIAS CADNANT, b. 22 Dec. 1818.
    SECOND GENERATION
    2. GRUFFYDD{2} CADNANT (Evan{1}) was born at Llandygái 18 March 1813 and married ANN POWELL.
    Child of Gruffydd and Ann (Powell) Cadnant:
    4. i. EVAN{3} CADNANT, b. 1841.
    3. ELIAS{2} CADNANT (Evan{1}) was born at Llandygái 22 December 1818.
    THIRD GENERATION
    4. EVAN{3} CADNANT (Gruffydd{2}, Evan{1}) was born in 1841 and died at Granville, New York.
"""


@pytest.mark.parametrize("written", ["^{n}", "{n}", "^{n}^", "sup"])
def test_register(written: str) -> None:
    """Superscripts are typed with a caret or flatten when a text is pasted elsewhere (common practice, no source)."""
    text = REGISTER
    for digit, raised in zip("123", "¹²³", strict=True):
        text = text.replace("{" + digit + "}", raised if written == "sup" else written.replace("{n}", digit))
    draft = book(text)
    assert told(draft) == [
        ("Evan Cadnant", "1", 1), ("Gruffydd Cadnant", "2", 2), ("Elias Cadnant", "3", 2), ("Evan Cadnant", "4", 3),
    ]  # fmt: skip
    assert [s.lineage for s in people(draft)] == [(), ("Evan",), ("Evan",), ("Gruffydd", "Evan")]
    assert numbering_system(draft) is System.REGISTER


def test_ngsq() -> None:
    """NGSQ System: every child has an arabic number and a plus sign marks those carried forward.

    Joan Ferris Curran, Madilyn Coen Crane and John H. Wray, Numbering Your Genealogy (National Genealogical Society,
    2nd ed. 2008), as described by Judy Kellar Fox, "Numbering a Genealogy 1: Immigration", Board for Certification of
    Genealogists, 30 March 2016: "Each person has a unique number."
    """
    draft = book("""
        1. Evan1 Cadnant was born at Llandygái in 1788.
        Children of Evan Cadnant and Ann Pugh were as follows:
        2 i. Margiad2 Cadnant, born 5 April 1811.
        + 3 ii. Gruffydd Cadnant, born 18 March 1813.
        4 iii. Sarah Cadnant, baptized 6 January 1816.
        + 5 iv. Elias Cadnant, born 22 December 1818.
        3. Gruffydd2 Cadnant (Evan1) was born 18 March 1813.
        5. Elias2 Cadnant (Evan1) was born 22 December 1818.
    """)
    assert told(draft) == [("Evan Cadnant", "1", 1), ("Gruffydd Cadnant", "3", 2), ("Elias Cadnant", "5", 2)]
    assert numbering_system(draft) is System.NGSQ
    assert [b.text[:5] for b in people(draft)[0].of_kind(Kind.CHILD)] == ["2 i. ", "+ 3 i", "4 iii", "+ 5 i"]


def test_published_example_with_generations_before_the_immigrant() -> None:
    """Published example (Fox, as above), quoted: letters count the generations before the immigrant."""
    line = "8.  Margaret Maitland2 Walker (Thomas Watta-1, WilliamA, ThomasB) was born"
    number = read_number(line)
    assert number is not None
    assert number.text == "8"
    name = read_name(line, number.end)
    assert name is not None
    assert (name.text, name.generation) == ("Margaret Maitland Walker", 2)
    assert read_lineage(line[name.end :])[0] == ("Thomas Watt", "William", "Thomas")


def test_daboville() -> None:
    """d'Aboville (Jacques d'Aboville, 1940; from memory): one step a generation, with dots, in an American variant
    with hyphens. "The oldest child of child number twelve is 1.12.1": FH Publishing weblog, "Descendant Numbering
    System", July 2010."""
    draft = book("""
        1 Evan Cadnant
        Evan Cadnant was born at Llandygái in 1788 and kept a dog that could count to four, which was enough.
        1.2 Gruffydd Cadnant
        Gruffydd Cadnant was born in 1813 and went to sea in a ship full of roofs.
        1.2.10 Ann Cadnant
        Ann Cadnant was born in 1850, the tenth, and was the only one who wrote home.
        1.12 Elias Cadnant
        Elias Cadnant was born in 1830, and nobody had expected him.
    """)
    assert told(draft) == [
        ("Evan Cadnant", "1", 1), ("Gruffydd Cadnant", "1.2", 2), ("Ann Cadnant", "1.2.10", 3),
        ("Elias Cadnant", "1.12", 2),
    ]  # fmt: skip
    assert numbering_system(draft) is System.DABOVILLE
    assert parent_of("1.12.1", System.DABOVILLE) == "1.12"
    assert generation_of("1-2-10-1", System.DABOVILLE) == 4


@pytest.mark.parametrize(
    ("number", "generation", "parent"), [("12X1", 4, "12X"), ("1(10)2", 3, "1(10)"), ("112", 3, "11")]
)
def test_henry_numbers(number: str, generation: int, parent: str) -> None:
    """Henry System (Reginald Buchanan Henry, Genealogies of the Families of the Presidents, 1935; from memory): the
    tenth child is X; in the modified form numbers above nine stand in brackets."""
    read = read_number(number + " Ann Cadnant")
    assert read is not None
    assert read.text == number
    assert generation_of(number, System.HENRY) == generation
    assert parent_of(number, System.HENRY) == parent


def test_henry() -> None:
    draft = book("""
        1. Evan Cadnant
        Evan Cadnant was born at Llandygái in 1788 and never owned a watch.
        11. Gruffydd Cadnant
        Gruffydd Cadnant was born in 1813 and owned two.
        111. Ann Cadnant
        Ann Cadnant was born in 1850 and sold them both.
        12. Elias Cadnant
        Elias Cadnant was born in 1818 and asked people the time.
        1X. Sarah Cadnant
        Sarah Cadnant was born in 1830, the tenth child.
    """)
    assert told(draft) == [
        ("Evan Cadnant", "1", 1), ("Gruffydd Cadnant", "11", 2), ("Ann Cadnant", "111", 3), ("Elias Cadnant", "12", 2),
        ("Sarah Cadnant", "1X", 2),
    ]  # fmt: skip
    assert numbering_system(draft) is System.HENRY


def test_ahnentafel() -> None:
    """Ahnentafel: father 2n, mother 2n + 1; "if John Smith is 10, his father is 20, and his mother is 21, and his
    daughter is 5" (Wikipedia, "Genealogical numbering systems", as stored in 2026)."""
    assert parent_of("10", System.AHNENTAFEL) == "5"
    assert parent_of("20", System.AHNENTAFEL) == parent_of("21", System.AHNENTAFEL) == "10"
    # the same article numbers the fourth generation 8 to 15
    assert [generation_of(str(n), System.AHNENTAFEL) for n in (1, 2, 3, 4, 7, 8, 15)] == [1, 2, 2, 3, 3, 4, 4]
    draft = book("""
        1. Ellen Cadnant
        Ellen Cadnant was born at Granville in 1910 and started all this.
        2. Thomas Cadnant
        Thomas Cadnant was born in 1880 and could whistle through slate.
        3. Jane Poole
        Jane Poole was born in 1883 and could not stand it.
        4. Evan Cadnant
        Evan Cadnant was born at Llandygái in 1850.
        5. Ann Pugh
        Ann Pugh was born in 1852.
        8. Gruffydd Cadnant
        Gruffydd Cadnant was born in 1813.
    """)
    assert told(draft) == [
        ("Ellen Cadnant", "1", 1), ("Thomas Cadnant", "2", 2), ("Jane Poole", "3", 2), ("Evan Cadnant", "4", 3),
        ("Ann Pugh", "5", 3), ("Gruffydd Cadnant", "8", 4),
    ]  # fmt: skip
    assert numbering_system(draft) is System.AHNENTAFEL


def test_no_numbers_no_system() -> None:
    assert decide_system([], [], 0, 0) is System.NONE


@pytest.mark.parametrize(
    ("line", "number", "order", "plus"),
    [  # layouts of child lists in the Register and NGSQ systems (Ullmann; Curran, Crane and Wray, as above)
        ("i. MERCY^2 CADNANT, b. 5 Apr. 1811", None, 1, False),
        ("2.    ii.  GRUFFYDD CADNANT", "2", 2, False),
        ("+   3   ii.  Gruffydd Cadnant, born", "3", 2, True),
        ("4   iii. Sarah Cadnant", "4", 3, False),
        ("xiv. Elias", None, 14, False),
    ],
)
def test_child_lines(line: str, number: str | None, order: int, plus: bool) -> None:
    read = read_child_line(line)
    assert read is not None
    assert (read.number, read.order, read.plus) == (number, order, plus)


@pytest.mark.parametrize("line", ["i.e. the eldest", "Mix. Evan", "1. Evan Cadnant was born", "in. the end"])
def test_no_child_lines(line: str) -> None:
    assert read_child_line(line) is None


@pytest.mark.parametrize(
    ("line", "generation"),
    [  # headings of generations: common practice, no source
        ("FIRST GENERATION", 1), ("The Second Generation", 2), ("Generation Three", 3), ("GENERATION IV", 4),
        ("Generation No. 5", 5), ("3rd Generation", 3), ("_Sixth Generation.--Evan I._", 6),
        ("A lost generation", None), ("The Generation of the Wheel", None),
    ],
)  # fmt: skip
def test_generation_headings(line: str, generation: int | None) -> None:
    assert generation_heading(line) == generation


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("(Gruffydd^2, Evan^1)", ("Gruffydd", "Evan")),
        ("(Gruffydd², Evan¹)", ("Gruffydd", "Evan")),
        ("(Gruffydd2, Evan1)", ("Gruffydd", "Evan")),
        ("(_Gruffydd_, _Evan I._)", ("Gruffydd", "Evan")),
        ("[Gruffydd,^2 Evan^1]", ("Gruffydd", "Evan")),
        ("(Ann)", ()),
        ("(1788–1853)", ()),
        ("(see the note on page 4)", ()),
        ("(born at Nefyn, Wales)", ()),
    ],
)
def test_lineages(text: str, names: tuple[str, ...]) -> None:
    assert read_lineage(text)[0] == names
