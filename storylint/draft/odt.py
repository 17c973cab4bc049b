"""Reading .odt: paragraphs with their printed numbers, live notes, tables, pictures and captions.

Reads documents, templates and flat files (.fodt). Deleted text is kept apart from the body in this format, or is taken
out by ``odt_changes``, so that the body is the accepted view of tracked changes. The *raw text* of a block, to which
``Block.segments`` point, is all text in the paragraph that is visible, in order, with one space for each ``text:s``; of
a table row that of its cells, each after the first behind one separating character.
"""

from __future__ import annotations

import io
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from typing import IO, TYPE_CHECKING

from storylint.complaints import Unreadable
from storylint.draft import typed, zips
from storylint.draft.model import Block, Draft, Kind, Mark, Note
from storylint.draft.odt_changes import END, START, TRACKED, Deletions
from storylint.draft.odt_styles import DRAW, OFFICE, SVG, TABLE, TEXT, Level, Place, Styles, printed, whole
from storylint.draft.plain import CELL
from storylint.draft.raw import Call, Look, Raw

if TYPE_CHECKING:
    from lxml.etree import _Element

_CONTENT, _STYLES, _MANIFEST = "content.xml", "styles.xml", "META-INF/manifest.xml"
_NOT_A_TEXT = "is an OpenDocument file without a text in it; save the draft as .docx or .odt from your word processor"
AGAIN = zips.Limits(paragraphs=10**9)  # for a draft that has been read once, within its limits
_DEEPEST = 10  # list levels (OpenDocument 1.3, part 3, 19.880, from memory); what lies deeper is read as the tenth
_XML_ID = "{http://www.w3.org/XML/1998/namespace}id"

_PARAGRAPHS = frozenset({TEXT + "p", TEXT + "h"})
_LIST, _NUMBERED, _TABLE = TEXT + "list", TEXT + "numbered-paragraph", TABLE + "table"
_INDEXES = frozenset(
    TEXT + tag
    for tag in (
        "table-of-content", "illustration-index", "table-index", "object-index", "user-index", "alphabetical-index",
        "bibliography", "index-title", "index-body",
    )
)  # fmt: skip
_GROUPS = frozenset({TEXT + "section"})
_STYLE_SETS = frozenset({OFFICE + "styles", OFFICE + "automatic-styles"})
_SHAPES = frozenset(
    DRAW + tag
    for tag in (
        "frame", "a", "g", "custom-shape", "rect", "ellipse", "circle", "line", "polygon", "polyline", "path",
        "connector", "caption", "regular-polygon", "measure",
    )
)  # fmt: skip
_BLOCKS = (*_PARAGRAPHS, *_INDEXES, *_GROUPS, *_SHAPES, _LIST, _NUMBERED, _TABLE)
# What is asked of the stream.
_STREAMED = (*_BLOCKS, *_STYLE_SETS, OFFICE + "body", TRACKED, START, END)
_PARENTS = frozenset(OFFICE + tag for tag in ("text", "document-content", "document", "document-styles"))
_ROW_GROUPS = frozenset(TABLE + f"table-{tag}" for tag in ("header-rows", "rows", "row-group"))
_CELLS = frozenset({TABLE + "table-cell", TABLE + "covered-table-cell"})
_PICTURES = frozenset(DRAW + tag for tag in ("image", "object", "object-ole", "plugin"))
# Inline elements whose text is not for the reader, and the vocabularies of which no element's is: comments and the
# scripts behind a link, what a shape is called, formulas.
_SKIPPED = frozenset({TEXT + "ruby-text", TEXT + "script", TRACKED})
_ASIDES = (
    OFFICE,
    DRAW,
    SVG,
    "{urn:oasis:names:tc:opendocument:xmlns:script:1.0}",
    "{http://www.w3.org/1998/Math/MathML}",
)


