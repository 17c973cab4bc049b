"""Markdown: CommonMark, checked against markdown-it-py's own inline parser, and what a family book adds to it.

The CommonMark specification 0.31 is at spec.commonmark.org; notes and raised figures are Pandoc's (from memory).
"""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from markdown_it import MarkdownIt
from text_checks import assert_recoverable, of_kind, outline, words_of, words_read

from storylint.draft.inline import scan
from storylint.draft.markdown import read
from storylint.draft.model import Block, Draft, Kind
from storylint.draft.source import assemble, lines_of
from tests.effort import no_hang


def draft(text: str) -> Draft:
    made = read("draft.md", text.encode(), "sha")
    assert_recoverable(made, text)
    return made


def clean(text: str) -> str:
    """The clean text of the one block of a draft."""
    (block,) = draft(text).blocks
    return block.text


def labelled(made: Draft) -> list[tuple[str, str, str]]:
    return [(block.kind.value, block.label, block.text) for block in made.blocks]


# --- inline --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("typed", "read_as"),
    [
        ("They sailed in the *Mary Ellen*.", "They sailed in the Mary Ellen."),
        ("**Elias _Prydderch_** was *the* first.", "Elias Prydderch was the first."),
        ("See [the pay book](https://example.org/a_(b) 'Pay *book*') now.", "See the pay book now."),
        ("See [the pay book][pay] and [pay].\n\n[pay]: https://example.org", "See the pay book and pay."),
        ("He said [sic] it [was](so he said) his.", "He said [sic] it [was](so he said) his."),
        (r"\+ five, \*not\* starred, 1\. and C:\Users", r"+ five, *not* starred, 1. and C:\Users"),
        ("Parry &amp; Sons, caf&eacute;, 1&nbsp;2, AT&T", "Parry & Sons, café, 1 2, AT&T"),
        ("one  \ntwo\\\nthree\nfour<br>five", "one two three four five"),
        ("a `*code*` and ``b ` c`` and ` alone", "a *code* and b ` c and ` alone"),
        ("slate<!-- ask Mair\nabout this --> quarry", "slate quarry"),
        ("slate <!-- never closed", "slate <!-- never closed"),
        ("born <unknown> at <b>Bethesda</b> 3 < 4 > 2", "born <unknown> at Bethesda 3 < 4 > 2"),
        ("<https://example.org> and <mair@example.org>", "https://example.org and mair@example.org"),
        ("[left](( ) [of](a(b) the [words](a(b) )", "[left](( ) [of](a(b) the words"),
        ("soft\u00adhyphen and no\u00a0break", "softhyphen and no break"),
        ("John^1^ Parry, John<sup>2</sup> Parry", "John¹ Parry, John² Parry"),
        ("2 * 3 * 4 and snake_case_name and ____ blank", "2 * 3 * 4 and snake_case_name and ____ blank"),
    ],
)
def test_markup_is_not_text(typed: str, read_as: str) -> None:
    made = read("draft.md", typed.encode(), "sha")
    assert [block.text for block in made.blocks] == [read_as]


def test_type_is_kept_as_spans() -> None:
    block = draft("**Elias _Prydderch_** read *Y\nDrych* there.").blocks[0]
    assert [block.text[start:end] for start, end in block.italic] == ["Prydderch", "Y Drych"]
    assert [block.text[start:end] for start, end in block.bold] == ["Elias Prydderch"]


def reference(text: str) -> str:
    """What markdown-it-py's inline parser makes of a text, without white space."""
    tokens = MarkdownIt("commonmark").parseInline(text)[0].children or []
    return "".join("".join(token.content.split()) for token in tokens if token.type in ("text", "code_inline"))


@settings(max_examples=500, deadline=None)
@given(
    st.sampled_from(["ab *_", "*_a", "ab [](*\\", "a`\\ *[]()", "é.*_“ ", "[]()a\"' \\"]).flatmap(
        lambda signs: st.text(signs, max_size=24)
    )
)
def test_inline_text_is_that_of_commonmark(text: str) -> None:
    lines = lines_of(text.strip())
    found = assemble(lines, scan("\n".join(line.text for line in lines)).edits)
    assert "".join(found.text.split()) == reference(text.strip())


# --- blocks --------------------------------------------------------------------------------------------------------


def test_headings() -> None:
    made = draft("# The Slate Road #\n\nElias\n=====\n\n### 1. *Elias* Prydderch (Huw1)\n\nGwen\n---\n\n\\# not one\n")
    assert [(block.level, block.text) for block in made.blocks if block.kind is Kind.HEADING] == [
        (1, "The Slate Road"), (1, "Elias"), (3, "1. Elias Prydderch (Huw1)"), (2, "Gwen"),
    ]  # fmt: skip


