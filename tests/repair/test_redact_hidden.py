"""What a .docx carries beside the words on the page does not go out with a redacted copy, and what is seen stays."""

from __future__ import annotations

import base64
import re
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest

from storylint.draft import opening
from tests.conftest import Ran
from tests.readers import small_files as small

Run = Callable[..., Ran]
Redacted = Callable[[bytes], Path]
SETTINGS = '[living]\ntoday = "2026-05-01"\n'
TOLD = small.p(small.r("Gwen Prydderch"), style="Heading1") + small.p(
    "Gwen Prydderch was born on 9 June 1950 at Poultney. She keeps bees."
)
MARK = '<w:r><w:fldChar w:fldCharType="%s"/></w:r>'
STYLES = (
    small.style("Heading1", "heading 1")
    + small.style("Kept", "Kept", "<w:rPr><w:vanish/></w:rPr>", kind="character")
    + small.style("Aside", "Aside", "<w:rPr><w:vanish/></w:rPr>")
)


@pytest.fixture
def redacted(folder: Path, run: Run) -> Redacted:
    """Writes a draft and gives the path of its redacted copy."""
    (folder / "storylint.toml").write_text(SETTINGS, encoding="utf-8")

    def copied(data: bytes) -> Path:
        (folder / "gwen.docx").write_bytes(data)
        ran = run("redact", folder / "gwen.docx", "-o", "copy.docx", "--force")
        assert ran.code == 0, ran.err
        assert "Norton" not in ran.out
        return folder / "copy.docx"

    return copied


def holds(path: Path, *words: str) -> list[str]:
    """Which of these words are anywhere in a package, in names of its parts too, in one run or over several."""
    with zipfile.ZipFile(path) as package:
        raw = b"\n".join(name.encode() + b"\n" + package.read(name) for name in package.namelist())
    text = raw + re.sub(rb"<[^>]*>", b"", raw)
    return [word for word in words if word.encode() in text]


def texts(path: Path) -> list[str]:
    """The paragraphs of a copy."""
    return [block.text for block in opening.read(path).blocks]


def instruction(words: str) -> str:
    """A field without a result."""
    return MARK % "begin" + f"<w:r><w:instrText>{words}</w:instrText></w:r>" + MARK % "end"


def versions(*choices: str, fallback: str = "", requires: str = "wps") -> str:
    """A run whose content has several versions."""
    offered = "".join(f'<mc:Choice Requires="{requires}">{choice}</mc:Choice>' for choice in choices)
    return f'<w:r><mc:AlternateContent xmlns:new="urn:new">{offered}<mc:Fallback>{fallback}</mc:Fallback></mc:AlternateContent></w:r>'


def deleted_row(words: str) -> str:
    """A table whose second row is a tracked deletion."""
    gone = f'<w:tr><w:trPr><w:del w:id="1" w:author="A"/></w:trPr><w:tc>{small.p(words)}</w:tc></w:tr>'
    return small.table(("Bees", "Slate")).replace("</w:tbl>", f"{gone}</w:tbl>")


BOX = '<w:sdt><w:sdtPr><w:alias w:val="Gwen at Norton"/><w:dropDownList><w:listItem w:displayText="Gwen, 14 Norton"/>\
</w:dropDownList></w:sdtPr><w:sdtContent><w:r><w:t>Seen.</w:t></w:r></w:sdtContent></w:sdt>'
FORM = '<w:r><w:fldChar w:fldCharType="begin"><w:ffData><w:helpText w:val="Gwen, Norton"/></w:ffData></w:fldChar></w:r>'


@pytest.mark.parametrize(
    "hidden",
    [
        small.p(small.r("Norton", '<w:rStyle w:val="Kept"/>')),
        small.p("Norton", style="Aside"),
        deleted_row("Norton"),
        small.p(small.text_box(small.p("Norton")).replace("<w:r>", "<w:r><w:rPr><w:vanish/></w:rPr>", 1)),
        small.p(versions("<w:t>Seen.</w:t>", "<w:t>Norton</w:t>")),
        small.p(versions("<w:t>Norton</w:t>", fallback="<w:t>Seen.</w:t>", requires="new")),
        small.p(instruction('XE "Prydderch, Gwen (14 Norton Avenue)"')),
        small.p(instruction('TC "Gwen Prydderch, 14 Norton Avenue"')),
        small.p(instruction('HYPERLINK "https://norton.example/Norton/gwenprydderch"')),
        small.p(small.field('IF 1 = 1 "She lives at Norton" "no"', "Seen.")),
        small.p(small.field('QUOTE "Norton"', "Seen.")),
        small.p('<w:fldSimple w:instr="FILLIN &quot;Norton&quot;"><w:r><w:t>Seen.</w:t></w:r></w:fldSimple>'),
        small.p(BOX),
        small.p(FORM + MARK % "end"),
        small.p('<w:bookmarkStart w:id="3" w:name="Gwen_14_Norton"/>', "Seen."),
        small.p('<w:hyperlink w:anchor="b" w:tooltip="Gwen at Norton"><w:r><w:t>Seen.</w:t></w:r></w:hyperlink>'),
        small.p(small.picture("slate").replace('name="P"', 'name="Gwen at Norton.jpg"')),
        small.p('<w:del w:id="1" w:author="A"><w:r><w:footnoteReference w:id="2"/></w:r></w:del>'),
    ],
)  # fmt: skip
def test_nothing_that_is_not_read_on_the_page_goes_out(redacted: Redacted, hidden: str) -> None:
    notes = small.notes("footnote", "A printed card.", "Norton")
    data = small.docx(TOLD + small.p("Card.", small.note(1)) + hidden, styles=STYLES, footnotes=notes)
    copy = redacted(data)
    assert holds(copy, "Norton", "1950") == []
    again = texts(copy)
    assert again[:3] == [
        "Gwen Prydderch",
        "Gwen Prydderch was born [date and place withheld]. She keeps bees.",
        "Card.",
    ]
    assert ("Seen." in again) == ("Seen." in hidden)
    assert [note.text for note in opening.read(copy).notes] == ["A printed card."]


