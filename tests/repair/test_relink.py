"""Typed digits become live notes: the text stays, each mark keeps its note, what is in doubt is left and listed.

LibreOffice opens the copies, saves them again and renumbers them when paragraphs are moved.
"""

from __future__ import annotations

import io
import random
import re
import shutil
import subprocess
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from lxml import etree

from storylint.draft import docx, markdown, odt, opening
from storylint.draft.model import Draft, Kind
from storylint.repair import notes_docx
from tests.conftest import Ran, program
from tests.readers import small_files as small
from tests.rules.marked import FORMS, Marked, clean, delete_note, distinct_spots, double_note, lose_mark, move
from tests.rules.marked import markdown as printed

W = f"{{{small.W}}}"
OFFICE = "{urn:oasis:names:tc:opendocument:xmlns:office:1.0}"
TEXT = "{urn:oasis:names:tc:opendocument:xmlns:text:1.0}"
DEMO = Path(__file__).parents[2] / "corpus_demo"
Run = Callable[..., Ran]
READERS = {".docx": docx, ".odt": odt, ".md": markdown}


def read(path: str | Path) -> Draft:
    return opening.read(Path(path))


def called(draft: Draft, live: bool = False) -> list[tuple[str, str]]:
    """(words before the mark, text of its note) of every mark that has a note, or a live one, in reading order."""
    return [
        (block.text[: mark.at][-30:], " ".join(draft.notes[mark.note].text.split()))
        for block in draft.blocks
        if block.kind is not Kind.NOTES
        for mark in block.marks
        if mark.note is not None and (mark.live or not live)
    ]


def body(draft: Draft) -> list[str]:
    return [block.text for block in draft.blocks if block.kind is not Kind.NOTES and block.text != "Notes"]


def without_digits(texts: list[str]) -> list[str]:
    return [re.sub(r"[\d\[\]⁰¹²³⁴-⁹]+", "", text) for text in texts]


def left(ran: Ran) -> list[str]:
    """What the report lists as left."""
    lines = ran.out.partition("Left as it was:\n")[2].splitlines()
    return [line.strip() for line in lines if line.startswith("  ")]


def write(name: str, content: str | bytes) -> str:
    Path(name).write_bytes(content.encode() if isinstance(content, str) else content)
    return name


# --------------------------------------------------------------------------------------------------------- Markdown

BOOK = """\
# The Prydderchs

## 1. Owen¹ Prydderch

Owen split slate at Gerlan.³ He could read,^1^ and his wife *could not*.<sup>2</sup> In 1871 he owed the shop £4.[4,5]

## 2. Jane² Prydderch

Jane counted the steps.[6] She had a mark that leads nowhere.[9]

# Notes

1. Chapel book, 1871, p. 4; *Jerusalem*, Bethesda.
2. Census, 1881, folio 7.

3. Owen Prydderch to *Ellen Thomas*, 4 June 1871, p. 2;
   family copy.
4. Ibid., p. 12.
5. Shop ledger, 1871, p. 3.
6. Jane Prydderch, hymn book, 1880.
7. Nobody calls this.
"""


def test_marks_of_every_form_become_calls_and_entries_become_definitions_in_their_place(folder: Path, run: Run) -> None:
    ran = run("relink", write("book.md", BOOK), "-o", "copy.md")
    assert ran.code == 0, ran.err
    copy = Path("copy.md").read_text(encoding="utf-8")
    assert "Owen split slate at Gerlan.[^3] He could read,[^1] and his wife *could not*.[^2] In 1871" in copy
    assert "owed the shop £4.[^4][^5]\n" in copy
    assert "[^1]: Chapel book, 1871, p. 4; *Jerusalem*, Bethesda.\n" in copy
    assert "## 1. Owen¹ Prydderch" in copy
    assert "[^3]: Owen Prydderch to *Ellen Thomas*, 4 June 1871, p. 2;\n    family copy.\n" in copy
    assert body(read("copy.md")) == body(read("book.md"))
    assert Path("book.md").read_text(encoding="utf-8") == BOOK


def test_ibid_is_spelt_out_as_a_short_form_with_its_italics(folder: Path, run: Run) -> None:
    ran = run("relink", write("book.md", BOOK), "-o", "copy.md")
    spelt = "[^4]: Owen Prydderch to *Ellen Thomas*, 4 June 1871, p. 12.\n"
    assert spelt in Path("copy.md").read_text(encoding="utf-8")
    assert "1 'ibid.' was spelt out" in ran.out


