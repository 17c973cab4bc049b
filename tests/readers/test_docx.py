"""Reading .docx: what is on the printed page is read, once, and is found again in the file."""

from __future__ import annotations

import io
import zipfile
from functools import partial

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from lxml import etree
from small_files import (
    W,
    docx,
    field,
    listed,
    note,
    notes,
    numbering,
    p,
    part,
    picture,
    r,
    raised,
    relationships,
    style,
    table,
    text_box,
    zipped,
)

from storylint.complaints import Unreadable
from storylint.draft import zips
from storylint.draft.docx import Styles, Unit, Walk, read
from storylint.draft.model import Block, Draft, Kind

_DRAWING = "http://schemas.openxmlformats.org/drawingml/2006/main"
_MATH = "http://schemas.openxmlformats.org/officeDocument/2006/math"
_DELETED = '<w:rPr><w:del w:id="1"/></w:rPr>'
_RAISED = '<w:vertAlign w:val="superscript"/>'
_RAISED_RUN = f"<w:r><w:rPr>{_RAISED}</w:rPr><w:t"
_MARK_STYLE = '<w:rStyle w:val="FootnoteReference"/>'


def opened(body: str, **parts: str) -> Draft:
    return read("draft.docx", docx(body, **parts), "0")


def texts(body: str, **parts: str) -> list[str]:
    return [block.text for block in opened(body, **parts).blocks]


def only(body: str, **parts: str) -> Block:
    (block,) = opened(body, **parts).blocks
    return block


# --- the view -----------------------------------------------------------------------------------------------------


def test_tracked_changes_are_read_as_accepted() -> None:
    body = p(
        "Owen was a ",
        f"<w:del>{r('labourer').replace('w:t', 'w:delText')}</w:del>",
        f"<w:ins>{r('rock')}<w:del>{r('breaker')}</w:del>{r('man')}</w:ins>",
        f"<w:moveFrom>{r(' at Bethesda')}</w:moveFrom>",
        f"<w:moveTo>{r(' at Penrhyn')}</w:moveTo>",
        ".",
    )
    assert texts(body) == ["Owen was a rockman at Penrhyn."]


def test_a_deleted_paragraph_mark_joins_two_paragraphs() -> None:
    block = only(p("He split slate ", properties=_DELETED) + '<w:bookmarkEnd w:id="1"/>' + p("for forty years."))
    assert (block.index, block.text) == (1, "He split slate for forty years.")


def test_a_drop_cap_belongs_to_its_word() -> None:
    cap = p("S", properties='<w:framePr w:dropCap="drop" w:lines="3"/>')
    assert texts(cap + p("late was his trade.")) == ["Slate was his trade."]


def test_wrappers_are_read_through() -> None:
    body = p(
        f"<w:smartTag><w:smartTag>{r('Owen')}</w:smartTag></w:smartTag>",
        f'<w:hyperlink r:id="rId1">{r(" Prydderch")}</w:hyperlink>',
        f"<w:sdt><w:sdtPr/><w:sdtContent>{r(' of Gerlan')}</w:sdtContent></w:sdt>",
        f"<w:bdo>{r(' sailed')}</w:bdo>",
        f"<w:customXml>{r('.')}</w:customXml>",
    )
    wrapped = f"<w:sdt><w:sdtContent>{body}</w:sdtContent></w:sdt>"
    assert texts(wrapped) == ["Owen Prydderch of Gerlan sailed."]


def test_fields_show_their_result_and_hide_their_instruction() -> None:
    nested = field('IF "x" = ' + "</w:instrText></w:r>" + field("DATE", "hidden") + "<w:r><w:instrText>", "seen")
    simple = f'<w:fldSimple w:instr="PAGEREF _x">{r("12")}</w:fldSimple>'
    assert texts(p("It is ", nested, " on page ", simple, ".")) == ["It is seen on page 12."]


def test_an_instruction_may_run_over_paragraphs() -> None:
    begin, separate, end = (f'<w:r><w:fldChar w:fldCharType="{kind}"/></w:r>' for kind in ("begin", "separate", "end"))
    instruction = '<w:r><w:instrText>IF 1 = 1 "</w:instrText></w:r>'
    body = (
        p("The deed: ", begin, instruction, text_box(p("Boxed.")))
        + p("not printed")
        + '<w:bookmarkEnd w:id="1"/>'
        + p("nor this", separate, "signed", end, " in 1871.")
        + p("Next.")
    )
    blocks = opened(body).blocks
    assert [(block.index, block.text) for block in blocks] == [
        (3, "The deed: signed in 1871."),
        (1, "Boxed."),
        (4, "Next."),
    ]
    units, styles = units_of(docx(body))
    assert raw_text(units[3], styles) == "The deed: signed in 1871."


