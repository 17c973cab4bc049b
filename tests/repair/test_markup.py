"""The review copy: comments on the very words, and nothing else changed. python-docx and LibreOffice read it again."""

from __future__ import annotations

import hashlib
import io
import shutil
import subprocess
import zipfile
from collections.abc import Callable, Iterable
from copy import deepcopy
from pathlib import Path
from types import ModuleType
from typing import Any

import docx as python_docx
import pytest
from lxml import etree

from storylint import engine
from storylint.draft import docx, odt, opening
from storylint.draft.model import Draft
from storylint.findings import Finding, Level, Place, Reading
from storylint.repair import docx_comments, markup, odt_comments, remarks
from storylint.repair.package import Copy
from storylint.repair.remarks import AUTHOR, Remark
from storylint.settings import Settings
from tests.conftest import DRAFT, Ran, program, read_text
from tests.readers import small_files as small

W = f"{{{small.W}}}"
OFFICE = "{urn:oasis:names:tc:opendocument:xmlns:office:1.0}"
TEXT = "{urn:oasis:names:tc:opendocument:xmlns:text:1.0}"
DEMO = sorted((Path(__file__).parents[2] / "corpus_demo").glob("*.docx"))
NOW = "2026-05-03T12:00:00Z"
WORDS = "Owen split slate all his life. He never said so."


# -------------------------------------------------------------------------------------------------------- small copies


def commented(data: bytes, wanted: Iterable[Remark], module: ModuleType = docx_comments) -> bytes:
    """A file with these comments."""
    reader = docx if module is docx_comments else odt
    draft = reader.read("x", data, "")
    copy = Copy(io.BytesIO(data))
    module.comment(copy, draft.blocks, list(wanted), NOW)
    out = io.BytesIO()
    copy.save(out)
    again = reader.read("x", out.getvalue(), "")
    assert (again.blocks, again.notes) == (draft.blocks, draft.notes)
    return out.getvalue()


def part(data: bytes, name: str = "word/document.xml") -> Any:
    with zipfile.ZipFile(io.BytesIO(data)) as package:
        return etree.fromstring(package.read(name))


def bare(root: Any) -> bytes:
    """A document part without its comments' marks, neighbouring runs that are alike put together."""
    root = deepcopy(root)
    for mark in list(root.iter(f"{W}commentRangeStart", f"{W}commentRangeEnd")):
        mark.getparent().remove(mark)
    for mark in list(root.iter(f"{W}commentReference")):
        run = mark.getparent()
        run.getparent().remove(run)
    for run in list(root.iter(f"{W}r")):
        while (following := run.getnext()) is not None and following.tag == run.tag and look(following) == look(run):
            run.extend([child for child in following if child.tag != f"{W}rPr"])
            following.getparent().remove(following)
    for text in list(root.iter(f"{W}t")):
        text.attrib.pop("{http://www.w3.org/XML/1998/namespace}space", None)
        while (following := text.getnext()) is not None and following.tag == text.tag:
            text.text = (text.text or "") + (following.text or "")
            following.getparent().remove(following)
    return etree.tostring(root, method="c14n")


def look(run: Any) -> tuple[Any, ...]:
    properties = run.find(f"{W}rPr")
    return (sorted(run.attrib.items()), b"" if properties is None else etree.tostring(properties, method="c14n"))


def words_of(root: Any) -> dict[str, str]:
    """What each comment's range holds, deleted words left out."""
    found: dict[str, str] = {}
    open_: set[str] = set()
    for element in root.iter():
        if element.tag == f"{W}commentRangeStart":
            open_.add(element.get(f"{W}id"))
            found[element.get(f"{W}id")] = ""
        elif element.tag == f"{W}commentRangeEnd":
            open_.remove(element.get(f"{W}id"))
        elif element.tag == f"{W}t":
            for number in open_:
                found[number] += element.text or ""
    assert not open_
    return found


def said(data: bytes) -> dict[str, list[str]]:
    """The paragraphs of each comment."""
    return {
        comment.get(f"{W}id"): ["".join(line.itertext()) for line in comment.iter(f"{W}p")]
        for comment in part(data, "word/comments.xml").iter(f"{W}comment")
    }


