"""Comments on the very words of a .docx.

Runs are split at the character where a comment begins or ends, from the last to the first, so that places further up
stay right. Apart from that the document part is what it was; comments of other people stay, with their replies.
"""

from __future__ import annotations

import posixpath
from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from copy import deepcopy
from dataclasses import dataclass
from itertools import islice
from typing import TYPE_CHECKING

from storylint.draft.docx import Styles, Unit, Walk
from storylint.draft.docx_styles import W
from storylint.draft.docx_walk import BODY, FOREIGN, SECTION
from storylint.draft.model import Block
from storylint.repair.package import Copy
from storylint.repair.remarks import AUTHOR, INITIALS, Remark

if TYPE_CHECKING:
    from lxml.etree import _Element

CONTENT = "application/vnd.openxmlformats-officedocument.wordprocessingml.comments+xml"
MATH = "{http://schemas.openxmlformats.org/officeDocument/2006/math}"
SPACE = "{http://www.w3.org/XML/1998/namespace}space"
MARKERS = (W + "commentRangeStart", W + "commentRangeEnd")
REFERENCE = W + "commentReference"
NOTES = (W + "footnoteReference", W + "endnoteReference")
# What is commented on whole: a comment can't begin inside a run, a formula, a field or a content control.
ATOMS = frozenset({W + "r", W + "sdt", W + "fldSimple"})


def comment(copy: Copy, blocks: Iterable[Block], remarks: Sequence[Remark], now: str) -> None:
    """Put these comments into the copy, in place of those that storylint put there before. ``now`` is their date."""
    main = copy.main()
    document = copy.root(main)
    parts = copy.related(main)
    name = parts.get("comments") or free_name(copy, main)
    comments = copy.root(name) if "comments" in parts and name in copy else new_comments()
    forget(copy, document, comments, parts)
    first = 1 + max((int(own.get(W + "id", "0")) for own in comments.iter(W + "comment")), default=-1)
    numbered = list(enumerate(remarks, first))
    place(document, styles(copy, parts), {block.index: block for block in blocks if block.text}, numbered)
    comments.extend(element(number, remark, now) for number, remark in numbered)
    copy.put(main, document)
    if "comments" in parts and name in copy:
        copy.put(name, comments)
    else:
        copy.add(main, name, "comments", CONTENT, comments)


def free_name(copy: Copy, main: str) -> str:
    """A name for the comments part that nothing else has."""
    folder = posixpath.dirname(main)
    names = (posixpath.join(folder, f"comments{n or ''}.xml") for n in range(1000))
    return next(name for name in names if name not in copy)


def styles(copy: Copy, parts: dict[str, str]) -> Styles:
    """The styles, which decide what is hidden."""
    name = parts.get("styles", "")
    return Styles(copy.root(name) if name and name in copy else None)


# --- the comments -----------------------------------------------------------------------------------------------


def new_comments() -> _Element:
    from lxml import etree

    return etree.Element(W + "comments", None, {"w": W[1:-1]})


def element(number: int, remark: Remark, now: str) -> _Element:
    """A comment with a paragraph for each of the remark's lines; the first opens with the comment's own mark."""
    from lxml import etree

    made = etree.Element(
        W + "comment",
        {W + "id": str(number), W + "author": AUTHOR, W + "initials": INITIALS, W + "date": now},
        {"w": W[1:-1]},
    )
    for at, line in enumerate(remark.lines):
        paragraph = etree.SubElement(made, W + "p")
        if not at:
            etree.SubElement(etree.SubElement(paragraph, W + "r"), W + "annotationRef")
        run = etree.SubElement(paragraph, W + "r")
        if not at:
            etree.SubElement(etree.SubElement(run, W + "rPr"), W + "b")
        text = etree.SubElement(run, W + "t", {SPACE: "preserve"})
        text.text = line
    return made


# --- the old ones -----------------------------------------------------------------------------------------------


def forget(copy: Copy, document: _Element, comments: _Element, parts: dict[str, str]) -> None:
    """Take out what storylint commented before, and what other parts say of it."""
    own = [old for old in comments.iter(W + "comment") if old.get(W + "author") == AUTHOR]
    if not own:
        return
    ids = {old.get(W + "id") for old in own}
    threads = {value for old in own for paragraph in old.iter(W + "p") for value in ids_of(paragraph, "paraId")}
    for old in own:
        remove(old)
    for marker in list(document.iter(*MARKERS, REFERENCE)):
        if marker.get(W + "id") in ids:
            run = marker.getparent()
            alone = run is not None and run.tag == W + "r" and all(c is marker or c.tag == W + "rPr" for c in run)
            remove(run if alone and marker.tag == REFERENCE and run is not None else marker)
    lasting = strike(copy, parts.get("commentsIds"), "paraId", threads)
    strike(copy, parts.get("commentsExtended"), "paraId", threads)
    strike(copy, parts.get("commentsExtensible"), "durableId", lasting)