def test_an_instruction_that_never_ends_takes_no_paragraph_with_it() -> None:
    begin = '<w:r><w:fldChar w:fldCharType="begin"/></w:r><w:r><w:instrText>PAGE</w:instrText></w:r>'
    later = [f"Slate {number}." for number in range(120)]
    for after in (later, later[:3]):
        assert texts(p("Owen.", begin) + "".join(map(p, after))) == ["Owen.", *after]
    assert texts(p("Owen.", begin) + table(("a", "b")) + p("Next.")) == ["Owen.", "a\tb", "Next."]


def test_a_result_may_run_over_paragraphs() -> None:
    first = field("TOC \\o", "Owen").removesuffix('<w:r><w:fldChar w:fldCharType="end"/></w:r>')
    body = p(first) + p(field("PAGEREF _a", "9")) + p("Huw", '<w:r><w:fldChar w:fldCharType="end"/></w:r>') + p("Next.")
    assert texts(body) == ["Owen", "9", "Huw", "Next."]


def test_a_text_box_is_read_once_after_its_paragraph() -> None:
    blocks = opened(p("Before.", text_box(p("Boxed.") + p("")), " After.") + p("Next.")).blocks
    assert [(block.index, block.text) for block in blocks] == [(0, "Before. After."), (1, "Boxed."), (3, "Next.")]


def test_hidden_text_is_left_out() -> None:
    styles = style("Secret", "Secret", "<w:rPr><w:vanish/></w:rPr>", kind="character") + style(
        "Aside", "Aside", "<w:rPr><w:vanish/></w:rPr>"
    )
    body = (
        p("Seen", r(" hidden", "<w:vanish/>"), r(" styled", '<w:rStyle w:val="Secret"/>'), ".")
        + p("A whole paragraph.", style="Aside")
        + p(r("Shown again.", '<w:vanish w:val="0"/>'), style="Aside")
    )
    assert texts(body, styles=styles) == ["Seen.", "Shown again."]


def test_a_hidden_text_box_is_left_out() -> None:
    hidden = text_box(p("Boxed.")).replace("<w:r>", "<w:r><w:rPr><w:vanish/></w:rPr>", 1)
    assert texts(p("Owen.", hidden, text_box(p("Seen.")))) == ["Owen.", "Seen."]


def test_of_two_versions_the_first_that_is_understood_is_read() -> None:
    def versions(*known: str, other: str = "") -> str:
        choices = "".join(f'<mc:Choice Requires="{need}">{r(need)}</mc:Choice>' for need in known)
        fallback = f"<mc:Fallback>{r(other)}</mc:Fallback>" if other else ""
        return p(f"<mc:AlternateContent>{choices}{fallback}</mc:AlternateContent>")

    assert texts(versions("wps", other="fallback")) == ["wps"]
    assert texts(versions("xml", "w wps", other="fallback")) == ["w wps"]
    assert texts(versions("nobody", "wps nobody", other="fallback")) == ["fallback"]
    assert texts(versions("nobody", "else")) == ["nobody"]


def test_white_space_is_single_and_unseen_characters_are_gone() -> None:
    body = p(
        "3 May\N{NO-BREAK SPACE}1841 ",
        "<w:r><w:tab/><w:t>Llan</w:t><w:softHyphen/><w:t>beris</w:t><w:br/><w:t>twenty</w:t><w:noBreakHyphen/>"
        "<w:t>one\N{SOFT HYPHEN}\N{ZERO WIDTH SPACE}</w:t></w:r>",
        r(" \N{RIGHT-TO-LEFT MARK}years  "),
    )
    assert texts(body) == ["3 May 1841 Llanberis twenty-one years"]


def test_comments_and_signs() -> None:
    body = p(
        '<w:commentRangeStart w:id="0"/>',
        "Paid",
        '<w:commentRangeEnd w:id="0"/><w:r><w:commentReference w:id="0"/></w:r>',
        '<w:r><w:t xml:space="preserve"> 3</w:t><w:sym w:font="Symbol" w:char="F0B0"/></w:r>',
        '<w:r><w:sym w:font="Wingdings" w:char="00FC"/><w:sym w:font="Cambria" w:char="00FC"/></w:r>',
    )
    assert texts(body) == ["Paid 3°✓ü"]