SPANS = [(0, 30), (0, 4), (5, 16), (11, 40), (16, 30), (30, 31), (31, 48), (47, 48), (0, 0), (11, 16), (11, 16)]


@pytest.mark.parametrize(
    "runs",
    [
        small.r(WORDS),
        "".join(small.r(letter) for letter in WORDS),
        small.r(WORDS[:13], "<w:b/>") + small.r(WORDS[13:20]) + small.r(WORDS[20:], "<w:i/>"),
        f'<w:r w:rsidR="00AB12CD"><w:t>{WORDS[:7]}</w:t><w:t>{WORDS[7:12]}</w:t></w:r>{small.r(WORDS[12:])}',
        f'<w:ins w:id="5" w:author="Ann" w:date="{NOW}">{small.r(WORDS[:20])}</w:ins>{small.r(WORDS[20:])}',
        f'{small.r(WORDS[:9])}<w:del w:id="6"><w:r><w:delText>gone</w:delText></w:r></w:del>{small.r(WORDS[9:])}',
        f'<w:hyperlink w:anchor="x">{small.r(WORDS[:14])}</w:hyperlink>{small.r(WORDS[14:])}',
        f'<w:bookmarkStart w:id="0" w:name="x"/>{small.r(WORDS)}<w:bookmarkEnd w:id="0"/>',
        f"{small.r(WORDS[:30])}{small.note(1)}{small.r(WORDS[30:])}{small.note(2)}",
        f'<w:r><w:t>{WORDS[:30]}</w:t><w:footnoteReference w:id="1"/><w:t>{WORDS[30:]}</w:t></w:r>',
    ],
    ids="one-run run-a-letter looks two-texts inserted deleted link bookmark notes note-inside".split(),
)
def test_comments_begin_and_end_at_the_letter_and_leave_the_rest_alone(runs: str) -> None:
    data = small.docx(small.p(runs), footnotes=small.notes("footnote", "One.", "Two."))
    made = commented(data, [Remark(0, start, end, ["x"]) for start, end in SPANS])
    root = part(made)
    assert words_of(root) == {str(n): WORDS[start:end] or WORDS for n, (start, end) in enumerate(SPANS)}
    assert bare(root) == bare(part(data))
    called = [mark.get(f"{W}id") for mark in root.iter(f"{W}commentReference")]
    assert sorted(called) == sorted(said(made)) == sorted(map(str, range(len(SPANS))))


def test_a_row_of_a_table_and_an_empty_paragraph_with_a_note_take_comments_too() -> None:
    data = small.docx(
        small.table(("Owen", "1841"), ("Jane", "1870")) + small.p(small.note(1)),
        footnotes=small.notes("footnote", "One."),
    )
    made = commented(data, [Remark(0, 0, 0, ["row"]), Remark(0, 5, 9, ["cell"]), Remark(2, 5, 9, ["cell"])])
    assert list(words_of(part(made)).values()) == ["Owen1841", "1841", "1870"]
    assert bare(part(made)) == bare(part(data))


def test_fields_and_what_can_not_hold_a_range_are_commented_on_whole() -> None:
    held = f"<w:sdt><w:sdtContent>{small.p('Held words.')}</w:sdtContent></w:sdt>"
    data = small.docx(
        small.p("See ", small.field("REF x", "the chapter"), " there.")
        + small.p("Before ", small.text_box(small.p("Words in a box.")), "after.")
        + held
    )
    by_text = {block.text: block.index for block in docx.read("x", data, "").blocks}
    made = commented(
        data,
        [
            Remark(by_text["See the chapter there."], 8, 11, ["field"]),
            Remark(by_text["Words in a box."], 0, 5, ["box"]),
            Remark(by_text["Held words."], 0, 4, ["held"]),
        ],
    )
    root = part(made)
    assert words_of(root) == {"0": "the chapter"}
    assert len(list(root.iter(f"{W}commentReference"))) == 3
    assert not [box for box in root.iter(f"{W}txbxContent") if next(box.iter(f"{W}commentReference"), None) is not None]
    assert bare(root) == bare(part(data))


