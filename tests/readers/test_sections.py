"""The split into sections: whose entry begins where, and what only looks like an entry."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from storylint.draft import txt
from storylint.draft.model import Block, Draft, Kind, Section
from storylint.draft.numbering import System, generation_of, parent_of
from storylint.draft.sections import split
from tests.effort import calls


def block(line: str | Block) -> Block:
    """A block from a line: '## Heading', '- item', '**bold**', '_italic_', '| table', '> quotation', '[1] note'."""
    if isinstance(line, Block):
        return line
    heading = re.match(r"(#+) ", line)
    if heading:
        return Block(0, Kind.HEADING, line[heading.end() :], level=len(heading[1]))
    for sign, kind in (("- ", Kind.ITEM), ("| ", Kind.TABLE), ("> ", Kind.QUOTATION), ("[n] ", Kind.NOTES)):
        if line.startswith(sign):
            return Block(0, kind, line[len(sign) :])
    for sign, field in (("**", "bold"), ("_", "italic")):
        end = line.find(sign, 1)
        if line.startswith(sign) and end > 0:
            inside = line[len(sign) : end]
            return Block(0, Kind.PARAGRAPH, inside + line[end + len(sign) :], **{field: ((0, len(inside)),)})
    return Block(0, Kind.PARAGRAPH, line)


def draft(lines: str | Iterable[str | Block], form: str = "md") -> Draft:
    """A draft of the given lines, one block each."""
    if isinstance(lines, str):
        lines = [line.strip() for line in lines.strip().splitlines() if line.strip()]
    blocks = tuple(replace(block(line), index=index) for index, line in enumerate(lines))
    return Draft("book." + form, form, "0" * 64, blocks)


def _places(section: Section) -> list[int]:
    """The blocks of a section; an entry that stands in the body too counts once."""
    blocks = [section.entry, *section.body] if section.entry else section.body
    return list(dict.fromkeys(block.index for block in blocks))


def sections(lines: str | Iterable[str | Block], form: str = "md") -> list[Section]:
    made = draft(lines, form)
    found = split(made)
    covered = [at for section in found for at in _places(section)]
    assert covered == list(range(len(made.blocks))), "every block once, in reading order"
    assert len({s.id for s in found}) == len(found), "ids are unique"
    spaced = replace(made, blocks=tuple(replace(block, index=3 * at + 2) for at, block in enumerate(made.blocks)))
    assert _shape(split(spaced)) == _shape(found), "empty paragraphs, which have an index and no block, change nothing"
    return found


def _shape(found: Iterable[Section]) -> list[object]:
    return [(s.id, s.person, s.number, s.generation, s.lineage, [(b.kind, b.text) for b in s.body]) for s in found]


def persons(lines: str | Iterable[str | Block], form: str = "md") -> list[str]:
    return [s.person for s in sections(lines, form) if s.person]


STORY = "The quarry paid by the ton, and the ton was weighed by the man who paid, so that nobody was ever rich."


REGISTER = """
    FIRST GENERATION
    1. OWEN^1 TREFNANT was born at Llanllechid, Caernarfonshire, 3 April 1788. He married there MARGED PARRY.
    He split slate for thirty-one years and owned, when he died, a clock and a cow.
    Children of Owen and Marged (Parry) Trefnant, born at Llanllechid:
    i. MARGED^2 TREFNANT, b. 5 Apr. 1811; d. 1 June 1812.
    2. ii. HUW TREFNANT, b. 18 March 1813; m. ANN POWELL.
    iii. SARAH TREFNANT, bp. 6 Jan. 1816; living 1840.
    3. iv. IFAN TREFNANT, b. 22 Dec. 1818.
    SECOND GENERATION
    2. HUW^2 TREFNANT (Owen^1) was born at Llanllechid 18 March 1813. He married ANN POWELL.
    ANN POWELL was the daughter of a chapel treasurer and counted everything, including her blessings.
    3. IFAN^2 TREFNANT (Owen^1) was born at Llanllechid 22 December 1818 and sailed from Porthmadog in 1852.