def test_a_paragraph_right_above_a_rule_is_no_heading() -> None:
    text = (
        "Elias went down to the quarry at eleven and came up from it for the last time at forty, "
        "when the agent told him so.\n---\n"
    )
    assert [block.kind for block in draft(text).blocks] == [Kind.PARAGRAPH]


def test_a_paragraph_in_bold_stays_a_paragraph() -> None:
    block = draft("**2. Gwen Prydderch (Elias1)**\n\nShe sailed.").blocks[0]
    assert (block.kind, block.text, block.bold) == (Kind.PARAGRAPH, "2. Gwen Prydderch (Elias1)", ((0, 26),))


def test_lists_keep_their_printed_numbers() -> None:
    made = draft("Reasons:\n\n3. slate\n4. bread\n   and butter\n\nand\n\n- coal\n- tea\n")
    assert labelled(made) == [
        ("paragraph", "", "Reasons:"), ("item", "3.", "slate"), ("item", "4.", "bread and butter"),
        ("paragraph", "", "and"),
        ("item", "", "coal"), ("item", "", "tea"),
    ]  # fmt: skip


@pytest.mark.parametrize("text", ["1889.", "> 1889.", "1. 2. 3.", "Elias sailed.\n\n1889.\n\n1890.\n\nHe wrote."])
def test_a_number_alone_is_not_lost(text: str) -> None:
    assert words_read(draft(text)) == words_of(text)


def test_a_list_numbered_with_ones_counts_up() -> None:
    assert [block.label for block in draft("1. slate\n1. bread\n1. tea\n").blocks] == ["1.", "2.", "3."]


def test_a_numbered_paragraph_alone_is_a_person() -> None:
    made = draft(
        "1. Elias Prydderch was born at Bethesda.\n\nHe sailed.\n\n"
        "2. **Gwen Parry** was his wife.\n\n   She sailed too.\n"
    )
    assert labelled(made) == [
        ("paragraph", "", "1. Elias Prydderch was born at Bethesda."),
        ("paragraph", "", "He sailed."),
        ("paragraph", "", "2. Gwen Parry was his wife."),
        ("paragraph", "", "She sailed too."),
    ]
    assert made.blocks[2].bold == ((3, 13),)


CHILDREN = [
    ("item", "+ 2 i.", "Gwen, b. 1841."),
    ("item", "3 ii.", "Huw, b. 1843."),
    ("item", "+ 4 iii.", "Elin, b. 1846."),
]


@pytest.mark.parametrize(
    "text",
    [
        "\\+ 2 i. Gwen, b. 1841.\n\n3 ii. Huw, b. 1843.\n\n\\+ 4 iii. Elin, b. 1846.\n",
        "+ 2 i. Gwen, b. 1841.\n  3 ii. Huw, b. 1843.\n+ 4 iii. Elin, b. 1846.\n",
        "\n    + 2 i. Gwen, b. 1841.\n      3 ii. Huw, b. 1843.\n    + 4 iii. Elin, b. 1846.\n",
        "\\+ 2 i. Gwen, b. 1841.\\\n3 ii. Huw, b. 1843.  \n\\+ 4 iii. Elin, b. 1846.\n",
    ],
)
def test_child_lists_however_they_are_typed(text: str) -> None:
    assert labelled(draft(text)) == CHILDREN


def test_a_child_list_typed_right_under_its_paragraph() -> None:
    made = draft("They had two children:\n2\\. i. Gwen, b. 1841.\nii. Huw, b. 1843.\n\n3. iii. Elin\n4. iv. Owen\n")
    assert labelled(made) == [
        ("paragraph", "", "They had two children:"),
        ("item", "2. i.", "Gwen, b. 1841."),
        ("item", "ii.", "Huw, b. 1843."),
        ("item", "3. iii.", "Elin"),
        ("item", "4. iv.", "Owen"),
    ]


