"""The redacted copy: what is cut, what stays, and what it is never allowed to overwrite."""

from __future__ import annotations

import json
import zipfile
from collections.abc import Callable
from pathlib import Path

import docx as python_docx
import pytest
from docx.opc.constants import RELATIONSHIP_TYPE as RT
from docx.oxml import parse_xml
from docx.oxml.ns import nsdecls

from storylint.draft import opening
from tests.conftest import Ran
from tests.readers import small_files as small

Run = Callable[..., Ran]
BOOK = """\
# The Prydderchs of Poultney

## 1. Owen Prydderch

Owen split slate at Granville from *boyhood* and died there, of the dust, on 4 March 1990.[^1]

Children of Owen Prydderch:

- 2 i. Gwen Prydderch, born 9 June 1950 at Poultney; married Paul Ash.[^2]
- ii. Hugh Prydderch, born 1952; died 1953.

## 2. Gwen Prydderch

Gwen was born at *Poultney* on 9 June 1950.[^3] She keeps bees. She lives at 14 Norton Avenue, Poultney.[^4] The house was \
built in 1871 of sea-green slate. Gwen has let me print her grandfather's card.[^5]

[^1]: Certified copy of death, Owen Prydderch, 4 March 1990.
[^2]: Birth certificate of Gwen Prydderch, 9 June 1950.
[^3]: The same certificate.
[^4]: Letter from the post office.
[^5]: Printed card, 1901.
"""
SETTINGS = '[living]\ntoday = "2026-05-01"\n'


@pytest.fixture
def gwen(folder: Path) -> Path:
    """A book with one who may be living, read on a day that is set."""
    (folder / "storylint.toml").write_text(SETTINGS, encoding="utf-8")
    path = folder / "gwen.md"
    path.write_text(BOOK, encoding="utf-8")
    return path


def test_particulars_go_and_all_else_stays(gwen: Path, run: Run) -> None:
    ran = run("redact", gwen, "-o", "copy.md")
    assert ran.code == 0, ran.err
    assert gwen.read_text(encoding="utf-8") == BOOK
    copy = (gwen.parent / "copy.md").read_text(encoding="utf-8")
    wanted = BOOK.replace("Gwen Prydderch, born 9 June 1950 at Poultney; married Paul Ash.", "Gwen Prydderch, living.")
    wanted = wanted.replace("Gwen was born at *Poultney* on 9 June 1950.", "Gwen was born [date and place withheld].")
    wanted = wanted.replace("She lives at 14 Norton Avenue, Poultney.[^4]", "[…][^4]")
    wanted = wanted.replace("Letter from the post office.", "Source withheld: it names the living.")
    wanted = wanted.replace(
        "Birth certificate of Gwen Prydderch, 9 June 1950.", "Source withheld: it names the living."
    )
    assert copy == wanted


def test_each_cut_is_listed_by_its_place_and_not_by_its_words(gwen: Path, run: Run) -> None:
    out = run("redact", gwen, "-o", "copy.md").out
    for line in (
        "birth date, marriage or divorce of Gwen Prydderch",
        "birth date of Gwen Prydderch → [date and place withheld]",
    ):
        assert line in out
    assert "address of Gwen Prydderch → […]" in out
    assert "note 4: emptied" in out
    for secret in ("9 June 1950", "Norton", "1950"):
        assert secret not in out
    assert "can't know who has died" in out


def test_the_copy_has_nothing_left_that_the_rule_would_stop(gwen: Path, run: Run) -> None:
    run("redact", gwen, "-o", "copy.md")
    assert '"rule": "living"' in run("lint", gwen, "--only", "living", "--format", "json", "--no-record").out
    again = run("lint", "copy.md", "--only", "living", "--format", "json", "--no-record")
    assert '"rule": "living"' not in again.out