"""


def test_register_paragraphs() -> None:
    found = sections(REGISTER, "txt")
    people = [s for s in found if s.person]
    assert [s.person for s in people] == ["Owen Trefnant", "Huw Trefnant", "Ifan Trefnant"]
    assert [s.number for s in people] == ["1", "2", "3"]
    assert [s.generation for s in people] == [1, 2, 2]
    assert people[1].lineage == ("Owen",)
    assert people[0].entry is people[0].body[0], "the paragraph that opens with the name is prose of the section"


def test_child_lines_become_children_and_keep_their_numbers() -> None:
    first = next(s for s in sections(REGISTER, "txt") if s.person)
    children = [b.text for b in first.of_kind(Kind.CHILD)]
    assert len(children) == 4
    assert children[1].startswith("2. ii. HUW")


def test_spouse_in_capitals_at_the_start_of_a_paragraph_is_no_entry() -> None:
    assert "Ann Powell" not in persons(REGISTER, "txt")


NGSQ = """
    # The Trefnants
    ## First Generation
    1. Owen Trefnant
    Owen Trefnant was baptized at Llanllechid on 3 April 1788 and never afterwards left the parish for a night.
    + 2 i. Huw Trefnant, born 18 March 1813.
    3 ii. Sarah Trefnant, born 6 January 1816; died 1840.
    + 4 iii. Ifan Trefnant, born 22 December 1818.
    ## Second Generation
    2. Huw Trefnant (Owen1)
    Huw was the one who could read, and he read the newspaper aloud to the whole of the bargain at dinner.
    5 i. Owen Trefnant, born 1841.
    4. Ifan Trefnant (Owen1)
    Ifan sailed from Porthmadog in 1852 with his tools in a flour sack.
"""


@pytest.mark.parametrize("form", ["txt", "md", "docx"])
def test_ngsq_lines(form: str) -> None:
    found = [s for s in sections(NGSQ, form) if s.person]
    assert [(s.person, s.number, s.generation) for s in found] == [
        ("Owen Trefnant", "1", 1),
        ("Huw Trefnant", "2", 2),
        ("Ifan Trefnant", "4", 2),
    ]
    assert sum(1 for s in found for _ in s.of_kind(Kind.CHILD)) == 4


NUMBERED_HEADINGS = """
    # Slate Water
    ## The Man from Bethesda
    In those years the whole valley went up the hill in the dark and came down it in the dark.
    ### 1. Owen Trefnant
    Owen was born in 1788 in a house that had no chimney, as he liked to tell people who had two.
    #### The strike
    It began over a ladder. Owen Trefnant had nothing to say about it afterwards.
    #### Her letters
    She wrote on the backs of bills, and he kept the bills.
    #### Elijah and the teapot
    The teapot came from Huw, who had it from nobody knows where.
    ### 2. Marged Parry, wife of Owen Trefnant
    Marged could count in two languages and trusted neither.
    ## The Man from Granville
    ### 3. Huw Trefnant the Younger (Owen1)
    Huw came up the Mettawee in 1852 with his brother's coat on his back.
    ### 4. Ifan Trefnant of Poultney (Owen1)
    Ifan followed in the autumn and brought the coat's owner with him.
    ## Notes
    1. Llanllechid parish register, baptisms, 1788.
    2. Owen Trefnant to Marged Parry, 4 May 1812.
