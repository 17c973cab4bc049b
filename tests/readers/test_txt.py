"""Plain text: what a typist's habits mean, typed marks, and that no word is lost on the way.

The habits (blank lines, indents, capitals, hanging numbers) are common practice, no source. Where a mark stands:
The Chicago Manual of Style, 17th ed., 14.24–14.28 (from memory). Generation numbers and lineages: Helen S. Ullmann,
"Writing a Family Sketch in Register Style", New England Ancestors 8:3 (Summer 2007).
"""

from __future__ import annotations

import codecs
import textwrap

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from text_checks import assert_recoverable, of_kind, outline, words_of, words_read

from storylint.complaints import Unreadable
from storylint.draft.model import Draft, Kind
from storylint.draft.txt import read
from tests.effort import no_hang

LONG = (
    "Elias Prydderch went down to the quarry at Penrhyn at eleven, as his father had, and came up from it for the last "
    "time at forty, when the agent told him that there was no more work for a man who asked questions. He sold the "
    "cow, he gave the dresser to his sister, and he walked to Bangor with a tin box on his shoulder."
)


def draft(text: str) -> Draft:
    made = read("draft.txt", text.encode(), "sha")
    assert_recoverable(made, text)
    return made


def marked(text: str) -> tuple[list[str], str]:
    """The marks of a draft that has a system of marks, and the clean text of the sentence under test."""
    notes = "\n".join(f"{number}. Penrhyn pay book, 18{number + 20}." for number in range(1, 41))
    made = draft(f"He came.1 She stayed.2\n\n{text}\n\nNOTES\n\n{notes}\n")
    block = made.blocks[1]
    return [mark.number for mark in block.marks], block.text


# --- paragraphs ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("width", [0, 55, 64, 72, 80])
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_paragraphs_are_read_whole_however_their_lines_are_broken(width: int, end: str) -> None:
    paragraphs = [LONG, LONG.replace("Elias", "Gwen"), "They had one room."]
    typed = [textwrap.fill(text, width) if width else text for text in paragraphs]
    text = "\n\n".join(typed).replace("\n", end)
    assert of_kind(draft(text), Kind.PARAGRAPH) == paragraphs


def test_lines_without_blank_ones_between_are_paragraphs_where_they_are_long() -> None:
    made = draft(f"{LONG}\n{LONG}\nHe never wrote.\n{LONG}\n")
    assert of_kind(made, Kind.PARAGRAPH) == [LONG, LONG, "He never wrote.", LONG]


def test_a_file_without_blank_lines_keeps_its_headings_lists_and_tables() -> None:
    made = draft(
        f"THE SLATE ROAD\n{LONG}\nFirst Generation\n1. Elias Prydderch\n{LONG}\nYear\tWage\n1841\t18s.\n"
        f"The strike at Penrhyn\n{LONG}\n    + 2 i. Gwen, b. 1841.\n      3 ii. Huw, b. 1843.\n"
        f"2. Gwen Prydderch (Elias1)\n{LONG}\nNOTES\n1. Pay book.\n2. Letter.\n"
    )
    assert [(block.kind.value, block.level, block.text) for block in made.blocks if block.text != LONG] == [
        ("heading", 1, "THE SLATE ROAD"),
        ("heading", 2, "First Generation"),
        ("heading", 3, "1. Elias Prydderch"),
        ("table", 0, "Year\tWage"),
        ("table", 0, "1841\t18s."),
        ("heading", 4, "The strike at Penrhyn"),
        ("item", 0, "Gwen, b. 1841."),
        ("item", 0, "Huw, b. 1843."),
        ("heading", 3, "2. Gwen Prydderch (Elias1)"),
        ("heading", 2, "NOTES"),
        ("notes", 0, "Pay book."),
        ("notes", 0, "Letter."),
    ]


def test_paragraphs_told_apart_by_a_set_in_first_line() -> None:
    text = "\n".join(textwrap.fill(LONG, 66, initial_indent="    ") for _ in range(3))
    assert of_kind(draft(text), Kind.PARAGRAPH) == [LONG] * 3