def test_nothing_is_overwritten_without_force(gwen: Path, run: Run) -> None:
    copy = gwen.parent / "copy.md"
    copy.write_text("mine", encoding="utf-8")
    ran = run("redact", gwen, "-o", copy)
    assert ran.code == 2
    assert "--force" in ran.err
    assert copy.read_text(encoding="utf-8") == "mine"
    assert run("redact", gwen, "-o", gwen, "--force").code == 2
    assert gwen.read_text(encoding="utf-8") == BOOK
    assert run("redact", gwen, "-o", copy, "--force").code == 0
    assert copy.read_text(encoding="utf-8") != "mine"


def test_what_may_stand_is_not_cut(gwen: Path, run: Run) -> None:
    reading = json.loads(run("lint", gwen, "--only", "living", "--format", "json").out)
    ids = [
        finding["id"]
        for section in reading["sections"]
        for finding in section["findings"]
        if "Norton" in finding["places"][0]["quote"]
    ]
    assert ids
    assert run("stet", ids[0], gwen, "--why", "leave given by Gwen, 2 May 2026").code == 0
    run("redact", gwen, "-o", "copy.md")
    assert "14 Norton Avenue" in (gwen.parent / "copy.md").read_text(encoding="utf-8")


def test_plain_text_is_refused_with_what_to_do(folder: Path, run: Run) -> None:
    path = folder / "book.txt"
    path.write_text("1. Gwen Prydderch\n\nGwen was born in 1950.\n", encoding="utf-8")
    ran = run("redact", path, "-o", "copy.txt")
    assert ran.code == 2
    assert ".docx" in ran.err
    assert not (folder / "copy.txt").exists()


def test_a_draft_without_the_living_is_copied_as_it_is(folder: Path, run: Run) -> None:
    path = folder / "old.md"
    path.write_text("# Owen Prydderch\n\nOwen was born in 1801 and died in 1871.\n", encoding="utf-8")
    ran = run("redact", path, "-o", "copy.md")
    assert ran.code == 0
    assert "0 cuts" in ran.out
    assert (folder / "copy.md").read_bytes() == path.read_bytes()


def test_what_markdown_carries_beside_the_text_goes_too(gwen: Path, run: Run) -> None:
    hidden = (
        "\n<!-- Gwen's number is 01482 496 0123 -->\n\n![Gwen at the gate of number 14](gate.png)\n\nShe keeps a "
        "[diary](mailto:gwen@example.org).\n\n[^1]:"
    )
    gwen.write_text(
        f"---\ntitle: Bees\nsubject: Gwen\n---\n\n{BOOK.replace(chr(10) + '[^1]:', hidden)}", encoding="utf-8"
    )
    ran = run("redact", gwen, "-o", "copy.md")
    assert ran.code == 0, ran.err
    copy = (gwen.parent / "copy.md").read_text(encoding="utf-8")
    for secret in ("0123", "number 14", "example.org", "subject"):
        assert secret not in copy
    assert "title: Bees" in copy
    assert "She keeps a diary." in copy
    assert "remarks, links, descriptions of pictures, properties" in ran.out


# ---------------------------------------------------------------------------------------------------------------- .docx


def word(path: Path) -> None:
    """A document whose date runs over three runs."""
    document = python_docx.Document()
    document.add_heading("Gwen Prydderch", 1)
    paragraph = document.add_paragraph("Gwen Prydderch was born on ")
    paragraph.add_run("9 Ju").italic = True
    paragraph.add_run("ne 1950 at Poultney. She keeps ")
    paragraph.add_run("bees").bold = True
    paragraph.add_run(". Gwen has had a stroke. The house was built in 1871.")
    document.save(str(path))


def test_a_document_keeps_its_look(folder: Path, run: Run) -> None:
    (folder / "storylint.toml").write_text(SETTINGS, encoding="utf-8")
    path = folder / "gwen.docx"
    word(path)
    before = path.read_bytes()
    ran = run("redact", path, "-o", "copy.docx")
    assert ran.code == 0, ran.err
    assert path.read_bytes() == before
    paragraph = python_docx.Document(str(folder / "copy.docx")).paragraphs[1]
    text = "Gwen Prydderch was born [date and place withheld]. She keeps bees. […] The house was built in 1871."
    assert paragraph.text == text
    assert [run.text for run in paragraph.runs if run.bold] == ["bees"]
    assert b"1950" not in in_package(folder / "copy.docx", "word/document.xml")