def test_the_signs_of_the_symbol_font_are_those_printed() -> None:
    def signs(font: str, *codes: str) -> str:
        return "".join(f'<w:r><w:sym w:font="{font}" w:char="{code}"/></w:r>' for code in codes)

    assert texts(p(signs("Symbol", "F061", "F057", "F0A2", "F0B2", "F0A3", "F05B", "F031", "F0F0", "2A"))) == [
        "αΩ′″≤[1•*"
    ]
    assert texts(p(signs("Wingdings", "F061", "F0FC", "FB", "F0DF"))) == ["•✓✗←"]
    assert texts(p(signs("Gwynedd Dingbats", "F061", "F0E0"))) == ["•→"]
    own = note(1, own="*").replace("<w:t>*</w:t>", '<w:sym w:font="Symbol" w:char="F02A"/>')
    assert [n.number for n in opened(p("He sailed.", own), footnotes=notes("footnote", "Diary.")).notes] == ["*"]


def test_what_xml_is_not_meant_to_show_cuts_no_word_off() -> None:
    assert texts(p("Paid<!-- by whom? --> three<?mark here?> <![CDATA[& twenty]]>") + "<!-- end -->") == [
        "Paid three & twenty"
    ]


def test_formulas_are_read_in_order() -> None:
    def run(words: str) -> str:
        return f"<m:r><m:t>{words}</m:t></m:r>"

    half = f"<m:f><m:fPr/><m:num>{run('1')}</m:num><m:den>{run('2')}</m:den></m:f>"
    square = f"<m:sSup><m:e>{run('m')}</m:e><m:sup>{run('2')}</m:sup></m:sSup>"
    body = p("He held ", f'<m:oMath xmlns:m="{_MATH}">{half}{run(" of 40 ")}{square}</m:oMath>', ".")
    assert found_again(body) == ["He held 1/2 of 40 m2."]
    assert texts(body) == ["He held 1/2 of 40 m²."]


@pytest.mark.parametrize(
    ("settings", "chosen"),
    [
        ('<w:result w:val="1"/><w:default w:val="0"/>', "rockman"),
        ('<w:default w:val="1"/>', "rockman"),
        ("", "splitter"),
        ('<w:result w:val="9"/>', ""),
    ],
)
def test_of_a_list_in_a_form_the_entry_chosen_is_read(settings: str, chosen: str) -> None:
    entries = '<w:listEntry w:val="splitter"/><w:listEntry w:val="rockman"/>'
    form = f"<w:ffData><w:ddList>{settings}{entries}</w:ddList></w:ffData>"
    listing = field("FORMDROPDOWN", "").replace("/></w:r>", f">{form}</w:fldChar></w:r>", 1)
    assert found_again(p("Trade: ", listing, ".")) == [f"Trade: {chosen}."]
    shown = field("FORMDROPDOWN", "rockman").replace("/></w:r>", f">{form}</w:fldChar></w:r>", 1)
    assert texts(p("Trade: ", shown, ".")) == [f"Trade: {chosen}."]


def test_words_drawn_in_a_shape_are_read() -> None:
    drawn = '<w:r><w:pict><v:shape><v:textpath string="The Prydderchs"/></v:shape></w:pict></w:r>'
    hidden = drawn.replace("<w:r>", "<w:r><w:rPr><w:vanish/></w:rPr>")
    assert texts(p(drawn, hidden) + p("A family", drawn, "of Gerlan.")) == [
        "The Prydderchs",
        "A family The Prydderchs of Gerlan.",
    ]


def test_what_stands_in_other_files_is_told() -> None:
    put_in = '<w:altChunk r:id="rId9"/>'
    body = p("Owen.") + put_in + put_in + p('<w:subDoc r:id="rId8"/>')
    other = "a part of it is another file put in whole, and was not read"
    first, second = opened(body).remarks
    assert (first, "subdocument" in second) == (other, True)
    assert opened(f"<w:sdt><w:sdtContent>{put_in}</w:sdtContent></w:sdt>" + p("Owen.")).remarks == (other,)
    assert opened(p("Owen.")).remarks == ()


# --- what a paragraph is ------------------------------------------------------------------------------------------