def test_no_reference_stands_between_the_first_two_notes() -> None:
    data = small.docx(
        small.p("One", small.note(1), " two", small.note(2), " three.") + small.p("More", small.note(3), " here."),
        footnotes=small.notes("footnote", "A.", "B.", "C."),
    )
    made = commented(data, [Remark(0, 0, 3, ["x"]), Remark(0, 4, 7, ["y"]), Remark(0, 8, 13, ["z"])])
    tags = [e.tag.removeprefix(W) for e in part(made).iter(f"{W}footnoteReference", f"{W}commentReference")]
    assert tags[:2] in (["footnoteReference"] * 2, ["commentReference", "footnoteReference"])
    first = tags.index("footnoteReference")
    assert tags[first + 1] == "footnoteReference"
    assert list(words_of(part(made)).values()) == ["One", "two", "three"]


def test_old_comments_of_ours_are_replaced_and_other_peoples_stay_with_their_replies() -> None:
    w14 = "http://schemas.microsoft.com/office/word/2010/wordml"
    w15 = "http://schemas.microsoft.com/office/word/2012/wordml"

    def comment(number: int, author: str, paragraph: str) -> str:
        line = f'<w:p xmlns:w14="{w14}" w14:paraId="{paragraph}">{small.r(f"by {author}")}</w:p>'
        return f'<w:comment w:id="{number}" w:author="{author}">{line}</w:comment>'

    def range_(number: int, words: str) -> str:
        marks = [f'<w:commentRange{edge} w:id="{number}"/>' for edge in ("Start", "End")]
        return f'{marks[0]}{small.r(words)}{marks[1]}<w:r><w:commentReference w:id="{number}"/></w:r>'

    data = small.docx(
        small.p(range_(1, "Owen "), range_(2, "split "), range_(3, "slate.")),
        comments=comment(1, AUTHOR, "0000000A") + comment(2, "Ann", "0000000B") + comment(3, "Ann", "0000000C"),
    )
    entries = '<w15:commentEx w15:paraId="0000000A"/>'
    entries += '<w15:commentEx w15:paraId="0000000B" w15:paraIdParent="0000000A"/>'
    extended = f'<w15:commentsEx xmlns:w15="{w15}">{entries}</w15:commentsEx>'
    links = small.relationships(("comments", "comments.xml"), ("commentsExtended", "commentsExtended.xml"))
    with zipfile.ZipFile(io.BytesIO(data)) as package:
        parts = {name: package.read(name) for name in package.namelist()}
    data = small.zipped(
        parts | {"word/commentsExtended.xml": extended.encode(), "word/_rels/document.xml.rels": links.encode()}
    )
    made = commented(commented(data, [Remark(0, 0, 4, ["new"])]), [Remark(0, 5, 10, ["newer"])])
    assert sorted(lines[0] for lines in said(made).values()) == ["by Ann", "by Ann", "newer"]
    assert sorted(words_of(part(made)).values()) == ["slate.", "split", "split "]
    (reply,) = part(made, "word/commentsExtended.xml")
    assert list(reply.attrib.values()) == ["0000000B"]


def test_a_strict_document_stays_strict() -> None:
    plain = small.docx(small.p(WORDS), footnotes=small.notes("footnote", "One."))
    strict = (
        (b"http://schemas.openxmlformats.org/officeDocument/2006/", b"http://purl.oclc.org/ooxml/officeDocument/"),
        (b"http://schemas.openxmlformats.org/wordprocessingml/2006/", b"http://purl.oclc.org/ooxml/wordprocessingml/"),
    )
    with zipfile.ZipFile(io.BytesIO(plain)) as package:
        parts = {name: package.read(name) for name in package.namelist()}
    for old, new in strict:
        parts = {name: content.replace(old, new) for name, content in parts.items()}
    made = commented(small.zipped(parts), [Remark(0, 0, 4, ["x"])])
    with zipfile.ZipFile(io.BytesIO(made)) as package:
        for name in ("word/document.xml", "word/comments.xml", "word/_rels/document.xml.rels"):
            assert b"purl.oclc.org" in package.read(name)
            assert b"wordprocessingml/2006/main" not in package.read(name)