@pytest.mark.parametrize(
    "seen",
    [
        small.p(versions("<w:t>Seen.</w:t>", fallback="<w:t>Old.</w:t>")),
        small.p(small.text_box(small.p("In the box."))),
        small.p(instruction('XE "Prydderch, Gwen"'), "Seen."),
        small.p(small.field('HYPERLINK "https://archive.example/slate/1871"', "Seen.")),
        small.p(small.field("PAGEREF _Toc1950 \\h", "14")),
        small.p('<w:bookmarkStart w:id="3" w:name="_Toc1950"/>', "Seen."),
        small.p('<w:ins w:id="4" w:author="A"><w:r><w:t>Put in.</w:t></w:r></w:ins>'),
        small.p(small.note(1, own="*"), "Seen."),
        small.p(small.picture("The bank at Poultney")),
        small.p('<w:r><w:ruby><w:rt><w:r><w:t>reading</w:t></w:r></w:rt><w:rubyBase><w:r><w:t>Seen.</w:t></w:r></w:rubyBase></w:ruby></w:r>'),
        small.p(small.r("Seen.", '<w:webHidden/>')),
        small.table(("Bees", "Slate")),
    ],
)  # fmt: skip
def test_what_is_seen_stays_as_it_is(redacted: Redacted, seen: str) -> None:
    data = small.docx(TOLD + seen, styles=STYLES, footnotes=small.notes("footnote", "A printed card."))
    copy = redacted(data)
    with zipfile.ZipFile(copy) as package:
        document = package.read("word/document.xml").decode()
    for words in re.findall(r">([^<>]+)<|(?:instr|string|descr)=\"([^\"]+)\"", seen):
        assert "".join(words) == "Old." or "".join(words) in document.replace("&quot;", '"')
    if "own" in seen or "customMark" in seen:
        assert [note.number for note in opening.read(copy).notes] == ["*"]


def test_the_right_note_is_emptied_whatever_stands_before_its_mark(redacted: Redacted) -> None:
    """A mark that is deleted calls nothing, and one in a text box stands behind its paragraph."""
    gone = f'<w:del w:id="1" w:author="A">{small.note(1)}</w:del>'
    box = small.text_box(small.p("Gwen has had a stroke.", small.note(2)))
    notes = small.notes("footnote", "Norton", "Hospital letter.", "Seen in the garden.")
    head = small.p(small.r("Gwen Prydderch"), style="Heading1")
    copy = redacted(small.docx(head + small.p(gone, box, "She keeps bees.", small.note(3)), footnotes=notes))
    assert [note.text for note in opening.read(copy).notes] == [
        "Seen in the garden.",
        "Source withheld: it names the living.",
    ]
    assert holds(copy, "Norton", "Hospital", "stroke") == []


def test_an_emptied_note_keeps_nothing_but_its_number(redacted: Redacted) -> None:
    told = '<w:del w:id="4" w:author="A"><w:r><w:delText>Norton</w:delText></w:r></w:del>' + small.r(
        " Letter of Gwen Prydderch, 9 June 1950, "
    )
    told += small.field('HYPERLINK "https://norton.example/Norton"', "here")
    notes = small.notes("footnote", "X").replace(small.r(" X"), told)
    copy = redacted(small.docx(TOLD + small.p("She has a dog.", small.note(1)), footnotes=notes))
    assert [note.text for note in opening.read(copy).notes] == ["Source withheld: it names the living."]
    assert holds(copy, "Norton", "1950", "here") == []


