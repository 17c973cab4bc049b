"""Reading .odt: the same page as .docx, from another word processor's file."""

from __future__ import annotations

from functools import partial

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from small_files import ODT_TYPE, flat_odt, odt, odt_note, zipped

from storylint.complaints import Unreadable
from storylint.draft.list_numbers import LONGEST_LABEL
from storylint.draft.model import Block, Draft, Kind
from storylint.draft.odt import read
from tests.effort import calls

_LOOKS = (
    '<style:style style:name="It" style:family="text"><style:text-properties fo:font-style="italic"/></style:style>'
    '<style:style style:name="Up" style:family="text"><style:text-properties style:text-position="super 58%"/>'
    "</style:style>"
    '<style:style style:name="No" style:family="text"><style:text-properties text:display="none"/></style:style>'
)


def opened(body: str, automatic: str = _LOOKS, styles: str = "") -> Draft:
    return read("draft.odt", odt(body, automatic, styles), "0")


def only(body: str, **more: str) -> Block:
    (block,) = opened(body, **more).blocks
    return block


def named(name: str, properties: str = "", parent: str = "", more: str = "") -> str:
    """A paragraph style."""
    return (
        f'<style:style style:name="{name}" style:family="paragraph" style:parent-style-name="{parent}" {more}>'
        f"{properties}</style:style>"
    )


def numbers(name: str, *levels: tuple[str, str, int]) -> str:
    """A list style: (format, suffix, levels shown) for each level."""
    return (
        f'<text:list-style style:name="{name}">'
        + "".join(
            f'<text:list-level-style-number text:level="{at}" style:num-format="{form}" style:num-suffix="{suffix}" '
            f'text:display-levels="{shown}"/>'
            for at, (form, suffix, shown) in enumerate(levels, 1)
        )
        + "</text:list-style>"
    )


def test_inline_elements_give_their_text_and_nothing_else() -> None:
    block = only(
        "<text:p>Owen<text:s text:c='3'/>was<text:tab/>a <text:span text:style-name='It'>rock<text:span>man</text:span>"
        "</text:span><text:span text:style-name='No'> hidden</text:span><office:annotation><dc:creator>x</dc:creator>"
        "<text:p>a comment</text:p></office:annotation>\n   of <text:a>Gerlan</text:a><text:line-break/>"
        "<text:bookmark-ref>page 4</text:bookmark-ref><text:hidden-text text:is-hidden='true'>no</text:hidden-text>"
        "<text:variable-set text:display='none'>no</text:variable-set>.</text:p>"
    )
    assert block.text == "Owen was a rockman of Gerlan page 4."
    assert [block.text[start:end] for start, end in block.italic] == ["rockman"]


def test_deleted_text_is_not_in_the_body() -> None:
    changes = (
        "<text:tracked-changes><text:changed-region><text:deletion><text:p>gone</text:p></text:deletion>"
        "</text:changed-region></text:tracked-changes>"
    )
    body = changes + "<text:p>He <text:change-start/>stayed<text:change-end/> on<text:change/>.</text:p>"
    assert only(body).text == "He stayed on."


LOEXT = 'xmlns:loext="urn:org:documentfoundation:names:experimental:office:xmlns:loext:1.0"'
SCRIPT = 'xmlns:script="urn:oasis:names:tc:opendocument:xmlns:script:1.0"'


def test_content_controls_and_other_wrappers_are_read() -> None:
    control = f"<loext:content-control {LOEXT}>{{}}</loext:content-control>"
    listener = f"<script:event-listener {SCRIPT}>run</script:event-listener>"
    body = (
        f"<text:p>Born {control.format('4 March 1871')} at "
        f"<text:a><office:event-listeners>{listener}</office:event-listeners>"
        f"{control.format('<text:span>Gerlan</text:span> chapel')}</text:a>.</text:p>"
    )
    assert only(body).text == "Born 4 March 1871 at Gerlan chapel."


def reference(form: str, text: str) -> str:
    """A cross-reference to a note."""
    return f'<text:note-ref text:reference-format="{form}" text:ref-name="n">{text}</text:note-ref>'


def test_a_cross_reference_to_a_note_is_a_mark_only_where_it_is_set_like_one() -> None:
    above = f"{reference('text', '2')} {reference('direction', 'above')} on page {reference('page', '17')}"
    block = only(
        f"<text:p>He sailed.{odt_note('2', 'List.')} (See note {above}.) He wrote."
        f'<text:span text:style-name="Up">{reference("text", "2")}</text:span></text:p>'
    )
    assert block.text == "He sailed. (See note 2 above on page 17.) He wrote."
    assert [(mark.at, mark.number, mark.note) for mark in block.marks] == [(10, "2", 0), (len(block.text), "2", 0)]