def read(path_text: str, data: bytes | IO[bytes], sha256: str, limits: zips.Limits = zips.USUAL) -> Draft:
    """The draft in an .odt or .fodt. ``data`` is the file or a stream of it that can seek. Raises Unreadable."""
    stream = io.BytesIO(data) if isinstance(data, bytes) else data
    reader = _Reader(path_text, limits)
    blocks = list(reader.blocks(_parts(path_text, stream, limits)))
    read, typed_notes = typed.attach(blocks, reader.notes)
    return Draft(path_text, "odt", sha256, read, (*reader.notes, *typed_notes))


def _parts(path: str, stream: IO[bytes], limits: zips.Limits) -> Iterator[zips.Part]:
    """The parts to read, styles first. A flat file is one part."""
    head = stream.read(2)
    size = stream.seek(0, io.SEEK_END)
    stream.seek(0)
    if head != b"PK":
        yield zips.Part(path, stream, size, limits=limits)
        return
    package = zips.Package(path, stream, limits)
    if _MANIFEST in package and b"encryption-data" in package.open(_MANIFEST).read():
        raise Unreadable(path, zips.PASSWORD)
    if _CONTENT not in package:
        raise Unreadable(path, _NOT_A_TEXT)
    if _STYLES in package:
        yield package.open(_STYLES)
    yield package.open(_CONTENT)


