"""Typed citation digits and their lists, in any format."""

from __future__ import annotations

import re

import pytest

from storylint.draft import markdown
from storylint.draft.model import Block, Kind, Mark, Note
from storylint.draft.typed import attach, lift, numbers_in
from tests.effort import calls, no_hang


def book(*lines: str) -> list[Block]:
    """Blocks of a book: "# " opens a heading, each further "#" a deeper one."""
    blocks = []
    for index, line in enumerate(lines):
        depth = len(line) - len(line.lstrip("#"))
        text = line.lstrip("# ")
        blocks.append(Block(index, Kind.HEADING if depth else Kind.PARAGRAPH, text, level=depth))
    return blocks


def called(blocks: tuple[Block, ...], notes: tuple[Note, ...]) -> list[tuple[str, str | None]]:
    """The marks of a book in order: number, and the text of the note."""
    marks = [mark for block in blocks for mark in block.marks]
    return [(mark.number, notes[mark.note].text if mark.note is not None else None) for mark in marks]


NOTES = ("# Notes", "1. Census.", "2. Will.", "3. Deed.", "4. Letter.")


@pytest.mark.parametrize(
    ("text", "clean", "numbers"),
    [
        ("He sailed in 1850.1 He stayed.2", "He sailed in 1850. He stayed.", ["1", "2"]),
        ("He sailed.[1] He stayed [2,3].", "He sailed. He stayed.", ["1", "2", "3"]),
        ("He sailed.¹ “He stayed.”² No: he left;³ so.", "He sailed. “He stayed.” No: he left; so.", ["1", "2", "3"]),
        ("He (Owen)1 sailed; the mate,2 too.", "He (Owen) sailed; the mate, too.", ["1", "2"]),
        ("A splitter3 and a rockman", "A splitter and a rockman", ["3"]),
        ("All of it.2–4", "All of it.", ["2", "3", "4"]),
    ],
)
def test_digits_that_are_marks(text: str, clean: str, numbers: list[str]) -> None:
    blocks, _ = attach(book(text, *NOTES))
    assert (blocks[0].text, [mark.number for mark in blocks[0].marks]) == (clean, numbers)
    assert all(text[blocks[0].source_offset(at)] == character for at, character in enumerate(clean))


@pytest.mark.parametrize(
    "text",
    [
        "John² Marsh (Owen¹) and Ann³ “Nan” Lloyd had 40 m² and 2³ tons.",
        "See p.3 and vol.2 and No.1 of it, at 3.2 tons, for £3.2, on 1.2.1850, at 10.2 o'clock.",
        "Elijah1 and Job2 were there; the 3rd, of 1,2 or 4 men.",
        "The rhyme is in Gen.3 and in Ps.2 of it.",
        "The figures 1 2 3 stand free.",
    ],
)
def test_digits_that_are_none(text: str) -> None:
    blocks, _ = attach(book(text, *NOTES))
    assert (blocks[0].text, blocks[0].marks) == (text, ())


def test_without_a_list_plain_digits_must_count_up() -> None:
    rising, _ = attach(book("One.1 Two.2 Three.3 Four.4"))
    assert [mark.number for mark in rising[0].marks] == ["1", "2", "3", "4"]
    loose, _ = attach(book("The text is at fault.7 So is this.3"))
    assert loose[0].marks == ()


def test_a_list_is_notes_and_its_entries_are_no_prose() -> None:
    blocks, notes = attach(
        book("One.1", "## Notes to the older pages", "[1] Census,", "continued.", "# Index", "9. Owen")
    )
    assert [block.kind for block in blocks] == [
        Kind.PARAGRAPH, Kind.HEADING, Kind.NOTES, Kind.NOTES, Kind.HEADING, Kind.PARAGRAPH,
    ]  # fmt: skip
    assert [(note.number, note.text, note.block, note.live) for note in notes] == [
        ("1", "Census,\ncontinued.", 2, False)
    ]