def test_an_ibid_that_does_not_fit_is_left_and_listed(folder: Path, run: Run) -> None:
    text = BOOK.replace("4 June 1871, p. 2;\n   family copy.", "4 June 1871, p. 2; Bangor rate book, 1871, p. 9.")
    ran = run("relink", write("book.md", text), "-o", "copy.md")
    assert "[^4]: Ibid., p. 12." in Path("copy.md").read_text(encoding="utf-8")
    assert any("“Ibid.” in note 4" in line and "cites 2 sources" in line for line in left(ran))


def test_what_has_no_answer_is_listed_and_stays(folder: Path, run: Run) -> None:
    ran = run("relink", write("book.md", BOOK), "-o", "copy.md")
    assert [line.split(":")[0] for line in left(ran)] == ["mark 9", "note 7"]
    copy = Path("copy.md").read_text(encoding="utf-8")
    assert "leads nowhere.[9]" in copy
    assert "\n7. Nobody calls this." in copy


SHARED = "# Owen\n\nHe split.¹ He read.² He sang.¹\n\n# Notes\n\n1. Wages book, 1866, p. 2.\n\n2. Census, 1881.\n"


@pytest.mark.parametrize(
    ("choice", "text", "notes"),
    [
        ("leave", "He split.¹ He read.[^2] He sang.¹", 1),
        ("own", "He split.[^1] He read.[^2] He sang.[^1-2]", 3),
        ("same", "He split.[^1] He read.[^2] He sang.[^1]", 2),
    ],
)
def test_a_note_that_several_marks_call_is_handled_as_the_author_says(
    folder: Path, run: Run, choice: str, text: str, notes: int
) -> None:
    ran = run("relink", write("book.md", SHARED), "-o", "copy.md", "--shared", choice)
    assert text in Path("copy.md").read_text(encoding="utf-8")
    assert sum(note.live for note in read("copy.md").notes) == notes
    assert ("--shared" in ran.out) == (choice == "leave")


REPEATED = (
    "# Owen\n\nHe split.¹ He read.² He sang.²\n\n# Notes\n\n1. Wages book, 1866, p. 2.\n\n2. Will, 1903.\n\n"
    "2. Deed, 1871.\n"
)


@pytest.mark.parametrize(
    ("choice", "shared", "texts"),
    [
        ("turn", "leave", ["Wages book, 1866, p. 2.", "Will, 1903.", "Deed, 1871."]),
        ("join", "own", ["Wages book, 1866, p. 2.", "Will, 1903. Deed, 1871.", "Will, 1903. Deed, 1871."]),
        ("join", "same", ["Wages book, 1866, p. 2.", "Will, 1903. Deed, 1871.", "Will, 1903. Deed, 1871."]),
        ("leave", "leave", ["Wages book, 1866, p. 2."]),
    ],
)
def test_a_number_that_heads_two_notes_is_handled_as_the_author_says(
    folder: Path, run: Run, choice: str, shared: str, texts: list[str]
) -> None:
    run("relink", write("book.md", REPEATED), "-o", "copy.md", "--repeated", choice, "--shared", shared)
    copy = read("copy.md")
    live = [copy.notes[m.note].text for b in copy.blocks for m in b.marks if m.live and m.note is not None]
    assert live == texts


def test_one_person_is_relinked_and_nothing_else_is_touched(folder: Path, run: Run) -> None:
    assert run("relink", write("book.md", BOOK), "-o", "copy.md", "--person", "jane").code == 0
    changed = set(Path("copy.md").read_text(encoding="utf-8").splitlines()) ^ set(BOOK.splitlines())
    assert {line for line in changed if line} == {
        "Jane counted the steps.[6] She had a mark that leads nowhere.[9]",
        "Jane counted the steps.[^6] She had a mark that leads nowhere.[9]",
        "6. Jane Prydderch, hymn book, 1880.",
        "[^6]: Jane Prydderch, hymn book, 1880.",
    }
    ran = run("relink", "book.md", "-o", "other.md", "--person", "Jan Pryderch")
    assert ran.code == 2
    assert "nobody in this draft is called 'Jan Pryderch'" in ran.err