def test_set_in_first_lines_are_no_quotations_where_only_the_first_paragraph_stands_at_the_margin() -> None:
    paragraphs = [LONG, f"    {LONG}", f"    {LONG}", LONG, f"    {LONG}", "    They had one room."]
    made = draft("\n\n".join(paragraphs))
    assert of_kind(made, Kind.PARAGRAPH) == [paragraph.strip() for paragraph in paragraphs]


def test_a_word_broken_at_its_hyphen_is_one_word() -> None:
    made = draft(
        f"{textwrap.fill(LONG, 70)}\n\n" + LONG[:64] + " slate-\nquarry and home--\nand so on to the end of it."
    )
    assert "slate-quarry and home--and so on" in made.blocks[1].text


def test_lines_are_true() -> None:
    text = f"THE SLATE ROAD\n\n\n{textwrap.fill(LONG, 60)}\n\n  i. Gwen, b. 1841.\n ii. Huw, b. 1843.\n"
    made = draft(text)
    for block in made.blocks:
        first = block.text.split()[0]
        assert first in text.split("\n")[(block.line or 0) - 1]
    paragraph = made.blocks[1]
    assert made.line_of(paragraph, paragraph.text.index("Bangor")) == 4 + textwrap.fill(LONG, 60)[
        : LONG.index("Bangor")
    ].count("\n")


# --- lists ---------------------------------------------------------------------------------------------------------


def test_child_lists_keep_their_numbers() -> None:
    made = draft(
        f"{LONG} They had five children, as follows.\n\n"
        "    + 2 i. Gwen Prydderch, b. 3 May 1841.\n"
        "      3 ii. Huw Prydderch, b. 1843 at Bethesda; d. 1844 of the measles, in the same week as his cousin and\n"
        "            namesake at Tregarth.\n"
        "    + 4 iii. Elin Prydderch, b. 1846.\n"
    )
    entries = [(block.label, block.text) for block in made.blocks if block.kind is Kind.ITEM]
    assert entries == [
        ("+ 2 i.", "Gwen Prydderch, b. 3 May 1841."),
        (
            "3 ii.",
            "Huw Prydderch, b. 1843 at Bethesda; d. 1844 of the measles, in the same week as his cousin and "
            "namesake at Tregarth.",
        ),
        ("+ 4 iii.", "Elin Prydderch, b. 1846."),
    ]


@pytest.mark.parametrize(
    ("line", "label"),
    [
        ("i. Mercy Prydderch, b. 1711.", "i."),
        ("12.  iv. Huw Prydderch, b. 1713.", "12. iv."),
        ("   7. Elin, b. 1846; m. Owen Parry.", "7."),
        ("+ 5. Owen, b. 1850.", "+ 5."),
        ("   (3) Sarah, d. young.", "(3)"),
        ("   II. Sarah, d. young.", "II."),
        ("   1.2.1 Sarah, d. young.", "1.2.1"),
    ],
)
def test_a_single_entry_is_an_entry(line: str, label: str) -> None:
    made = draft(f"{textwrap.fill(LONG, 70)}\n\n{line}\n\n{textwrap.fill(LONG, 70)}\n")
    assert made.blocks[1].kind is Kind.ITEM
    assert " ".join(made.blocks[1].label.split()) == label


def test_a_number_before_running_text_is_a_person_not_an_entry() -> None:
    entry = f"2. ELIAS PRYDDERCH was born at Bethesda. {LONG}"
    made = draft(f"{textwrap.fill(LONG, 70)}\n\n{textwrap.fill(entry, 70)}\n")
    assert [(block.kind, block.text) for block in made.blocks] == [(Kind.PARAGRAPH, LONG), (Kind.PARAGRAPH, entry)]


def test_a_line_that_begins_with_a_year_is_no_entry() -> None:
    text = (
        "1. The chapel book has her baptism, her marriage and the burial of two sons, all before\n"
        "1842. The third son is not in it."
    )
    made = draft(f"{textwrap.fill(LONG, 86)}\n\n{text}")
    assert made.blocks[-1].text == text.replace("\n", " ")