def test_the_notes_of_a_sentence_that_went_are_emptied(folder: Path, run: Run) -> None:
    (folder / "storylint.toml").write_text(SETTINGS, encoding="utf-8")
    path = folder / "gwen.docx"
    told = (
        small.r("Gwen was born in 1950 at Poultney. She has had a stroke.")
        + small.note(1)
        + small.r(" She keeps bees."),
        small.note(2),
    )
    body = small.p(small.r("Gwen Prydderch"), style="Heading1") + small.p(*told)
    path.write_bytes(small.docx(body, footnotes=small.notes("footnote", "Hospital letter.", "Seen in the garden.")))
    ran = run("redact", path, "-o", "copy.docx")
    assert ran.code == 0, ran.err
    notes = [note.text for note in opening.read(folder / "copy.docx").notes]
    assert notes == ["Source withheld: it names the living.", "Seen in the garden."]
    assert b"Hospital" not in in_package(folder / "copy.docx", "word/footnotes.xml")


def test_no_part_of_the_package_keeps_what_is_not_read_on_the_page(folder: Path, run: Run) -> None:
    (folder / "storylint.toml").write_text(SETTINGS, encoding="utf-8")
    path = folder / "gwen.docx"
    document = python_docx.Document()
    document.add_heading("Gwen Prydderch", 1)
    paragraph = document.add_paragraph("Gwen Prydderch was born on 9 June 1950 at Poultney. She keeps bees.")
    document.add_comment(paragraph.runs[0], text="Gwen has secret1.", author="A")
    for words in (
        '<w:del w:id="9" w:author="A"><w:r><w:delText>She lives at secret2.</w:delText></w:r></w:del>',
        "<w:r><w:rPr><w:vanish/></w:rPr><w:t>She owes secret3.</w:t></w:r>",
        '<w:r><w:fldChar w:fldCharType="begin"/><w:instrText>HYPERLINK "mailto:secret4@example.org"</w:instrText>'
        '<w:fldChar w:fldCharType="separate"/><w:t> Hers.</w:t><w:fldChar w:fldCharType="end"/></w:r>',
    ):
        paragraph._p.append(parse_xml(words.replace(">", f" {nsdecls('w')}>", 1)))
    link = document.part.relate_to("mailto:secret5@example.org", RT.HYPERLINK, is_external=True)
    mail = f'<w:hyperlink r:id="{link}" {nsdecls("w", "r")}><w:r><w:t> Yes.</w:t></w:r></w:hyperlink>'
    paragraph._p.append(parse_xml(mail))
    document.sections[0].footer.paragraphs[0].text = "Gwen Prydderch, secret6@example.org"
    document.core_properties.comments = "secret7"
    document.core_properties.title = "Bees"
    document.save(str(path))
    ran = run("redact", path, "-o", "copy.docx")
    assert ran.code == 0, ran.err
    with zipfile.ZipFile(path) as before, zipfile.ZipFile(folder / "copy.docx") as after:
        old, new = (b"".join(map(package.read, package.namelist())) for package in (before, after))
    assert old.count(b"secret") == 7
    assert b"secret" not in new
    assert b"Bees" in new
    assert [block.text for block in opening.read(folder / "copy.docx").blocks][1:] == [
        "Gwen Prydderch was born [date and place withheld]. She keeps bees. Hers. Yes."
    ]


def in_package(path: Path, name: str) -> bytes:
    """One part of a document."""
    with zipfile.ZipFile(path) as package:
        return package.read(name)


def test_the_demo_loses_two_dates_and_nothing_else(folder: Path, run: Run) -> None:
    (folder / "storylint.toml").write_text(SETTINGS, encoding="utf-8")
    source = Path(__file__).parents[2] / "corpus_demo" / "original.docx"
    path = folder / "original.docx"
    path.write_bytes(source.read_bytes())
    assert run("redact", path, "-o", "copy.docx").code == 0
    old, new = opening.read(path), opening.read(folder / "copy.docx")
    changed = [b.text for a, b in zip(old.blocks, new.blocks, strict=True) if a.text != b.text]
    assert changed == ["43 ii. Dorothy Jean Barnes, living.", "44 iii. Raymond Barnes, living."]
    assert old.notes == new.notes


