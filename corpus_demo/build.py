"""Build the demonstration book from source/*.txt:  python corpus_demo/build.py [FOLDER]

A source is Markdown with these additions:

    ^[text]          a note, written where it is called; notes are numbered in reading order
    ^41[text]        the same with a number of its own, as in a passage that was moved
    ^97[]            a mark alone: its note is missing, or stands elsewhere under that number
    {note 24: text}  a note alone: nothing calls it
    {as in the original: 5}                     person 5 as the raw original has it
    {as in the original: 24, but the children}  the same without its child list

Each source becomes NAME.md, with [^n] marks, and NAME.docx. Equal sources give equal bytes: the parts of a .docx are
stored uncompressed under one date, because compressors differ between machines.
"""

import datetime
import io
import itertools
import re
import sys
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple

import docx
from docx.enum.style import WD_STYLE_TYPE
from docx.opc.constants import RELATIONSHIP_TYPE
from docx.opc.oxml import serialize_part_xml
from docx.opc.packuri import PackURI
from docx.opc.part import Part
from docx.oxml import OxmlElement
from docx.oxml.ns import qn
from docx.shared import Cm, Pt, RGBColor

HERE = Path(__file__).resolve().parent
BOOKS = {"original": "typed", "working": "typed", "chapter": "footnotes"}

NOTE = re.compile(r"\^(\d*)\[([^\]]*)\]")
NOTE_ALONE = re.compile(r"\{note (\d+): (.*)\}")
BORROWED = re.compile(r"\{as in the original: (\d+)(, but the children)?\}")
HEADING = re.compile(r"(#+) (.*)")
CHILD_NUMBER = re.compile(r"^(\+? ?\d+ [ivx]+\.) ")
INLINE = re.compile(r"\[\^(?P<mark>\d+)\]|\*(?P<italic>[^*]+)\*|(?P<raised>[⁰¹²³⁴⁵⁶⁷⁸⁹]+)")
DIGITS = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹", "0123456789")
FOOTNOTES_TYPE = "application/vnd.openxmlformats-officedocument.wordprocessingml.footnotes+xml"
LAST_SAVED = datetime.datetime(2025, 11, 30, 12, 0, tzinfo=datetime.UTC)


class Block(NamedTuple):
    """One paragraph: kind is heading, para, quote or child; level counts for headings only."""

    kind: str
    text: str
    level: int = 0


class Book(NamedTuple):
    """Blocks whose text carries [^n] marks, and the notes by number."""

    blocks: list[Block]
    notes: dict[int, str]


# ---------------------------------------------------------------- reading


def read_book(name: str) -> Book:
    text = source(name)
    if name != "original":  # a tree program types straight quotes, and what is borrowed from it keeps them
        text = BORROWED.sub(borrow, curly(text))
    alone = {int(number): note for number, note in NOTE_ALONE.findall(text)}
    text, notes = number_notes(NOTE_ALONE.sub("", text), alone)
    return Book(list(read_blocks(text)), dict(sorted(notes.items())))


def source(name: str) -> str:
    return (HERE / "source" / f"{name}.txt").read_text(encoding="utf-8")


def borrow(directive: re.Match[str]) -> str:
    """A person's section of the original, up to the next heading of any person or generation."""
    number, without_children = directive.groups()
    section = re.split(r"\n(?=###? )", source("original").split(f"\n### {number}. ")[1])[0]
    if without_children:
        section = section.split("\n\nChild")[0]
    return f"### {number}. {section.strip()}"


def curly(text: str) -> str:
    return re.sub(r'(?<![^\s(\[*])"', "“", text).replace('"', "”").replace("'", "’")


def number_notes(text: str, notes: dict[int, str]) -> tuple[str, dict[int, str]]:
    """The text with every note replaced by its mark, and the notes, those given included."""
    taken = {int(number) for number, note in NOTE.findall(text) if number and note} | set(notes)
    free = (number for number in itertools.count(1) if number not in taken)
    notes = dict(notes)

    def mark(found: re.Match[str]) -> str:
        number = int(found[1] or next(free))
        if found[2]:
            notes[number] = found[2]
        return f"[^{number}]"

    return NOTE.sub(mark, text), notes