# --- headings ------------------------------------------------------------------------------------------------------


def test_headings_and_their_levels() -> None:
    made = draft(
        "THE SLATE ROAD\n\n"
        f"{LONG}\n\n"
        "First Generation\n\n"
        "1. Elias Prydderch\n\n"
        f"{LONG}\n\n"
        "The strike at Penrhyn\n\n"
        f"{LONG}\n\n"
        "Second Generation\n\n"
        "2. Gwen Prydderch (Elias1)\n\n"
        f"{LONG}\n\n"
        "NOTES\n\n1. Penrhyn pay book, 1841.\n"
    )
    headings = [(block.level, block.text) for block in made.blocks if block.kind is Kind.HEADING]
    assert headings == [
        (1, "THE SLATE ROAD"),
        (2, "First Generation"),
        (3, "1. Elias Prydderch"),
        (4, "The strike at Penrhyn"),
        (2, "Second Generation"),
        (3, "2. Gwen Prydderch (Elias1)"),
        (2, "NOTES"),
    ]


@pytest.mark.parametrize(
    "heading",
    [
        "Chapter 3",
        "CHAPTER IV. THE VOYAGE",
        "Part Two",
        "Third Generation",
        "PREFACE",
        "Elias Prydderch",
        "GWEN PRYDDERCH,",
    ],
)
def test_a_heading_stands_alone(heading: str) -> None:
    made = draft(f"{textwrap.fill(LONG, 70)}\n\n\n{heading}\n\n{textwrap.fill(LONG, 70)}\n")
    assert of_kind(made, Kind.HEADING) == [heading]


def test_headings_marked_with_hashes() -> None:
    made = draft(f"# The Slate Road\n\n## The Voyage\n{LONG}\n")
    assert [(block.level, block.text) for block in made.blocks] == [(1, "The Slate Road"), (2, "The Voyage"), (0, LONG)]


def test_an_underlined_heading_and_one_in_the_middle() -> None:
    filled, middle = textwrap.fill(LONG, 70), "The Voyage".center(70).rstrip()
    text = f"The Slate Road\n==============\n\n{filled}\n\n{middle}\n\n{filled}\n"
    assert of_kind(draft(text), Kind.HEADING) == ["The Slate Road", "The Voyage"]


@pytest.mark.parametrize(
    "line",
    [
        "He never wrote again.",
        "Then follows in her hand:",
        "Bethesda, 3 May 1841",
        "Your loving daughter",
        "Sources of income were few and poor.",
        "G. P.",
        "1849",
    ],
)
def test_a_short_line_that_is_no_heading(line: str) -> None:
    made = draft(f"{textwrap.fill(LONG, 70)}\n\n{line}\n\n{textwrap.fill(LONG, 70)}\n")
    assert of_kind(made, Kind.HEADING) == []


def test_a_list_of_names_is_no_row_of_headings() -> None:
    names = "\n\n".join(["Elias Prydderch", "Gwen Prydderch", "Huw Prydderch", "Elin Parry"])
    assert of_kind(draft(f"{textwrap.fill(LONG, 70)}\n\n{names}\n\n{textwrap.fill(LONG, 70)}\n"), Kind.HEADING) == []


# --- quotations, verse, tables, pictures ---------------------------------------------------------------------------


def test_what_is_set_in_is_quoted() -> None:
    letter = "We have a room and the rent is four dollars the month. Send the blue quilt if Mair does not need it."
    prose, quoted = textwrap.fill(LONG, 70), textwrap.fill(letter, 60)
    text = f"{prose}\n\n{textwrap.indent(quoted, '    ')}\n\n{prose}\n\n{textwrap.indent(quoted, '> ')}\n"
    assert of_kind(draft(text), Kind.QUOTATION) == [letter, letter]


def test_verse_is_one_quotation_a_stanza() -> None:
    verse = (
        "    The slate is blue, the slate is red,\n"
        "    The hill is hollow overhead;\n"
        "    And he who sang has gone to bed."
    )
    made = draft(f"{textwrap.fill(LONG, 70)}\n\n{verse}\n")
    assert of_kind(made, Kind.QUOTATION) == [" ".join(verse.split())]