"""


def test_numbered_headings_epithets_and_wives() -> None:
    assert persons(NUMBERED_HEADINGS) == [
        "Owen Trefnant", "Marged Parry", "Huw Trefnant the Younger", "Ifan Trefnant of Poultney",
    ]  # fmt: skip


def test_subheadings_stay_with_the_person_and_chapters_stand_alone() -> None:
    found = sections(NUMBERED_HEADINGS)
    owen = next(s for s in found if s.person == "Owen Trefnant")
    assert [b.text for b in owen.of_kind(Kind.HEADING)] == ["The strike", "Her letters", "Elijah and the teapot"]
    assert [s.title for s in found if s.person is None] == [
        "Slate Water", "The Man from Bethesda", "The Man from Granville", "Notes",
    ]  # fmt: skip


def test_names_in_headings_without_numbers() -> None:
    book = f"""
        # The Trefnants of Two Valleys
        ## Preface
        I have had help from many cousins, and Owen Trefnant of Granville lent me the letters.
        ## Owen Trefnant (1788–1853)
        Owen was born at Llanllechid. {STORY}
        ### Mary Jane
        The boat was the Mary Jane, and Owen never saw her.
        ## Marged Parry, 1790–1861
        Marged was the eldest of nine. {STORY}
        ## Huw Trefnant: Quarryman
        Huw went up at ten years old. {STORY}
        ## Ifan and Gwen Trefnant
        Ifan met Gwen at a singing festival. {STORY}
        ## Life in the Quarry
        {STORY}
        ## Acknowledgements
        Thanks to the archive at Caernarfon.
    """
    found = sections(book)
    assert [s.person for s in found] == [
        None, None, "Owen Trefnant", "Marged Parry", "Huw Trefnant", "Ifan Trefnant", None, None,
    ]  # fmt: skip
    assert found[-1].title == "Acknowledgements"


def test_place_and_topic_headings_shaped_like_names_are_no_persons() -> None:
    book = f"""
        # A Slate Family
        ## Port Dinorwic
        The ships lay at Port Dinorwic two deep. He worked in Port Dinorwic as a boy. {STORY}
        ## Gold Fever
        There was gold in the river, and fever with the gold. {STORY}
        ## Poor Relief
        The relief of the poor cost the parish forty pounds. {STORY}
        ## Owen Trefnant
        Owen was born in 1788. {STORY}
        ## Huw Trefnant
        Huw was born in 1813. {STORY}
    """
    assert persons(book) == ["Owen Trefnant", "Huw Trefnant"]


@pytest.mark.parametrize("level", ["###", "####"])
@pytest.mark.parametrize("opening", ["{0}", "_{0}_", "{1}"])
def test_a_place_or_a_ship_in_a_sub_heading_of_a_numbered_entry_is_no_person(level: str, opening: str) -> None:
    huw = opening.format("2. HUW^2 TREFNANT (Owen^1) was born at Llanllechid in 1813.", "2. Huw Trefnant (Owen1)")
    ifan = opening.format("3. IFAN^2 TREFNANT (Owen^1) was born there in 1818.", "3. Ifan Trefnant (Owen1)")
    book = f"""
        # The Trefnants of Swan Hollow
        ## Second Generation
        {huw}
        {level} The strike
        Huw stood out for eleven weeks and never said what they had lived on. {STORY}
        {level} Swan Hollow
        He bought forty acres with a spring on them, and Ann washed in it. {STORY}
        {level} Mary Jane
        The boat was the Mary Jane. {STORY}
        {ifan}
        {level} Slate
        Ifan opened a pit of his own in 1871. {STORY}
    """
    found = sections(book)
    assert [s.title for s in found if not s.person] == ["The Trefnants of Swan Hollow", "Second Generation"]
    assert [s.person for s in found if s.person] == ["Huw Trefnant", "Ifan Trefnant"]


BETWEEN = f"""
    # A Slate Family
    ## Owen Trefnant
    Owen was born at Llanllechid in 1788. {STORY}
    ## {{title}}
    {{text}} {STORY}
    ## Huw Trefnant
    Huw was born in 1813. {STORY}
