"""Live notes in .odt: ``text:note`` in the place of each typed mark, with the paragraphs of the list as its body
(OASIS OpenDocument 1.3, part 3, 6.3)."""

from __future__ import annotations

import copy
import io
from collections.abc import Iterator, Sequence
from typing import TYPE_CHECKING, Any, NamedTuple

from storylint.complaints import Misuse
from storylint.draft import odt
from storylint.draft.model import Block
from storylint.draft.odt_styles import DRAW, OFFICE, STYLE, TEXT
from storylint.draft.raw import Look, Raw
from storylint.repair.package import Copy
from storylint.repair.plan import DIGITS, Group, Link, Plan, Text

if TYPE_CHECKING:
    from lxml.etree import _Element

_CONTENT, _STYLES = "content.xml", "styles.xml"
_POSITION, _RAISED = STYLE + "text-position", "RaisedNumber"
_SLANT = "{urn:oasis:names:tc:opendocument:xmlns:xsl-fo-compatible:1.0}font-style"


def write(data: bytes, made: Plan, kind: str, per: str) -> bytes:
    """The copy's bytes; ``kind`` is "footnotes" or "endnotes", ``per`` "book" or "chapter"."""
    return _Writer(data, made, kind.removesuffix("s"), per).copy()


class Spot(NamedTuple):
    """A stretch of a paragraph's raw text: the element that holds it, as its text or its tail, and where it begins."""

    element: _Element
    tail: bool
    at: int
    words: str


class _Finder(odt._Reader):
    """The reader, once more, over a tree that stays: it notes where each stretch of raw text stands."""

    def __init__(self, path: str) -> None:
        super().__init__(path, odt.AGAIN)
        self.spots: dict[int, list[Spot]] = {}
        self.paragraphs: dict[int, list[_Element]] = {}
        self._own: Raw | None = None
        self._at = 0

    def find(self, roots: Sequence[_Element]) -> None:
        """Go through the styles and the text."""
        for root in roots:
            for child in root.iter(OFFICE + "styles", OFFICE + "automatic-styles"):
                self._styles.add(child)
            for body in root.iter(OFFICE + "text"):
                for element in body:
                    if element.tag in odt._BLOCKS:
                        for _ in self._block(element):
                            pass

    def _paragraph(self, element: _Element, label: str | None, contents: bool) -> Iterator[Block]:
        self._begin([element])
        yield from super()._paragraph(element, label, contents)

    def _row(self, cells: list[_Element]) -> Iterator[Block]:
        self._begin([paragraph for cell in cells for paragraph in odt._flow(cell)])
        yield from super()._row(cells)

    def _begin(self, paragraphs: list[_Element]) -> None:
        self._own, self._at = None, self._count
        self.paragraphs[self._at] = paragraphs

    def _fill(self, raw: Raw, element: _Element, look: Look, shapes: list[_Element]) -> None:
        self._own = self._own if self._own is not None else raw
        if element.text and not look.hidden:
            self._spot(raw, element, False, element.text)
            raw.add("text", element.text, look)
        for child in element:
            if isinstance(child.tag, str):
                self._fill_child(raw, child, look, shapes)
            if child.tail and not look.hidden:
                self._spot(raw, child, True, child.tail)
                raw.add("text", child.tail, look)

    def _spot(self, raw: Raw, element: _Element, tail: bool, words: str) -> None:
        if raw is self._own:  # not the text of a note on the way
            self.spots.setdefault(self._at, []).append(Spot(element, tail, raw.length, words))


def boxed(data: bytes) -> set[int]:
    """The indexes of the blocks in frames and shapes: LibreOffice 7.4 prints no note that is called there (tried)."""
    package = Copy(io.BytesIO(data))
    finder = _Finder("")
    finder.find([package.root(name) for name in (_STYLES, _CONTENT) if name in package])
    return {at for at, paragraphs in finder.paragraphs.items() if any(map(_is_drawn, paragraphs))}