def strike(copy: Copy, name: str | None, key: str, values: set[str]) -> set[str]:
    """Take the entries with these values out of a part about comments, and let replies to them stand by themselves.
    Gives the lasting ids of the entries taken out."""
    if not name or name not in copy:
        return set()
    root, lasting = copy.root(name), set()
    for entry in list(root):
        if values.intersection(ids_of(entry, key)):
            lasting |= set(ids_of(entry, "durableId"))
            root.remove(entry)
        for attribute, value in list(entry.attrib.items()):
            if str(attribute).endswith("}paraIdParent") and value in values:
                del entry.attrib[attribute]
    copy.put(name, root)
    return lasting


def ids_of(element: _Element, key: str) -> list[str]:
    """The values of the attribute of this name, in whatever namespace."""
    return [str(value) for name, value in element.attrib.items() if str(name).endswith(f"}}{key}")]


def remove(element: _Element) -> None:
    """Take an element out, and leave what stands behind it."""
    parent = element.getparent()
    if parent is not None:
        parent.remove(element)


# --- their places -----------------------------------------------------------------------------------------------


def place(document: _Element, styles: Styles, blocks: dict[int, Block], remarks: list[tuple[int, Remark]]) -> None:
    """Set the marks of the comments in the body."""
    by_block: dict[int, list[tuple[int, Remark]]] = defaultdict(list)
    for number, remark in remarks:
        by_block[remark.block].append((number, remark))
    body = document.find(BODY)
    children = [child for child in body if child.tag not in (SECTION, FOREIGN)] if body is not None else []
    for unit in list(Walk().units(children)):
        if unit.index in by_block and unit.index in blocks:
            Marker(unit, styles).set(list(spans(blocks[unit.index], by_block[unit.index])))
    ours = {str(number) for number, _ in remarks}
    for kind in (*NOTES, *NOTES):  # twice, for out of the way of one kind may be in the way of the other
        make_way(document, kind, ours)


def make_way(document: _Element, kind: str, ours: set[str]) -> None:
    """Let none of our references stand between the first and the second note of a kind: LibreOffice 7.4 then loses the
    text of every note. They go behind the second; the words commented on stay marked where they are."""
    notes = list(document.iter(kind))[:2]
    if len(notes) < 2:
        return
    seen = -1
    between = []
    for element in document.iter(kind, REFERENCE):
        seen += element.tag == kind
        if seen == 0 and element.tag == REFERENCE and element.get(W + "id") in ours:
            between.append(element.getparent())
        if seen == 1:
            break
    behind = atom(notes[1])
    for run in reversed([run for run in between if run is not None]):
        behind.addnext(run)


def spans(block: Block, remarks: list[tuple[int, Remark]]) -> Iterator[tuple[int, int, int]]:
    """(number, start, end) in the raw text of the unit."""
    for number, remark in remarks:
        start, end = max(remark.start, 0), min(remark.end, len(block.text))
        if start >= end:
            start, end = 0, len(block.text)
        yield number, block.source_offset(start), block.source_offset(end - 1) + 1


@dataclass(slots=True)
class Visible:
    """Text that is seen: the run and the element that hold it, and where it begins in the unit's raw text."""

    run: _Element
    part: _Element
    at: int
    text: str

    @property
    def end(self) -> int:
        """Where it ends."""
        return self.at + len(self.text)

    def cut(self, at: int) -> _Element | None:
        """Cut it before this offset, if that lies inside; gives the element of the rest."""
        if not self.at < at < self.end:
            return None
        self.text = self.text[: at - self.at]
        return cut(self.part, len(self.text))