@pytest.mark.parametrize(
    ("told", "kept"),
    [
        ("Gwen married PAUL ASH on 4 May 1975 in Rutland, Rutland, Vermont.", "Gwen married PAUL ASH […]."),
        ("Gwen married Paul Ash at Jerusalem chapel, Granville, on 4 May 1975.", "Gwen married Paul Ash […]."),
        ("Gwen married, in Rutland on 4 May 1975, Paul Ash.", "Gwen married […], Paul Ash."),
        ("Gwen and Paul Ash were divorced at Rutland in 1989.", "Gwen and Paul Ash were divorced […]."),
        ("Gwen married Paul Ash in May 1975.", "Gwen married Paul Ash […]."),
        ("In 1975 Gwen married Paul Ash in Rutland.", "[…]"),
        ("Gwen married (1) Paul Ash in 1975; (2) Rhys Lloyd, 4 May 1989, in Utica.", "[…]"),
    ],
)
def test_of_a_marriage_the_place_goes_with_the_date(folder: Path, run: Run, told: str, kept: str) -> None:
    (folder / "storylint.toml").write_text(SETTINGS, encoding="utf-8")
    (folder / "gwen.md").write_text(f"# Gwen Prydderch\n\n{told}\n", encoding="utf-8")
    ran = run("redact", folder / "gwen.md", "-o", "copy.md")
    assert ran.code == 0, ran.err
    copy = (folder / "copy.md").read_text(encoding="utf-8")
    assert "19" not in copy
    assert "Rutland" not in copy
    copy = copy.replace("[date and place withheld]", "[…]").replace("[date withheld]", "[…]")
    assert copy.split("\n\n")[1].strip() == kept


LISTED = """\
# Gwen Prydderch (1950– )

Gwen was born in 1950 and keeps bees.[^1]

- Born: 9 June 1950
- Occupation: school nurse
- Her hives stand behind the quarry.

> Gwen has had a stroke. The bees are well.

| Gwen Prydderch | 1950 |
|---|---|
| Bees | two hives |

Prydderch, Gwen (b. 1950), 14

[^1]: Told by her at 14 Norton Avenue, Poultney.
"""


def test_lists_of_facts_tables_and_quotations_are_cut_in_their_words(gwen: Path, run: Run) -> None:
    gwen.write_text(LISTED, encoding="utf-8")
    assert run("redact", gwen, "-o", "copy.md").code == 0
    wanted = LISTED.replace("(1950– )", "(living)").replace("in 1950 and", "[date withheld] and")
    wanted = wanted.replace("9 June 1950", "[date withheld]").replace("school nurse", "[…]")
    wanted = wanted.replace("Gwen has had a stroke.", "[…]").replace("| 1950", "| [date withheld]")
    wanted = wanted.replace("(b. 1950)", "(living)")
    wanted = wanted.replace("Told by her at 14 Norton Avenue, Poultney.", "Source withheld: it names the living.")
    assert (gwen.parent / "copy.md").read_text(encoding="utf-8") == wanted


def test_a_note_that_the_author_lets_stand_stays(gwen: Path, run: Run) -> None:
    gwen.write_text(LISTED, encoding="utf-8")
    told = json.loads(run("lint", gwen, "--only", "living", "--format", "json", "--no-record").out)
    (note,) = (
        finding["id"]
        for section in told["sections"]
        for finding in section["findings"]
        if "Norton" in finding["places"][0]["quote"]
    )
    assert run("stet", note, "--why", "her own wish").code == 0
    assert run("redact", gwen, "-o", "copy.md").code == 0
    copy = (gwen.parent / "copy.md").read_text(encoding="utf-8")
    assert "Norton" in copy
    assert "stroke" not in copy