def test_chapters_with_lists_of_their_own_keep_their_notes_apart(folder: Path, run: Run) -> None:
    chapter = "# {0}\n\nHe split.¹ He read.²\n\n## Notes\n\n1. {0} book, 1866, p. 2.\n\n2. {0} census, 1881.\n\n"
    text = "".join(chapter.format(title) for title in ("Quarry", "Valley"))
    assert run("relink", write("book.md", text), "-o", "copy.md").code == 0
    assert [note for _, note in called(read("copy.md"))] == [note for _, note in called(read("book.md"))]


def test_line_ends_and_byte_order_mark_stay_as_they_are(folder: Path, run: Run) -> None:
    data = b"\xef\xbb\xbf" + BOOK.replace("\n", "\r\n").encode()
    assert run("relink", write("book.md", data), "-o", "copy.md").code == 0
    copy = Path("copy.md").read_bytes()
    assert copy.startswith(b"\xef\xbb\xbf")
    assert copy.count(b"\n") == copy.count(b"\r\n")


# ---------------------------------------------------------------------------------------------------- what it refuses


@pytest.mark.parametrize(
    ("name", "content", "arguments", "said"),
    [
        ("book.md", BOOK, ["-o", "book.md", "--force"], "is the draft itself"),
        ("book.md", BOOK, ["-o", "there.md"], "is there already"),
        ("book.md", BOOK, ["-o", "copy.docx"], "ends in .md"),
        ("book.txt", BOOK, ["-o", "copy.txt"], "plain text can't hold live notes"),
        ("book.md", "# Owen\n\nHe split slate.\n", ["-o", "copy.md"], "no typed marks"),
        ("book.md", "# Owen\n\nHe split.¹ He read.² He sang.³\n", ["-o", "copy.md"], "no note answers it"),
        ("book.md", BOOK, ["-o", "copy.md", "--per", "chapter"], "--per chapter is for footnotes"),
        ("book.md", BOOK, ["-o", "nowhere/copy.md"], "can't be written"),
    ],
)
def test_it_says_in_one_line_why_it_writes_nothing(
    folder: Path, run: Run, name: str, content: str, arguments: list[str], said: str
) -> None:
    write("there.md", "mine")
    ran = run("relink", write(name, content), *arguments)
    assert ran.code == 2
    assert said in ran.err
    assert ran.err.count("\n") == 1
    assert sorted(path.name for path in folder.iterdir()) == sorted({name, "there.md"})
    assert Path("there.md").read_text() == "mine"