def deleted(*names: str) -> str:
    """What a flat file says of deletions whose text stands in the body."""
    regions = (f'<text:changed-region text:id="{name}"><text:deletion/></text:changed-region>' for name in names)
    return f"<text:tracked-changes>{''.join(regions)}</text:tracked-changes>"


def gone(name: str, text: str) -> str:
    """Text between the marks of a change."""
    return f'<text:change-start text:change-id="{name}"/>{text}<text:change-end text:change-id="{name}"/>'


@pytest.mark.parametrize(
    ("body", "left"),
    [
        (f"<text:p>He {gone('a', 'sailed')}{gone('new', 'stayed')} on.</text:p>", ["He stayed on."]),
        (f"<text:p>{gone('a', 'Owen</text:p><text:p>went')} west.</text:p>", ["west."]),
        (f"<text:p>Owen{gone('a', '</text:p><text:p>Huw</text:p><text:p>Ifan')} left.</text:p>", ["Owen left."]),
        (
            f"<text:p>Owen{gone('a', '</text:p><text:p>')} and{gone('b', '</text:p><text:p>')} Huw.</text:p>",
            ["Owen and Huw."],
        ),
        ("<text:p>One</text:p>" + gone("a", "<text:p>Two</text:p>") + "<text:p>Three</text:p>", ["One", "Three"]),
        (
            f"<text:p>One{gone('a', odt_note('1', 'A note.'))} two.</text:p><text:p>Three</text:p>",
            ["One two.", "Three"],
        ),
        (f"<text:p>On{gone('a', 'e' + gone('b', 'T') + 'wo')}ly</text:p>", ["Only"]),
        ('<text:p>One<text:change-start text:change-id="a"/>two</text:p><text:p>Three</text:p>', ["Onetwo", "Three"]),
        ('<text:p>One<text:change-end text:change-id="a"/>two</text:p><text:p>Three</text:p>', ["Onetwo", "Three"]),
    ],
)
def test_deleted_text_in_the_body_of_a_flat_file_is_not_read(body: str, left: list[str]) -> None:
    draft = read("flat.fodt", flat_odt(deleted("a", "b") + body + "<text:p>End.</text:p>"), "0")
    assert [block.text for block in draft.blocks] == [*left, "End."]
    assert draft.notes == ()


def test_a_list_entry_whose_mark_is_deleted_goes_on_with_the_next() -> None:
    entry = "</text:p></text:list-item><text:list-item><text:p>"
    body = f"<text:list-item><text:p>Owen{gone('a', entry)}, Huw{entry}Ifan</text:p></text:list-item>"
    draft = read("flat.fodt", flat_odt(f"{deleted('a')}<text:list>{body}</text:list>"), "0")
    assert [(block.index, block.text) for block in draft.blocks] == [(0, "Owen, Huw"), (1, "Ifan")]


def test_a_deletion_that_ends_in_a_table_joins_nothing_to_it() -> None:
    cell = "</text:p><table:table><table:table-row><table:table-cell/><table:table-cell><text:p>"
    body = f"<text:p>Owen{gone('a', cell + 'Huw')} Ifan</text:p></table:table-cell></table:table-row></table:table>"
    draft = read("flat.fodt", flat_odt(deleted("a") + body), "0")
    assert [(block.kind, block.text) for block in draft.blocks] == [(Kind.PARAGRAPH, "Owen"), (Kind.TABLE, "\tIfan")]


def test_headings_by_element_style_and_outline_numbers() -> None:
    styles = (
        named("Heading_20_2", more='style:display-name="Heading 2" style:default-outline-level="2"')
        + named("Title")
        + '<text:outline-style><text:outline-level-style text:level="1" style:num-format="I" style:num-suffix="."/>'
        '<text:outline-level-style text:level="2" style:num-format=""/></text:outline-style>'
    )
    blocks = opened(
        '<text:p text:style-name="Title">Slate</text:p><text:h text:outline-level="1">Wales</text:h>'
        '<text:p text:style-name="P1">Gerlan</text:p><text:h text:outline-level="1">Vermont</text:h>',
        automatic=named("P1", parent="Heading_20_2"),
        styles=styles,
    ).blocks
    assert [(block.kind, block.level, block.label) for block in blocks] == [
        (Kind.HEADING, 1, ""),
        (Kind.HEADING, 1, "I."),
        (Kind.HEADING, 2, ""),
        (Kind.HEADING, 1, "II."),
    ]