@pytest.mark.parametrize("words", ["1950", "Gwen lives at 14 Norton Avenue, Poultney."])
def test_words_drawn_in_a_shape_and_entries_chosen_are_cut(redacted: Redacted, words: str) -> None:
    drawn = f'<w:r><w:pict><v:shape><v:textpath string="{words}"/></v:shape></w:pict></w:r>'
    chosen = f'<w:ffData><w:ddList><w:listEntry w:val="{words}"/></w:ddList></w:ffData>'
    listed = f'<w:r><w:fldChar w:fldCharType="begin">{chosen}</w:fldChar></w:r><w:r><w:instrText>FORMDROPDOWN</w:instrText></w:r>'
    for piece in (drawn, listed + MARK % "end"):
        told = small.p("Gwen was born on 9 June ", piece, "." if words == "1950" else "")
        copy = redacted(small.docx(small.p(small.r("Gwen Prydderch"), style="Heading1") + told))
        assert holds(copy, "1950", "Norton") == []


PICTURE = base64.b64decode(
    "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAYAAAAfFcSJAAAADUlEQVR42mNk+M9QDwADhgGAWjR9awAAAABJRU5ErkJggg=="
)
OFFICE = small.OFFICE_RELATIONSHIPS


def linked(*links: tuple[str, str, str]) -> str:
    """Relationships (id, kind, target); a target with a colon lies outside."""
    made = "".join(
        f'<Relationship Id="{own}" Type="{kind if ":" in kind else f"{OFFICE}/{kind}"}" Target="{target}"'
        + (' TargetMode="External"/>' if ":" in target else "/>")
        for own, kind, target in links
    )
    return f'<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">{made}</Relationships>'


def test_parts_of_the_package_are_known_by_what_they_are(redacted: Redacted) -> None:
    """Whatever they are called: a main part of another name, remarks with pictures, embedded files, building blocks."""
    shape = '<v:shape id="a"><v:imagedata r:id="rId1"/></v:shape>'
    held = '<o:OLEObject xmlns:o="urn:schemas-microsoft-com:office:office" r:id="rId2"/>'
    link = '<w:hyperlink r:id="rId3"><w:r><w:t>her page</w:t></w:r></w:hyperlink>'
    body = TOLD + small.p("Object:", f"<w:r><w:object>{shape}{held}</w:object></w:r>") + small.p("See ", link)
    block = "<w:docPart><w:docPartPr/><w:docPartBody>%s</w:docPartBody></w:docPart>"
    remark = f'<w:comment w:id="0">{small.p("Norton")}</w:comment>'
    data = small.zipped(
        {
            "[Content_Types].xml": small.TYPES.replace("document.xml", "book.xml"),
            "_rels/.rels": linked(
                ("rId1", "officeDocument", "word/book.xml"), ("rId2", "urn:x/thumbnail", "docProps/thumbnail.jpeg")
            ),
            "word/book.xml": small.part("document", f"<w:body>{body}</w:body>"),
            "word/_rels/book.xml.rels": linked(
                ("rId1", "image", "media/image1.png"),
                ("rId2", "package", "embeddings/Norton.xlsx"),
                ("rId3", "hyperlink", "https://norton.example/Norton/gwenprydderch"),
                ("rId4", "comments", "said.xml"),
                ("rId5", "header", "top.xml"),
                ("rId6", "glossaryDocument", "glossary/document.xml"),
                ("rId7", "attachedTemplate", "file:///C:/Users/Gwen/Norton.dotm"),
                ("rId8", "image", "media/deleted.png"),
            ),
            "word/said.xml": small.part("comments", remark),
            "word/_rels/said.xml.rels": linked(("rId1", "image", "media/Norton.png")),
            "word/top.xml": small.part("hdr", small.p("Gwen Prydderch, born 1950") + small.p("The book")),
            "word/glossary/document.xml": small.part("glossaryDocument", f"<w:docParts>{block % small.p('Norton')}</w:docParts>"),
            "word/media/image1.png": PICTURE,
            "word/media/Norton.png": PICTURE,
            "word/media/deleted.png": PICTURE,
            "word/embeddings/Norton.xlsx": b"Norton",
            "docProps/thumbnail.jpeg": b"Norton",
            "[trash]/0000.dat": b"Norton",
        }
    )  # fmt: skip
    copy = redacted(data)
    assert holds(copy, "Norton", "norton", "1950", "deleted", "C:/Users") == []
    assert holds(copy, "media/image1.png", "The book") == ["media/image1.png", "The book"]
    assert texts(copy)[2:] == ["", "Object:", "See her page"]


def test_another_file_put_in_whole_is_told_of(folder: Path, run: Run) -> None:
    (folder / "gwen.docx").write_bytes(small.docx(TOLD + '<w:altChunk r:id="rId7"/>'))
    ran = run("redact", folder / "gwen.docx", "-o", "copy.docx")
    assert ran.code == 2
    assert "gwen.docx" in ran.err
    assert "save it there as .docx" in ran.err
    assert not (folder / "copy.docx").exists()