@pytest.mark.parametrize(
    "table",
    [
        "Year\tQuarry\tWage\n1841\tPenrhyn\t18s.\n1849\tEureka\t$1.25",
        "Year      Quarry        Wage\n1841      Penrhyn       18s.\n1849      Eureka        $1.25",
        "| Year | Quarry | Wage |\n| 1841 | Penrhyn | 18s. |\n| 1849 | Eureka | $1.25 |",
    ],
)
def test_columns_are_a_table_row_by_row(table: str) -> None:
    made = draft(f"{LONG}\n\n{table}\n\nTable 1. What he earned.\n")
    assert of_kind(made, Kind.TABLE) == ["Year\tQuarry\tWage", "1841\tPenrhyn\t18s.", "1849\tEureka\t$1.25"]
    assert of_kind(made, Kind.CAPTION) == ["Table 1. What he earned."]


@pytest.mark.parametrize(
    "picture", ["[Illustration: The chapel at Granville, 1889.]", "[Photo] The chapel at Granville, 1889."]
)
def test_a_picture_is_known_by_its_bracket(picture: str) -> None:
    made = draft(f"{LONG}\n\n{picture}\n\n_Taken from the hill._\n")
    assert of_kind(made, Kind.PICTURE) == ["The chapel at Granville, 1889."]
    assert of_kind(made, Kind.CAPTION) == ["Taken from the hill."]


@pytest.mark.parametrize("turn", ["\f\n", "\n\f"])
def test_a_new_page_ends_a_paragraph_unless_its_sentence_goes_on(turn: str) -> None:
    *first, last = textwrap.wrap(LONG, 70)
    over = "\n".join([*first[:2], turn.join(first[2:4]), *first[4:], last])
    made = draft(f"{over}{turn}He never came back.\nNor did he write.{turn}CHAPTER TWO\n\n{LONG}\n")
    assert made.blocks[0].text == LONG
    assert outline(made.blocks)[-2:] == [("heading", "CHAPTER TWO"), ("paragraph", "Elias Prydderch went")]


def test_page_numbers_and_rows_of_asterisks_go_and_a_sentence_over_two_pages_is_joined() -> None:
    half = LONG.index(" there was no more work")
    pages = f"{LONG}\n\n- 1 -\n\n{LONG[:half]}\n\n- 2 -\n\n{LONG[half + 1 :]}\n\n* * * * *\n\n{LONG}\n\n- 3 -\n"
    made = draft(pages)
    assert of_kind(made, Kind.PARAGRAPH) == [LONG, LONG, LONG]
    assert made.remarks == ("3 lines that number the pages are left out",)


def test_type_is_kept_as_spans() -> None:
    made = draft(
        "They sailed in the _Mary Ellen_ and read *Y Drych* at Granville, where =Elias Prydderch= had a_house."
    )
    block = made.blocks[0]
    assert (
        block.text == "They sailed in the Mary Ellen and read Y Drych at Granville, where Elias Prydderch had a_house."
    )
    assert [block.text[start:end] for start, end in block.italic] == ["Mary Ellen", "Y Drych"]
    assert [block.text[start:end] for start, end in block.bold] == ["Elias Prydderch"]


# --- typed marks ---------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("typed", "numbers", "clean"),
    [
        ("She had nobody left at Honor Cottage.3 He knew.", ["3"], "She had nobody left at Honor Cottage. He knew."),
        ('He called it "the best roof,"12 and meant it.', ["12"], 'He called it "the best roof," and meant it.'),
        ("He died in 1850.12 She did not.", ["12"], "He died in 1850. She did not."),
        ("He died in 1850.12", ["12"], "He died in 1850."),
        ("They sailed.3,4 He was ill.", ["3", "4"], "They sailed. He was ill."),
        ("They sailed.3-5 He was ill.", ["3", "4", "5"], "They sailed. He was ill."),
        ("They sailed.[3] He was ill.", ["3"], "They sailed. He was ill."),
        ("They sailed.^3 He was ill.", ["3"], "They sailed. He was ill."),
        ("They sailed.^3^ He was ill.", ["3"], "They sailed. He was ill."),
        ("They sailed.³ He was ill.", ["3"], "They sailed. He was ill."),
        ("They sailed.³,⁴ He was ill.", ["3", "4"], "They sailed. He was ill."),
        ("He was “a hard man.”7 She was not.", ["7"], "He was “a hard man.” She was not."),
    ],
)
def test_typed_marks_leave_the_text(typed: str, numbers: list[str], clean: str) -> None:
    assert marked(typed) == (numbers, clean)