class Marker:
    """Sets the marks of comments in one unit, from the last character to the first."""

    def __init__(self, unit: Unit, styles: Styles) -> None:
        self.unit = unit
        self.pieces = [Visible(*piece) for piece in unit.raw_runs(styles) if piece[3]]
        self.begins = [piece.at for piece in self.pieces]
        self.starts: dict[int, _Element] = {}
        self.ends: dict[int, _Element] = {}
        self.fields = fields(paragraph for _, paragraph in unit.parts)
        # No comment may stand in a text box, and LibreOffice 7.4 loses words around one that has a range there or at
        # the end of a content control: these are called by their reference alone, beside the box or before the words.
        self.boxed = next(unit.paragraph.iterancestors(W + "txbxContent"), None) is not None
        self.held = next(unit.paragraph.iterancestors(W + "sdt"), None) is not None

    def set(self, spans: list[tuple[int, int, int]]) -> None:
        """Where two meet, the one that ends stands before the one that begins, and the longer around the shorter."""
        edges = [(start, True, end - start, number) for number, start, end in spans]
        edges += [(end, False, end - start, number) for number, start, end in spans]
        for at, begins, _, number in sorted(edges, key=lambda edge: (-edge[0], not edge[1], -edge[2])):
            if not self.pieces or self.boxed or self.held:
                self.mark_whole(begins, number)
            elif begins:
                self.starts[at] = self.starts[at] if at in self.starts else self.before(at)
                self.starts[at].addprevious(marker("commentRangeStart", number))
            else:
                self.ends[at] = self.ends[at] if at in self.ends else self.after(at)
                self.ends[at].addnext(reference(number))
                self.ends[at].addnext(marker("commentRangeEnd", number))

    def mark_whole(self, begins: bool, number: int) -> None:
        """A paragraph in which no text is seen, or where no range can be set."""
        paragraph = self.unit.paragraph
        first = 1 if paragraph.find(W + "pPr") is not None else 0
        if self.boxed:
            if not begins:
                atom(paragraph).addnext(reference(number))
        elif self.held:
            if not begins:
                paragraph.insert(first, reference(number))
        elif begins:
            paragraph.insert(first, marker("commentRangeStart", number))
        else:
            paragraph.extend([marker("commentRangeEnd", number), reference(number)])

    def before(self, at: int) -> _Element:
        """The element that begins with the character at this offset."""
        later = islice(self.pieces, max(bisect_right(self.begins, at) - 1, 0), None)
        seen = next((piece for piece in later if piece.end > at), self.pieces[-1])
        if seen.run in self.fields:
            return self.fields[seen.run][0]
        whole = atom(seen.run)
        if whole is not seen.run or seen.part.getparent() is not seen.run:
            return whole
        rest = seen.cut(at)
        return split(seen.run, seen.part if rest is None else rest)

    def after(self, at: int) -> _Element:
        """The element that ends with the character before this offset, and the bookmarks that end with it: a
        cross-reference to a bookmark would take the comment for its text."""
        seen = self.pieces[max(bisect_left(self.begins, at) - 1, 0)]
        last = self.fields[seen.run][1] if seen.run in self.fields else atom(seen.run)
        if last is seen.run and seen.part.getparent() is seen.run:
            seen.cut(at)
            if (following := seen.part.getnext()) is not None:
                split(seen.run, following)
        while (following := last.getnext()) is not None and following.tag == W + "bookmarkEnd":
            last = following
        return last


def fields(paragraphs: Iterable[_Element]) -> dict[_Element, tuple[_Element, _Element]]:
    """For each run of a field that begins and ends in one of these paragraphs the field's first and last run."""
    found: dict[_Element, tuple[_Element, _Element]] = {}
    for paragraph in paragraphs:
        inside: list[_Element] = []
        depth = 0
        for run in paragraph.iter(W + "r"):
            kinds = [mark.get(W + "fldCharType") for mark in run.iterchildren(W + "fldChar")]
            depth += kinds.count("begin")
            if depth:
                inside.append(run)
            depth = max(0, depth - kinds.count("end"))
            if inside and not depth:
                ends = (inside[0], inside[-1])
                if ends[0].getparent() is ends[1].getparent():
                    found |= dict.fromkeys(inside, ends)
                inside = []
    return found


def atom(run: _Element) -> _Element:
    """The outermost thing around an element that a comment can't begin in, or the element itself."""
    found = run
    for outer in run.iterancestors():
        if outer.tag == BODY:
            break
        inside = next(outer.iterancestors(W + "p"), None) is not None
        if inside and (outer.tag in ATOMS or str(outer.tag).startswith(MATH)):
            found = outer
    return found


def cut(part: _Element, at: int) -> _Element:
    """Cut a text element in two; gives the second."""
    text = part.text or ""
    rest = part.makeelement(part.tag, attributes(part))
    part.text, rest.text = text[:at], text[at:]
    for half in (part, rest):
        if half.text and half.text != half.text.strip():
            half.set(SPACE, "preserve")
    part.addnext(rest)
    return rest


def split(run: _Element, part: _Element) -> _Element:
    """Split a run before one of its parts; gives the run that begins with it, which may be the whole."""
    before = part.getprevious()
    if before is None or before.tag == W + "rPr":
        return run
    made = run.makeelement(run.tag, attributes(run))
    properties = run.find(W + "rPr")
    if properties is not None:
        made.append(deepcopy(properties))
    made.extend([part, *part.itersiblings()])
    run.addnext(made)
    return made


def attributes(element: _Element) -> dict[str, str]:
    return {str(name): str(value) for name, value in element.attrib.items()}


def marker(kind: str, number: int) -> _Element:
    from lxml import etree

    return etree.Element(W + kind, {W + "id": str(number)}, {"w": W[1:-1]})


def reference(number: int) -> _Element:
    """The run that calls a comment."""
    from lxml import etree

    run = etree.Element(W + "r", None, {"w": W[1:-1]})
    etree.SubElement(run, REFERENCE, {W + "id": str(number)})
    return run