def read_blocks(text: str) -> Iterator[Block]:
    for chunk in filter(None, map(str.strip, text.split("\n\n"))):
        if heading := HEADING.match(chunk):
            yield Block("heading", heading[2], len(heading[1]))
        elif chunk.startswith("> "):
            yield Block("quote", chunk[2:])
        elif chunk.startswith("- "):
            yield from (Block("child", line[2:]) for line in chunk.splitlines())
        else:
            yield Block("para", chunk)


# --------------------------------------------------------------- Markdown


def write_md(book: Book, path: Path) -> None:
    lines = [md_block(block) + ("\n" if block.kind != "child" else "") for block in book.blocks]
    # A blank line closes each run of child entries.
    for here in range(len(lines) - 1):
        if book.blocks[here].kind == "child" and book.blocks[here + 1].kind != "child":
            lines[here] += "\n"
    lines.append("\n" + "\n\n".join(f"[^{number}]: {note}" for number, note in book.notes.items()))
    path.write_text("\n".join(lines) + "\n", encoding="utf-8", newline="\n")


def md_block(block: Block) -> str:
    if block.kind == "heading":
        return "#" * block.level + " " + block.text
    if block.kind == "child":
        return "- " + re.sub(r"^\+", r"\\+", block.text)  # a bare plus would open a list inside the list
    return ("> " if block.kind == "quote" else "") + block.text


# ------------------------------------------------------------------- docx


def write_docx(book: Book, marks: str, path: Path) -> None:
    document = docx.Document()
    set_up(document, book.blocks[0].text)
    for block in book.blocks:
        text = CHILD_NUMBER.sub("\\1\t", block.text) if block.kind == "child" else block.text
        add_runs(add_block(document, block), text, live=marks == "footnotes")
    if marks == "footnotes":
        add_footnotes(document, book.notes)
    else:
        document.add_heading("Notes", 2)
        for number, note in book.notes.items():
            add_runs(document.add_paragraph(f"{number}. ", "Note list"), note, live=False)
    saved = io.BytesIO()
    document.save(saved)
    pack(saved, path)


def set_up(document: Any, title: str) -> None:
    """Page, styles and properties; the dates are fixed so that the bytes are."""
    leave_out_unused_styles(document)
    properties = document.core_properties
    properties.title, properties.author, properties.comments = title, "", ""
    properties.created = properties.modified = LAST_SAVED
    section = document.sections[0]
    section.page_width, section.page_height = Cm(21), Cm(29.7)
    section.left_margin = section.right_margin = Cm(3)
    styles = document.styles
    styles["Normal"].font.name, styles["Normal"].font.size = "Georgia", Pt(11)
    styles["Normal"].paragraph_format.space_after = Pt(8)
    for level, size in enumerate((20, 15, 12.5, 11), start=1):
        font = styles[f"Heading {level}"].font
        font.size, font.color.rgb, font.italic = Pt(size), RGBColor(0x22, 0x2B, 0x33), level == 4
        font.name = "Georgia"
        # The template's heading typeface is a theme font, which would win over the name.
        fonts = styles[f"Heading {level}"].element.rPr.rFonts
        for attribute in [key for key in fonts.attrib if "Theme" in key]:
            del fonts.attrib[attribute]
    for name, indent in (("Child entry", Cm(2.3)), ("Note list", Cm(0.8))):
        layout = styles.add_style(name, WD_STYLE_TYPE.PARAGRAPH).paragraph_format
        styles[name].base_style = styles["Normal"]
        layout.left_indent, layout.first_line_indent, layout.space_after = indent, -indent + Cm(0.4), Pt(3)
    styles["Note list"].font.size = Pt(9)
    styles.add_style("footnote reference", WD_STYLE_TYPE.CHARACTER, builtin=True).font.superscript = True
    footnote = styles.add_style("footnote text", WD_STYLE_TYPE.PARAGRAPH, builtin=True)
    footnote.base_style, footnote.font.size, footnote.paragraph_format.space_after = styles["Normal"], Pt(8.5), Pt(2)
    styles["Quote"].paragraph_format.left_indent = styles["Quote"].paragraph_format.right_indent = Cm(1)