def test_quotations_tables_pictures_and_captions() -> None:
    made = draft(
        "> Send the quilt\nif Mair can spare it.\n>\n> > Huw\n\n"
        "| Year | Wage |\n| --- | ---: |\n| 1841 | 18s. \\| 2d. |\n| *1849* | $1.25 |\n\n*Table 1. What he earned.*\n\n"
        "![The chapel, *1889*](images/the chapel.png)\n*Taken from the hill.*\n\n"
        "![](a.png)\n\n---\n\n```\nas it stood *there*\n```\n"
    )
    assert labelled(made) == [
        ("quotation", "", "Send the quilt if Mair can spare it."),
        ("quotation", "", "Huw"),
        ("table", "", "Year\tWage"),
        ("table", "", "1841\t18s. | 2d."),
        ("table", "", "1849\t$1.25"),
        ("caption", "", "Table 1. What he earned."),
        ("picture", "", "The chapel, 1889"),
        ("caption", "", "Taken from the hill."),
        ("picture", "", ""),
        ("quotation", "", "as it stood *there*"),
    ]


def test_settings_in_toml_are_no_text() -> None:
    made = draft("+++\ntitle = 'The Slate Road'\n+++\n\nElias sailed.\n")
    assert [block.text for block in made.blocks] == ["Elias sailed."]


def test_front_matter_and_comments_are_not_the_book() -> None:
    made = draft("---\ntitle: The Slate Road\n---\n\n<!-- to do:\n\nask Mair -->\n\nElias sailed.\n")
    assert [(block.text, block.line) for block in made.blocks] == [("Elias sailed.", 9)]


def test_a_rule_at_the_start_is_not_front_matter() -> None:
    assert of_kind(draft("---\n\nElias sailed.\n\n---\n"), Kind.PARAGRAPH) == ["Elias sailed."]


def test_set_in_first_lines_are_paragraphs_where_most_are() -> None:
    made = draft("# One\n\nElias sailed.\n\n    Gwen stayed.\n\n    She *wrote*.\n\n# Two\n\n    Huw sang.\n")
    assert of_kind(made, Kind.PARAGRAPH) == ["Elias sailed.", "Gwen stayed.", "She wrote.", "Huw sang."]


def test_html_round_a_paragraph_goes() -> None:
    assert clean('<div align="center">\nElias <i>sailed</i>.\n</div>\n') == "Elias sailed."


def test_lines_are_true() -> None:
    text = "# One\n\ntwo\nthree *four*\n\n> - five\n>   six\n\n1. seven\n2. eight\n"
    made = draft(text)
    for word, line in {"One": 1, "two": 3, "three": 4, "four": 4, "five": 6, "six": 7, "seven": 9, "eight": 10}.items():
        block = next(block for block in made.blocks if word in block.text)
        assert made.line_of(block, block.text.index(word)) == line


# --- notes ---------------------------------------------------------------------------------------------------------


def calls(block: Block) -> list[tuple[int, str, int | None]]:
    return [(mark.at, mark.number, mark.note) for mark in block.marks]


def test_notes_with_paragraphs_of_their_own() -> None:
    made = draft(
        "He sailed.[^1] She stayed.[^2]\n\n[^1]: Pay book,\n*1841*.\n\n    Seen in 2019.\n\n"
        "[^2]: Chapel book.\n[^3]: Never called.\n\nThe end."
    )
    assert [block.text for block in made.blocks] == ["He sailed. She stayed.", "The end."]
    assert calls(made.blocks[0]) == [(10, "1", 0), (22, "2", 1)]
    assert all(mark.live for mark in made.blocks[0].marks)
    assert [(note.number, note.text, note.line, note.live) for note in made.notes] == [
        ("1", "Pay book, 1841.\nSeen in 2019.", 3, True),
        ("2", "Chapel book.", 8, True),
        ("3", "Never called.", 9, True),
    ]


def test_notes_number_themselves_in_the_order_of_their_marks() -> None:
    made = draft(
        "He sailed.[^sea] She stayed.^[So her [letter](a.html) says.] He wrote.[^1]\n\n"
        "[^1]: Letter.\n[^sea]: Pay book.\n"
    )
    assert [(number, made.notes[note].text) for _, number, note in calls(made.blocks[0]) if note is not None] == [
        ("1", "Pay book."), ("2", "So her letter says."), ("3", "Letter."),
    ]  # fmt: skip


def test_labels_that_are_numbers_stay_what_the_writer_sees() -> None:
    made = draft("He sailed.[^12] She stayed.[^9]\n\n[^9]: Letter.\n[^12]: Pay book.\n")
    assert [(number, made.notes[note].text) for _, number, note in calls(made.blocks[0]) if note is not None] == [
        ("12", "Pay book."), ("9", "Letter."),
    ]  # fmt: skip


