"""Reading .docx: paragraphs with their printed numbers, live notes, tables, pictures and captions.

Reads strict and transitional files, templates and files with macros (which are never looked at). The *raw text* of a
block, to which ``Block.segments`` point, is the text that ``docx_walk.Unit.raw_runs`` yields.
"""

from __future__ import annotations

import io
import posixpath
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from typing import IO, TYPE_CHECKING
from urllib.parse import unquote

from storylint.complaints import Unreadable
from storylint.draft import docx_walk, typed, zips
from storylint.draft.docx_styles import Numbering, Place, Styles, W, apply, number, value
from storylint.draft.docx_walk import Unit, Walk, raw_runs
from storylint.draft.list_numbers import formatted
from storylint.draft.model import Block, Draft, Kind, Mark, Note
from storylint.draft.raw import Call, Raw

if TYPE_CHECKING:
    from lxml.etree import _Element

__all__ = ["Styles", "Unit", "Walk", "raw_runs", "read"]

_RELATIONSHIP = "{http://schemas.openxmlformats.org/package/2006/relationships}Relationship"
_DOCUMENT = "/officeDocument"
_NOT_A_DOCUMENT = "is a package without a text document in it; save the draft as .docx from your word processor"

_UNREAD = {
    docx_walk.FOREIGN: "a part of it is another file put in whole, and was not read",
    docx_walk.ELSEWHERE: "a part of it stands in a file of its own (a subdocument), and was not read; name that file too",
}


def read(path_text: str, data: bytes | IO[bytes], sha256: str, limits: zips.Limits = zips.USUAL) -> Draft:
    """The draft in a .docx. ``data`` is the file or a stream of it that can seek. Raises Unreadable."""
    stream = io.BytesIO(data) if isinstance(data, bytes) else data
    return _Reader(_Parts(zips.Package(path_text, stream, limits))).draft(path_text, sha256)


# --- parts ------------------------------------------------------------------------------------------------------


class _Parts:
    """Finds the parts of a package by their relationships, as the standard asks, and else by their usual names."""

    def __init__(self, package: zips.Package) -> None:
        self.package = package
        self.main = self._related("").get(_DOCUMENT, "word/document.xml")
        if self.main not in package:
            raise Unreadable(package.path, _NOT_A_DOCUMENT)
        self._by_type = self._related(self.main)

    def _related(self, source: str) -> dict[str, str]:
        """Targets by the last step of the relationship's type. The first of each type counts."""
        folder, name = posixpath.split(source)
        rels = posixpath.join(folder, "_rels", name + ".rels")
        if rels not in self.package:
            return {}
        found: dict[str, str] = {}
        for link in zips.root_of(self.package.open(rels)).iter(_RELATIONSHIP):
            if link.get("TargetMode") != "External":
                target = unquote((link.get("Target") or "").replace("\\", "/"))
                kind = "/" + (link.get("Type") or "").rpartition("/")[2]
                found.setdefault(kind, posixpath.normpath(posixpath.join("/", folder, target)).lstrip("/"))
        return found

    def open(self, kind: str) -> zips.Part | None:
        """The part of the main document with this type ("styles", "footnotes"), None if there is none."""
        name = self._by_type.get("/" + kind, posixpath.join(posixpath.dirname(self.main), kind + ".xml"))
        return self.package.open(name) if name in self.package else None

    def root(self, kind: str) -> _Element | None:
        part = self.open(kind)
        return zips.root_of(part) if part is not None else None


# --- notes ------------------------------------------------------------------------------------------------------


@dataclass(slots=True)
class _Counting:
    """How one kind of notes is numbered in one section of the document."""

    form: str
    start: int = 1
    restart: str = "continuous"

    def under(self, properties: _Element | None) -> _Counting:
        """This, with what a ``w:footnotePr`` or ``w:endnotePr`` changes."""
        if properties is None:
            return self
        return _Counting(
            value(properties, "numFmt") or self.form,
            number(value(properties, "numStart"), self.start),
            value(properties, "numRestart") or self.restart,
        )


# Without a setting footnotes are counted 1, 2, 3 and endnotes i, ii, iii (ISO/IEC 29500-1, 17.11).
_USUAL = {"footnote": _Counting("decimal"), "endnote": _Counting("lowerRoman")}


