"""What is set like prose and is somebody else's: running quotations, letters, documents under a heading."""

from __future__ import annotations

from storylint.draft import markdown
from storylint.draft.model import Block, Kind
from storylint.draft.sections import split as sections_of
from storylint.rule import rules
from storylint.study.quoted import quoted
from storylint.study.study import Book, names_source, study


def book(text: str) -> Book:
    """A Markdown draft, studied."""
    return study(sections_of(markdown.read("x.md", text.encode(), "")))


def prose(text: str) -> list[str]:
    """The sentences that count as the author's own."""
    return [sentence.text for sentence in book("# Owen Prydderch\n\n" + text).sentences]


def test_a_quotation_over_several_paragraphs_ends_at_its_closing_mark() -> None:
    text = (
        'He told it so: "I went up the hill at ten.\n\n"At twelve I split my first slate.\n\n'
        '"At fourteen I was a man." He never said more.\n\nThe hill is quiet now.\n'
    )
    assert prose(text) == [
        'He told it so: "I went up the hill at ten.',
        "He never said more.",
        "The hill is quiet now.",
    ]


def test_a_quotation_that_is_never_closed_ends_where_no_mark_opens_a_paragraph() -> None:
    assert prose('"I went up the hill.\n\n"I came down.\n\nHe went home.\n')[-1] == "He went home."


def test_talk_inside_a_paragraph_stays_with_its_teller() -> None:
    text = '"You will not go," she said, "while there is bread in this house." He went.\n\n"And he went," said Ann.\n'
    assert len(prose(text)) == 3


def test_a_letter_runs_from_its_salutation_to_its_signature() -> None:
    text = (
        "She kept one letter.\n\nDear Mother,\n\nWe landed on the fourth. The work is the same slate.\n\n"
        "Your loving son,\n\nOwen Prydderch\n\nShe could not read it.\n"
    )
    assert prose(text) == ["She kept one letter.", "She could not read it."]


def test_a_salutation_without_a_valediction_hides_nothing() -> None:
    assert len(prose("Dear Mother,\n\nWe landed on the fourth.\n\nThe work is the same slate.\n")) >= 2


def test_a_document_stands_under_the_heading_that_announces_it() -> None:
    text = "### Letter from Hugh Prydderch\n\nWe are all well here.\n\n### The voyage\n\nHe sailed in May.\n"
    assert prose(text) == ["He sailed in May."]


def test_a_long_quotation_lets_the_eye_rest() -> None:
    told = "The snow lay on the galleries until the men gave up and went home again. " * 9
    quoted = '"I went up.\n\n"I came down."'
    (section,) = book(f"# Owen Prydderch\n\n{told}\n\n{quoted}\n\n{told}\n").sections
    runs = rules()["unbroken"].stretches(section, {p[0].block.index: p for p in section.paragraphs})
    assert [len(run) for run in runs] == [1, 1]


def test_a_source_named_in_brackets_answers_like_a_mark() -> None:
    text = "# Ann\n\nAnn died in 1697. (See Rowe's History of Cwm.)\n\nShe was born in 1641 (see p. 12)."
    assert [sentence.covered for sentence in book(text).sentences] == [True, True, False]
    assert not names_source(book("# Ann\n\nHer brother (born in Bethesda, 1841) came too.").sentences[0])


def test_a_long_quotation_inside_a_paragraph_is_its_speakers() -> None:
    told = "He would say no more. " + "It was dark and we went on. " * 8
    text = f'Owen wrote home in May. "{told.strip()}" She kept the letter.'
    assert prose(text) == ["Owen wrote home in May.", "She kept the letter."]


def test_marks_that_do_not_pair_hide_nothing() -> None:
    told = "It was dark and we went on. " * 8
    assert len(prose(f'The door was 6" thick. {told}The wall was 9" thick.')) == 10


def test_who_said_it_and_a_line_of_place_and_date_are_no_sentences() -> None:
    text = "Ann died in 1697.--Letter of J. Rowe.\n\nBethesda, 4 May 1903.\n\nBorn 3 May 1841, Bethesda.\n"
    assert prose(text)[-1] == "Born 3 May 1841, Bethesda."
    assert "Bethesda, 4 May 1903." not in prose(text)
    (first, *_) = book(f"# Owen Prydderch\n\n{text}").sentences
    assert first.covered


def test_under_letters_and_documents_a_text_without_levels_holds_no_prose() -> None:
    spans = quoted_parts("LETTERS AND DOCUMENTS.", "No. 1. We are all well here.", "MEMORIAL.", "That the men be paid.")
    assert spans == {1, 3}


def quoted_parts(*texts: str) -> set[int]:
    """The quoted paragraphs of a section of a plain text; those in capitals are headings of one level."""
    kinds = [Kind.HEADING if text.isupper() else Kind.PARAGRAPH for text in texts]
    blocks = [
        Block(i, kind, text, level=2 * (kind is Kind.HEADING))
        for i, (kind, text) in enumerate(zip(kinds, texts, strict=True))
    ]
    return set(quoted(blocks, flat=True))