def leave_out_unused_styles(document: Any) -> None:
    """Drop the template's table styles and its copy of all styles for Word 2010: nine tenths of the file, unused."""
    for style in list(document.styles.element):
        if style.get(qn("w:type")) == "table" and not style.get(qn("w:default")):
            document.styles.element.remove(style)
    for key, relation in list(document.part.rels.items()):
        if relation.reltype.endswith("/stylesWithEffects"):
            del document.part.rels[key]


def add_block(document: Any, block: Block) -> Any:
    if block.kind == "heading":
        return document.add_heading(level=block.level)
    return document.add_paragraph(style={"child": "Child entry", "quote": "Quote"}.get(block.kind))


def add_runs(paragraph: Any, text: str, live: bool) -> None:
    """Append text with its italics, raised digits and marks; live marks refer to real footnotes."""
    end = 0
    for found in INLINE.finditer(text):
        if found.start() > end:
            paragraph.add_run(text[end : found.start()])
        end = found.end()
        if found["italic"]:
            paragraph.add_run(found["italic"]).italic = True
        elif found["mark"] and live:
            reference = paragraph.add_run(style="footnote reference")
            reference._r.append(element("w:footnoteReference", {"w:id": found["mark"]}))
        else:
            paragraph.add_run(found["mark"] or found["raised"].translate(DIGITS)).font.superscript = True
    if text[end:]:
        paragraph.add_run(text[end:])


def add_footnotes(document: Any, notes: dict[int, str]) -> None:
    """Give the document a footnotes part: two separators that Word expects, then one footnote a note."""
    separators = {"-1": "separator", "0": "continuationSeparator"}
    root = element("w:footnotes")
    for identity, kind in separators.items():
        line = element("w:p", {}, element("w:r", {}, element(f"w:{kind}")))
        root.append(element("w:footnote", {"w:type": kind, "w:id": identity}, line))
    for number, note in notes.items():
        paragraph = document.add_paragraph(style="footnote text")  # appending it below takes it out of the body again
        paragraph.add_run(style="footnote reference")._r.append(element("w:footnoteRef"))
        add_runs(paragraph, f" {note}", live=False)
        root.append(element("w:footnote", {"w:id": str(number)}, paragraph._p))

    name = PackURI("/word/footnotes.xml")
    part = Part(name, FOOTNOTES_TYPE, serialize_part_xml(root), document.part.package)
    document.part.relate_to(part, RELATIONSHIP_TYPE.FOOTNOTES)
    numbering = element("w:footnotePr", {}, *(element("w:footnote", {"w:id": identity}) for identity in separators))
    document.settings.element.find(qn("w:compat")).addprevious(numbering)


def element(tag: str, attributes: dict[str, str] | None = None, *children: Any) -> Any:
    made = OxmlElement(tag, {qn(key): value for key, value in (attributes or {}).items()})
    made.extend(children)
    return made


def pack(saved: io.BytesIO, path: Path) -> None:
    """Write the parts again in the same order, stored, undated and free of the machine's mark."""
    with zipfile.ZipFile(saved) as parts, zipfile.ZipFile(path, "w", zipfile.ZIP_STORED) as out:
        for name in parts.namelist():
            entry = zipfile.ZipInfo(name, date_time=(1980, 1, 1, 0, 0, 0))
            entry.create_system, entry.external_attr = 0, 0
            out.writestr(entry, parts.read(name))


def build(folder: Path) -> None:
    for name, marks in BOOKS.items():
        book = read_book(name)
        write_md(book, folder / f"{name}.md")
        write_docx(book, marks, folder / f"{name}.docx")


if __name__ == "__main__":
    build(Path(sys.argv[1]) if len(sys.argv) > 1 else HERE)