@pytest.mark.parametrize(
    "text",
    [
        "He paid 3.5 pounds and 1,000 more for the house at 12 Church Street.",
        "She was 7, he was 12; it was the 3rd of May, 1841.",
        "See No. 4 and p.12 and vol.3 of the quarry book.",
        "The text was John 3.16 and after it Luke 2:14 was read.",
        "The wage was £3.10 in 1841, and $1.25 at Granville.",
        "He stood 5'10\" and weighed 12 stone.",
        "The lineage is Elias Prydderch (Thomas2, Richard1) and it is printed so.",
        "The book has John1 Prydderch, and then John2 Prydderch his son.",
        "At 6.30 he rose; at 7.15 the train left.",
        "He served in Co. B. 23 men came home.",
    ],
)
def test_other_digits_are_no_marks(text: str) -> None:
    assert marked(text) == ([], text)


def test_raised_generations_are_printed_and_no_marks() -> None:
    assert marked("The first was John^1^ Prydderch, whose son was John² Prydderch.") == (
        [],
        "The first was John¹ Prydderch, whose son was John² Prydderch.",
    )


def test_without_a_system_of_marks_glued_digits_stay() -> None:
    text = "The engine was a Baldwin.4 Nobody remembers more."
    made = draft(text)
    assert (made.blocks[0].text, made.blocks[0].marks) == (text, ())


def test_marks_find_their_notes() -> None:
    made = draft(
        "He came.1 She stayed.2 They left.3\n\nNOTES\n\n1. Pay book, 1841.\n2. Chapel book, 1842.\n3. Letter, 1843.\n"
    )
    assert [
        (mark.number, mark.live, made.notes[mark.note].text) for mark in made.blocks[0].marks if mark.note is not None
    ] == [
        ("1", False, "Pay book, 1841."),
        ("2", False, "Chapel book, 1842."),
        ("3", False, "Letter, 1843."),
    ]
    assert len(of_kind(made, Kind.NOTES)) == 3


# --- files ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "data",
    [
        "Llŷn – “Môn”".encode(),
        codecs.BOM_UTF8 + "Llŷn – “Môn”".encode(),
        codecs.BOM_UTF16_LE + "Llŷn – “Môn”".encode("utf-16-le"),
        codecs.BOM_UTF16_BE + "Llŷn – “Môn”".encode("utf-16-be"),
        "Llŷn – “Môn”, where he was".encode("utf-16-le"),
        "Llŷn – “Môn”, where he was".encode("utf-16-be"),
    ],
)
def test_encodings(data: bytes) -> None:
    made = read("draft.txt", data, "sha")
    assert made.blocks[0].text.removesuffix(", where he was") == "Llŷn – “Môn”"
    assert made.remarks == ()


@pytest.mark.parametrize(
    ("codec", "name"), [("cp1252", "Windows-1252"), ("mac_roman", "Mac Roman"), ("cp850", "DOS code page 850")]
)
def test_a_text_from_before_utf_8_is_read_as_its_machine_wrote_it(codec: str, name: str) -> None:
    """The code pages are those of Python's own library, after the tables of the Unicode Consortium."""
    told = "Siân Prydderch’s café was “the Rock” – naïve, but Élise and André paid £3."
    if codec == "cp850":  # it has no curled quotation marks and no dash
        told = told.translate(str.maketrans("’“”–", '\'""-'))
    (block,) = (made := read("a.txt", told.encode(codec), "0" * 64)).blocks
    assert block.text == told
    assert f"read as {name};" in made.remarks[0]