def test_list_numbers_are_those_printed() -> None:
    body = (
        '<text:list xml:id="a" text:style-name="L"><text:list-item><text:p>1</text:p><text:list><text:list-item>'
        "<text:p>1.i</text:p><text:p>more</text:p></text:list-item><text:list-item><text:p>1.ii</text:p></text:list-item>"
        "</text:list></text:list-item><text:list-header><text:p>none</text:p></text:list-header></text:list>"
        '<text:p>between</text:p><text:list text:continue-list="a" text:style-name="L"><text:list-item>'
        "<text:p>2</text:p>"
        '</text:list-item><text:list-item text:start-value="7"><text:p>7</text:p></text:list-item></text:list>'
        '<text:list text:style-name="L"><text:list-item><text:p>1</text:p></text:list-item></text:list>'
    )
    blocks = opened(body, automatic=numbers("L", ("1", ".", 1), ("i", "", 2))).blocks
    assert [block.label for block in blocks] == ["1.", "1.i", "", "1.ii", "", "", "2.", "7.", "1."]
    assert [block.kind for block in blocks].count(Kind.ITEM) == 8


def level(at: int, form: str, more: str = "") -> str:
    """One level of a list style."""
    return f'<text:list-level-style-number text:level="{at}" style:num-format="{form}" {more}/>'


def labels(body: str, *levels: str) -> list[str]:
    """What is printed before the entries of lists in the style L."""
    automatic = f'<text:list-style style:name="L">{"".join(levels)}</text:list-style>'
    return [block.label for block in opened(body, automatic=automatic).blocks]


def entries(count: int, style: str = "L") -> str:
    return f'<text:list text:style-name="{style}">{"<text:list-item><text:p>x</text:p></text:list-item>" * count}</text:list>'


@pytest.mark.parametrize(
    ("form", "wanted"),
    [
        ("1", ["0", "1", "2"]),
        ("i", ["0", "i", "ii"]),
        ("A", ["0", "A", "B"]),
        ("01, 02, 03, ...", ["0", "01", "02"]),
        ("*, †, ‡, §, **, ††, ...", ["0", "*", "†"]),
        ("", ["", "", ""]),
    ],
)
def test_lists_that_number_from_0(form: str, wanted: list[str]) -> None:
    assert labels(entries(3), level(1, form, 'text:start-value="0"')) == wanted
    started = entries(3).replace("<text:list-item>", '<text:list-item text:start-value="0">', 1)
    assert labels(started, level(1, form)) == wanted


def test_letters_past_z() -> None:
    assert labels(entries(29), level(1, "a"))[25:] == ["z", "aa", "ab", "ac"]
    assert labels(entries(29), level(1, "A", 'style:num-letter-sync="true"'))[25:] == ["Z", "AA", "BB", "CC"]


@pytest.mark.parametrize(
    ("form", "pattern", "wanted"),
    [
        ("I", "%1%-%2%)", "I-1)"),
        ("I", "No. %2%", "No. 1"),
        ("I", "[%2% of %1%]", "[1 of I]"),
        ("I", "%3%", "%3%"),
        ("I", "", ""),
        ("", "(%1%.%2%)", "(1)"),
    ],
)
@pytest.mark.parametrize("name", ["style:num-list-format", f"{LOEXT} loext:num-list-format"])
def test_a_list_that_says_how_its_numbers_are_printed(name: str, form: str, pattern: str, wanted: str) -> None:
    body = entries(1).replace("</text:p>", "</text:p>" + entries(1))
    assert labels(body, level(1, form), level(2, "1", f'{name}="{pattern}"'))[1] == wanted


def test_a_list_that_begins_below_its_first_level_has_begun_there_too() -> None:
    body = entries(2).replace("<text:p>x</text:p>", entries(2), 1)
    assert labels(body, level(1, "1"), level(2, "a", 'text:display-levels="2"')) == ["1.a", "1.b", "2"]


def test_numbered_paragraphs_belong_to_the_list_they_name() -> None:
    body = "".join(
        f'<text:numbered-paragraph {name} text:level="{at}" text:style-name="L"><text:p>x</text:p></text:numbered-paragraph>'
        for name, at in (
            ('text:list-id="a"', 1), ('text:list-id="a"', 2), ('text:list-id="b"', 1),
            ('text:list-id="a" text:start-value="5"', 1), ("", 1), ("", 1),
        )
    )  # fmt: skip
    assert labels(body, level(1, "1"), level(2, "a")) == ["1", "a", "1", "5", "1", "2"]


def test_an_entry_may_have_a_style_of_its_own_and_counts_on() -> None:
    body = entries(3).replace("<text:list-item>", '<text:list-item text:style-override="M">', 1)
    automatic = numbers("L", ("1", ".", 1)) + numbers("M", ("A", ")", 1))
    assert [block.label for block in opened(body, automatic=automatic).blocks] == ["A)", "2.", "3."]