def test_headings_by_style_chain_outline_and_foreign_names() -> None:
    styles = (
        style("Heading2", "heading 2")
        + style("Person", "Person entry", based_on="Heading2")
        + style("berschrift1", "Überschrift 1")
        + style("Outlined", "House style", '<w:pPr><w:outlineLvl w:val="2"/></w:pPr>')
        + style("Title", "Title")
        + style("Body", "Not a heading", '<w:pPr><w:outlineLvl w:val="9"/></w:pPr>', based_on="Heading2")
    )
    kinds = [
        (block.kind, block.level)
        for block in opened(
            p("a", style="Person")
            + p("b", style="berschrift1")
            + p("c", style="Outlined")
            + p("d", style="Title")
            + p("e", style="Body")
            + p("f", properties='<w:outlineLvl w:val="0"/>')
            + p("g", style="Heading3"),  # not defined in the file
            styles=styles,
        ).blocks
    ]
    heading, paragraph = Kind.HEADING, Kind.PARAGRAPH
    assert kinds == [(heading, 2), (heading, 1), (heading, 3), (heading, 1), (paragraph, 0), (heading, 1), (heading, 3)]


def test_list_numbers_are_those_printed() -> None:
    levels = numbering(("decimal", "%1."), ("lowerRoman", "%1.%2"), ("upperLetter", "(%3)"))
    body = "".join(p("x", properties=listed(1, level)) for level in (0, 1, 1, 0, 1, 2))
    blocks = opened(body, numbering=levels).blocks
    assert [block.label for block in blocks] == ["1.", "1.i", "1.ii", "2.", "2.i", "(A)"]
    assert {block.kind for block in blocks} == {Kind.ITEM}


def test_a_list_can_start_anew_and_empty_entries_count() -> None:
    override = '<w:lvlOverride w:ilvl="0"><w:startOverride w:val="5"/></w:lvlOverride>'
    body = (
        p("a", properties=listed(1))
        + p(properties=listed(1))
        + p("b", properties=listed(1))
        + p("c", properties=listed(2))
        + p("d", properties=listed(2))
        + p("e", properties=listed(0))
    )
    blocks = opened(body, numbering=numbering(("ordinal", "%1"), overrides=override)).blocks
    assert [block.label for block in blocks] == ["1st", "3rd", "5th", "6th", ""]


def test_numbers_can_come_from_the_style() -> None:
    styles = style("Entry", "Entry", f"<w:pPr>{listed(1)}</w:pPr>") + style("Heading1", "heading 1")
    blocks = opened(
        p("a", style="Entry") + p("b", style="Heading1", properties=listed(1)),
        styles=styles,
        numbering=numbering(("upperRoman", "Chapter %1")),
    ).blocks
    assert [(block.kind, block.label) for block in blocks] == [(Kind.ITEM, "Chapter I"), (Kind.HEADING, "Chapter II")]


def test_a_label_is_no_longer_than_a_line_or_two() -> None:
    endless = numbering(("cardinalText", "Chapter %1. " + "z" * 100_000), ("decimal", "%1" * 100_000))
    blocks = opened(p("a", properties=listed(1)) + p("b", properties=listed(1, 1)), numbering=endless).blocks
    assert [block.label[:14] for block in blocks] == ["Chapter One. z", "OneOneOneOneOn"]
    assert max(len(block.label) for block in blocks) == 200


def test_a_table_gives_a_block_a_row() -> None:
    cell = p("Owen", note(1)) + p("quarryman")
    blocks = opened(
        p("Before.") + table(("Name", "", "Born"), (cell, "1841", "")) + p("After."),
        footnotes=notes("footnote", "Census."),
    ).blocks
    assert [(block.index, block.kind, block.text) for block in blocks] == [
        (0, Kind.PARAGRAPH, "Before."),
        (1, Kind.TABLE, "Name\t\tBorn"),
        (4, Kind.TABLE, "Owen quarryman\t1841\t"),
        (8, Kind.PARAGRAPH, "After."),
    ]
    assert [(mark.at, mark.number) for mark in blocks[2].marks] == [(4, "1")]


