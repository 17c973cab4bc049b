"""Finding a quote again in the file itself without storylint: by zip, XML and lines, as anybody would read them.

A quote is compared by its letters alone: a reader's text has single spaces, no soft hyphens and no citation marks.
"""

from __future__ import annotations

import io
import re
import zipfile
from collections import defaultdict
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

from lxml import etree

if TYPE_CHECKING:
    from lxml.etree import _Element

W = "{http://schemas.openxmlformats.org/wordprocessingml/2006/main}"
STRICT_W = b"http://purl.oclc.org/ooxml/wordprocessingml/main"
FALLBACK = "{http://schemas.openxmlformats.org/markup-compatibility/2006}Fallback"
TEXT = "{urn:oasis:names:tc:opendocument:xmlns:text:1.0}"
TABLE = "{urn:oasis:names:tc:opendocument:xmlns:table:1.0}"
OFFICE = "{urn:oasis:names:tc:opendocument:xmlns:office:1.0}"

# What stands in the body of an .odt and is not of its text.
ASIDE = frozenset({TEXT + "note-body", OFFICE + "annotation", TEXT + "tracked-changes"})


def letters(text: str) -> str:
    """The letters of a text, in small letters; its digits, where it has no letter."""
    return "".join(filter(str.isalpha, text.casefold())) or "".join(filter(str.isdecimal, text))


class Source:
    """One file: the letters of its lines or paragraphs, and of its notes."""

    def __init__(self, file: Path) -> None:
        data = file.read_bytes()
        self.lines: list[str] = []
        self.paragraphs: list[str] = []
        self.notes = ""
        if data.startswith(b"PK"):
            package = zipfile.ZipFile(io.BytesIO(data))
            if "content.xml" in package.namelist():
                self._read_odt(etree.fromstring(package.read("content.xml")))
            else:
                self._read_docx(package)
        elif b"<office:document" in data[:2000]:
            self._read_odt(etree.fromstring(data))
        else:
            self.lines = [letters(without_markup(line)) for line in re.split(r"\r\n|\r|\n", data.decode("utf-8-sig"))]

    def holds(self, place: dict[str, Any]) -> bool:
        """Whether the quote of a place of the JSON output stands where the place says.

        In text formats it begins on its line. In the others it stands in its paragraph, counted from 0 through the
        whole body, tables and text boxes included, or in the row of a table that begins there. A place without extent
        is that of a note's mark and quotes the note.
        """
        quote = letters(place["quote"])
        if self.lines:
            first = self.lines[place["line"] - 1]
            begun = "".join(self.lines[place["line"] - 1 :][: 2 + len(quote)])
            return begun.find(quote, 0, len(first) + len(quote) - 1) >= 0
        if place["start"] == place["end"]:
            return quote in self.notes
        return quote in self.paragraphs[place["block"]]

    def _read_docx(self, package: zipfile.ZipFile) -> None:
        parts = {name: package.read(name).replace(STRICT_W, W[1:-1].encode()) for name in package.namelist()}
        for name, part in parts.items():
            if re.fullmatch(r"word/(?:foot|end)notes\d*\.xml", name):
                paragraphs = etree.fromstring(part).iter(W + "p")
                self.notes += letters("".join(text for paragraph in paragraphs for text in word_text(paragraph)))
        main = next(part for name, part in parts.items() if re.fullmatch(r"word/document\d*\.xml", name))
        rows: dict[Any, list[int]] = defaultdict(list)
        for paragraph in etree.fromstring(main).iter(W + "p"):
            if next(paragraph.iterancestors(FALLBACK), None) is None:
                rows[row_of(paragraph, W + "tr")].append(len(self.paragraphs))
                self.paragraphs.append(letters("".join(word_text(paragraph))))
        self._join(rows)

    def _read_odt(self, root: _Element) -> None:
        rows: dict[Any, list[int]] = defaultdict(list)
        for paragraph in next(root.iter(OFFICE + "text")).iter(TEXT + "p", TEXT + "h"):
            around = {ancestor.tag for ancestor in paragraph.iterancestors()}
            words = letters("".join(open_text(paragraph)))
            if TEXT + "note-body" in around:
                self.notes += words
            if ASIDE.isdisjoint(around):
                rows[row_of(paragraph, TABLE + "table-row")].append(len(self.paragraphs))
                self.paragraphs.append(words)
        self._join(rows)

    def _join(self, rows: dict[Any, list[int]]) -> None:
        """Let a row's first paragraph have the words of all."""
        for row, members in rows.items():
            if row is not None:
                self.paragraphs[members[0]] = "".join(self.paragraphs[at] for at in members)


def row_of(paragraph: _Element, tag: str) -> _Element | None:
    """The outermost row of a table that a paragraph stands in."""
    return next(iter(list(paragraph.iterancestors(tag))[::-1]), None)


def word_text(element: _Element) -> Iterator[str]:
    """The text of a paragraph with changes accepted; paragraphs inside it are others."""
    for child in element:
        if child.tag == W + "t":
            yield child.text or ""
        elif child.tag not in (W + "p", W + "del", W + "moveFrom", FALLBACK) and not is_hidden(child):
            yield from word_text(child)


def is_hidden(run: _Element) -> bool:
    """Whether a run is set not to be printed."""
    vanish = run.find(f"{W}rPr/{W}vanish")
    return vanish is not None and vanish.get(W + "val") not in ("0", "false", "off")


def open_text(element: _Element) -> Iterator[str]:
    """The text of a paragraph without its notes and comments; paragraphs inside it are others."""
    yield element.text or ""
    for child in element:
        if isinstance(child.tag, str) and child.tag not in (TEXT + "p", TEXT + "note", OFFICE + "annotation"):
            yield from open_text(child)
        yield child.tail or ""


def without_markup(line: str) -> str:
    """A line without what is no word: calls of notes, addresses of links, tags."""
    return re.sub(r"\[\^[^\]]*\]:?|\]\([^)]*\)|<[^>]*>", " ", line)
