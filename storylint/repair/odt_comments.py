"""Comments on the very words of an .odt: ``office:annotation`` with a range (OpenDocument 1.3, part 3, 14.1 and 14.3).

The words are found by the reader itself, which is let loose on the whole tree and watched: it notes for each paragraph
where in the tree every letter stands.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from storylint.draft import odt
from storylint.draft.model import Block
from storylint.draft.odt_styles import DRAW, OFFICE, TEXT
from storylint.draft.raw import Look, Raw
from storylint.repair.package import Copy
from storylint.repair.remarks import AUTHOR, INITIALS, Remark

if TYPE_CHECKING:
    from lxml.etree import _Element

DC = "{http://purl.org/dc/elements/1.1/}"
META = "{urn:oasis:names:tc:opendocument:xmlns:meta:1.0}"
ANNOTATION, END, NAME = OFFICE + "annotation", OFFICE + "annotation-end", OFFICE + "name"
# In these a comment may begin; any other element in a paragraph (a field, a note) is commented on whole.
OPEN = frozenset(TEXT + tag for tag in ("p", "h", "span", "a", "meta"))
PARAGRAPHS = frozenset((TEXT + "p", TEXT + "h"))


def comment(copy: Copy, blocks: Iterable[Block], remarks: Sequence[Remark], now: str) -> None:
    """Put these comments into the copy, in place of those that storylint put there before. ``now`` is their date."""
    content = copy.root("content.xml")
    forget(content)
    taken = {str(name) for element in content.iter(ANNOTATION) if (name := element.get(NAME))}
    seen = watch(copy, content)
    known = {block.index: block for block in blocks if block.text}
    by_block: dict[int, list[tuple[str, int, int, Remark]]] = defaultdict(list)
    names = (name for n in range(1, 10**9) if (name := f"{AUTHOR}-{n}") not in taken)
    for name, remark in zip(names, remarks, strict=False):
        if remark.block in known and seen.get(remark.block):
            by_block[remark.block].append((name, *span(known[remark.block], remark), remark))
    for index, wanted in by_block.items():
        place(seen[index], wanted, now)
    copy.put("content.xml", content)


def forget(content: _Element) -> None:
    """Take out what storylint commented before."""
    own = [old for old in content.iter(ANNOTATION) if (old.findtext(DC + "creator") or "") == AUTHOR]
    names = {old.get(NAME) for old in own} - {None}
    for element in [*own, *(end for end in content.iter(END) if end.get(NAME) in names)]:
        parent, before = element.getparent(), element.getprevious()
        if parent is None:
            continue
        if before is not None:
            before.tail = (before.tail or "") + (element.tail or "")
        else:
            parent.text = (parent.text or "") + (element.tail or "")
        parent.remove(element)


def span(block: Block, remark: Remark) -> tuple[int, int]:
    """Where a remark begins and ends in the raw text of its block."""
    start, end = max(remark.start, 0), min(remark.end, len(block.text))
    start, end = (start, end) if start < end else (0, len(block.text))
    return block.source_offset(start), block.source_offset(end - 1) + 1


# --- where the words stand --------------------------------------------------------------------------------------


@dataclass(slots=True)
class Seen:
    """Text that is seen: the text of ``element`` ("text"), what follows it ("tail"), or an element that stands for
    spaces ("whole"); where it begins in the raw text, and how long it is."""

    element: _Element
    part: str
    at: int
    length: int

    @property
    def end(self) -> int:
        """Where it ends."""
        return self.at + self.length


class Watched(odt._Reader):
    """The reader of .odt, which notes where it finds each letter of each paragraph."""

    def __init__(self) -> None:
        super().__init__("", odt.AGAIN)
        self.seen: dict[int, list[Seen]] = {}
        self._raws: dict[int, Raw] = {}

    def _fill(self, raw: Raw, element: _Element, look: Look, shapes: list[_Element]) -> None:
        own = self._raws.setdefault(self._count - 1, raw) is raw  # else it is a note within the paragraph
        found = self.seen.setdefault(self._count - 1, []) if own else []
        if element.text and not look.hidden:
            found.append(Seen(element, "text", raw._length, len(element.text)))
            raw.add("text", element.text, look)
        for child in element:
            if isinstance(child.tag, str):
                if child.tag in odt._CHARACTERS and not look.hidden:
                    found.append(Seen(child, "whole", raw._length, 0))
                self._fill_child(raw, child, look, shapes)
                if found and found[-1].element is child and found[-1].part == "whole":
                    found[-1].length = raw._length - found[-1].at
            if child.tail and not look.hidden:
                found.append(Seen(child, "tail", raw._length, len(child.tail)))
                raw.add("text", child.tail, look)


def watch(copy: Copy, content: _Element) -> dict[int, list[Seen]]:
    """For each paragraph or row, by its index, its letters in order."""
    reader = Watched()
    roots = [copy.root("styles.xml")] if "styles.xml" in copy else []
    for root in (*roots, content):
        for element in list(root.iter(*odt._STYLE_SETS, *odt._BLOCKS)):
            parent = element.getparent()
            if parent is None or parent.tag not in odt._PARENTS:
                continue
            if element.tag in odt._STYLE_SETS:
                reader._styles.add(element)
            else:
                for _ in reader._block(element):
                    pass
    return reader.seen


# --- their places -----------------------------------------------------------------------------------------------


def place(seen: list[Seen], wanted: Iterable[tuple[str, int, int, Remark]], now: str) -> None:
    """Set the comments of one paragraph, from the last to the first, so that places further up stay right. Where two
    meet, the one that ends stands before the one that begins, and the longer around the shorter."""
    frame = shape(seen[0].element)
    edges: list[tuple[int, bool, int, _Element]] = []
    for name, start, end, remark in wanted:
        edges.append((start, True, end - start, annotation(name, remark, now)))
        if frame is None:
            edges.append((end, False, start - end, closing(name)))
    for at, begins, _, element in sorted(edges, key=lambda edge: (-edge[0], not edge[1], edge[2])):
        if frame is not None:
            frame.addprevious(element)
        elif begins:
            put(next((piece for piece in seen if piece.end > at), seen[-1]), at, element)
        else:
            put(next((piece for piece in reversed(seen) if piece.at < at), seen[0]), at, element)


def shape(element: _Element) -> _Element | None:
    """The outermost frame or shape in a paragraph around an element: a comment on its text stands before it."""
    frames = [outer for outer in element.iterancestors() if str(outer.tag).startswith(DRAW)]
    inside = [f for f in frames if (parent := f.getparent()) is not None and parent.tag in OPEN]
    return inside[-1] if inside else None


def put(piece: Seen, at: int, new: _Element) -> None:
    """Put an element before the letter at this offset, or around what can't be cut."""
    element, cut = piece.element, min(max(at - piece.at, 0), piece.length)
    holder = element if piece.part == "text" else element.getparent()
    closed = [outer for outer in ancestry(holder) if outer.tag not in OPEN]
    if closed or piece.part == "whole":
        whole = closed[-1] if closed else element
        if cut:
            whole.addnext(new)
        else:
            whole.addprevious(new)
    elif piece.part == "text":
        text = element.text or ""
        element.text, new.tail = text[:cut], text[cut:]
        element.insert(0, new)
    else:
        text = element.tail or ""
        element.tail = None
        element.addnext(new)
        element.tail, new.tail = text[:cut], text[cut:]


def ancestry(element: _Element | None) -> Iterator[_Element]:
    """An element and those around it, up to its paragraph."""
    while element is not None and element.tag not in PARAGRAPHS:
        yield element
        element = element.getparent()


def annotation(name: str, remark: Remark, now: str) -> _Element:
    """A comment with a paragraph for each of the remark's lines."""
    from lxml import etree

    made = etree.Element(ANNOTATION, {NAME: name}, {"office": OFFICE[1:-1], "dc": DC[1:-1], "text": TEXT[1:-1]})
    etree.SubElement(made, DC + "creator").text = AUTHOR
    etree.SubElement(made, DC + "date").text = now.rstrip("Z")
    etree.SubElement(made, META + "creator-initials", None, {"meta": META[1:-1]}).text = INITIALS
    for line in remark.lines:
        etree.SubElement(made, TEXT + "p").text = line
    return made


def closing(name: str) -> _Element:
    """The end of a comment's range."""
    from lxml import etree

    return etree.Element(END, {NAME: name}, {"office": OFFICE[1:-1]})