def test_deleted_rows_and_cells_of_a_table_are_gone() -> None:
    row = "<w:trPr><w:del/></w:trPr>"
    cell = "<w:tcPr><w:cellDel/></w:tcPr>"
    frame = table((p("Framed"),)).replace("<w:tr>", f"<w:tr>{row}")
    three = table(("a", "b"), ("c", "d"), ("e", "f")).replace(
        '<w:tc><w:p><w:r><w:t xml:space="preserve">b', f"<w:tc>{cell}<w:p><w:r><w:t>b"
    )
    three = three.replace("<w:tr>", f"<w:tr>{row}", 2).replace(f"<w:tr>{row}", "<w:tr>", 1)
    blocks = opened(frame + three + p("After.")).blocks
    assert [(block.index, block.text) for block in blocks] == [(1, "a"), (5, "e\tf"), (7, "After.")]
    inner = table((table(("a", "b"), ("c", "d")).replace("<w:tr>", f"<w:tr>{row}", 1), "e"))
    assert texts(inner) == ["c d\te"]


def test_a_table_of_one_cell_is_a_frame_around_text() -> None:
    assert [block.kind for block in opened(table((p("Boxed") + p("text"),))).blocks] == [Kind.PARAGRAPH] * 2


def test_pictures_and_captions() -> None:
    caption = p("Figure ", field("SEQ Figure", "1"), ": The mill.")
    person = p(field("SEQ person", "1"), ". Owen Prydderch")
    blocks = opened(p(picture("Owen at the mill")) + caption + person + p("The mill.", style="Caption")).blocks
    assert [(block.kind, block.text) for block in blocks] == [
        (Kind.PICTURE, "Owen at the mill"),
        (Kind.CAPTION, "Figure 1: The mill."),
        (Kind.PARAGRAPH, "1. Owen Prydderch"),
        (Kind.CAPTION, "The mill."),
    ]


def test_quotations_by_style_or_by_indents_on_both_sides() -> None:
    both, left = '<w:ind w:left="720" w:right="720"/>', '<w:ind w:left="720"/>'
    body = (
        p("a", properties=both) + p("b", properties=left) + p("c", style="Quote") + p("d", properties=listed(1) + both)
    )
    kinds = [
        block.kind
        for block in opened(body, styles=style("Quote", "Quote"), numbering=numbering(("decimal", "%1."))).blocks
    ]
    assert kinds == [Kind.QUOTATION, Kind.PARAGRAPH, Kind.QUOTATION, Kind.ITEM]


def test_italic_and_bold_are_spans_of_the_text() -> None:
    block = only(p("In the ", r("Slate ", "<w:i/>"), r("Herald", '<w:i w:val="true"/>'), r(" of 1880", "<w:b/>"), "."))
    assert [block.text[start:end] for start, end in block.italic] == ["Slate Herald"]
    assert [block.text[start:end] for start, end in block.bold] == ["of 1880"]


# --- notes --------------------------------------------------------------------------------------------------------


def test_notes_are_numbered_by_their_references() -> None:
    body = p("One.", note(2), " Two.", note(1)) + p("Three.", note(1, "endnote")) + p("None.", note(9))
    draft = opened(
        body, footnotes=notes("footnote", "First written.", "Second written."), endnotes=notes("endnote", "End.")
    )
    assert [(n.number, n.text, n.kind, n.live) for n in draft.notes] == [
        ("1", "Second written.", "footnote", True),
        ("2", "First written.", "footnote", True),
        ("i", "End.", "endnote", True),
    ]
    marks = [(mark.at, mark.number, mark.note, mark.live) for block in draft.blocks for mark in block.marks]
    assert marks == [(4, "1", 0, True), (9, "2", 1, True), (6, "i", 2, True), (5, "3", None, True)]


def test_note_formats_starts_and_restarts() -> None:
    settings_part = '<w:footnotePr><w:numFmt w:val="lowerLetter"/><w:numRestart w:val="eachSect"/></w:footnotePr>'
    section = '<w:sectPr><w:footnotePr><w:numFmt w:val="decimal"/><w:numStart w:val="4"/></w:footnotePr></w:sectPr>'
    body = p("a", note(1), note(2), properties=section) + p("b", note(3), note(4)) + "<w:sectPr/>"
    draft = opened(body, settings=settings_part, footnotes=notes("footnote", "w", "x", "y", "z"))
    assert [n.number for n in draft.notes] == ["4", "5", "a", "b"]


def test_own_marks_do_not_count_and_are_no_text() -> None:
    draft = opened(p("a.", note(1, own="*"), " b.", note(2)), footnotes=notes("footnote", "Star.", "One."))
    assert draft.blocks[0].text == "a. b."
    assert [n.number for n in draft.notes] == ["*", "1"]