# ------------------------------------------------------------------------------------------------------------- .odt


def odt_words(root: Any) -> dict[str, str]:
    """What each comment's range holds."""
    found: dict[str, str] = {}
    open_: list[str] = []

    def add(text: str | None) -> None:
        for name in open_:
            found[name] += text or ""

    def walk(element: Any) -> None:
        if element.tag == f"{OFFICE}annotation":
            open_.append(element.get(f"{OFFICE}name"))
            found[open_[-1]] = ""
        elif element.tag == f"{OFFICE}annotation-end":
            open_.remove(element.get(f"{OFFICE}name"))
        elif element.tag != f"{TEXT}note":
            add(" " if element.tag == f"{TEXT}s" else element.text)
            for child in element:
                walk(child)
                add(child.tail)

    walk(root)
    return found


@pytest.mark.parametrize(
    "content",
    [
        WORDS,
        f"<text:span>{WORDS[:8]}</text:span>{WORDS[8:20]}<text:a><text:span>{WORDS[20:]}</text:span></text:a>",
        f'{WORDS[:30]}<text:s text:c="1"/>{WORDS[31:]}',
        f"{WORDS[:30]}<text:note><text:note-body><text:p>N.</text:p></text:note-body></text:note>{WORDS[30:]}",
        f'<text:bookmark-start text:name="x"/>{WORDS[:11]}<text:bookmark-end text:name="x"/>{WORDS[11:]}',
    ],
    ids=["plain", "spans", "a space that is an element", "note", "bookmark"],
)
def test_odt_comments_begin_and_end_at_the_letter(content: str) -> None:
    data = small.odt(f"<text:p>{content}</text:p>")
    made = commented(data, [Remark(0, start, end, ["x"]) for start, end in SPANS], odt_comments)
    expected = {f"{AUTHOR}-{n}": WORDS[start:end] or WORDS for n, (start, end) in enumerate(SPANS, 1)}
    assert odt_words(part(made, "content.xml")) == expected


def test_odt_comments_of_ours_are_replaced_and_other_peoples_stay() -> None:
    other = '<office:annotation office:name="a"><dc:creator>Ann</dc:creator><text:p>mine</text:p></office:annotation>'
    data = small.odt(f'<text:p>Owen {other}split<office:annotation-end office:name="a"/> slate.</text:p>')
    made = commented(commented(data, [Remark(0, 0, 4, ["new"])], odt_comments), [Remark(0, 5, 17, ["x"])], odt_comments)
    assert odt_words(part(made, "content.xml")) == {"a": "split", f"{AUTHOR}-1": "split slate."}


# ------------------------------------------------------------------------------------------------------- what is said


def found(level: Level, start: int, **more: Any) -> Finding:
    place = Place("book.md", 3, 7, start, start + 5, f"words at {start}")
    return Finding(
        str(level),
        level,
        f"wrong at {start}",
        "mend it",
        (place,),
        more.pop("details", {}),
        gain=1.0,
        id=str(start),
        **more,
    )


def reading_with(*findings: Finding) -> Reading:
    whole = read_text(DRAFT)
    section = next(section for section in whole.sections if section.person)
    return Reading(whole.drafts, (engine.replace(section, findings=findings),), ())


def test_a_family_is_told_in_full_once_and_then_in_short() -> None:
    reading = reading_with(found(Level.WARNING, 0), found(Level.WARNING, 10), found(Level.WARNING, 20))
    summary, first, second, third = remarks.remarks(reading, 12).made
    assert summary.lines[0].startswith("Owen Prydderch: ")
    assert "Found: 3 warnings." in summary.lines
    assert first.lines[:3] == ["Warning: warning", "wrong at 0", "What to do: mend it That gives 3 points."]
    assert "2 more here" in first.lines[3]
    assert second.lines == ["Warning: warning, as at “words at 0”. wrong at 10"]
    assert third.start == 20