@dataclass(slots=True)
class _Called:
    """The first reference to a note: in which section of the document, and with which mark of the writer's own."""

    kind: str
    note: str
    section: int
    own: str


class _Notes:
    """The notes of a draft, numbered as printed by the order of their references."""

    def __init__(self, settings: _Element | None) -> None:
        self._usual = {
            kind: usual.under(settings.find(f"{W}{kind}Pr") if settings is not None else None)
            for kind, usual in _USUAL.items()
        }
        self._calls: list[_Called] = []
        self._index: dict[tuple[str, str], int] = {}
        self._sections: list[dict[str, _Counting]] = []

    def call(self, call: Call) -> int:
        """Take down a reference; gives its place in the order of notes."""
        key = (call.kind, call.name)
        if key not in self._index:
            self._index[key] = len(self._calls)
            self._calls.append(_Called(call.kind, call.name, len(self._sections), call.text))
        return self._index[key]

    def end_section(self, properties: _Element) -> None:
        """A section of the document is over; ``properties`` is its ``w:sectPr``."""
        self._sections.append(
            {kind: usual.under(properties.find(f"{W}{kind}Pr")) for kind, usual in self._usual.items()}
        )

    def numbers(self) -> list[str]:
        """The printed number or mark of each note called."""
        counts: dict[str, int] = {}
        last: dict[str, int] = {}
        numbers = []
        for call in self._calls:
            counting = (self._sections[call.section] if call.section < len(self._sections) else self._usual)[call.kind]
            anew = call.kind not in counts or (counting.restart == "eachSect" and last.get(call.kind) != call.section)
            if anew:
                counts[call.kind] = counting.start - 1
            last[call.kind] = call.section
            counts[call.kind] += not call.own
            numbers.append(call.own or formatted(counts[call.kind], counting.form))
        return numbers

    def read(self, bodies: dict[tuple[str, str], str]) -> tuple[list[Note], list[int | None]]:
        """The notes that have a text, and for each note called its place among them."""
        notes: list[Note] = []
        places: list[int | None] = []
        for call, printed in zip(self._calls, self.numbers(), strict=True):
            text = bodies.get((call.kind, call.note))
            places.append(None if text is None else len(notes))
            if text is not None:
                notes.append(Note(printed, text, call.kind, live=True))
        return notes, places

    @property
    def by_page(self) -> bool:
        """Whether notes are counted by the page, which only the printer of the page can know."""
        return any(
            counting[call.kind].restart == "eachPage"
            for call in self._calls[:1]
            for counting in (self._sections or [self._usual])
        )


# --- blocks -----------------------------------------------------------------------------------------------------