@pytest.mark.parametrize(
    "reference",
    [
        field("NOTEREF _Ref1 \\f \\h", "1"),
        field("noteref _Ref1 \\F", "1"),
        field("NOTEREF _Ref1 \\h", "1").replace("<w:r><w:t", _RAISED_RUN),
        field("NOTEREF _Ref1 \\h", "1").replace("<w:r><w:t", f"<w:r><w:rPr>{_MARK_STYLE}</w:rPr><w:t"),
        f'<w:fldSimple w:instr="NOTEREF _Ref1 \\f">{r("1")}</w:fldSimple>',
    ],
)
def test_a_raised_cross_reference_to_a_note_is_a_mark_not_a_number_in_the_text(reference: str) -> None:
    draft = opened(p("a.", note(1), " b.", reference), footnotes=notes("footnote", "Once."))
    (block,) = draft.blocks
    assert (block.text, [(mark.at, mark.number, mark.note) for mark in block.marks]) == (
        "a. b.",
        [(2, "1", 0), (5, "1", 0)],
    )
    assert draft.remarks == ()


def test_a_cross_reference_on_the_line_is_a_word_of_its_sentence() -> None:
    body = (
        p("He took the lease.", note(1))
        + p("As note ", field("NOTEREF _Ref1 \\h", "1"), " shows, the rent was low.")
        + p("It is told in note ", field("NOTEREF _Ref1 \\p \\h", "1 above"), ".")
        + p("See n.", field("NOTEREF _Ref1 \\f \\p", "1 above").replace("<w:r><w:t", _RAISED_RUN), ".")
    )
    draft = opened(body, footnotes=notes("footnote", "Rental."))
    assert [block.text for block in draft.blocks[1:]] == [
        "As note 1 shows, the rent was low.",
        "It is told in note 1 above.",
        "See n.1 above.",
    ]
    assert not any(block.marks for block in draft.blocks[1:])


def test_a_note_that_points_to_a_note_keeps_the_number() -> None:
    body = p("a.", note(1), " b.", note(2))
    plain, marked = field("NOTEREF _Ref1 ", "1"), field("NOTEREF _Ref1 \\f", "1")
    pointing = (
        f'<w:footnote w:id="1">{p("Rental.")}</w:footnote>'
        f'<w:footnote w:id="2">{p("See note ", plain, " above; ", marked)}</w:footnote>'
    )
    assert opened(body, footnotes=pointing).notes[1].text == "See note 1 above; ¹"


def test_a_note_of_several_paragraphs() -> None:
    long = f'<w:footnote w:id="1">{p("Register.")}{p("")}{p("Also the ", r("Herald", "<w:i/>"), ".")}</w:footnote>'
    assert opened(p("a", note(1)), footnotes=long).notes[0].text == "Register.\nAlso the Herald."


def test_raised_digits_are_marks_generations_or_powers() -> None:
    body = (
        p("John", raised("2"), " Marsh had 40 m", raised("2"), " of slate", raised("3"), " on the 5", raised("th"), ".")
        + p("He sold it.", raised("4,5"), " In 1850", raised("6"), " he left.")
        + p("Notes", style="Heading1")
        + "".join(p(f"{number}. Deed {number}.") for number in range(3, 7))
    )
    draft = opened(body, styles=style("Heading1", "heading 1"))
    first, second = draft.blocks[:2]
    assert first.text == "John² Marsh had 40 m² of slate on the 5th."
    assert second.text == "He sold it. In 1850 he left."
    assert [(m.number, m.live, draft.notes[m.note].text if m.note is not None else None) for m in second.marks] == [
        ("4", False, "Deed 4."),
        ("5", False, "Deed 5."),
        ("6", False, "Deed 6."),
    ]
    assert [mark.number for mark in first.marks] == ["3"]


# --- files of other makes -----------------------------------------------------------------------------------------


def strictly(data: bytes) -> bytes:
    """The same package in the strict names."""
    strict = {}
    with zipfile.ZipFile(io.BytesIO(data)) as package:
        for name in package.namelist():
            content = package.read(name).decode()
            for vocabulary in ("officeDocument", "wordprocessingml", "drawingml"):
                content = content.replace(
                    f"http://schemas.openxmlformats.org/{vocabulary}/2006/", f"http://purl.oclc.org/ooxml/{vocabulary}/"
                )
            strict[name] = content
    return zipped(strict)