def test_small_files_do_not_grow() -> None:
    long = labels(entries(3), level(1, "1", f'style:num-suffix="{"." * 100_000}"'))
    assert max(map(len, long)) <= LONGEST_LABEL
    spaces = '<text:s text:c="999999999"/>' * 50
    assert only(f"<text:p>a{spaces}b</text:p>").source_offset(2) == 51


def test_notes_without_a_number_are_counted_each_kind_apart_and_once() -> None:
    footnote = "<text:p>He.<text:note><text:note-body><text:p>Deed.</text:p></text:note-body></text:note></text:p>"
    endnote = footnote.replace("<text:note>", '<text:note text:note-class="endnote">')
    assert [note.number for note in opened(footnote + endnote + footnote).notes] == ["1", "1", "2"]
    few, many = (calls(partial(opened, footnote * count)) for count in (100, 400))
    assert many < 5 * few


def test_tables_pictures_captions_and_text_boxes() -> None:
    frame = (
        "<draw:frame><draw:text-box><text:p><draw:frame><draw:image/><svg:desc>The mill</svg:desc></draw:frame>"
        "Figure <text:sequence text:name='Figure'>1</text:sequence>: Poultney.</text:p></draw:text-box></draw:frame>"
    )
    body = (
        f"<text:p>Before{frame}.</text:p><table:table><table:table-header-rows><table:table-row><table:table-cell>"
        "<text:p>Name</text:p></table:table-cell><table:table-cell/><table:covered-table-cell/></table:table-row>"
        "</table:table-header-rows><table:table-row><table:table-cell><text:p>Owen</text:p><text:list><text:list-item>"
        "<text:p>rockman</text:p></text:list-item></text:list></table:table-cell><table:table-cell><text:p>1841</text:p>"
        "</table:table-cell></table:table-row></table:table>"
    )
    assert [(block.index, block.kind, block.text) for block in opened(body).blocks] == [
        (0, Kind.PARAGRAPH, "Before."),
        (1, Kind.PICTURE, "The mill"),
        (1, Kind.CAPTION, "Figure 1: Poultney."),
        (2, Kind.TABLE, "Name\t\t"),
        (3, Kind.TABLE, "Owen rockman\t1841"),
    ]


def test_quotations_contents_and_hidden_sections() -> None:
    margins = '<style:paragraph-properties fo:margin-left="1.5cm" fo:margin-right="0.6in"/>'
    body = (
        '<text:p text:style-name="Set">a</text:p><text:p text:style-name="Quotations">b</text:p>'
        "<text:table-of-content><text:index-body><text:p>c 1</text:p></text:index-body></text:table-of-content>"
        '<text:section text:display="none"><text:p>hidden</text:p></text:section>'
        "<text:section><text:p>d</text:p></text:section>"
    )
    blocks = opened(body, automatic=named("Set", margins)).blocks
    assert [(block.index, block.kind) for block in blocks] == [
        (0, Kind.QUOTATION),
        (1, Kind.QUOTATION),
        (2, Kind.ITEM),
        (4, Kind.PARAGRAPH),
    ]


def test_notes_keep_the_numbers_that_are_printed() -> None:
    body = (
        f"<text:p>One.{odt_note('1', 'Census.')} Two.{odt_note('', 'Star.', label='*')}</text:p>"
        f"<text:p>Three{odt_note('i', 'Deed.', 'endnote')}, see <text:span text:style-name='Up'>"
        "<text:note-ref>1</text:note-ref></text:span>.</text:p>"
    )
    draft = opened(body)
    assert [(note.number, note.text, note.kind) for note in draft.notes] == [
        ("1", "Census.", "footnote"),
        ("*", "Star.", "footnote"),
        ("i", "Deed.", "endnote"),
    ]
    assert [block.text for block in draft.blocks] == ["One. Two.", "Three, see ."]
    assert [mark.note for block in draft.blocks for mark in block.marks] == [0, 1, 2, 0]


def test_raised_digits_find_their_note() -> None:
    body = (
        '<text:p>He sailed.<text:span text:style-name="Up">4</text:span> John'
        '<text:span text:style-name="Up">2</text:span> Marsh stayed.</text:p>'
        '<text:h text:outline-level="1">Notes</text:h><text:p>4. Passenger list.</text:p>'
    )
    draft = opened(body)
    assert draft.blocks[0].text == "He sailed. John² Marsh stayed."
    assert [(mark.number, mark.note) for mark in draft.blocks[0].marks] == [("4", 0)]
    assert (draft.notes[0].text, draft.blocks[2].kind) == ("Passenger list.", Kind.NOTES)