def test_the_other_half_of_a_contradiction_is_no_further_one() -> None:
    halves = (*found(Level.ERROR, 0).places, *found(Level.ERROR, 10).places)
    clash = found(Level.ERROR, 0)._replace(rule="dates", places=halves)
    _, first, second = remarks.remarks(reading_with(clash), 12).made
    assert not any("more here" in line for line in first.lines)
    assert second.lines[0].startswith("Error: dates, as at")


def test_what_is_said_of_the_same_words_is_one_comment() -> None:
    made = remarks.remarks(reading_with(found(Level.WARNING, 0), found(Level.ERROR, 0), found(Level.NOTE, 0)), 12).made
    assert len(made) == 2
    assert [line for line in made[1].lines if line.startswith(("Error", "Warning", "Note"))] == [
        "Error: error",
        "Warning: warning",
        "Note: note",
    ]


def test_the_number_of_comments_is_kept_down_and_the_summary_says_so_but_errors_are_all_told() -> None:
    warnings = [found(Level.WARNING, at) for at in range(0, 300, 10)]
    errors = [found(Level.ERROR, at) for at in range(301, 400, 10)]
    made = remarks.remarks(reading_with(*warnings, *errors), 5)
    assert made.left_out == 29  # the family of warnings is told once, in full
    assert sum("Error" in remark.lines[0] for remark in made.made[1:]) == 10
    assert any("29 places have no comment" in line for line in made.made[0].lines)
    assert remarks.remarks(reading_with(*warnings, *errors), 0).left_out == 0


def test_what_xml_can_not_hold_is_left_out() -> None:
    bad = found(Level.WARNING, 0)._replace(message="a\x00b\x0bc\ud800d\ufffe")
    (_, made) = remarks.remarks(reading_with(bad), 12).made
    assert made.lines[1] == "abcd"


# -------------------------------------------------------------------------------------------------------- the command


@pytest.mark.parametrize("draft", DEMO, ids=lambda path: path.stem)
def test_a_whole_draft_is_marked_up_on_the_words_of_its_findings(
    draft: Path, folder: Path, run: Callable[..., Ran]
) -> None:
    before = hashlib.sha256(draft.read_bytes()).digest()
    ran = run("markup", str(draft), "-o", "copy.docx", "--most", "0")
    assert (ran.code, ran.err) == (0, "")
    assert hashlib.sha256(draft.read_bytes()).digest() == before
    made, old = Path("copy.docx").read_bytes(), draft.read_bytes()
    reading = engine.reading_of([opening.read(draft)], engine.Run(Settings()))
    quotes = {place.quote for _, finding in reading.every() for place in finding.places}
    ranges = words_of(part(made))
    comments = said(made)
    on_words = [
        ranges[number]
        for number, lines in comments.items()
        if not lines[0].endswith(("done", "way", "untouched", "score"))
    ]
    assert {plain(words) for words in on_words} == {plain(quote) for quote in quotes}
    assert ran.out == f"copy.docx: {len(comments)} comments\n"
    assert bare(part(made)) == bare(part(old))
    assert_same_parts(old, made)
    opened = python_docx.Document("copy.docx")
    assert [paragraph.text for paragraph in opened.paragraphs] == [
        p.text for p in python_docx.Document(str(draft)).paragraphs
    ]
    assert {comment.author for comment in opened.comments} == {AUTHOR}


def plain(words: str) -> str:
    """Without spaces and digits: a range holds the typed marks within a sentence, which its quote leaves out."""
    return "".join(letter for letter in words if not letter.isspace() and not letter.isdigit())


def assert_same_parts(old: bytes, made: bytes) -> None:
    """All parts but those about the comments are the same bytes."""
    with zipfile.ZipFile(io.BytesIO(old)) as one, zipfile.ZipFile(io.BytesIO(made)) as two:
        changed = {"word/document.xml", "[Content_Types].xml", "word/_rels/document.xml.rels", "word/comments.xml"}
        assert set(two.namelist()) - set(one.namelist()) <= {"word/comments.xml"}
        for name in set(one.namelist()) - changed:
            assert one.read(name) == two.read(name)