def test_a_copy_that_would_not_read_like_the_draft_is_not_written(
    folder: Path, run: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(notes_docx, "write", lambda *_: small.docx(small.p("Other words.")))
    ran = run("relink", str(DEMO / "working.docx"), "-o", "copy.docx", "--shared", "own")
    assert ran.code == 2
    assert "would not read like the draft" in ran.err
    assert not Path("copy.docx").exists()


# --------------------------------------------------------------------------------------------------------------- .docx


def heading(text: str, level: int = 1) -> str:
    return small.p(text, style=f"Heading{level}")


STYLES = "".join(small.style(f"Heading{n}", f"heading {n}") for n in (1, 2))


def small_docx(*paragraphs: str, **parts: str) -> bytes:
    return small.docx("".join(paragraphs), styles=STYLES, **parts)


def entries(*texts: str) -> list[str]:
    return [small.p(f"{number}. {text}") for number, text in enumerate(texts, 1)]


def tree(path: str, name: str) -> Any:
    with zipfile.ZipFile(path) as package:
        return etree.fromstring(package.read(name))


PLAIN = (
    heading("Owen Prydderch"),
    small.p("He split.", small.raised("1"), " He read.", small.raised("2,3"), " He sang."),
    heading("Notes"),
    *entries("Wages book, 1866, p. 2.", "Census, 1881, folio 7.", "Stone, Coetmor, read 2019."),
)


@pytest.mark.parametrize("kind", ["footnote", "endnote"])
def test_a_docx_gets_all_the_parts_that_live_notes_need(folder: Path, run: Run, kind: str) -> None:
    data = small_docx(*PLAIN, "<w:sectPr><w:pgSz w:w='11906' w:h='16838'/></w:sectPr>", settings="<w:compat/>")
    assert run("relink", write("book.docx", data), "-o", "copy.docx", "--as", f"{kind}s").code == 0
    notes = tree("copy.docx", f"word/{kind}s.xml")
    assert [note.get(f"{W}type") for note in notes][:2] == ["separator", "continuationSeparator"]
    assert [note.get(f"{W}id") for note in notes] == ["-1", "0", "1", "2", "3"]
    document = tree("copy.docx", "word/document.xml")
    assert [ref.get(f"{W}id") for ref in document.iter(f"{W}{kind}Reference")] == ["1", "2", "3"]
    types = tree("copy.docx", "[Content_Types].xml")
    assert [each for each in types if (each.get("ContentType") or "").endswith(f"{kind}s+xml")]
    rels = tree("copy.docx", "word/_rels/document.xml.rels")
    assert [rel.get("Target") for rel in rels if (rel.get("Type") or "").endswith(f"/{kind}s")] == [f"{kind}s.xml"]
    settings = [child.tag for child in tree("copy.docx", "word/settings.xml")]
    assert settings == [f"{W}{kind}Pr", f"{W}compat"]
    names = {style.find(f"{W}name").get(f"{W}val") for style in tree("copy.docx", "word/styles.xml").iter(f"{W}style")}
    assert {f"{kind} reference", f"{kind} text"} <= names
    if kind == "endnote":  # i, ii, iii unless every section says otherwise
        section = document.find(f".//{W}sectPr")
        assert [child.tag for child in section] == [f"{W}endnotePr", f"{W}pgSz"]
        assert section.find(f"{W}endnotePr/{W}numFmt").get(f"{W}val") == "decimal"
    assert [note for _, note in called(read("copy.docx"))] == [note for _, note in called(read("book.docx"))]


def test_the_heading_of_an_emptied_list_goes_with_footnotes_and_stays_over_endnotes_at_the_end(
    folder: Path, run: Run
) -> None:
    write("book.docx", small_docx(*PLAIN))
    run("relink", "book.docx", "-o", "foot.docx", "--as", "footnotes")
    run("relink", "book.docx", "-o", "end.docx", "--as", "endnotes")
    assert [b.text for b in read("foot.docx").blocks] == ["Owen Prydderch", "He split. He read. He sang."]
    assert read("end.docx").blocks[-1].text == "Notes"


def test_a_mark_cut_over_several_runs_is_found_and_the_words_around_keep_their_look(folder: Path, run: Run) -> None:
    runs = (
        small.r("He ", "<w:b/>"), small.r("split", "<w:i/>"), ".", small.raised("1"), small.raised("2"),
        small.r(" He read."), small.raised("[3]"),
    )  # fmt: skip
    listed = [small.p(f"{number}. Book {number}, 1866, p. 2.") for number in (3, 12)]
    data = small_docx(heading("Owen"), small.p(*runs), heading("Notes"), *listed)
    assert run("relink", write("book.docx", data), "-o", "copy.docx").code == 0
    copy = read("copy.docx")
    assert copy.blocks[1].text == "He split. He read."
    assert (copy.blocks[1].italic, copy.blocks[1].bold) == (((3, 8),), ((0, 2),))
    assert [note for _, note in called(copy)] == ["Book 12, 1866, p. 2.", "Book 3, 1866, p. 2."]


def test_two_marks_at_one_spot_stay_apart_with_a_raised_comma(folder: Path, run: Run) -> None:
    assert run("relink", write("book.docx", small_docx(*PLAIN)), "-o", "copy.docx").code == 0
    runs = list(tree("copy.docx", "word/document.xml").iter(f"{W}r"))
    between = [run for run in runs if "".join(run.itertext()) == ","]
    assert [each.find(f"{W}rPr/{W}vertAlign").get(f"{W}val") for each in between] == ["superscript"]


def with_link(data: bytes, target: str) -> bytes:
    """The package with one relationship more, rId7, to a page outside."""
    kind = f"{small.OFFICE_RELATIONSHIPS}/hyperlink"
    far = f'<Relationship Id="rId7" Type="{kind}" Target="{target}" TargetMode="External"/>'.encode()
    buffer = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(buffer, "w") as new:
        for info in old.infolist():
            content = old.read(info)
            if info.filename == "word/_rels/document.xml.rels":
                content = content.replace(b"</Relationships>", far + b"</Relationships>")
            new.writestr(info, content)
    return buffer.getvalue()


def test_the_body_of_a_note_keeps_italics_and_links_and_loses_its_number(folder: Path, run: Run) -> None:
    link = f'<w:hyperlink r:id="rId7" xmlns:r="{small.OFFICE_RELATIONSHIPS}">{small.r("the page")}</w:hyperlink>'
    entry = small.p("1.\u00a0", small.r("Aberdare Leader", "<w:i/>"), ", 15 November 1902, on ", link, ".")
    told = small.p("He fell.", small.raised("1"))
    data = with_link(small_docx(heading("Owen"), told, heading("Notes"), entry), "https://x.org/")
    assert run("relink", write("book.docx", data), "-o", "copy.docx", "--as", "footnotes").code == 0
    assert read("copy.docx").notes[0].text == "Aberdare Leader, 15 November 1902, on the page."
    note = tree("copy.docx", "word/footnotes.xml")[-1]
    italic = [run.find(f"{W}t").text for run in note.iter(f"{W}r") if run.find(f"{W}rPr/{W}i") is not None]
    assert italic == ["Aberdare Leader"]
    target = note.find(f".//{W}hyperlink").get(f"{{{small.OFFICE_RELATIONSHIPS}}}id")
    rels = {rel.get("Id"): rel for rel in tree("copy.docx", "word/_rels/footnotes.xml.rels")}
    assert (rels[target].get("Target"), rels[target].get("TargetMode")) == ("https://x.org/", "External")


def test_an_entry_that_stays_in_a_list_that_numbers_itself_keeps_its_number(folder: Path, run: Run) -> None:
    texts = ("Book, 1866, p. 2.", "Lost, 1870.", "Stone, 1903.")
    listed = [small.p(text, properties=small.listed("1")) for text in texts]
    told = small.p("He split.", small.raised("1"), " He died.", small.raised("3"))
    form = small.numbering(("decimal", "%1."))
    data = small_docx(heading("Owen"), told, heading("Notes"), *listed, numbering=form)
    ran = run("relink", write("book.docx", data), "-o", "copy.docx")
    assert ran.code == 0, ran.err
    assert [(note.number, note.text) for note in read("copy.docx").notes if not note.live] == [("2", "Lost, 1870.")]


def test_a_repeated_number_points_to_the_first_note_by_a_field(folder: Path, run: Run) -> None:
    told = small.p("He split.", small.raised("1"), " He read.", small.raised("2"), " He sang.", small.raised("1"))
    data = small_docx(heading("Owen"), told, heading("Notes"), *entries("Wages book, 1866, p. 2.", "Census, 1881."))
    assert run("relink", write("book.docx", data), "-o", "copy.docx", "--shared", "same").code == 0
    copy = read("copy.docx")
    assert [mark.number for mark in copy.blocks[1].marks] == ["1", "2", "1"]
    assert called(copy)[0][1] == called(copy)[2][1]
    document = tree("copy.docx", "word/document.xml")
    bookmark = document.find(f".//{W}bookmarkStart").get(f"{W}name")
    assert f"NOTEREF {bookmark} " in "".join(each.text for each in document.iter(f"{W}instrText"))


def test_a_draft_with_live_notes_gets_more_of_their_kind(folder: Path, run: Run) -> None:
    told = small.p("He split.", small.note(1), " He read.", small.raised("7"), " He sang.", small.note(2))
    notes = small.notes("footnote", "Wages book, 1866.", "Stone, 1903.")
    data = small_docx(heading("Owen"), told, heading("Notes"), small.p("7. Census, 1881."), footnotes=notes)
    assert run("relink", write("book.docx", data), "-o", "copy.docx").code == 0
    texts = ["Wages book, 1866.", "Census, 1881.", "Stone, 1903."]
    copy = read("copy.docx")
    assert [(n.number, n.kind, n.text) for n in copy.notes] == [(str(n), "footnote", t) for n, t in enumerate(texts, 1)]
    part = tree("copy.docx", "word/footnotes.xml")
    order = ["".join(note.itertext()).strip() for note in part][2:]
    assert order == texts, "LibreOffice 7.4 goes by the order of the notes and not by their ids"


def test_footnotes_can_begin_anew_in_each_chapter(folder: Path, run: Run) -> None:
    chapters = []
    for title in ("Quarry", "Valley", "Return"):
        told = small.p("He split.", small.raised("1"), " He read.", small.raised("2"))
        listed = entries(f"{title} book, 1866, p. 2.", f"{title} census, 1881.")
        chapters += [heading(title), told, heading("Notes", 2), *listed]
    write("book.docx", small_docx(*chapters))
    arguments = ["relink", "book.docx", "-o", "copy.docx", "--as", "footnotes"]
    assert run(*arguments, "--per", "chapter").code == 0
    assert [note.number for note in read("copy.docx").notes] == ["1", "2"] * 3
    assert run(*arguments, "--force").code == 0
    assert [note.number for note in read("copy.docx").notes] == ["1", "2", "3", "4", "5", "6"]


# ------------------------------------------------------------------------------------ drafts whose faults are known


def spoilt(seed: int) -> Marked:
    """A draft with lost notes and marks, double numbers and moved sentences."""
    chance = random.Random(seed)
    draft = clean(seed)
    faults = (delete_note, double_note, lose_mark, lambda d, at: move(d, at, 4))
    for at in sorted(distinct_spots(chance, 3), reverse=True):
        chance.choice(faults)(draft, at)
    return draft


def as_docx(text: str) -> bytes:
    """A Markdown draft with raised digits as a .docx with raised runs."""
    raise_ = {"⁰": "0", "¹": "1", "²": "2", "³": "3"} | {chr(0x2070 + n): str(n) for n in range(4, 10)}
    out = []
    for block in text.strip().split("\n\n"):
        level = len(block) - len(block.lstrip("#"))
        runs: list[str] = []
        for digits, letters in re.findall(r"([⁰¹²³⁴-⁹]+)|([^⁰¹²³⁴-⁹]+)", block.lstrip("# ")):
            runs.append(small.raised("".join(raise_[d] for d in digits)) if digits else small.r(letters))
        out.append(small.p(*runs, style=f"Heading{min(level, 2)}" if level else ""))
    return small_docx(*out)


@pytest.mark.parametrize("seed", range(12))
@pytest.mark.parametrize("suffix", [".md", ".docx"])
def test_every_mark_keeps_its_note_in_drafts_with_known_faults(folder: Path, run: Run, seed: int, suffix: str) -> None:
    draft = spoilt(seed)
    draft.form = "raised" if suffix == ".docx" else FORMS[seed % (len(FORMS) - 1)]
    text = printed(draft)
    write(f"book{suffix}", as_docx(text) if suffix == ".docx" else text)
    ran = run("relink", f"book{suffix}", "-o", f"copy{suffix}", "--repeated", "turn", "--shared", "own")
    assert ran.code == 0, ran.err
    old, new = read(f"book{suffix}"), read(f"copy{suffix}")
    assert called(new, live=True) == called(old)
    assert without_digits(body(new)) == without_digits(body(old))  # what stays typed may be read as text
    unanswered = {number for problem, number in draft.truth if problem == "missing note"}
    assert {mark.number for block in new.blocks for mark in block.marks if not mark.live} <= unanswered


# ---------------------------------------------------------------------------------------------------------- LibreOffice


def office(folder: Path, form: str, *files: str) -> None:
    """Let LibreOffice open these files and save them in another form, in the folder 'saved'."""
    profile = f"-env:UserInstallation={(folder / 'profile').as_uri()}"
    command = [
        program("soffice", "libreoffice"),
        profile,
        "--headless",
        "--convert-to",
        form,
        "--outdir",
        "saved",
        *files,
    ]
    subprocess.run(command, cwd=folder, check=True, capture_output=True, timeout=240)


def turned(path: Path, target: Path) -> None:
    """A document saved by LibreOffice with its first half behind its second, as an author might move chapters."""
    with zipfile.ZipFile(path) as old, zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as new:
        for info in old.infolist():
            content = old.read(info)
            if info.filename == "content.xml":
                root = etree.fromstring(content)
                text = next(root.iter(f"{OFFICE}text"))
                moved = [child for child in text if child.tag in (f"{TEXT}p", f"{TEXT}h")]
                for paragraph in moved[: len(moved) // 2]:
                    text.append(paragraph)
                content = etree.tostring(root)
            new.writestr(info, content)


def printed_notes(path: Path) -> list[tuple[str, str]]:
    """(number as LibreOffice counted it, text) of the notes of an OpenDocument file that it saved, in order."""
    with zipfile.ZipFile(path) as package:
        root = etree.fromstring(package.read("content.xml"), etree.XMLParser(huge_tree=True))

    def words(note: Any, part: str) -> str:
        return " ".join("".join(note.find(f"{TEXT}{part}").itertext()).split())

    return [(words(note, "note-citation"), words(note, "note-body")) for note in root.iter(f"{TEXT}note")]


def test_libreoffice_opens_the_copies_saves_them_again_and_renumbers_moved_paragraphs(folder: Path, run: Run) -> None:
    kinds = ("footnotes", "endnotes")
    for kind in kinds:
        arguments = ["relink", str(DEMO / "working.docx"), "-o", f"{kind}.docx", "--as", kind, "--shared", "own"]
        assert run(*arguments).code == 0
    wanted = [note for _, note in called(read("footnotes.docx"), live=True)]
    numbers = [str(number) for number in range(1, 87)]
    office(folder, "odt", "footnotes.docx", "endnotes.docx")
    for kind in kinds:
        assert printed_notes(folder / f"saved/{kind}.odt") == list(zip(numbers, wanted, strict=True))
        turned(folder / f"saved/{kind}.odt", folder / f"{kind}-turned.odt")
    office(folder, "odt", "footnotes-turned.odt", "endnotes-turned.odt")
    for kind in kinds:
        moved = printed_notes(folder / f"saved/{kind}-turned.odt")
        assert [number for number, _ in moved] == numbers
        assert moved[0][1] != wanted[0]
        assert [text for _, text in moved] == [text for _, text in printed_notes(folder / f"{kind}-turned.odt")]
    office(folder, "docx", "footnotes.docx", "endnotes.docx")
    for kind in kinds:
        old, saved = read(f"{kind}.docx"), read(f"saved/{kind}.docx")
        assert called(saved, live=True) == called(old, live=True)
        assert body(saved) == body(old)


RAISING = (
    '<style:style style:name="Up" style:family="text"><style:text-properties style:text-position="super 58%"/>'
    "</style:style>"
)


@pytest.mark.parametrize("mark", ['<text:span text:style-name="Up">{}</text:span>', "[{}]"])
def test_a_repeated_number_in_an_odt_points_to_the_first_note_and_is_raised(folder: Path, run: Run, mark: str) -> None:
    told = "".join(f" He {word}.{mark.format(number)}" for word, number in (("split", 1), ("read", 2), ("sang", 1)))
    text = "<text:h>Owen</text:h><text:p>{}</text:p><text:h>Notes</text:h><text:p>1. Book.</text:p><text:p>2. Will.</text:p>"
    write("book.odt", small.odt(text.format(told), automatic=RAISING if "Up" in mark else ""))
    assert run("relink", "book.odt", "-o", "copy.odt", "--shared", "same").code == 0
    copy = read("copy.odt")
    assert called(copy, live=True) == [("He split.", "Book."), ("He split. He read.", "Will."), *called(copy)[2:]]
    assert [mark.number for mark in copy.blocks[1].marks] == ["1", "2", "1"]
    assert copy.blocks[1].marks[2].live


def test_libreoffice_counts_the_notes_of_a_relinked_odt(folder: Path, run: Run) -> None:
    shutil.copy(DEMO / "original.docx", "book.docx")
    office(folder, "odt", "book.docx")
    assert run("relink", "saved/book.odt", "-o", "copy.odt", "--as", "footnotes").code == 0
    office(folder, "odt", "copy.odt")
    wanted = [note for _, note in called(read("book.docx"))]
    assert printed_notes(folder / "saved/copy.odt") == [(str(n), text) for n, text in enumerate(wanted, 1)]
    assert body(read("copy.odt")) == body(read("saved/book.odt"))


def test_a_long_list_of_what_is_left_is_cut(folder: Path, run: Run) -> None:
    notes = "\n\n".join(f"{number}. Wages book, 1866, p. {number}." for number in range(1, 100))
    ran = run("relink", write("book.md", f"# Owen\n\nHe split.¹ He read.²\n\n# Notes\n\n{notes}\n"), "-o", "copy.md")
    assert len(left(ran)) == 41
    assert left(ran)[-1].startswith("and 57 more")


SIDE_BY_SIDE = ("Owen split slate.[1][2] He sang.[3],[4] He read", " [5] [6]. He died.[7]; [8]")


@pytest.mark.parametrize("suffix", [".md", ".docx", ".odt"])
def test_marks_side_by_side_become_notes_each(folder: Path, run: Run, suffix: str) -> None:
    told, entries = "".join(SIDE_BY_SIDE), [f"{at}. Printed card, page {at}." for at in range(1, 9)]
    heading, listed = "Owen Prydderch", "Notes"
    made: dict[str, str | bytes] = {
        ".md": f"# {heading}\n\n{told}\n\n## {listed}\n\n" + "\n".join(entries) + "\n",
        ".docx": small.docx(
            small.p(small.r(heading), style="Heading1")
            + small.p(*SIDE_BY_SIDE)
            + small.p(small.r(listed), style="Heading1")
            + "".join(map(small.p, entries))
        ),
        ".odt": small.odt(
            f'<text:h text:outline-level="1">{heading}</text:h><text:p>{told}</text:p>'
            f'<text:h text:outline-level="1">{listed}</text:h>'
            + "".join(f"<text:p>{entry}</text:p>" for entry in entries)
        ),
    }
    write(f"owen{suffix}", made[suffix])
    ran = run("relink", f"owen{suffix}", "-o", f"copy{suffix}")
    assert ran.code == 0, ran.err
    copy = read(f"copy{suffix}")
    assert copy.blocks[1].text == "Owen split slate. He sang. He read. He died."
    assert [text for _, text in called(copy, live=True)] == [f"Printed card, page {at}." for at in range(1, 9)]


def test_marks_in_a_frame_of_an_odt_stay_typed(folder: Path, run: Run) -> None:
    """LibreOffice 7.4 prints no note that is called there (tried)."""
    frame = "<draw:frame><draw:text-box><text:p>In the box he stood.[2]</text:p></draw:text-box></draw:frame>"
    shape = (
        frame.replace("draw:frame", "draw:custom-shape").replace("<draw:text-box>", "").replace("</draw:text-box>", "")
    )
    entries = "".join(f"<text:p>{at}. Printed card, page {at}.</text:p>" for at in range(1, 4))
    heads = [f'<text:h text:outline-level="1">{title}</text:h>' for title in ("Owen Prydderch", "Notes")]
    for box in (frame, shape):
        told = f"<text:p>Owen split slate.[1]{box} He sang.[3]</text:p>"
        write("owen.odt", small.odt(heads[0] + told + heads[1] + entries))
        ran = run("relink", "owen.odt", "-o", "copy.odt", "--force")
        assert ran.code == 0, ran.err
        assert [line[:48] for line in left(ran)] == ["mark 2: a text box can hold no live note; move t"]
        copy = read("copy.odt")
        assert [text for _, text in called(copy, live=True)] == ["Printed card, page 1.", "Printed card, page 3."]


def test_marks_in_a_text_box_stay_typed(folder: Path, run: Run) -> None:
    """LibreOffice 7.4 opens no file that has a note there (tried), and word processors offer none."""
    box = small.text_box(small.p("In the box he stood.", small.raised("2")))
    told = small.p("Owen split slate.", small.raised("1"), box, " He sang.", small.raised("3"))
    entries = "".join(small.p(f"{at}. Printed card, page {at}.") for at in range(1, 4))
    heads = [small.p(small.r(title), style="Heading1") for title in ("Owen Prydderch", "Notes")]
    write("owen.docx", small.docx(heads[0] + told + heads[1] + entries))
    ran = run("relink", "owen.docx", "-o", "copy.docx")
    assert ran.code == 0, ran.err
    assert left(ran) == ["mark 2: a text box can hold no live note; move the sentence out of it. In the box he stood."]
    copy = read("copy.docx")
    assert [text for _, text in called(copy, live=True)] == ["Printed card, page 1.", "Printed card, page 3."]
    assert body(copy) == ["Owen Prydderch", "Owen split slate. He sang.", "In the box he stood."]