def test_a_mark_without_a_note_and_a_note_written_twice() -> None:
    made = draft("He sailed.[^7] She stayed.[^8]\n\n[^7]: Pay book.\n[^7]: Chapel book.\n")
    assert calls(made.blocks[0]) == [(10, "7", 0), (22, "8", None)]
    assert [(note.number, note.text) for note in made.notes] == [("7", "Pay book."), ("7", "Chapel book.")]


def test_raised_figures_are_typed_marks() -> None:
    made = draft(
        "He sailed.<sup>1</sup> She stayed.<sup>2,3</sup> He wrote.^4^\n\n"
        "## Notes\n\n1. Pay book.\n2. Letter.\n3. Will.\n4. Deed.\n"
    )
    block = made.blocks[0]
    assert block.text == "He sailed. She stayed. He wrote."
    assert [(mark.number, mark.live) for mark in block.marks] == [
        ("1", False),
        ("2", False),
        ("3", False),
        ("4", False),
    ]
    assert [note.text for note in made.notes] == ["Pay book.", "Letter.", "Will.", "Deed."]
    assert [block.kind for block in made.blocks[2:]] == [Kind.NOTES] * 4


# --- whatever the file ---------------------------------------------------------------------------------------------

WORDS = st.sampled_from(
    "Elias Gwen slate went sang bread roof Penrhyn chapel hill never after because twelve 1841".split()
)
DRESSED = st.tuples(st.sampled_from(["", "", "", "", "*", "**", "_", "`", "***"]), WORDS).map(
    lambda pair: pair[0] + pair[1] + pair[0]
)
SENTENCE = st.lists(DRESSED, min_size=2, max_size=12).map(lambda words: " ".join(words) + ".")


@st.composite
def pieces(draw: st.DrawFn) -> str:
    kind = draw(
        st.sampled_from(
            ["paragraph", "paragraph", "heading", "list", "children", "quotation", "code", "table", "picture", "note"]
        )
    )
    sentences = draw(st.lists(SENTENCE, min_size=1, max_size=4))
    text = draw(st.sampled_from([" ", "\n", "  \n"])).join(sentences)
    if kind == "heading":
        return draw(st.sampled_from(["# ", "## ", "### "])) + sentences[0]
    if kind == "list":
        marker = draw(st.sampled_from(["- ", "* ", "{}. ", "{}) "]))
        return "\n".join(marker.format(number) + sentence for number, sentence in enumerate(sentences, 3))
    if kind == "children":
        return draw(st.sampled_from(["\n", "\n\n"])).join(
            f"{numeral}. {sentence}" for numeral, sentence in zip(["i", "ii", "iii", "iv"], sentences, strict=False)
        )
    if kind == "quotation":
        return "\n".join("> " + line for line in text.split("\n"))
    if kind == "code":
        return "    " + text.replace("\n", "\n    ").replace("`", "")
    if kind == "table":
        return "| a | b |\n|---|---|\n" + "\n".join(f"| {sentence} | Gwen |" for sentence in sentences)
    if kind == "picture":
        return f"![{sentences[0]}](:/)"
    if kind == "note":
        return "He sailed.[^N]"
    return text


@settings(max_examples=200, deadline=None)
@given(st.lists(pieces(), max_size=10), st.sampled_from(["\n", "\r\n"]))
def test_no_word_is_lost_or_doubled(parts: list[str], end: str) -> None:
    numbered = [part.replace("[^N]", f"[^{number}]") for number, part in enumerate(parts, 20)]
    notes = "".join(f"[^{number}]: Penrhyn pay book.\n" for number in range(20, 30))
    text = ("\n\n".join(numbered) + "\n\n" + notes).replace("\n", end)
    made = draft(text)
    assert words_read(made) == words_of(text)


@settings(max_examples=400, deadline=None)
@given(st.text(alphabet="aAé1. \n\t_*=^[]>|-+i,;:\"'”\r()!`\\<#~\u200b\x1a", max_size=120))
def test_any_characters_can_be_read(text: str) -> None:
    assert_recoverable(read("draft.md", text.encode(), "sha"), text)