class _Reader:
    """Turns the parts of one .odt into blocks and, on the way, notes."""

    def __init__(self, path: str, limits: zips.Limits) -> None:
        self.notes: list[Note] = []
        self._path = path
        self._limits = limits
        self._styles = Styles()
        self._count = 0
        self._lists = _Lists(self._styles)
        self._deletions = Deletions()
        self._latest: dict[str, int] = {}  # a note's number and its place, for cross-references
        self._noted = Counter[str]()  # notes of each kind

    def blocks(self, parts: Iterable[zips.Part]) -> Iterator[Block]:
        found = False
        for part in parts:
            for element in zips.children_of(part, _PARENTS, _STREAMED, lambda _: self._deletions.holding):
                ready: Iterable[_Element] = ()
                if element.tag in _STYLE_SETS:
                    self._styles.add(element)
                elif element.tag == TRACKED:
                    self._deletions.learn(element)
                elif element.tag == OFFICE + "body":
                    found = element.find(OFFICE + "text") is not None
                    ready = self._deletions.rest()
                else:
                    ready = self._deletions.passed(element)
                for each in ready:
                    yield from self._block(each)
                    each.clear()  # what was held back the stream does not empty
        if not found:
            raise Unreadable(self._path, _NOT_A_TEXT)

    def _block(self, element: _Element, contents: bool = False) -> Iterator[Block]:
        """The blocks of one block-level element; ``contents``: within a table of contents or an index."""
        tag = element.tag
        if tag in _PARAGRAPHS:
            yield from self._paragraph(element, None, contents)
        elif tag == _LIST:
            yield from self._list(element, self._lists.opened(element), 0, contents)
        elif tag == _NUMBERED:
            depth = min(whole(element.get(TEXT + "level")) or 1, _DEEPEST) - 1
            yield from self._entry(element, self._lists.numbered(element), depth, contents)
        elif tag == _TABLE:
            yield from self._table(element)
        elif tag in _SHAPES:
            yield from self._drawn([element], self._count)
        elif tag in _INDEXES or tag in _GROUPS:
            if _is_hidden(element):
                self._count += sum(1 for _ in element.iter(*_PARAGRAPHS))
                return
            for child in element:
                yield from self._block(child, contents or tag in _INDEXES)

    # --- paragraphs -----------------------------------------------------------------------------------------

    def _paragraph(self, element: _Element, label: str | None, contents: bool) -> Iterator[Block]:
        """``label`` is the number printed in a list, "" for a further paragraph of an entry, None outside of lists."""
        index = self._next()
        place = self._styles.place(element.get(TEXT + "style-name", ""))
        raw = Raw()
        shapes: list[_Element] = []
        if not any(map(_is_hidden, element.iter(TEXT + "hidden-paragraph"))):
            self._fill(raw, element, place.look, shapes)
        level = _level(element, place)
        if level and not label:
            label = self._lists.outline_label(element, level, place)
        kind = _kind(level, place, raw, listed=label is not None or contents)
        drawn = list(self._drawn(shapes, index))
        yield from (block for block in drawn if block.index == index)
        block = raw.block(index, kind, self._mark, level if kind is Kind.HEADING else 0, label or "", place.name)
        if block is not None:
            yield block
        yield from (block for block in drawn if block.index != index)

    def _next(self) -> int:
        self._count += 1
        zips.refuse_more_paragraphs(self._path, self._count, self._limits)
        return self._count - 1

    def _fill(self, raw: Raw, element: _Element, look: Look, shapes: list[_Element]) -> None:
        """Put what is seen of an element's content into ``raw``; what is drawn there is put aside in ``shapes``."""
        if element.text and not look.hidden:
            raw.add("text", element.text, look)
        for child in element:
            if isinstance(child.tag, str):
                self._fill_child(raw, child, look, shapes)
            if child.tail and not look.hidden:
                raw.add("text", child.tail, look)

    def _fill_child(self, raw: Raw, child: _Element, look: Look, shapes: list[_Element]) -> None:
        tag = child.tag
        if tag == TEXT + "span":
            self._fill(raw, child, self._styles.look(child.get(TEXT + "style-name", ""), look), shapes)
        elif look.hidden or tag in _SKIPPED or _is_hidden(child):
            return
        elif tag in _SHAPES:
            shapes.append(child)
        elif tag == TEXT + "note":
            raw.add(child.get(TEXT + "note-class", "footnote"), "", look, str(self._note(child)))
        elif tag in _FIELDS:
            raw.add(_FIELDS[tag], _text_of(child), look, child.get(TEXT + "name", ""))
        elif tag in _CHARACTERS:
            raw.add("text", _CHARACTERS[tag], look)  # many spaces are one in the clean text
        elif tag == TEXT + "note-ref":
            repeats = look.raised and child.get(TEXT + "reference-format", "text") == "text"
            raw.add("again" if repeats else "text", _text_of(child), look)
        elif not tag.startswith(_ASIDES):  # links, other fields, the base of ruby text, content controls
            self._fill(raw, child, look, shapes)

    def _note(self, element: _Element) -> int:
        """Take down a note; gives its place among the notes."""
        citation, body = element.find(TEXT + "note-citation"), element.find(TEXT + "note-body")
        number = ""
        if citation is not None:
            number = (citation.get(TEXT + "label") or _text_of(citation)).strip()
        kind = "endnote" if element.get(TEXT + "note-class") == "endnote" else "footnote"
        self._noted[kind] += 1
        number = number or str(self._noted[kind])
        at = len(self.notes)
        self._latest[number] = at
        self.notes.append(Note(number, "", kind, live=True))  # holds the place: a note can stand in a note's text box
        text = "\n".join(filter(None, map(self._note_line, _flow(body) if body is not None else ())))
        self.notes[at] = Note(number, text, kind, live=True)
        return at

    def _note_line(self, paragraph: _Element) -> str:
        raw = Raw()
        self._fill(raw, paragraph, self._styles.place(paragraph.get(TEXT + "style-name", "")).look, [])
        return raw.text

    def _mark(self, at: int, call: Call) -> Mark:
        if call.kind == "again":
            return Mark(at, call.text, live=True, note=self._latest.get(call.text))
        note = int(call.name)
        return Mark(at, self.notes[note].number, live=True, note=note)

    # --- lists, tables, drawings ----------------------------------------------------------------------------

    def _list(self, element: _Element, state: _List, depth: int, contents: bool) -> Iterator[Block]:
        state = state.deeper(element, depth, self._styles)
        for entry in element:
            yield from self._entry(entry, state, depth, contents)

    def _entry(self, entry: _Element, state: _List, depth: int, contents: bool) -> Iterator[Block]:
        """An entry of a list: a ``text:list-item``, or a ``text:numbered-paragraph``, which stands by itself."""
        own = self._styles.list_levels(entry.get(TEXT + "style-override", ""))
        label = iter(()) if entry.tag == TEXT + "list-header" else state.label(entry, depth, own)
        for child in entry:
            if child.tag in _PARAGRAPHS:
                place = self._styles.place(child.get(TEXT + "style-name", ""))
                state.settle(self._styles, place)
                yield from self._paragraph(child, next(label, ""), contents)
            elif child.tag == _LIST:
                yield from self._list(child, state, min(depth + 1, _DEEPEST - 1), contents)
            else:
                yield from self._block(child, contents)

    def _table(self, element: _Element) -> Iterator[Block]:
        rows = [[cell for cell in row if cell.tag in _CELLS] for row in _rows(element)]
        if len(rows) == 1 and len(rows[0]) == 1:  # a frame around text, not a table
            for child in rows[0][0]:
                yield from self._block(child)
            return
        for row in rows:
            yield from self._row(row)

    def _row(self, cells: list[_Element]) -> Iterator[Block]:
        index, raw = self._count, Raw()
        shapes: list[_Element] = []
        for position, cell in enumerate(cells):
            raw.show(CELL if position else "")
            for number, paragraph in enumerate(_flow(cell)):
                self._next()
                raw.show("\n" if number else "")
                self._fill(raw, paragraph, self._styles.place(paragraph.get(TEXT + "style-name", "")).look, shapes)
        if (block := raw.block(index, Kind.TABLE, self._mark)) is not None:
            yield block
        yield from self._drawn(shapes, index)

    def _drawn(self, shapes: Iterable[_Element], index: int) -> Iterator[Block]:
        """The pictures of these frames and shapes, which belong to paragraph ``index``, and the text within them."""
        for shape in shapes:
            if any(child.tag in _PICTURES for child in shape):
                yield Block(index, Kind.PICTURE, _description(shape))
            for child in shape:
                if child.tag in (DRAW + "text-box", DRAW + "image"):  # a picture may bear text, too
                    for element in child:
                        yield from self._block(element)
                elif child.tag in _PARAGRAPHS or child.tag == _LIST:
                    yield from self._block(child)
                elif child.tag in _SHAPES:
                    yield from self._drawn([child], index)