def test_the_text_after_a_list_is_text_again() -> None:
    blocks, notes = attach(
        book(
            "One.¹",
            "# Notes",
            "1. Census,",
            "second paragraph.",
            "2. Will.",
            "Owen sailed.",
            "Jane stayed.",
            "They met.",
        )
    )
    assert [note.text for note in notes] == ["Census,\nsecond paragraph.", "Will."]
    assert [block.kind for block in blocks[5:]] == [Kind.PARAGRAPH] * 3


LETTER = [f"Dear William, line {number} of this letter is about slate." for number in range(12)]


@pytest.mark.parametrize("form", ["[{}] {}", "{}. {}", "({}) {}"])
def test_a_note_that_holds_a_letter_does_not_end_the_list(form: str) -> None:
    entries = [form.format(number, f"Source {number}.") for number in (1, 2, 3)]
    blocks, notes = attach(book("One.¹ Two.² Three.³", "# Notes", *entries[:2], *LETTER, entries[2]))
    assert [(note.number, note.text.count("\n")) for note in notes] == [("1", 0), ("2", len(LETTER)), ("3", 0)]
    assert {block.kind for block in blocks[2:]} == {Kind.NOTES}


@pytest.mark.parametrize(
    "after",
    [
        [*LETTER, "3. Jane Prydderch was born in 1843."],  # no mark calls a note 3
        ["He stayed for good.¹", *LETTER, "2. Will, proved at Bangor."],  # marks: this is the text again
        [*LETTER, "Chapter 2", *LETTER, *LETTER, "2. Will, proved at Bangor."],  # too far away
        [*LETTER, "(2) Will, proved at Bangor."],  # numbered in another form
        [*LETTER, "1. Owen, born in 1841.", "2. Jane, born in 1843."],  # a list of children
    ],
)
def test_text_after_a_list_is_no_long_note(after: list[str]) -> None:
    blocks, notes = attach(book("One.¹ Two.²", "# Notes", "1. Census.", *after))
    assert len(notes) == 1
    assert all(block.kind is not Kind.NOTES for block in blocks[3:])


@pytest.mark.parametrize(
    ("text", "clean"),
    [
        ("The farm fetched L.2 of the tithe.3", "The farm fetched L. of the tithe."),
        ("He served in 1927-29.2 and came home.3", "He served in 1927-29. and came home."),
        ("He paid £7.2 and left.4", "He paid £7.2 and left."),  # the mark after is not the third
        ("See p.2 and no.2 of it.3", "See p.2 and no.2 of it."),  # two that might
        ("It is in L.3 of it.2", "It is in L.3 of it."),  # out of its order
    ],
)
def test_doubtful_digits_are_a_mark_where_they_fill_a_gap(text: str, clean: str) -> None:
    blocks, _ = attach(book("He sailed.1", text, *NOTES))
    assert blocks[1].text == clean