def test_strict_files_open() -> None:
    data = docx(p("Owen was strict.", style="Heading1"), styles=style("Heading1", "heading 1"))
    assert strictly(data) != data
    (block,) = read("strict.docx", strictly(data), "0").blocks
    assert (block.kind, block.text) == (Kind.HEADING, "Owen was strict.")


def test_a_picture_far_down_in_a_strict_file_is_seen() -> None:
    own = picture("The wharf").replace("<a:graphic>", f'<a:graphic xmlns:a="{_DRAWING}">')
    data = docx(p("s" * (1 << 17)) + p(own) + p("After."))
    assert [block.kind for block in read("strict.docx", strictly(data), "0").blocks[1:]] == [
        Kind.PICTURE,
        Kind.PARAGRAPH,
    ]


@pytest.mark.parametrize("size", [-1, 100, 1 << 15])
def test_no_strict_name_is_missed_where_a_part_is_read_in_pieces(size: int) -> None:
    strict, usual = b"http://purl.oclc.org/ooxml/drawingml/main", _DRAWING.encode()
    for before in range((1 << 16) - 60, (1 << 16) + 2):
        content = b'<a xmlns="%s">' % strict
        content += b"s" * (before - len(content)) + strict + b"s" * (1 << 16) + strict + b"</a>"
        pieces = iter(partial(zips.Part("x", io.BytesIO(content), 1).read, size), b"")
        assert b"".join(pieces) == content.replace(strict, usual)


def test_parts_are_found_by_their_relationships() -> None:
    files = {
        "[Content_Types].xml": "<Types/>",
        "_rels/.rels": relationships(("officeDocument", "/text/Main.xml")),
        "text/main.xml": part("document", f"<w:body>{p('Found.', note(1))}</w:body>"),
        "text/_rels/Main.xml.rels": relationships(("footnotes", "../notes/all.xml")),
        "notes/all.xml": part("footnotes", notes("footnote", "Here.")),
    }
    draft = read("x.docx", zipped(files), "0")
    assert (draft.blocks[0].text, draft.notes[0].text) == ("Found.", "Here.")


def test_parts_that_are_missing_cost_no_more_than_themselves() -> None:
    files = {
        "[Content_Types].xml": "<Types/>",
        "word/document.xml": part("document", f"<w:body>{p('Alone.')}</w:body>"),
    }
    assert read("x.docx", zipped(files), "0").blocks[0].text == "Alone."
    with pytest.raises(Unreadable, match="without a text document"):
        read("x.docx", zipped({"[Content_Types].xml": "<Types/>"}), "0")


def test_circles_of_styles_and_lists_end() -> None:
    styles = style("A", "A", based_on="B") + style("B", "B", based_on="A")
    circle = (
        '<w:abstractNum w:abstractNumId="1"><w:numStyleLink w:val="L"/></w:abstractNum>'
        '<w:num w:numId="1"><w:abstractNumId w:val="1"/></w:num>'
    )
    linked = styles + style("L", "L", f"<w:pPr>{listed(1)}</w:pPr>")
    assert texts(p("Still read.", style="A", properties=listed(1)), styles=linked, numbering=circle) == ["Still read."]


# --- words are found again ----------------------------------------------------------------------------------------


def units_of(data: bytes) -> tuple[dict[int, Unit], Styles]:
    """The units of a document and its styles, opened as a later module opens them."""
    with zipfile.ZipFile(io.BytesIO(data)) as package:
        root = etree.fromstring(package.read("word/document.xml"))
        styles = Styles(
            etree.fromstring(package.read("word/styles.xml")) if "word/styles.xml" in package.namelist() else None
        )
    body = root.find(f"{{{W}}}body")
    assert body is not None
    return {unit.index: unit for unit in Walk().units(body)}, styles


def found_again(body: str) -> list[str]:
    """The raw text of each unit, as a later module finds it."""
    units, styles = units_of(docx(body))
    return [raw_text(unit, styles) for unit in units.values()]


def raw_text(unit: Unit, styles: Styles) -> str:
    text = ""
    for _run, _part, start, piece in unit.raw_runs(styles):
        text += "\0" * (start - len(text)) + piece
    return text


_WORD = st.text(alphabet="abcdefghij", min_size=1, max_size=6)
_PIECE = st.tuples(
    st.sampled_from(
        [
            "plain",
            "ins",
            "del",
            "moveFrom",
            "link",
            "tag",
            "sdt",
            "field",
            "hidden",
            "box",
            "raised",
            "note",
            "tab",
            "soft",
        ]
    ),
    _WORD,
)
_PARAGRAPH = st.tuples(st.sampled_from(["p", "p", "p", "joined", "row", "list", "quote"]), st.lists(_PIECE, max_size=6))