# Characters that are elements, and fields that a reader must tell from text.
_CHARACTERS = {TEXT + "s": " ", TEXT + "tab": "\t", TEXT + "line-break": "\n"}
_FIELDS = {TEXT + "sequence": "count"}


def _level(element: _Element, place: Place) -> int:
    """The depth of a heading, 0 for anything else."""
    if element.tag == TEXT + "h":
        return min(whole(element.get(TEXT + "outline-level")) or place.heading or 1, _DEEPEST)
    return place.heading


def _kind(level: int, place: Place, raw: Raw, listed: bool) -> Kind:
    if level:
        return Kind.HEADING
    if place.caption or raw.caption:
        return Kind.CAPTION
    if listed or place.contents:
        return Kind.ITEM
    return Kind.QUOTATION if place.quotation else Kind.PARAGRAPH


def _is_hidden(element: _Element) -> bool:
    return element.get(TEXT + "display") == "none" or element.get(TEXT + "is-hidden") == "true"


def _text_of(element: _Element) -> str:
    return "".join(text for text in element.itertext() if isinstance(text, str))


def _description(shape: _Element) -> str:
    for tag in (SVG + "desc", SVG + "title"):
        described = shape.find(tag)
        if described is not None and described.text:
            return " ".join(described.text.split())
    return ""


def _rows(element: _Element) -> Iterator[_Element]:
    for child in element:
        if child.tag == TABLE + "table-row":
            yield child
        elif child.tag in _ROW_GROUPS:
            yield from _rows(child)


def _flow(element: _Element) -> Iterator[_Element]:
    """All paragraphs in a cell or a note, in order, those in lists and inner tables too."""
    for child in element:
        if child.tag in _PARAGRAPHS:
            yield child
        elif isinstance(child.tag, str) and child.tag.startswith((TEXT, TABLE)):
            yield from _flow(child)