def _is_drawn(paragraph: _Element) -> bool:
    return any(isinstance(around.tag, str) and around.tag.startswith(DRAW) for around in paragraph.iterancestors())


class _Writer:
    """Makes one copy."""

    def __init__(self, data: bytes, made: Plan, kind: str, per: str) -> None:
        if not data.startswith(b"PK"):
            raise Misuse(f"{made.draft.path}: is a flat .fodt; save it as .odt and relink that.")
        self.made, self.kind, self.per = made, kind, per
        self.package = Copy(io.BytesIO(data))
        self.roots = {name: self.package.root(name) for name in (_STYLES, _CONTENT) if name in self.package}
        self.finder = _Finder(made.draft.path)
        self.finder.find(list(self.roots.values()))
        self.text = next(self.roots[_CONTENT].iter(OFFICE + "text"))
        self.live = list(self.text.iter(TEXT + "note"))
        taken = {note.get(TEXT + "id") for note in self.live}
        self.ids = (f"ftn{number}" for number in range(1, len(taken) + 10**6) if f"ftn{number}" not in taken)

    def copy(self) -> bytes:
        """Do it all."""
        notes = {id(link): self._note(link) for link in self.made.links if link.body}
        for group in reversed(self.made.groups):
            self._replace(group, notes)
        for index in self.made.taken:
            for block in self.made.blocks_of(index):
                self._drop(block.index)
        self._keep_numbers()
        self.made.gone = self.made.emptied(keep_last=self.kind == "endnote")
        for block in self.made.gone:
            self._drop(block.index)
        if not any(note.get(TEXT + "note-class") == self.kind for note in self.live) or self.per == "chapter":
            self._configure()
        self._number()
        return self._bytes()

    def _bytes(self) -> bytes:
        for name, root in self.roots.items():
            self.package.put(name, root)
        out = io.BytesIO()
        self.package.save(out)
        return out.getvalue()

    # --- marks ----------------------------------------------------------------------------------------------------

    def _replace(self, group: Group, notes: dict[int, _Element]) -> None:
        """Put notes in the place of a printed group of marks."""
        spots = self.finder.spots.get(group.block.index, [])
        shown = [" "] * (group.end - group.start)
        for spot in spots:
            for at in range(max(group.start, spot.at), min(group.end, spot.at + len(spot.words))):
                shown[at - group.start] = spot.words[at - spot.at]
        digits = DIGITS.search("".join(shown))
        if digits is None:
            return  # told by the reading of the copy
        start, end = group.start + digits.start(), group.start + digits.end()
        hit = [spot for spot in spots if spot.at < end and start < spot.at + len(spot.words)]
        for spot in reversed(hit[1:]):
            _cut(spot, start, end)
        elements = []
        for number, link in enumerate(group.links):
            if number:
                elements.append(_raised(hit[0]))
            elements.append(self._called(link, notes))
        _put(hit[0], _cut(hit[0], start, end), elements)

    def _called(self, link: Link, notes: dict[int, _Element]) -> _Element:
        """The note of a link, or the field that repeats a number."""
        if link.body:
            return notes[id(link)]
        note = notes[id(link.again)] if link.again is not None else self.live[link.live or 0]
        field = _element("note-ref", "", **{"reference-format": "text", "ref-name": note.get(TEXT + "id") or ""})
        field.set(TEXT + "note-class", note.get(TEXT + "note-class") or self.kind)
        raised = _element(
            "span", "", **{"style-name": self._raising()}
        )  # set like a mark, else it is a word of the text
        raised.append(field)
        return raised

    def _note(self, link: Link) -> _Element:
        """A note with its body; its number is written when all are counted."""
        note = _element("note", "", id=next(self.ids))
        note.set(TEXT + "note-class", self.kind)
        note.append(_element("note-citation", "1"))
        body = _element("note-body", "")
        note.append(body)
        for text in link.body:
            if text.note is None:
                if not len(body):
                    body.append(self._paragraph())
                _append(body[-1], self._words(text))
                continue
            for number, paragraph in enumerate(self._copies(text.note)):
                if number or not len(body):
                    body.append(paragraph)
                else:
                    _append(body[-1], paragraph)
        return note

    def _paragraph(self) -> _Element:
        return _element("p", "", **{"style-name": self.kind.title()})

    def _words(self, text: Text) -> _Element:
        """Plain words, or words in the draft's own italic if it has one."""
        holder = _element("p", "")
        style = self._italic() if text.italic else ""
        if style:
            holder.append(_element("span", text.words, **{"style-name": style}))
        else:
            holder.text = text.words
        return holder

    def _raising(self) -> str:
        """A style of the draft that raises its text, such as that of its marks; made where it has none."""
        from lxml import etree

        for root in self.roots.values():
            for style in root.iter(STYLE + "style"):
                look = style.find(STYLE + "text-properties")
                raised = look is not None and (look.get(_POSITION) or "").startswith("super")
                if style.get(STYLE + "family") == "text" and raised:
                    return style.get(STYLE + "name") or ""
        root = self.roots[_CONTENT]
        styles = root.find(OFFICE + "automatic-styles")
        if styles is None:
            styles = etree.Element(OFFICE + "automatic-styles")
            root.insert(0, styles)
        made = etree.SubElement(styles, STYLE + "style", {STYLE + "name": _RAISED, STYLE + "family": "text"})
        etree.SubElement(made, STYLE + "text-properties", {_POSITION: "super 58%"})
        return _RAISED

    def _italic(self) -> str:
        """A style of the draft that is italic and nothing else is needed to know of it."""
        for style in self.roots[_CONTENT].iter(STYLE + "style"):
            look = style.find(STYLE + "text-properties")
            slant = look.get(_SLANT) if look is not None else ""
            if style.get(STYLE + "family") == "text" and slant == "italic":
                return style.get(STYLE + "name") or ""
        return ""

    def _copies(self, index: int) -> Iterator[_Element]:
        """Copies of the paragraphs of a typed note without its number, in the style of notes."""
        words = self.made.draft.notes[index].text.split("\n")[0]
        for number, block in enumerate(self.made.blocks_of(index)):
            skip = block.source_offset(max(block.text.find(words), 0)) if not number else 0
            for paragraph in self.finder.paragraphs[block.index]:
                places = {id(element): at for at, element in enumerate(paragraph.iter())}
                fresh = copy.deepcopy(paragraph)
                same = list(fresh.iter())
                for spot in reversed(self.finder.spots.get(block.index, [])):
                    if spot.at < skip and id(spot.element) in places:
                        _cut(spot._replace(element=same[places[id(spot.element)]]), 0, skip)
                fresh.tag, fresh.tail = TEXT + "p", None
                fresh.attrib.clear()
                fresh.set(TEXT + "style-name", self.kind.title())
                yield fresh

    # --- lists ----------------------------------------------------------------------------------------------------

    def _drop(self, index: int) -> None:
        """Take a paragraph out, and the list entries and lists that are empty then."""
        for paragraph in self.finder.paragraphs.get(index, []):
            element: _Element | None = paragraph
            while element is not None and element.tag != OFFICE + "text":
                parent = element.getparent()
                if parent is None or (element is not paragraph and len(element)):
                    break
                parent.remove(element)
                element = parent if parent.tag in (TEXT + "list", TEXT + "list-item") else None

    def _keep_numbers(self) -> None:
        """Entries that stay in a list that numbers itself keep the numbers they had."""
        for index, note in enumerate(self.made.draft.notes):
            blocks = self.made.blocks_of(index) if not note.live and index not in self.made.taken else []
            for paragraph in self.finder.paragraphs.get(blocks[0].index, []) if blocks and blocks[0].label else []:
                entry = paragraph.getparent()
                if entry is not None and entry.tag == TEXT + "list-item" and note.number.isdecimal():
                    entry.set(TEXT + "start-value", note.number)

    # --- numbers --------------------------------------------------------------------------------------------------

    def _configure(self) -> None:
        """Count notes 1, 2, 3 (endnotes are i, ii, iii without it), and anew in each chapter where that is wanted."""
        from lxml import etree

        styles = next(self.roots[_STYLES].iter(OFFICE + "styles"), None) if _STYLES in self.roots else None
        if styles is None:
            return
        every = styles.findall(TEXT + "notes-configuration")
        own = next((each for each in every if each.get(TEXT + "note-class") == self.kind), None)
        if own is None:
            own = etree.SubElement(styles, TEXT + "notes-configuration", {TEXT + "note-class": self.kind})
            own.set(TEXT + "start-value", "0")
        own.set(STYLE + "num-format", "1")
        if self.per == "chapter":
            own.set(TEXT + "start-numbering-at", "chapter")

    def _number(self) -> None:
        """Write the numbers as a word processor counts them: through, or anew after each heading of the first level."""
        count, numbers = 0, {}
        for element in self.text.iter(TEXT + "note", TEXT + "h"):
            if element.tag == TEXT + "h":
                if self.per == "chapter" and element.get(TEXT + "outline-level") == "1":
                    count = 0
            elif element.get(TEXT + "note-class") == self.kind:
                citation = element.find(TEXT + "note-citation")
                if citation is not None and citation.get(TEXT + "label") is None:
                    count += 1
                    citation.text = str(count)
                    numbers[element.get(TEXT + "id")] = citation.text
        for field in self.text.iter(TEXT + "note-ref"):
            field.text = numbers.get(field.get(TEXT + "ref-name"), field.text)