def test_flat_files_and_templates_open() -> None:
    assert read("flat.fodt", flat_odt("<text:p>Flat.</text:p>"), "0").blocks[0].text == "Flat."
    assert read("x.ott", odt("<text:p>Form.</text:p>", mimetype=f"{ODT_TYPE}-template"), "0").blocks[0].text == "Form."


def test_what_is_no_text_is_refused() -> None:
    with pytest.raises(Unreadable, match="password"):
        read("x.odt", odt("", manifest="<manifest:encryption-data/>".replace("manifest:", "")), "0")
    sealed = {"META-INF/manifest.xml": "<manifest><encryption-data/></manifest>", "encrypted-package": "?"}
    with pytest.raises(Unreadable, match="password"):
        read("x.odt", zipped({"mimetype": ODT_TYPE} | sealed), "0")
    with pytest.raises(Unreadable, match="without a text"):
        read("x.odt", zipped({"mimetype": ODT_TYPE}), "0")
    with pytest.raises(Unreadable, match="damaged"):
        read("x.odt", zipped({"content.xml": "<office:document-content"}), "0")


def test_each_character_is_found_again() -> None:
    block = only("<text:p> A<text:s/> <text:span>b\N{SOFT HYPHEN}c</text:span>\n d </text:p>")
    raw = " A  b\N{SOFT HYPHEN}c\n d "
    assert block.text == "A bc d"
    assert [raw[block.source_offset(at)] for at in range(len(block.text))] == ["A", " ", "b", "c", "\n", "d"]


_WORD = st.text(alphabet="abcdefghij", min_size=1, max_size=6)
# What each element makes of a word: the XML, and what a reader sees.
_MADE = {
    "plain": (" {} ", " {} "),
    "span": ("<text:span text:style-name='It'>{} </text:span>", "{} "),
    "hidden": ("<text:span text:style-name='No'>{}</text:span>", ""),
    "link": ("<text:a>{}</text:a>", "{}"),
    "tab": ("{}<text:tab/>", "{} "),
    "spaces": ("<text:s text:c='4'/>{}", " {}"),
    "comment": ("<office:annotation><text:p>{}</text:p></office:annotation>", ""),
    "note": ("<text:note><text:note-citation>1</text:note-citation><text:note-body/></text:note>", ""),
}
_HOLDERS = {
    "paragraph": "<text:p>{}</text:p>",
    "heading": "<text:h text:outline-level='2'>{}</text:h>",
    "item": "<text:list><text:list-item><text:p>{}</text:p></text:list-item></text:list>",
    "row": "<table:table><table:table-row><table:table-cell><text:p>{}</text:p></table:table-cell><table:table-cell/>"
    "</table:table-row></table:table>",
    "box": "<text:p><draw:frame><draw:text-box><text:p>{}</text:p></draw:text-box></draw:frame></text:p>",
    "section": "<text:section><text:p>{}</text:p></text:section>",
}
_PARAGRAPH = st.tuples(
    st.sampled_from(sorted(_HOLDERS)), st.lists(st.tuples(st.sampled_from(sorted(_MADE)), _WORD), max_size=6)
)


@settings(max_examples=150, deadline=None)
@given(st.lists(_PARAGRAPH, max_size=6))
def test_no_word_is_lost_or_doubled(paragraphs: list[tuple[str, list[tuple[str, str]]]]) -> None:
    body = "".join(
        _HOLDERS[holder].format("".join(_MADE[kind][0].format(word) for kind, word in pieces))
        for holder, pieces in paragraphs
    )
    seen = ["".join(_MADE[kind][1].format(word) for kind, word in pieces) for _, pieces in paragraphs]
    assert [word for block in opened(body).blocks for word in block.text.split()] == " ".join(seen).split()


def test_a_paragraph_in_a_picture_counts_and_is_read() -> None:
    body = "<text:p><draw:frame><draw:image><text:p>{}</text:p></draw:image></draw:frame></text:p><text:p>Owen</text:p>"
    assert [(block.index, block.text) for block in opened(body.format("")).blocks] == [(0, ""), (2, "Owen")]
    assert [(block.index, block.text) for block in opened(body.format("The mill")).blocks] == [
        (0, ""), (1, "The mill"), (2, "Owen"),
    ]  # fmt: skip


def test_what_xml_is_not_meant_to_show_cuts_no_word_off() -> None:
    assert only("<text:p>Owen<!-- who? --> went <?mark?>west.</text:p>").text == "Owen went west."