# --- list numbers -----------------------------------------------------------------------------------------------


class _List:
    """A list that is open: how its levels print, and the numbers reached on each."""

    def __init__(self, levels: list[Level]) -> None:
        self.levels = levels
        self.counts: list[int | None] = [None] * _DEEPEST

    def deeper(self, element: _Element, depth: int, styles: Styles) -> _List:
        """The state for a list that opens at ``depth``: the same numbers, the style of its own if it has one."""
        follows = element.getprevious() is not None  # else the entry holds nothing but this list, and it goes on
        if depth and follows and element.get(TEXT + "continue-numbering") != "true":
            self.counts[depth:] = [None] * (_DEEPEST - depth)
        own = styles.list_levels(element.get(TEXT + "style-name", ""))
        if not own or own is self.levels:
            return self
        state = _List(own)
        state.counts = self.counts
        return state

    def settle(self, styles: Styles, place: Place) -> None:
        """A list without a style of its own takes that of its first paragraph."""
        if not self.levels and place.list_style:
            self.levels = styles.list_levels(place.list_style)

    def label(self, entry: _Element, depth: int, own: Sequence[Level]) -> Iterator[str]:
        """The printed number of an entry, once; ``own`` are levels of its own, if any. It counts when it is asked for:
        an entry may hold a list alone."""
        start = whole(entry.get(TEXT + "start-value"))
        self.count(depth, start)
        yield printed(self.counts, depth, own or self.levels)

    def count(self, depth: int, start: int | None) -> None:
        """One more at ``depth``, or ``start``; what lies deeper begins anew, what lies above has begun."""
        for above in range(depth):
            if self.counts[above] is None:
                self.counts[above] = self._first(above)
        count = self.counts[depth]
        self.counts[depth] = start if start is not None else self._first(depth) if count is None else count + 1
        self.counts[depth + 1 :] = [None] * (_DEEPEST - depth - 1)

    def _first(self, depth: int) -> int:
        return self.levels[depth].start if depth < len(self.levels) else 1


class _Lists:
    """Which list goes on with the numbers of which, and the numbers of headings."""

    def __init__(self, styles: Styles) -> None:
        self._styles = styles
        self._by_style: dict[str, _List] = {}
        self._by_id: dict[str | None, _List] = {}
        self._outline: _List | None = None

    def opened(self, element: _Element) -> _List:
        """The state for a list at the top."""
        style = element.get(TEXT + "style-name", "")
        before = self._by_id.get(element.get(TEXT + "continue-list"))
        if before is None and element.get(TEXT + "continue-numbering") == "true":
            before = self._by_style.get(style)
        state = before if before is not None else _List(self._styles.list_levels(style))
        self._by_style[style] = state
        if name := element.get(_XML_ID):
            self._by_id[name] = state
        return state

    def numbered(self, element: _Element) -> _List:
        """The state for a numbered paragraph: that of the list it names, else of the latest list in its style."""
        name, style = element.get(TEXT + "list-id"), element.get(TEXT + "style-name", "")
        state = self._by_id.get(name) if name else self._by_style.get(style)
        if state is None:
            state = _List(self._styles.list_levels(style))
            if name:
                self._by_id[name] = state
            else:
                self._by_style[style] = state
        return state.deeper(element, 0, self._styles)

    def outline_label(self, element: _Element, level: int, place: Place) -> str | None:
        """The number printed before a heading, None where headings have none."""
        if self._outline is None:
            self._outline = _List(self._styles.outline)
        numbered = element.tag == TEXT + "h" and element.get(TEXT + "is-list-header") != "true"
        if not numbered or place.list_style == "" or not self._styles.outline:
            return None
        if element.get(TEXT + "restart-numbering") == "true":
            self._outline.counts[level - 1] = None
        self._outline.count(level - 1, whole(element.get(TEXT + "start-value")))
        return printed(self._outline.counts, level - 1, self._outline.levels) or None