@pytest.mark.parametrize(
    "text",
    [
        "a" * 5_000_000,
        "word " * 1_000_000,
        "[" * 100_000,
        "[" * 50_000 + "]" * 50_000,
        "![" * 50_000 + "](a)" * 50_000,
        "^[" * 50_000 + "]" * 50_000,
        "[a](" * 50_000,
        "[a](<b" * 50_000,
        "[a]( " * 50_000,
        "> " * 100_000 + "x",
        ">" * 100_000,
        "- " * 50_000 + "x",
        "*a" * 100_000,
        "*a_ " * 100_000,
        "**a*" * 50_000,
        "`a``" * 50_000,
        "".join("a" + "`" * number for number in range(1000)),
        "<!--" * 100_000,
        "<a " * 100_000,
        "&" * 200_000,
        "\\" * 200_000,
        "[^1]" * 50_000,
        "[^1]: a\n" * 30_000,
        "1. a\n" * 20_000,
        "i. A.\n" * 50_000,
        "a\n" * 100_000,
        "| a " * 20_000 + "\n" + "|-" * 20_000,
        "    a\n\n" * 30_000,
        "![a](b)\n" * 20_000,
    ],
    ids=lambda text: repr(text[:8]),
)
def test_hostile_files_do_not_hang(text: str) -> None:
    with no_hang():
        read("draft.md", text.encode(), "sha")


def test_what_is_quoted_too_deep_is_read_all_the_same() -> None:
    made = draft("> " * 150 + "Elias sailed.\n\nHe wrote.\n")
    assert [(block.kind, block.text) for block in made.blocks] == [
        (Kind.QUOTATION, "Elias sailed."),
        (Kind.PARAGRAPH, "He wrote."),
    ]


def test_the_whole_of_a_chapter_at_a_glance() -> None:
    made = draft(
        "# Elias\n\nElias sailed.[^1]\n\n> Four dollars the month.\n\n[^1]: Letter.\n\n2\\. i. Gwen, b. 1841.\n"
    )
    assert outline(made.blocks) == [
        ("heading", "Elias"), ("paragraph", "Elias sailed."), ("quotation", "Four dollars the"),
        ("item", "Gwen, b. 1841."),
    ]  # fmt: skip


@pytest.mark.parametrize("between", ["", ",", ", ", "; ", "^,^", "^, ^", "<sup>,</sup>", " "])
def test_what_parts_two_notes_at_one_spot_is_none_of_the_text(between: str) -> None:
    made = draft(f"Owen split slate.[^a]{between}[^b] He sang.\n\n[^a]: A card.\n\n[^b]: A stone.\n")
    assert made.blocks[0].text == "Owen split slate. He sang."
    assert [(mark.at, mark.note) for mark in made.blocks[0].marks] == [(17, 0), (17, 1)]
    assert len(made.notes) == 2


def test_a_comma_between_words_that_have_notes_stays() -> None:
    made = draft("Owen[^a], Jane[^b], and a son.\n\n[^a]: A card.\n\n[^b]: A stone.\n")
    assert made.blocks[0].text == "Owen, Jane, and a son."


@pytest.mark.parametrize(
    ("typed", "read_as"),
    [
        ("# Owen Prydderch {#owen}", ["Owen Prydderch"]),
        ("## 3. Gwen Prydderch {-}", ["3. Gwen Prydderch"]),
        ("Owen Prydderch {.unnumbered}\n====", ["Owen Prydderch"]),
        ("# Owen *Prydderch*{.x} {#owen .x toc=no}", ["Owen Prydderch{.x}"]),
        ("![The bank](bank.png){width=50%} stood here.", ["The bank", "stood here."]),
        ("[Owen]{.smallcaps} sang [here](a.md){.x}.", ["Owen sang here."]),
        ("::: {.part}\nOwen sang.\n:::\n\n:::: warning ::::\nJane too.\n::::", ["Owen sang.", "Jane too."]),
        ("# Owen {sic}", ["Owen {sic}"]),
        ("He wrote {#3} and [sic] {-} here.", ["He wrote {#3} and [sic] {-} here."]),
        ("::: He sang on and on :::", ["::: He sang on and on :::"]),
        ("```\n::: part\n```", ["::: part"]),
    ],
)
def test_what_pandoc_is_told_beside_the_text_is_no_text(typed: str, read_as: list[str]) -> None:
    assert [block.text for block in draft(typed + "\n").blocks] == read_as


@pytest.mark.parametrize(
    ("typed", "read_as"),
    [
        ("From Granville to Gran-\nville.", "From Granville to Granville."),
        ("> From Granville to Gran-\n> ville.", "From Granville to Granville."),
        ("In 1871-\n1881 in the South-\nEast; Southeast.", "In 1871-1881 in the South-East; Southeast."),
        ("The well-\nknown quarry was well known.", "The well-known quarry was well known."),
    ],
)
def test_a_word_broken_at_the_end_of_a_line_is_whole_where_the_draft_has_it_whole(typed: str, read_as: str) -> None:
    assert clean(typed) == read_as
