"""What a .docx carries beside the text that is read, and what of it must not go out with a redacted copy.

A cut sentence may live on in a tracked deletion, in a hidden style, in the version of a text box that nobody sees, in
the entry of an index, in the description of a picture or in the address behind a link, where nobody looks who reads the
page. So not what is known to hide is taken out, but whatever the reader of drafts did not see: words that are not read
on the page go whole, since a copy that is sent round needs none of them. Names and descriptions of pictures, links,
boxes to fill in, headers and footers go where they tell of people who may be living.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

from storylint.complaints import Misuse
from storylint.draft.docx_styles import Styles, W, changed, value
from storylint.draft.docx_walk import ALTERNATE, FALLBACK, FOREIGN, SIGN, WORDS_DRAWN, Walk, chosen, symbol
from storylint.repair import cuts_fields
from storylint.repair.docx_runs import remove

if TYPE_CHECKING:
    from lxml.etree import _Element

    from storylint.repair.docx_package import Package

Reveals = Callable[[str], bool]

_M = "{http://schemas.openxmlformats.org/officeDocument/2006/math}"
_A = "{http://schemas.openxmlformats.org/drawingml/2006/main}"
_C = "{http://schemas.openxmlformats.org/drawingml/2006/chart}"
STORIES = frozenset(("document", "footnotes", "endnotes", "hdr", "ftr"))
DRAWINGS = frozenset(("chartSpace", "dataModel", "drawing", "userShapes"))
WORDS = (W + "t", _M + "t", W + "delText", W + "delInstrText")
NOTE_MARKS = (W + "footnoteReference", W + "endnoteReference")
ANCHORS = frozenset(W + name for name in ("commentRangeStart", "commentRangeEnd", "commentReference", "dataBinding"))
DELETED = frozenset(W + name for name in ("del", "moveFrom"))
DRAWN = (W + "drawing", W + "pict", W + "object", ALTERNATE)
DATA = (W + "fldData", W + "binData", W + "docVars", W + "mailMerge")
DIGIT = re.compile(r"\d")
# Words that stand in attributes: of pictures and shapes, of links, of content controls and of boxes to fill in.
IN_PICTURES = ("descr", "title", "alt", "{urn:schemas-microsoft-com:office:office}title")
IN_LINKS = ("href", W + "tooltip", W + "docLocation", W + "tgtFrame")
IN_BOXES = (W + "alias", W + "tag", W + "helpText", W + "statusText", W + "default")
NAMED = ("docPr", "cNvPr")  # pictures, by the name of the file from which they came


@dataclass(frozen=True)
class Scrubber:
    """Takes out what is not read on the page. ``names_one`` tells whether a text names somebody who may be living,
    ``describes`` whether it does or says how to reach somebody, ``tells`` whether it prints a particular of her; ``path`` is for complaints."""

    path: str
    package: Package
    styles: Styles
    names_one: Reveals
    describes: Reveals
    tells: Reveals

    def scrub(self) -> list[str]:
        """Gives what was taken out, in words, each once, and never what it said."""
        from storylint.repair import cuts_parts

        gone: list[str] = []
        for name in self.stories.values():
            gone += self.story(name)
        for name in self.package.names:
            if self.package.kind(name) in DRAWINGS:
                gone += self.drawn_words(self.package.root(name))
        gone += cuts_parts.scrub(self.package, self.names_one)
        return list(dict.fromkeys(gone))

    @cached_property
    def stories(self) -> dict[int, str]:
        """The parts with text, by their order."""
        return {at: name for at, name in enumerate(self.package.names) if self.package.kind(name) in STORIES}

    def story(self, name: str) -> Iterator[str]:
        """All of one part with text."""
        root = self.package.root(name)
        if next(root.iter(FOREIGN), None) is not None:
            raise Misuse(
                f"{self.path}: a part of it is another file put in whole, which storylint can't read; open the draft in your "
                "word processor, save it there as .docx, and redact that."
            )
        yield from self.margin(root)
        yield from changes(root)
        yield from self.unseen(root)
        yield from cuts_fields.scrub(root, self.names_one, self.bookmarks)
        yield from self.attributes(root)

    # --- words ----------------------------------------------------------------------------------------------------

    def margin(self, root: _Element) -> Iterator[str]:
        """Lines of a header or a footer that tell of somebody."""
        if root.tag not in (W + "hdr", W + "ftr"):
            return
        for paragraph in root.iter(W + "p"):
            texts = list(paragraph.iter(W + "t"))
            if self.tells("".join(text.text or "" for text in texts)):
                for text in texts:
                    text.text = ""
                yield "lines of headers and footers"

    def unseen(self, root: _Element) -> Iterator[str]:
        """Words and pictures that the reader of drafts does not see: hidden ones, those of rows that are deleted, of
        other versions of a text box, of instructions."""
        seen = set(self._seen(root))  # holds the elements, so that they are the same ones when they are met again
        for part in root.iter(*WORDS):
            if part not in seen and part.text and not _is_mark(part):
                part.text = ""
                yield "hidden text"
        for part in root.iter(WORDS_DRAWN):
            if part not in seen and part.get("string"):
                part.set("string", "")
                yield "hidden text"
        for run in list(root.iter(W + "r")):
            if self._is_hidden(run):
                for part in list(run.iterchildren(*DRAWN)):
                    remove(part)
                    yield "hidden pictures"

    def _seen(self, root: _Element) -> Iterator[_Element]:
        """What the reader sees of a part."""
        if root.tag == W + "document":
            holders: Iterable[_Element] = root.iterchildren(W + "body", W + "docParts")
        else:
            holders = root if root.tag in (W + "footnotes", W + "endnotes") else (root,)
        for holder in holders:
            for unit in Walk().units(list(holder)):
                for _, pieces in unit.pieces(self.styles):
                    yield from (piece.part for piece in pieces)

    def _is_hidden(self, run: _Element) -> bool:
        properties = run.find(W + "rPr")
        paragraph = next(run.iterancestors(W + "p"), None)
        own = paragraph.find(W + "pPr") if paragraph is not None else None
        style = value(properties, "rStyle") if properties is not None else ""
        return changed(self.styles.look(value(own, "pStyle") if own is not None else "", style), properties).hidden

    def drawn_words(self, root: _Element) -> Iterator[str]:
        """Words in charts and diagrams that tell of somebody, as a family drawn as a tree does."""
        lines = [list(paragraph.iter(_A + "t")) for paragraph in root.iter(_A + "p")]
        lines += [[words] for words in root.iter(_C + "v", _C + "f")]
        for line in lines:
            words = "".join(part.text or "" for part in line)
            if self.tells(words) or (DIGIT.search(words) and self.names_one(words)):
                for part in line:
                    part.text = ""
                yield "words in charts and diagrams"

    # --- names and descriptions -----------------------------------------------------------------------------------

    def attributes(self, root: _Element) -> Iterator[str]:
        """Names and descriptions that tell of somebody."""
        for part in root.iter():
            if not isinstance(part.tag, str) or not part.attrib:
                continue
            yield from self._blank(part, IN_PICTURES, "descriptions of pictures", self.describes)
            yield from self._blank(part, IN_LINKS, "links", self.names_one)
            if part.tag in IN_BOXES:
                yield from self._blank(part, (W + "val",), "names of boxes to fill in", self.describes)
            elif part.tag.endswith(NAMED) and self.names_one(part.get("name") or ""):
                part.set("name", f"Picture {part.get('id') or ''}".strip())
                yield "names of pictures"
            elif part.tag == W + "bookmarkStart" and part.get(W + "name") in self.bookmarks:
                part.set(W + "name", self.bookmarks[part.get(W + "name") or ""])
                yield "names of bookmarks"
            elif part.tag == W + "hyperlink" and part.get(W + "anchor") in self.bookmarks:
                part.set(W + "anchor", self.bookmarks[part.get(W + "anchor") or ""])
        for entry in list(root.iter(W + "listItem")):
            words = f"{entry.get(W + 'displayText') or ''} {entry.get(W + 'value') or ''}"
            if DIGIT.search(words) and self.names_one(words):
                remove(entry)
                yield "entries to choose from"

    def _blank(self, part: _Element, keys: Iterable[str], what: str, reveals: Reveals) -> Iterator[str]:
        for key in keys:
            if part.get(key) and reveals(str(part.attrib.get(key) or "")):
                part.set(key, "")
                yield what

    @cached_property
    def bookmarks(self) -> dict[str, str]:
        """New names for bookmarks that tell of somebody: word processors name them by the words of a heading."""
        named = (
            start.get(W + "name") or ""
            for name in self.stories.values()
            for start in self.package.root(name).iter(W + "bookmarkStart")
        )
        telling = [name for name in dict.fromkeys(named) if DIGIT.search(name) and self.names_one(name)]
        return {name: f"bookmark_{at}" for at, name in enumerate(telling, 1)}


def _is_mark(part: _Element) -> bool:
    """Whether this is the writer's own mark of a note, the reading above a word, or a sign for word processors that
    don't know its newer form: all of them are seen, though not read."""
    run = part.getparent()
    if run is None:
        return False
    if run.tag == FALLBACK:
        return part.text in _signs(run.getparent())
    return next(run.iterchildren(*NOTE_MARKS), None) is not None or next(run.iterancestors(W + "rt"), None) is not None


def _signs(both: _Element | None) -> list[str]:
    """The signs that versions of one content give by their codes."""
    named = both.iter(SIGN) if both is not None else ()
    return [symbol(sign.get(SIGN.replace("symEx", "char")) or "", "") for sign in named]


def changes(root: _Element) -> Iterator[str]:
    """Tracked deletions, second copies, comments' anchors, and data that nothing on the page shows."""
    for part in list(root.iter(*DELETED)):
        if part.find(".//" + W + "r") is not None:
            remove(part)
            yield "tracked deletions"
    for both in list(root.iter(ALTERNATE)):
        copy = both.find(FALLBACK)
        if copy is None or chosen(both) is copy or both.find(f".//{SIGN}") is not None:
            continue
        if copy.find(".//" + W + "t") is not None:
            remove(copy)
    for part in list(root.iter(*ANCHORS, *DATA)):
        remove(part)