def test_one_spoilt_character_does_not_spoil_the_others() -> None:
    made = read("draft.txt", "Môn, Llŷn and Ll".encode() + b"\xff" + " — Môn".encode(), "sha")
    assert made.blocks[0].text.startswith("Môn, Llŷn")
    assert "line 1" in made.remarks[0]


@pytest.mark.parametrize("data", [b"PK\x03\x04\x00\x00", b"Owen\x00sailed\x00", codecs.BOM_UTF16_LE + b"a"])
def test_what_is_no_text_is_refused_in_one_line(data: bytes) -> None:
    with pytest.raises(Unreadable, match=r"draft\.txt: .*UTF-8") as refused:
        read("draft.txt", data, "sha")
    assert "\n" not in str(refused.value)


@pytest.mark.parametrize("text", ["", "\n\n", "   \n\t\n", "\ufeff"])
def test_an_empty_file_has_no_blocks(text: str) -> None:
    assert draft(text).blocks == ()


# --- whatever the file ---------------------------------------------------------------------------------------------

WORDS = st.sampled_from(
    "Elias Gwen slate went sang bread roof Penrhyn chapel hill never after because twelve 1841".split()
)
SENTENCE = st.lists(WORDS, min_size=3, max_size=25).map(lambda words: " ".join(words).capitalize() + ".")
PARAGRAPH = st.lists(SENTENCE, min_size=1, max_size=6).map(" ".join)
WIDTH = st.sampled_from([0, 50, 66, 72])


@st.composite
def pieces(draw: st.DrawFn) -> str:
    kind = draw(
        st.sampled_from(["paragraph", "paragraph", "heading", "children", "quotation", "table", "picture", "rule"])
    )
    text, width = draw(PARAGRAPH), draw(WIDTH)
    filled = textwrap.fill(text, width) if width else text
    if kind == "heading":
        return draw(
            st.sampled_from(
                ["SECOND GENERATION", "Chapter 7", "3. Gwen Parry (Elias1)", "The Voyage", "The Voyage\n=========="]
            )
        )
    if kind == "children":
        return "\n".join(
            f"    {numeral}. {draw(SENTENCE)}" for numeral in ["i", "ii", "iii"][: draw(st.integers(1, 3))]
        )
    if kind == "quotation":
        return textwrap.indent(filled, draw(st.sampled_from(["    ", "> ", "\t"])))
    if kind == "table":
        return "\n".join(f"{draw(WORDS)}\t{draw(WORDS)}\t{draw(WORDS)}" for _ in range(3))
    if kind == "picture":
        return f"[Illustration: {draw(SENTENCE)}]"
    if kind == "rule":
        return "* * * * *"
    return draw(st.sampled_from([filled, filled.replace("slate", "_slate_"), filled.replace("roof", "=roof=")]))


@settings(max_examples=150, deadline=None)
@given(
    st.lists(pieces(), max_size=12), st.sampled_from(["\n", "\r\n", "\r"]), st.sampled_from(["\n\n", "\n\n\n\n", "\n"])
)
def test_no_word_is_lost_or_doubled(parts: list[str], end: str, between: str) -> None:
    text = between.join(parts).replace("\n", end)
    made = draft(text)
    assert words_read(made) == words_of(text) - words_of(
        "Illustration " * sum("Illustration" in part for part in parts)
    )


@settings(max_examples=300, deadline=None)
@given(st.text(alphabet="aAé1. \n\t_*=^[]>|-+i,;:\"'”\r#\u200b\x1a", max_size=120))
def test_any_characters_can_be_read(text: str) -> None:
    assert_recoverable(read("draft.txt", text.encode(), "sha"), text)