@pytest.mark.parametrize("repeated", ["1.”1 ", "1841¹ ", "x.[1] ", "a.1,2–3 ", "  ³", "A² "])
def test_a_long_paragraph_of_digits_takes_no_more_work_than_its_length(repeated: str) -> None:
    spent: list[int] = []
    for size in (10_000, 100_000):
        blocks = [*book(repeated * (size // len(repeated))), *book(*NOTES)]
        with no_hang():
            spent.append(calls(lambda blocks=blocks: attach(blocks)))  # type: ignore[misc]
    assert spent[1] < 12 * spent[0]  # ten times the length


def test_marks_are_found_in_a_paragraph_of_any_length() -> None:
    told = "He split slate at Granville from the spring to the first snow of that year."
    text = " ".join(f"{told}{'¹' if at == 1 else '²' if at == 1999 else ''}" for at in range(1, 2000))
    blocks, _ = attach(book(text, *NOTES))
    assert len(text) > 100_000
    assert [(mark.number, mark.note) for mark in blocks[0].marks] == [("1", 0), ("2", 1)]


def test_entries_may_be_numbered_by_label_or_by_a_raised_digit() -> None:
    entries = [
        Block(2, Kind.ITEM, "Census.", label="1."),
        Block(3, Kind.PARAGRAPH, "² Will."),
        Block(4, Kind.PARAGRAPH, "Deed.", marks=(Mark(0, "3", live=False),)),
    ]
    blocks, notes = attach([*book("One.¹ Two.² Three.³", "# Endnotes"), *entries])
    assert called(blocks, notes) == [("1", "Census."), ("2", "Will."), ("3", "Deed.")]
    assert blocks[4].label == "3."


def test_a_missing_and_a_doubled_number() -> None:
    blocks, notes = attach(book("One.1 Two.2 Three.2 Four.5", "# Notes", "1. a", "2. b", "2. c", "4. d"))
    assert called(blocks, notes) == [("1", "a"), ("2", "b"), ("2", "c"), ("5", None)]


def test_lists_after_each_chapter_answer_their_own_chapter() -> None:
    blocks, notes = attach(
        book(
            "# One",
            "Ann sat.1 Bet sang.2",
            "## Notes",
            "1. a",
            "2. b",
            "# Two",
            "Cai ran.1 Dai slept.2",
            "## Notes",
            "1. c",
            "2. d",
        )
    )
    assert [text for _, text in called(blocks, notes)] == ["a", "b", "c", "d"]


def test_lists_gathered_at_the_end_by_chapter() -> None:
    chapters = ("# One", "Ann sat.1 Bet sang.2", "# Two", "Cai ran.1 Dai slept.2", "# Notes")
    titled = book(*chapters, "## One", "1. a", "2. b", "## Two", "1. c", "2. d")
    assert [text for _, text in called(*attach(titled))] == ["a", "b", "c", "d"]
    bare = book(
        "# One", "Ann sat.1 Bet sang.2", "# Two", "Cai ran.1 Dai slept.2", "# Notes", "1. a", "2. b", "1. c", "2. d"
    )
    assert [text for _, text in called(*attach(bare))] == ["a", "b", "c", "d"]


def test_a_list_without_heading_must_answer_the_text() -> None:
    blocks, notes = attach(book("Ann sat.1 Bet sang.2 Cai ran.3", "1. a", "2. b", "3. c"))
    assert [text for _, text in called(blocks, notes)] == ["a", "b", "c"]
    children, none = attach(
        book("Ann sat.¹ Bet sang.² Cai ran.³ Dai slept.⁴ Eos flew.⁵", "1. Owen, b. 1841.", "2. Jane, b. 1843.")
    )
    assert none == ()
    assert children[1].kind is Kind.PARAGRAPH


def test_a_bibliography_is_no_list_of_notes() -> None:
    blocks, notes = attach(book("He sailed.", "# Sources", "1. Kew.", "2. Bangor."))
    assert (notes, blocks[2].kind) == ((), Kind.PARAGRAPH)


def test_typed_digits_may_call_a_live_note() -> None:
    live = [Note("9", "Letter.", "endnote", live=True)]
    marked = [
        Block(0, Kind.PARAGRAPH, "He sailed.", marks=(Mark(10, "9", live=False),)),
        *book("x.", "# Notes", "1. a")[1:],
    ]
    blocks, notes = attach(marked, live)
    assert (blocks[0].marks[0].note, notes[0].text) == (0, "a")


def test_lift_moves_what_stands_on_the_text() -> None:
    block = Block(
        0, Kind.PARAGRAPH, "In the Herald ³ of 1880.4 Yes",
        marks=(Mark(24, "x", live=True),), italic=((7, 15),), bold=((16, 18),), segments=((0, 10),),
    )  # fmt: skip
    lifted = lift(block, [(14, 15), (24, 25)])
    assert lifted.text == "In the Herald of 1880. Yes"
    assert [(mark.at, mark.number) for mark in lifted.marks] == [(13, "3"), (22, "x"), (22, "4")]
    assert [lifted.text[a:b] for a, b in (*lifted.italic, *lifted.bold)] == ["Herald", "of"]
    assert [block.text[lifted.source_offset(at) - 10] for at in range(len(lifted.text))] == list(lifted.text)


@pytest.mark.parametrize("text", ["He said ¹[²] so", "He said ¹ ² so", "He said ¹,[²] so", "He said ¹[²]", "So ¹[²]."])
def test_lift_leaves_one_space_where_marks_touch(text: str) -> None:
    spans = [match.span() for match in re.finditer(r"\[?[¹²],?\]?", text)]
    lifted = lift(Block(0, Kind.PARAGRAPH, text), spans)
    assert lifted.text in ("He said so", "He said", "So.")
    assert [mark.number for mark in lifted.marks] == ["1", "2"]
    assert all(text[lifted.source_offset(at)] == character for at, character in enumerate(lifted.text))


def test_numbers_of_a_printed_mark() -> None:
    assert [numbers_in(group) for group in ("[3]", "³,⁴", "3–5", "7-2", "2; 5")] == [
        ["3"], ["3", "4"], ["3", "4", "5"], ["7", "2"], ["2", "5"],
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("text", "numbers"),
    [
        ("Children of Michael² and Bridget (Talty) Gethin:", []),
        ("Michael² and his wife kept the shop.", []),
        ("The sons of Michael², of whom more below, split slate.", []),
        ("He owed the shop for Michael³ and paid.", ["3"]),
        ("He went with Michael.²", ["2"]),
        ("He went to Bangor² and back.", ["2"]),
    ],
)
def test_a_forename_keeps_the_generation_that_the_draft_gives_it(text: str, numbers: list[str]) -> None:
    entry = Block(0, Kind.PARAGRAPH, "2. MICHAEL² GETHIN (John¹) was born at Bethesda.")
    blocks, _ = attach([entry, Block(1, Kind.PARAGRAPH, text)])
    assert [mark.number for mark in blocks[1].marks] == numbers


@pytest.mark.parametrize(
    ("told", "numbers"),
    [
        ("Owen split slate.[2][3] He sang.[4]", ["2", "3", "4"]),
        ("Owen split slate.[1][5][6]", ["1", "5", "6"]),
        ("Owen split slate.[1],[2] He sang.[3]; [4]", ["1", "2", "3", "4"]),
        ("Owen split slate [1] [2]. He sang.", ["1", "2"]),
        ("Owen split slate.<sup>1</sup><sup>2</sup> He sang.", ["1", "2"]),
        ("Owen split slate.<sup>1</sup><sup>,</sup><sup>2</sup> He sang.", ["1", "2"]),
        ("Owen split slate.^1^,^2^ He sang.", ["1", "2"]),
    ],
)
def test_marks_side_by_side_are_each_a_mark(told: str, numbers: list[str]) -> None:
    notes = "".join(f"{number}. Printed card, p. {number}.\n" for number in range(1, 7))
    draft = markdown.read("d.md", f"# Owen Prydderch\n\n{told}\n\n## Notes\n\n{notes}".encode(), "")
    block = draft.blocks[1]
    assert block.text.replace(" He sang.", "").strip() == "Owen split slate."
    assert [mark.number for mark in block.marks] == numbers


def test_a_bracket_before_a_link_is_no_mark() -> None:
    notes = "1. Printed card.\n2. Stone.\n"
    text = f"# Owen Prydderch\n\nHe sang [2][card] here.[1]\n\n## Notes\n\n{notes}\n[card]: http://e.org/c\n"
    block = markdown.read("d.md", text.encode(), "").blocks[1]
    assert (block.text, [mark.number for mark in block.marks]) == ("He sang 2 here.", ["1"])