def built(pieces: list[tuple[str, str]]) -> tuple[str, str, list[str]]:
    """The XML of some pieces, the words a reader sees in them, and those that stand in text boxes."""
    makers = {
        "plain": lambda word: r(f" {word} "),
        "ins": lambda word: f"<w:ins>{r(f' {word}')}</w:ins>",
        "del": lambda word: f"<w:del>{r(word)}</w:del>",
        "moveFrom": lambda word: f"<w:moveFrom>{r(word)}</w:moveFrom>",
        "link": lambda word: f"<w:hyperlink>{r(word)}</w:hyperlink>",
        "tag": lambda word: f"<w:smartTag>{r(f'{word} ')}</w:smartTag>",
        "sdt": lambda word: f"<w:sdt><w:sdtContent>{r(word)}</w:sdtContent></w:sdt>",
        "field": lambda word: field("REF x", f" {word} "),
        "hidden": lambda word: r(word, "<w:vanish/>"),
        "box": lambda word: text_box(p(word)),
        "raised": lambda word: raised(word),
        "note": lambda word: note(1),
        "tab": lambda word: f"<w:r><w:tab/><w:t>{word}</w:t></w:r>",
        "soft": lambda word: r(f"{word}\N{SOFT HYPHEN}{word}"),
    }
    seen = {"plain": " {} ", "ins": " {}", "tag": "{} ", "field": " {} ", "tab": " {}", "soft": "{0}{0}"}
    unseen = ("del", "moveFrom", "hidden", "box", "note")
    text = "".join(seen.get(kind, "{}").format(word) for kind, word in pieces if kind not in unseen)
    return "".join(makers[kind](word) for kind, word in pieces), text, [word for kind, word in pieces if kind == "box"]


@settings(max_examples=150, deadline=None)
@given(st.lists(_PARAGRAPH, max_size=6))
def test_no_word_is_lost_doubled_or_misplaced(paragraphs: list[tuple[str, list[tuple[str, str]]]]) -> None:
    body, expected = "", []
    for kind, pieces in paragraphs:
        xml, text, boxed = built(pieces)
        properties = {"joined": _DELETED, "list": listed(1), "quote": '<w:ind w:left="800" w:right="800"/>'}.get(
            kind, ""
        )
        body += table((p(xml), "cell")) if kind == "row" else p(xml, properties=properties)
        expected.append((kind, text + (" cell" if kind == "row" else ""), boxed))
    data = docx(body, footnotes=notes("footnote", "n"), numbering=numbering(("decimal", "%1.")))
    draft = read("x.docx", data, "0")

    words: list[str] = []
    waiting, boxes = "", []
    for kind, text, boxed in [*expected, ("row", "", [])]:
        if kind == "row":  # nothing runs on into a table
            words += waiting.split() + boxes
            waiting, boxes = "", []
        waiting, boxes = waiting + text, boxes + boxed
        if kind != "joined":
            words += waiting.split() + boxes
            waiting, boxes = "", []
    assert [word for block in draft.blocks for word in block.text.split()] == words

    units, styles = units_of(data)
    for block in draft.blocks:
        raw = raw_text(units[block.index], styles)
        for at, character in enumerate(block.text):
            there = raw[block.source_offset(at)]
            assert there == character or (character.isspace() and there in " \t\n\0"), (block, raw)


def test_the_units_of_a_document_count_every_paragraph() -> None:
    data = docx(p("") + p("a", text_box(p("b"))) + table(("c", "d"), ("", "e")) + p("f"))
    units, styles = units_of(data)
    assert {index: raw_text(unit, styles).replace("\0", "|") for index, unit in units.items()} == {
        0: "", 1: "a", 2: "b", 3: "c|d", 5: "|e", 7: "f",
    }  # fmt: skip


def test_what_parts_two_live_notes_at_one_spot_is_none_of_the_text() -> None:
    told = p("Slate.", note(1), r(","), note(2), " Sang.", note(3), raised(", "), note(4))
    block = only(told, footnotes=notes("footnote", *"abcd"))
    assert block.text == "Slate. Sang."
    assert [mark.at for mark in block.marks] == [6, 6, 12, 12]