@pytest.mark.parametrize(
    "text",
    [
        "a" * 5_000_000,
        "word " * 1_000_000,
        "[" * 300_000,
        "> " * 100_000 + "x",
        "_a " * 300_000,
        "*a" * 300_000,
        "^" * 300_000,
        "1. " * 300_000,
        "a\n" * 100_000,
        "a\n\n" * 100_000,
        "+ 2 i. A\n" * 50_000,
        "\t" * 1_000_000 + "x",
        "a   b\n" * 50_000,
        "(" * 300_000,
        "[Photo\n" * 50_000,
    ],
    ids=lambda text: repr(text[:8]),
)
def test_hostile_files_do_not_hang(text: str) -> None:
    with no_hang():
        read("draft.txt", text.encode(), "sha")


def test_the_whole_of_a_chapter_at_a_glance() -> None:
    letter = textwrap.fill("Four dollars the month is the rent, and the roof is our own slate.", 50)
    made = draft(
        "ELIAS PRYDDERCH\n\n"
        f"{textwrap.fill(LONG, 72)}\n\n"
        "He wrote in 1849:\n\n"
        f"{textwrap.indent(letter, '      ')}\n\n"
        "Children of Elias and Mair (Parry) Prydderch, born at Bethesda:\n"
        "   2.   i. GWEN, b. 1841.\n"
        "       ii. HUW, b. 1843; d. 1844.\n"
    )
    assert outline(made.blocks) == [
        ("heading", "ELIAS PRYDDERCH"),
        ("paragraph", "Elias Prydderch went"),
        ("paragraph", "He wrote in"),
        ("quotation", "Four dollars the"),
        ("paragraph", "Children of Elias"),
        ("item", "GWEN, b. 1841."),
        ("item", "HUW, b. 1843;"),
    ]


TOLD = "Owen split slate at Granville for forty years, and when the dust had settled in his chest he"
WENT = "went on splitting it until the spring. He never wrote home again, which his mother held against"


@pytest.mark.parametrize(
    "foot",
    [
        "{}                 THE PRYDDERCHS OF GRANVILLE",
        "THE PRYDDERCHS OF GRANVILLE                 {}",
        "The Prydderchs\t{}",
        "Page {} of 40",
        "- {} -",
        "\f",
    ],
)
def test_the_foot_and_head_of_a_page_cut_no_paragraph(foot: str) -> None:
    pages = "".join(f"{TOLD}\n\n{foot.format(page)}\n\n{WENT} him.\n\n" for page in range(11, 16))
    assert [block.text for block in draft(pages).blocks] == [f"{TOLD} {WENT} him."] * 5


@pytest.mark.parametrize(
    "line", ["{}        Owen at Granville", "Granville        {}", "{}. Owen Prydderch", "{} slates"]
)
def test_years_and_numbers_of_a_list_are_no_pages(line: str) -> None:
    for first in (1871, 1) if "." in line or "slates" in line else (1871,):
        text = f"{TOLD}.\n\n" + "".join(f"{line.format(first + at)}\n\n" for at in range(5)) + f"{WENT} him.\n"
        read_words = " ".join(f"{block.label} {block.text}" for block in draft(text).blocks).split()
        assert sorted(read_words) == sorted(text.split())


@pytest.mark.parametrize(
    ("typed", "read_as"),
    [
        ("Owen went from Granville to Gran-\nville again.", "Owen went from Granville to Granville again."),
        ("The well-\nknown quarry was well known.", "The well-known quarry was well known."),
        ("A hymn-book, a hymn-\nbook, a hymnbook.", "A hymn-book, a hymn-book, a hymnbook."),
        ("He died at Pen-\nrhyn.", "He died at Pen-rhyn."),
        ("Slate from Beth\N{SOFT HYPHEN}\nesda.", "Slate from Bethesda."),
    ],
)
def test_a_word_broken_at_the_end_of_a_line_is_whole_where_the_draft_has_it_whole(typed: str, read_as: str) -> None:
    long = "Owen split slate at the quarry for forty years and thought nothing of it, for so did all the others there"
    made = draft(f"{long}\n{typed}\n".replace("-\n", "-\n\f").replace("\xad\n", "\xad\n\f"))  # it goes on over the page
    assert " ".join(block.text for block in made.blocks) == f"{long} {read_as}"