def test_a_copy_marked_up_again_has_the_same_comments_once(folder: Path, run: Callable[..., Ran]) -> None:
    draft = next(path for path in DEMO if path.stem == "working")
    run("markup", str(draft), "-o", "one.docx")
    run("markup", "one.docx", "-o", "two.docx")
    one, two = Path("one.docx").read_bytes(), Path("two.docx").read_bytes()
    assert sorted(words_of(part(one)).values()) == sorted(words_of(part(two)).values())
    assert sorted(said(one).values()) == sorted(said(two).values())


def test_nothing_is_overwritten_without_force_and_the_draft_not_even_with_it(
    folder: Path, run: Callable[..., Ran]
) -> None:
    shutil.copy(DEMO[0], "draft.docx")
    Path("there.docx").write_text("mine")
    before = Path("draft.docx").read_bytes()
    for copy in ("there.docx", "draft.docx", "copy.odt", "copy", "."):
        ran = run("markup", "draft.docx", "-o", copy)
        assert ran.code == 2
        assert ran.err.startswith(f"storylint: {copy}: ")
        assert len(ran.err.splitlines()) == 1
    assert run("markup", "draft.docx", "-o", "draft.docx", "--force").code == 2
    assert Path("there.docx").read_text() == "mine"
    assert run("markup", "draft.docx", "-o", "there.docx", "--force").code == 0
    assert Path("draft.docx").read_bytes() == before


def test_a_text_without_comments_is_sent_to_the_page(book: Path, run: Callable[..., Ran]) -> None:
    ran = run("markup", "book.md", "-o", "copy.docx")
    assert ran.code == 2
    assert "--write html:" in ran.err
    assert not Path("copy.docx").exists()


def test_a_copy_that_would_not_hold_the_same_text_is_not_written(
    folder: Path, run: Callable[..., Ran], monkeypatch: pytest.MonkeyPatch
) -> None:
    def wreck(draft: Draft, data: bytes, made: object) -> bytes:
        return small.docx(small.p("Other words."))

    monkeypatch.setattr(markup, "commented", wreck)
    ran = run("markup", str(DEMO[0]), "-o", "copy.docx")
    assert ran.code == 2
    assert "would not have held the same text" in ran.err
    assert not Path("copy.docx").exists()


# ------------------------------------------------------------------------------------------------------- LibreOffice


def paragraphs(path: Path) -> list[str]:
    """The paragraphs of a flat OpenDocument file, those of notes too, without comments."""
    root = etree.parse(str(path), etree.XMLParser(huge_tree=True)).getroot()
    body = root.find(f"{OFFICE}body")
    for comment in list(body.iter(f"{OFFICE}annotation", f"{OFFICE}annotation-end")):
        parent, before = comment.getparent(), comment.getprevious()
        if before is not None:
            before.tail = (before.tail or "") + (comment.tail or "")
        else:
            parent.text = (parent.text or "") + (comment.tail or "")
        parent.remove(comment)
    return ["".join(paragraph.itertext()) for paragraph in body.iter(f"{TEXT}p", f"{TEXT}h")]


def test_libreoffice_opens_the_copies_with_the_same_text_and_notes(folder: Path, run: Callable[..., Ran]) -> None:
    office = program("soffice", "libreoffice")
    for draft in DEMO:
        shutil.copy(draft, f"{draft.stem}-old.docx")
        assert run("markup", str(draft), "-o", f"{draft.stem}-new.docx", "--most", "0").code == 0
    profile = f"-env:UserInstallation={(folder / 'profile').as_uri()}"
    command = [office, profile, "--headless", "--convert-to", "fodt", *map(str, sorted(folder.glob("*.docx")))]
    subprocess.run(command, cwd=folder, check=True, capture_output=True, timeout=240)
    for draft in DEMO:
        old, new = folder / f"{draft.stem}-old.fodt", folder / f"{draft.stem}-new.fodt"
        assert paragraphs(new) == paragraphs(old)
        comments = len(said((folder / f"{draft.stem}-new.docx").read_bytes()))
        assert new.read_text(encoding="utf-8").count("<office:annotation ") == comments