# --- text in elements -----------------------------------------------------------------------------------------------


def _element(tag: str, words: str, **attributes: str) -> _Element:
    from lxml import etree

    own = {TEXT + name: value for name, value in attributes.items()}
    element = etree.Element(TEXT + tag, own, nsmap={"text": TEXT[1:-1]})
    element.text = words or None
    return element


def _cut(spot: Spot, start: int, end: int) -> int:
    """Take raw text from ``start`` to ``end`` out of a spot; gives where in the spot it stood."""
    first, last = max(start - spot.at, 0), min(end - spot.at, len(spot.words))
    words = (spot.element.tail if spot.tail else spot.element.text) or ""
    words = words[:first] + words[last:]
    if spot.tail:
        spot.element.tail = words or None
    else:
        spot.element.text = words or None
    return first


def _put(spot: Spot, at: int, elements: Sequence[_Element]) -> None:
    """Put elements into a spot; where the digits were all of a span, such as a raised one, in the place of the span."""
    element = spot.element
    if not spot.tail and element.tag == TEXT + "span" and not element.text and not len(element):
        parent = element.getparent()
        if parent is not None:
            for fresh in elements:
                element.addprevious(fresh)
            elements[-1].tail, element.tail = element.tail, None
            parent.remove(element)
            return
    words = (element.tail if spot.tail else element.text) or ""
    if spot.tail:
        element.tail = words[:at] or None
        for fresh in reversed(elements):
            _after(element, fresh)
    else:
        element.text = words[:at] or None
        for number, fresh in enumerate(elements):
            element.insert(number, fresh)
    elements[-1].tail = words[at:] or None


def _after(element: _Element, fresh: _Element) -> None:
    """Put ``fresh`` behind an element's own tail."""
    parent = element.getparent()
    if parent is not None:
        parent.insert(parent.index(element) + 1, fresh)


def _raised(spot: Spot) -> _Element:
    """A comma between two marks, raised where the digits were."""
    style = spot.element.get(TEXT + "style-name") if spot.element.tag == TEXT + "span" and not spot.tail else None
    return _element("span", ",", **({"style-name": style} if style else {}))


def _append(paragraph: _Element, more: Any) -> None:
    """Add the text and children of ``more`` to a paragraph."""
    if len(paragraph):
        paragraph[-1].tail = (paragraph[-1].tail or "") + (more.text or "")
    else:
        paragraph.text = (paragraph.text or "") + (more.text or "")
    paragraph.extend(list(more))