"""


@pytest.mark.parametrize(
    ("title", "text"),
    [
        ("Cefn Du", "Nothing stops the wind on Cefn Du. Huw built a wall there."),
        ("Cefn Du", "He bought forty acres of it. On Cefn Du nothing grew but slate."),
        ("Capel Seion", "Capel Seion was built in 1823 and burned in 1868."),
        ("Coed Mawr", "Coed Mawr lay a mile above the road."),
        ("Granville Corners", "They came to Granville Corners in 1852."),
        ("Gwalia Bach", "The Gwalia Bach sailed from Porthmadog in April."),
        ("Swan Hollow", "Swan Hollow had a spring, and Ann washed in it."),
        ("Dorothea Street", "Dorothea Street was the longest in Nantlle. He lived at 4 Dorothea Street."),
        ("Victoria Place", "They took two rooms for the winter."),
        ("Mary Hill", "The farm stood above Bethesda."),
    ],
)
def test_a_place_among_persons_is_told_by_what_the_text_says_of_it(title: str, text: str) -> None:
    assert persons(BETWEEN.format(title=title, text=text)) == ["Owen Trefnant", "Huw Trefnant"]
    chapters = f"# Slate Water\n## What Nain Carried\n{STORY}\n## The Strike\n{STORY}\n## {title}\n{text} {STORY}"
    assert persons(chapters) == []


@pytest.mark.parametrize(
    ("title", "text"),
    [
        ("Solveig Aasen", "Solveig sewed shirts in Bergen until 1880."),
        ("Guro Olsdatter", "The parish book has her on 3 May 1801."),
        ("Kwame Mensah", "The first record is a bill of sale of 1806. Mensah signed it with a cross."),
        ("Efua Acheampong", "Nobody knows where Efua Acheampong came from."),
        ("Torbjørn Nesheim", "Torbjørn Nesheim, b. Voss 19 May 1836."),
        ("Grietje Alberts", "Grietje Alberts was thrice married."),
        ("Tomos Trefnant", "Nothing is left but a bill."),
        ("Elmina S. Cadnant", "The choir was founded in 1867."),
        ("Mary Hill", "Mary was born in 1820."),
        ("Jane Street", "She was born in 1820 and never married."),
    ],
)
def test_a_person_with_a_name_that_we_do_not_know_is_told_by_what_the_text_says(title: str, text: str) -> None:
    assert persons(BETWEEN.format(title=title, text=text)) == ["Owen Trefnant", title, "Huw Trefnant"]


@pytest.mark.parametrize(
    ("title", "text", "person"),
    [
        ("Quaco", "Quaco was born about 1790.", "Quaco"),
        ("Mintah", "Mintah came in the second gang.", "Mintah"),
        ("Mintah", "Mintah, who cooked, could not write.", "Mintah"),
        ("Mintah", "The ledger of 1817 names her first: Mintah, 34.", "Mintah"),
        ("Mintah", "The first in the book is Mintah, of whom her owner says little.", "Mintah"),
        ("Quashie, later Robert Trefnant", "Quashie was born about 1800.", "Quashie"),
        ("Quashie, afterwards known as Robert Trefnant", "He was sold in 1811.", "Quashie"),
        ("Quashie alias Robert Trefnant", "Quashie alias Robert Trefnant was born about 1800.", "Quashie"),
        ("Quashie (Robert Trefnant)", "Quashie was baptised in 1824.", "Quashie"),
        ("Quashie (about 1790–1851)", "Quashie was baptised in 1824.", "Quashie"),
        ("Quashie of Pantyffynnon", "Quashie was baptised in 1824.", "Quashie of Pantyffynnon"),
        ("Jenny, wife of Quaco", "Jenny was born about 1788.", "Jenny"),
        ("Old Mintah", "Old Mintah was born about 1760.", "Old Mintah"),
        ("Little Quaco", "Little Quaco was the son of Mintah.", "Little Quaco"),
    ],
)
def test_a_person_with_one_name_or_a_later_one(title: str, text: str, person: str) -> None:
    assert persons(BETWEEN.format(title=title, text=text)) == ["Owen Trefnant", person, "Huw Trefnant"]


@pytest.mark.parametrize(
    ("title", "text"),
    [
        ("Cholera", "Cholera came in 1832. It killed two of his children."),
        ("Virginia", "Virginia was admitted early. In Virginia they had kin."),
        ("Granville", "Granville was all slate. He hated it. They lived in Granville until 1870."),
        ("Porthmadog", "He sailed from Porthmadog in April 1852."),
        ("Poultney, 1852", "Poultney had four quarries. He came in March."),
        ("Llanllechid, later Bethesda", "The parish was divided in 1844."),
        ("Old Bethesda", "Old Bethesda was pulled down in 1870. He wept."),
        ("Methodism", "Methodism was born in a barn, he used to say."),
        ("Tobacco", "Tobacco came to the valley in 1880. Huw put an acre into tobacco."),
        ("Steerage", "Steerage cost three pounds. He paid for six."),
        ("Will of 1853", "Owen left a clock to Huw."),
    ],
)
def test_one_word_that_is_no_persons_name(title: str, text: str) -> None:
    assert persons(BETWEEN.format(title=title, text=text)) == ["Owen Trefnant", "Huw Trefnant"]


def test_the_family_name_is_not_given_to_people_whom_the_book_calls_by_one_name() -> None:
    book = f"""
        # The Trefnant Family
        ## Quaco
        Quaco was born about 1790. {STORY}
        ## Mintah
        Mintah was baptised in 1824. {STORY}
        ## Owen
        Owen was born in 1799. {STORY}
    """
    assert persons(book) == ["Quaco", "Mintah", "Owen Trefnant"]


def test_capitals_that_open_paragraphs() -> None:
    book = f"""
        REV. OWEN TREFNANT was born at Llanllechid in 1788 and was ordained at Bala. {STORY}
        He preached for two hours when he was well and three when he was not.
        HUW TREFNANT, son of the preceding, was born in 1813. {STORY}
        MRS. MARGED PARRY, the poet, was born at Nefyn in 1790. {STORY}
        THE quarry at Cilgwyn is older than any of them.
        DR. IFAN TREFNANT died at Granville, New York, in 1889. {STORY}
    """
    assert persons(book, "txt") == ["Rev. Owen Trefnant", "Huw Trefnant", "Marged Parry", "Dr. Ifan Trefnant"]


def test_surname_first() -> None:
    book = f"""
        TREFNANT, OWEN, born at Llanllechid in 1788, was a splitter of slate. {STORY}
        TREFNANT, HUW, born in 1813, was his son and went further. {STORY}
        PARRY, MARGED, born at Nefyn in 1790, married Owen Trefnant. {STORY}
    """
    assert persons(book, "txt") == ["Owen Trefnant", "Huw Trefnant", "Marged Parry"]


def test_bold_openings_and_bold_lines() -> None:
    book = f"""
        **1. Owen Trefnant** was born at Llanllechid in 1788. {STORY}
        **2. Huw Trefnant** was born there in 1813 and died at Granville. {STORY}
        **3. Ifan Trefnant** was born in 1818. {STORY}
    """
    found = [s for s in sections(book) if s.person]
    assert [s.person for s in found] == ["Owen Trefnant", "Huw Trefnant", "Ifan Trefnant"]
    assert [s.number for s in found] == ["1", "2", "3"]
    lines = f"""
        **Owen Trefnant**
        Owen was born at Llanllechid in 1788. {STORY}
        **Huw Trefnant**
        Huw went to Granville in 1852. {STORY}
    """
    assert persons(lines, "docx") == ["Owen Trefnant", "Huw Trefnant"]


def test_italic_openings() -> None:
    book = f"""
        _Owen Trefnant_ was born at Llanllechid in 1788. {STORY}
        _Huw Trefnant_, an eminent splitter of slate, was born in 1813. {STORY}
        _Sir Ifan Trefnant_, M.D., was a native of the same parish. {STORY}
        _Humphrey Cadnant_ died in 1790. {STORY}
    """
    assert persons(book, "txt") == ["Owen Trefnant", "Huw Trefnant", "Sir Ifan Trefnant", "Humphrey Cadnant"]


def test_capitals_on_lines_of_their_own() -> None:
    book = f"""
        THE TREFNANTS
        CONTENTS
        Owen Trefnant
        Huw Trefnant
        Marged Parry
        OWEN TREFNANT,
        TREASURER OF THE CHAPEL AND OF THE BURIAL CLUB.
        Owen was born at Llanllechid in 1788. {STORY}
        HUW TREFNANT.
        Huw was born in 1813. {STORY}
        LETTERS OF HUW TREFNANT.
        They are all to Owen. {STORY}
        MARGED PARRY.
        Marged was born at Nefyn in 1790. {STORY}
    """
    assert persons(book, "txt") == ["Owen Trefnant", "Huw Trefnant", "Marged Parry"]


def test_numbers_at_line_start_that_number_nobody() -> None:
    book = f"""
        # Slate Water
        ### 1. Owen Trefnant
        Owen was born in 1788. {STORY}
        4 July 1846 was a holiday at Granville, and the first that Owen had seen.
        12 Alder Way is where the house stood. It has gone.
        3 Quarry Street was let to a Trefnant until 1901.
        Three things are certain about him:
        1. He could not swim.
        2. Owen owed nobody anything.
        3. The chapel never forgave him.
        ### 2. Huw Trefnant (Owen1)
        Huw was born in 1813. {STORY}
    """
    assert persons(book) == ["Owen Trefnant", "Huw Trefnant"]


def test_contents_and_index_hold_no_entries() -> None:
    book = f"""
        # Slate Water
        ## Contents
        1. Owen Trefnant
        2. Huw Trefnant
        ## First Generation
        ### 1. Owen Trefnant
        Owen was born in 1788. {STORY}
        ## Second Generation
        ### 2. Huw Trefnant
        Huw was born in 1813. {STORY}
        ## Index
        Trefnant, Huw, 12
        Trefnant, Owen, 9, 11
    """
    found = sections(book)
    assert [s.person for s in found if s.person] == ["Owen Trefnant", "Huw Trefnant"]
    assert [s.title for s in found if s.person is None] == [
        "Slate Water", "Contents", "First Generation", "Second Generation", "Index",
    ]  # fmt: skip


def test_a_draft_without_persons_is_split_by_its_headings() -> None:
    found = sections(f"# The Quarry\n## The Work\n{STORY}\n## The Pay\n{STORY}")
    assert [(s.person, s.title) for s in found] == [(None, "The Quarry"), (None, "The Work"), (None, "The Pay")]
    assert len(sections(STORY)) == 1


def test_an_empty_draft_has_no_sections() -> None:
    assert sections([]) == []


def test_two_people_of_one_name_have_two_ids() -> None:
    book = f"""
        ### 1. Owen Trefnant
        Owen was born in 1788. {STORY}
        ### 2. Owen Trefnant (Owen1)
        Owen was born in 1813. {STORY}
    """
    assert [s.id for s in sections(book)] == ["owen-trefnant", "owen-trefnant-2"]


def test_children_under_a_heading_of_their_own() -> None:
    book = f"""
        ## Owen Trefnant
        Owen was born in 1788. {STORY}
        ### Children
        - Huw, born 1813.
        - Sarah, born 1816; died 1840.
        ## Huw Trefnant
        Huw was born in 1813. {STORY}
    """
    found = sections(book)
    assert [s.person for s in found] == ["Owen Trefnant", "Huw Trefnant"]
    assert [b.text for b in found[0].of_kind(Kind.CHILD)] == ["Huw, born 1813.", "Sarah, born 1816; died 1840."]


def test_an_ordinary_list_is_no_child_list() -> None:
    book = f"""
        ## Owen Trefnant
        Owen was born in 1788. {STORY}
        The sizes had names:
        - Duchesses, twenty-four inches by twelve.
        - Ladies, sixteen inches by eight.
        i. the wages were paid monthly
        ii. the powder was paid for by the men
    """
    assert not list(sections(book)[0].of_kind(Kind.CHILD))


def test_roman_numbers_that_begin_anew_and_forenames_alone() -> None:
    book = """
        _Second Generation.--Owen I._
        I. HUW, son of Owen Trefnant and Marged Parry, born at Llanllechid, 1813; married ANN POWELL.
        Children, all born at Llanllechid:
        1. Owen, born 1841; married Jane Roberts.
        2. Ann, born 1843.
        II. IFAN, son of Owen Trefnant and Marged Parry, born at Llanllechid, 1818.
        GWEN, daughter of Owen Trefnant I., born in 1822; married JOHN EVANS.
        I. OWEN, son of Huw Trefnant and Ann Powell, born in 1841. He had four children:
        1. Huw, born 1871.
        2. Marged, born 1873.
    """
    found = sections(book, "txt")
    assert [s.person for s in found if s.person] == ["Huw Trefnant", "Ifan Trefnant", "Gwen Trefnant", "Owen Trefnant"]
    assert [s.generation for s in found if s.person] == [2, 2, 2, 2]
    assert sum(1 for s in found for _ in s.of_kind(Kind.CHILD)) == 4


def test_numbers_behind_the_name_and_children_that_count_through_the_book() -> None:
    book = """
        OWEN TREFNANT, (1), was born at Llanllechid in 1788. His children were:
        2. HUW, b. March 18, 1813; m. Ann Powell.
        3. SARAH, b. 1816; d. 1840.
        3-1/2. ----, died young.
        4. IFAN, b. Dec. 22, 1818.
        HUW TREFNANT, (2), son of Owen Trefnant, (1), was born in 1813; married and had children:
        By Ann Powell:
        5. OWEN, b. 1841.
        By Jane Pugh:
        6. GWEN, b. 1850; m. John Evans.
        HUW TREFNANT kept two ledgers, one for each family, and both of them balanced.
        IFAN TREFNANT, (4), son of Owen Trefnant, (1), was born in 1818.
    """
    found = [s for s in sections(book, "txt") if s.person]
    assert [s.person for s in found] == ["Owen Trefnant", "Huw Trefnant", "Ifan Trefnant"]
    assert [s.number for s in found] == ["1", "2", "4"]
    assert [sum(1 for _ in s.of_kind(Kind.CHILD)) for s in found] == [4, 2, 0]


def test_a_child_list_goes_on_after_a_remark_or_the_heading_of_its_generation() -> None:
    book = f"""
        1. Owen Trefnant
        Owen was born in 1788. {STORY} He had three children:
        Second Generation
        1. Huw, born 1813.
        2. Sarah, born 1816.
        Owen married again in 1820, and the chapel said nothing in a marked manner.
        3. Ifan, born 1821.
        2. Huw Trefnant (Owen1)
        Huw was born in 1813. {STORY}
    """
    found = sections(book, "docx")
    assert [s.person for s in found if s.person] == ["Owen Trefnant", "Huw Trefnant"]
    assert sum(1 for s in found for _ in s.of_kind(Kind.CHILD)) == 3


def test_children_run_together_in_one_paragraph() -> None:
    book = f"""
        ## Owen Trefnant
        Owen was born in 1788. {STORY}
        Children: 1. Huw, b. 1813; 2. Sarah, b. 1816, d. 1840; 3. Ifan, b. 1818.
    """
    assert len(list(sections(book)[0].of_kind(Kind.CHILD))) == 1


def test_a_paragraph_about_children_announces_no_list() -> None:
    book = f"""
        ## Owen Trefnant
        Owen was born in 1788. {STORY}
        Children were sent up the hill at nine.
        - Two pence a day for a boy.
        - Three pence for a boy with boots.
    """
    assert not list(sections(book)[0].of_kind(Kind.CHILD))


def test_headings_that_begin_like_back_matter_stay_with_the_person() -> None:
    book = f"""
        ## Owen Trefnant
        Owen was born in 1788. {STORY}
        ### Notes from the quarry
        {STORY}
        ### The end of the strike
        {STORY}
        ## Notes and Sources
        Llanllechid parish register.
    """
    assert [(s.title, s.person) for s in sections(book)] == [
        ("Owen Trefnant", "Owen Trefnant"), ("Notes and Sources", None),
    ]  # fmt: skip


def test_the_author_on_the_title_page_is_no_entry() -> None:
    book = f"""
        SLATE WATER
        COMPILED BY
        MARGARET TREFNANT
        OWEN TREFNANT
        Owen was born in 1788. {STORY}
        HUW TREFNANT
        Huw was born in 1813. {STORY}
    """
    assert persons(book, "txt") == ["Owen Trefnant", "Huw Trefnant"]


def test_a_file_of_one_person() -> None:
    lines = ["# Owen Trefnant Jr.", f"Owen was born in 1788. {STORY}", "## Early life", STORY, "## The strike", STORY]
    assert [s.person for s in sections(lines)] == ["Owen Trefnant Jr."]


def test_a_book_named_after_one_person_has_its_entries_below() -> None:
    book = f"""
        # Owen Trefnant and His Descendants
        {STORY}
        ## Huw Trefnant
        Huw was born in 1813. {STORY}
        ## Ifan Trefnant
        Ifan was born in 1818. {STORY}
    """
    assert persons(book) == ["Huw Trefnant", "Ifan Trefnant"]


def test_paragraphs_that_nothing_but_their_opening_words_mark() -> None:
    book = f"""
        Owen Trefnant was born at Llanllechid in 1788. {STORY}
        He is not known to have complained of it.
        Huw Trefnant, son of Owen, was a splitter. {STORY}
        Ifan Trefnant (1818–1889) sailed in 1852. {STORY}
    """
    assert persons(book) == ["Owen Trefnant", "Huw Trefnant", "Ifan Trefnant"]


@pytest.mark.parametrize(
    ("line", "person"),
    [
        ("Mrs. Marged Parry Trefnant", "Marged Parry Trefnant"),
        ("Rev. Owen Trefnant, M.A.", "Rev. Owen Trefnant"),
        ("OWEN McBRIDE O'BRIEN", "Owen McBride O'Brien"),
        ("Jan van der Berg (1790–1850)", "Jan van der Berg"),
        ("Le Roy, Marie", "Marie Le Roy"),
        ("Evan Story", "Evan Story"),
        ("Owen Trefnant and Ann Powell", "Owen Trefnant"),
        ("Angharad verch Owen ap Rhys", "Angharad verch Owen ap Rhys"),
        ("Chapter 3: Owen Trefnant", "Owen Trefnant"),
        ('William "Wil" Trefnant', "William Trefnant"),
        ("Owen Trefnant, Jr., 1813-1870", "Owen Trefnant Jr."),
        ("George, Huw and Ann Trefnant", "George Trefnant"),
    ],
)
def test_the_name_as_a_reader_would_say_it(line: str, person: str) -> None:
    book = [f"## {line}", f"The name is {person}, born in 1788. {STORY}", "## Huw Trefnant", f"Huw was born. {STORY}"]
    assert persons(book)[0] == person


PIECES = [
    "1. Owen Trefnant", "## Owen Trefnant", "2. ii. Huw, b. 1813", "Children:", "NOTES", "1. Llanllechid register.",
    "OWEN TREFNANT was born in 1788.", "Second Generation", "CONTENTS", "**Huw**", "", "(", "^1", "— —", "I.", "i.",
    "TREFNANT, OWEN, (14), son of", "1.2.3 ", "“Owen", "By Ann:", "Part I", "_", "## ", "A. Trefnant", "\u00a0", "+",
    "12X1", "Owen1 (Huw2, ", STORY,
]  # fmt: skip


@given(st.lists(st.lists(st.sampled_from(PIECES), min_size=1, max_size=3).map(" ".join), max_size=12))
@settings(max_examples=150, deadline=None)
def test_whatever_the_lines_every_block_stands_in_one_section(lines: list[str]) -> None:
    sections(lines, "txt")
    sections(lines, "md")


def test_a_picture_in_a_heading_opens_no_section_of_its_own() -> None:
    made = draft(NUMBERED_HEADINGS)
    at = next(at for at, block in enumerate(made.blocks) if "Owen Trefnant" in block.text)
    picture = Block(at, Kind.PICTURE, "Owen Trefnant", style=made.blocks[at].style)
    found = split(replace(made, blocks=(*made.blocks[:at], picture, *made.blocks[at:])))
    assert [s.person for s in found] == [s.person for s in split(made)]


def test_work_grows_with_the_length() -> None:
    def work(people: int) -> int:
        lines: list[str] = []
        for n in range(people):
            lines += [f"### {n + 1}. Owen Trefnant (Huw{n % 5})", f"Owen was born in 1788. {STORY}", "i. Huw, b. 1813."]
        made = draft(lines)
        return calls(lambda: split(made))

    assert work(2000) < 12 * work(200)


def test_an_e_mail_address_makes_no_common_word_of_a_name() -> None:
    lines = ["# 1. Owen Gethin", STORY, "# 2. Solveig Aasen", f"Her address was solveig.aasen@example.net. {STORY}"]
    assert [s.person for s in split(draft(lines)) if s.person] == ["Owen Gethin", "Solveig Aasen"]


@pytest.mark.parametrize("system", list(System))
@pytest.mark.parametrize("number", ["2a", "12½", "12-1/2", "IV", "A", "1.2", "1A2", "(3)"])
def test_a_number_of_any_form_has_a_place_in_any_system_or_none(number: str, system: System) -> None:
    generation, parent = generation_of(number, system), parent_of(number, system)
    assert generation is None or generation > 0
    assert parent is None or parent != number


@pytest.mark.parametrize("between", ["2a", "2½", "12a"])
def test_a_person_slipped_in_between_two_numbers(between: str) -> None:
    numbers = ("1", "2", between, "3")
    names = ("Owen Trefnant", "Huw Trefnant", "Ifan Trefnant", "Gwen Trefnant")
    text = "was born at Bethesda in 1841 and worked in the quarry for forty years."
    lines = [
        line for number, name in zip(numbers, names, strict=True) for line in (f"## {number}. {name}", f"{name} {text}")
    ]
    found = [section for section in sections(["# The Trefnants", *lines]) if section.person]
    assert [section.number for section in found] == list(numbers)


@pytest.mark.parametrize(
    ("title", "person"),
    [
        ("Ifan Trefnant's daughter: Gwen Trefnant Powell (1814–1898)", "Gwen Trefnant Powell"),
        ("The rockman: Huw Trefnant (1820–1899)", "Huw Trefnant"),
        ("Rockman and deacon: Huw Trefnant, 1820–1899", "Huw Trefnant"),
        ("My grandmother, Gwen Trefnant (1814–1898)", "Gwen Trefnant"),
        ("My grandmother: Gwen Trefnant", "Gwen Trefnant"),
        ("Owen Trefnant: Elder of Bethesda (1820–1899)", "Owen Trefnant"),
        ("Huw Trefnant and his wives", "Huw Trefnant"),
        ("Huw Trefnant and his horse", None),
        ("The Pit: Dinorwig Slate (1820–1899)", None),
        ("The house, Ellis Street (1870–1899)", None),
        ("The ship: Mary Ann (1840–1855)", None),
        ("Our strike: North Wales (1900–1903)", None),
        ("Bethesda: Huw Trefnant Leaves Home", None),
    ],
)
def test_what_somebody_was_may_stand_before_her_name_in_a_title(title: str, person: str | None) -> None:
    lines = ["# Owen Gethin (1800–1870)", STORY, f"# {title}", f"Then {STORY}", "# Mair Hughes (1840–1899)", STORY]
    assert [s.person for s in split(draft(lines)) if s.title == title] == [person]


@pytest.mark.parametrize("gap", ["\n", "\n\n"])
def test_a_list_of_one_child_with_a_dotted_number_opens_no_entry(gap: str) -> None:
    entries = [
        f"{number} {name} was born at Bethesda in 1841. {STORY}\n\nChildren of {name} and Ann:{gap}{child}\n"
        for number, name, child in (
            ("1", "Owen Trefnant", "1.1 Huw Trefnant, born 3 May 1861.\n1.2 Ifan Trefnant, born 4 May 1863."),
            ("1.1", "Huw Trefnant", "1.1.1 Gwen Trefnant, born 4 July 1886, died at Granville 1893."),
            ("1.2", "Ifan Trefnant", "1.2.1 Mair Trefnant, born 6 July 1889."),
        )
    ]
    found = split(txt.read("book.txt", "\n".join(entries).encode(), ""))
    assert [s.number for s in found if s.person] == ["1", "1.1", "1.2"]


@pytest.mark.parametrize("letters", ["A", "AB", "BA", "CBA"])
def test_forebears_have_letters_before_the_first_number(letters: str) -> None:
    names = [*(f"{letter}. OWEN TREFNANT" for letter in letters), "1. HUW TREFNANT", "2. IFAN TREFNANT"]
    lines = [line for name in names for line in (f"{name} was born at Bethesda in 1841.", STORY)]
    assert [s.number for s in sections(lines) if s.person] == [*letters, "1", "2"]


def test_initials_are_no_letters_of_forebears() -> None:
    names = ["H. OWEN TREFNANT", "1. HUW TREFNANT", "2. IFAN TREFNANT"]
    lines = [line for name in names for line in (f"{name} was born at Bethesda in 1841.", STORY)]
    assert [s.number for s in sections(lines) if s.person] == ["1", "2"]