class _Reader:
    """Turns the parts of one .docx into a Draft."""

    def __init__(self, parts: _Parts) -> None:
        self._parts = parts
        self._styles = Styles(parts.root("styles"))
        self._numbering = Numbering(parts.root("numbering"), self._styles)
        self._notes = _Notes(parts.root("settings"))
        self._remarks: dict[str, None] = {}  # each once, in order

    def draft(self, path: str, sha256: str) -> Draft:
        blocks = list(self._blocks())
        notes, places = self._notes.read(dict(self._note_texts()))
        blocks = _numbered(blocks, self._notes.numbers(), places)
        read, typed_notes = typed.attach(blocks, notes)
        if self._notes.by_page:
            self._remarks["notes are numbered afresh on each page; their numbers here run through"] = None
        return Draft(path, "docx", sha256, read, (*notes, *typed_notes), remarks=tuple(self._remarks))

    def _blocks(self) -> Iterator[Block]:
        walk = Walk()
        package = self._parts.package
        for unit in walk.units(self._body(lambda _: walk.waits)):
            zips.refuse_more_paragraphs(package.path, walk.count, package.limits)
            yield from self._unit(unit)

    def _body(self, keep: Callable[[_Element], bool]) -> Iterator[_Element]:
        """The children of the body as they stream by; the ends of sections and foreign parts are noted on the way."""
        part = self._parts.package.open(self._parts.main)
        found = False
        for element in zips.children_of(part, docx_walk.BODY_PARENTS, docx_walk.BODY_TAGS, keep=keep):
            if element.tag == docx_walk.BODY:
                found = True
                continue
            self._remarks.update(dict.fromkeys(_UNREAD[part.tag] for part in element.iter(*_UNREAD)))
            if element.tag == docx_walk.SECTION:
                self._notes.end_section(element)
            elif element.tag != docx_walk.FOREIGN:
                yield element
        if not found:
            raise Unreadable(self._parts.package.path, _NOT_A_DOCUMENT)

    def _unit(self, unit: Unit) -> Iterator[Block]:
        raw = _raw(unit, self._styles)
        properties = unit.paragraph.find(W + "pPr")
        place = self._place(properties)
        for description in raw.pictures:
            yield Block(unit.index, Kind.PICTURE, description, style=place.name)
        label = self._label(unit, place, properties)
        kind = Kind.TABLE if unit.row else _kind(place, raw)
        level = min(place.heading, 9) if kind is Kind.HEADING else 0
        if (block := raw.block(unit.index, kind, self._mark, level, label, place.name)) is not None:
            yield block
        self._end_section(properties)

    def _place(self, properties: _Element | None) -> Place:
        """What the paragraph is, by its style and its own properties."""
        if properties is None:
            return self._styles.place("")
        place = self._styles.place(value(properties, "pStyle"))
        if any(properties.find(W + tag) is not None for tag in ("outlineLvl", "numPr", "ind")):
            place = replace(place)
            apply(place, properties)
        return place

    def _label(self, unit: Unit, place: Place, properties: _Element | None) -> str:
        """The printed list number, of a row that of its first cell. Whatever is numbered counts, seen or not."""
        if unit.row:
            labels = [self._row_label(paragraph.find(W + "pPr")) for _, paragraph in unit.parts]
            return labels[0]
        return self._number(place, properties) if place.listed else ""

    def _row_label(self, properties: _Element | None) -> str:
        place = self._place(properties)
        return self._number(place, properties) if place.listed else ""

    def _number(self, place: Place, properties: _Element | None) -> str:
        style = value(properties, "pStyle") if properties is not None else ""
        return self._numbering.label(place.list_id, place.list_level, style)

    def _mark(self, at: int, call: Call) -> Mark:
        """A live mark; its number and note come when all are counted (see ``_numbered``)."""
        if call.kind == "again":
            return Mark(at, call.text, live=True)
        return Mark(at, "", live=True, note=self._notes.call(call))

    def _end_section(self, properties: _Element | None) -> None:
        section = properties.find(docx_walk.SECTION) if properties is not None else None
        if section is not None:
            self._notes.end_section(section)

    def _note_texts(self) -> Iterator[tuple[tuple[str, str], str]]:
        """((kind, id), text) of every footnote and endnote; separators are none."""
        for kind in ("footnote", "endnote"):
            part = self._parts.open(kind + "s")
            if part is None:
                continue
            for element in zips.children_of(part, {f"{W}{kind}s"}, (W + kind,)):
                if element.get(W + "type") in (None, "normal"):
                    yield (kind, element.get(W + "id") or ""), self._note_text(element)

    def _note_text(self, note: _Element) -> str:
        texts = (_raw(unit, self._styles, has_marks=False).text for unit in Walk().units(note))
        return "\n".join(filter(None, texts))


def _raw(unit: Unit, styles: Styles, has_marks: bool = True) -> Raw:
    raw = Raw(has_marks)
    for between, pieces in unit.pieces(styles):
        raw.show(between)
        for piece in pieces:
            raw.add(piece.kind, piece.text, piece.look, piece.name)
    return raw


def _kind(place: Place, raw: Raw) -> Kind:
    if place.heading:
        return Kind.HEADING
    if place.caption or raw.caption:
        return Kind.CAPTION
    if place.listed or place.contents:
        return Kind.ITEM
    return Kind.QUOTATION if place.set_apart else Kind.PARAGRAPH


def _numbered(blocks: Iterable[Block], numbers: list[str], places: list[int | None]) -> list[Block]:
    """The blocks with the printed numbers in their marks; a repeated number points to the latest note that has it."""
    latest: dict[str, int | None] = {}
    done = []
    for block in blocks:
        marks = []
        for mark in block.marks:
            if mark.note is not None:
                mark = replace(mark, number=numbers[mark.note], note=places[mark.note])
                latest[mark.number] = mark.note
            elif mark.live:
                mark = replace(mark, note=latest.get(mark.number))
            marks.append(mark)
        done.append(replace(block, marks=tuple(marks)) if marks else block)
    return done
