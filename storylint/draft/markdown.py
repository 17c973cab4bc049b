"""Reader of Markdown: CommonMark blocks from markdown-it-py, inline text by a scanner that knows its place.

markdown-it-py tells the lines of a block but not where in them each character of the text stood, and its inline parser
takes several times as long as its block parser. So it parses blocks only; links, emphasis and the rest are read here,
after the CommonMark specification (0.31, spec.commonmark.org), as edits of the source.
"""

from __future__ import annotations

import re
from bisect import bisect_left, bisect_right
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import accumulate, chain, groupby
from typing import TYPE_CHECKING, Any

from storylint.draft.inline import ATTRIBUTES, Extent, Inline, inline_call, normal, scan
from storylint.draft.model import Block, Draft, Kind, Mark, Note
from storylint.draft.source import CleanText, Line, assemble, decode, lines_of, without_start
from storylint.draft.txt import CHILD_LABEL, with_captions
from storylint.draft.typed import attach

if TYPE_CHECKING:
    from markdown_it.token import Token

_DEFINITION = re.compile(r" {0,3}\[\^([^\]\[\s]{1,100})\]:[ \t]*")
_FENCE = re.compile(r" {0,3}(`{3,}|~{3,})")
_BREAKS_NOTE = re.compile(r" {0,3}(?:#{1,6}(?:\s|$)|>|`{3,}|~{3,}|\|)")
_INDENTED = re.compile(r"(?: {4}| {0,3}\t)")
_DIV = re.compile(r" {0,3}:{3,}[ \t]*(?:\{[^{}]*\}|[\w.-]+)?[ \t]*:*[ \t]*")  # Pandoc's: what opens or closes a part
_FRONT_MATTER = re.compile(r"[A-Za-z_][\w .-]{0,60}[:=]|#")
_NUMBER_BEFORE = re.compile(r"\d{1,9}[.)]\s*$")
_LEAVES = frozenset(
    ["paragraph_open", "heading_open", "inline", "fence", "code_block", "html_block", "hr", "table_open"]
)
_CELL = re.compile(r"(?:[^|\\]|\\.?)+")
_ONLY_SIGNS = re.compile(r"[\s>*+-]*")
_CLAUSE_END = re.compile(r"[.;:!?)\]\d]$")
_NESTING = 100  # quotations in quotations; CommonMark sets no limit, markdown-it-py drops what lies deeper
_ENTRY_WORDS = 60  # a numbered paragraph of more words is an entry of the book, not of a list
_HEADING_WORDS = 20  # more words over a row of dashes are a paragraph and a rule that came too close


def read(path: str, data: bytes, sha256: str) -> Draft:
    """The draft in a Markdown file. Raises Unreadable for what is no text."""
    source, remarks = decode(path, data)
    lines = lines_of(source)
    body = [line.text for line in lines]
    _take_front_matter(body)
    definitions = _take_definitions(lines, body)
    reader = _Reader(lines, body)
    blocks = [replace(block, index=index) for index, block in enumerate(with_captions(reader.blocks()))]
    blocks, live = _join_notes(blocks, [*reader.inline_notes, *definitions], reader)
    whole, typed = attach(blocks, live)
    return Draft(path, "md", sha256, whole, (*live, *typed), tuple(line.start for line in lines), remarks)


def _take_front_matter(body: list[str]) -> int:
    """Empty the lines of front matter, settings at the very start: YAML between rows of dashes, TOML between plus signs.

    Gives the place of the row that closes them, 0 where there are none."""
    ends = {"---": ("---", "..."), "+++": ("+++",)}.get(body[0].rstrip()) if body else None
    if not ends:
        return 0
    end = next((at for at, text in enumerate(body[1:], 1) if text.rstrip() in ends), 0)
    inside = [text for text in body[1:end] if text.strip()]
    if not inside or not _FRONT_MATTER.match(inside[0]):
        return 0
    body[: end + 1] = [""] * (end + 1)
    return end


# --- notes ---------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Definition:
    """A note as it is written: ``label`` is what marks call, ``paragraphs`` its lines."""

    label: str
    paragraphs: list[list[Line]]


def _take_definitions(lines: Sequence[Line], body: list[str]) -> list[_Definition]:
    """The notes defined in the file ("[^3]: …"); their lines are emptied in ``body``, as are fences of divisions."""
    definitions = []
    fence = ""
    at = 0
    while at < len(lines):
        if fenced := _FENCE.match(body[at]):
            fence = "" if fence and body[at].strip().startswith(fence) else fence or fenced[1]
        opening = None if fence else _DEFINITION.match(body[at])
        if not fence and _DIV.fullmatch(body[at]):
            body[at] = ""
        if opening:
            paragraphs, end = _read_definition(lines, at, opening.end())
            definitions.append(_Definition(opening[1], paragraphs))
            body[at:end] = [""] * (end - at)
            at = end
        else:
            at += 1
    return definitions


def _read_definition(lines: Sequence[Line], at: int, skip: int) -> tuple[list[list[Line]], int]:
    """The paragraphs of the note that opens on line ``at`` after ``skip`` characters, and the line after it."""
    first = lines[at]
    paragraphs = [[Line(first.text[skip:], first.start + skip, first.number)]]
    at += 1
    while at < len(lines):
        text = lines[at].text
        if not text.strip():
            later = next((later for later in range(at, len(lines)) if lines[later].text.strip()), len(lines))
            if later == len(lines) or not _INDENTED.match(lines[later].text):
                break
            paragraphs.append([])
            at = later
        elif not _INDENTED.match(text) and (_DEFINITION.match(text) or _BREAKS_NOTE.match(text)):
            break
        paragraphs[-1].append(lines[at])
        at += 1
    return paragraphs, at


def _join_notes(
    blocks: Sequence[Block], definitions: Sequence[_Definition], reader: _Reader
) -> tuple[list[Block], tuple[Note, ...]]:
    """The blocks with their marks joined to notes, and the notes in the order in which they are first called.

    Notes number themselves in print; but where every label is a number, that is what the writer sees, and it stays.
    A note that is never called comes last, one whose label is taken twice after its namesake.
    """
    by_label: dict[str, list[_Definition]] = {}
    for definition in definitions:
        by_label.setdefault(definition.label, []).append(definition)
    called = dict.fromkeys(mark.number for block in blocks for mark in block.marks if mark.number in by_label)
    order = [*called, *(label for label in by_label if label not in called)]
    as_typed = all(label.isdecimal() for label in by_label)
    numbers = {label: label if as_typed else str(number) for number, label in enumerate(order, 1)}
    notes: list[Note] = []
    first: dict[str, int] = {}
    for label in order:
        first[label] = len(notes)
        for definition in by_label[label]:
            notes.append(reader.note(definition, numbers[label]))
    joined = [
        replace(block, marks=tuple(_joined(mark, numbers, first) for mark in block.marks)) if block.marks else block
        for block in blocks
    ]
    return joined, tuple(notes)


def _joined(mark: Mark, numbers: Mapping[str, str], first: Mapping[str, int]) -> Mark:
    return replace(mark, number=numbers.get(mark.number, mark.number), note=first.get(mark.number))


# --- blocks --------------------------------------------------------------------------------------------------------


@dataclass(slots=True)
class _Item:
    """An open list item.

    ``marker`` is its printed number or bullet, ``alone`` that its list has no other, ``fresh`` that its first paragraph
    is still to be read, ``prose`` that this was an entry of the book.
    """

    marker: str
    alone: bool
    fresh: bool = True
    prose: bool = False


class _Reader:
    """Turns the tokens of one file into blocks."""

    def __init__(self, lines: Sequence[Line], body: Sequence[str]) -> None:
        from markdown_it import MarkdownIt

        parser = MarkdownIt("commonmark", {"maxNesting": _NESTING}).enable("table")
        parser.core.ruler.enableOnly(["normalize", "block"])
        found: dict[str, Any] = {}
        self.lines = lines
        self.body = body
        self.tokens = parser.parse("\n".join(body), found)
        self.references = {normal(label) for label in found.get("references", {})}
        made = [*found.get("references", {}).values(), *found.get("duplicate_refs", [])]
        self.defined: list[tuple[int, int]] = [
            tuple(each["map"]) for each in made
        ]  # the lines of each address, to its end
        self.inline_notes: list[_Definition] = []
        self.attributes: list[tuple[int, int]] = []  # where those of headings stand
        self.set_in = _opens_paragraphs_set_in(self.tokens)
        self.seen = bytearray(len(lines))  # 1 for the lines that have been read
        for first, end in self.defined:
            self.seen[first:end] = b"\1" * (end - first)
        self.quoted = 0
        self.items: list[_Item] = []

    def blocks(self) -> list[Block]:
        """The blocks in reading order."""
        markers = _markers(self.tokens)
        blocks: list[Block] = []
        before: Token | None = None
        in_table = False
        for at, token in enumerate(self.tokens):
            if token.map and token.type in _LEAVES:
                self.seen[token.map[0] : token.map[1]] = b"\1" * (token.map[1] - token.map[0])
            if token.type == "table_open":
                blocks += map(self._row, self._raw(token)[:1] + self._raw(token)[2:])  # the second is the row of dashes
                in_table = True
            elif token.type == "table_close":
                in_table = False
            elif not in_table:
                blocks += self._read(token, before, markers.get(at))
            before = token
        lost = [block for stretch in self._unread() for block in self._paragraphs(stretch, Kind.QUOTATION)]
        return sorted([*blocks, *lost], key=lambda block: block.line or 0) if lost else blocks

    def _read(self, token: Token, before: Token | None, item: _Item | None) -> Iterable[Block]:
        match token.type:
            case "blockquote_open" | "blockquote_close":
                self.quoted += token.nesting
            case "list_item_open" if item:
                self.items.append(item)
            case "list_item_close":
                item = self.items.pop()
                if before and before.type == "list_item_open" and item.marker[0].isdigit():
                    return self._bare_number(before)
            case "inline" if before and before.type == "heading_open":
                return self._heading(token, before)
            case "inline":
                return self._paragraphs(self._lines(token), Kind.PARAGRAPH)
            case "html_block":
                return self._paragraphs(self._raw(token), Kind.PARAGRAPH)
            case "code_block":
                kind = Kind.PARAGRAPH if self.set_in else Kind.QUOTATION
                return chain.from_iterable(self._paragraphs(part, kind) for part in _parts(self._raw(token)))
            case "fence":
                return self._verbatim(token)
        return ()

    # --- lines of a token -------------------------------------------------------------------------------------------

    def _raw(self, token: Token) -> list[Line]:
        first, end = token.map or (0, 0)
        return list(self.lines[first:end])

    def _lines(self, token: Token) -> list[Line]:
        """The lines of an inline token without what marks their block; its content has each as the end of a line."""
        first = (token.map or [0])[0]
        return [_end_of(self.lines[first + at], text.strip()) for at, text in enumerate(token.content.split("\n"))]

    def _with_marker(self, line: Line) -> Line:
        """``line``, the first of a list item, with the number that stands before it."""
        whole = self.lines[line.number - 1]
        at = line.start - whole.start
        number = _NUMBER_BEFORE.search(whole.text, max(0, at - 40), at)
        start = number.start() if number else at
        return Line(whole.text[start : at + len(line.text)], whole.start + start, line.number)

    def _unread(self) -> Iterator[list[Line]]:
        """Lines that no token covers and that are neither blank, nor signs alone, nor addresses of links.

        The parser drops what is quoted in quotations beyond its limit.
        """
        stretch: list[Line] = []
        for line, text, read in zip(self.lines, self.body, self.seen, strict=True):
            if not read and not _ONLY_SIGNS.fullmatch(text):
                stretch.append(_end_of(line, text.lstrip("> \t").rstrip()))
            elif stretch:
                yield stretch
                stretch = []
        if stretch:
            yield stretch

    # --- blocks of a token ------------------------------------------------------------------------------------------

    def _heading(self, token: Token, opening: Token) -> Iterable[Block]:
        lines = self._lines(token)
        if self.quoted or (opening.markup in ("-", "=") and len(token.content.split()) > _HEADING_WORDS):
            return self._paragraphs(lines, Kind.PARAGRAPH)
        lines[-1] = self._without_attributes(lines[-1])
        clean, pictures = self._clean(lines)
        heading = [clean.block(Kind.HEADING, lines[0].number, level=int(opening.tag[1:]))] if clean.length else []
        return [*heading, *pictures]

    def _without_attributes(self, line: Line) -> Line:
        """The last line of a heading without what Pandoc is told of it there."""
        for its in ATTRIBUTES.finditer(line.text):
            if its.end() == len(line.text.rstrip()):
                self.attributes.append((line.start + its.start(), line.start + its.end()))
                return Line(line.text[: its.start()].rstrip(), line.start, line.number)
        return line

    def _bare_number(self, opening: Token) -> Iterable[Block]:
        """A list item without a text: a line such as "1889." that is no list at all."""
        line = self._raw(opening)[0]
        self.seen[line.number - 1] = 1
        text = line.text.lstrip("> \t*+-")
        return self._plain([_end_of(line, text.rstrip())], Kind.QUOTATION if self.quoted else Kind.PARAGRAPH)

    def _verbatim(self, token: Token) -> Iterable[Block]:
        inside = [line for line in self._raw(token)[1:] if not _FENCE.fullmatch(line.text.rstrip())]
        clean = assemble(inside)
        return [clean.block(Kind.QUOTATION, inside[0].number)] if clean.length else []

    def _row(self, line: Line) -> Block:
        """A row of a table, with a tab between two cells."""
        clean = CleanText()
        for cell in _CELL.finditer(line.text, len(line.text) - len(line.text.lstrip("> \t"))):
            clean.gap("\t")
            part = Line(cell[0], line.start + cell.start(), line.number)
            assemble([part], self._scan([part]).edits, into=clean)
        return clean.block(Kind.TABLE, line.number)

    def _paragraphs(self, lines: Sequence[Line], kind: Kind) -> Iterator[Block]:
        """The blocks of one paragraph: lines that open with a child's number are entries of their own."""
        kind = Kind.QUOTATION if self.quoted else kind
        starts = [0, *(at for at in range(1, len(lines)) if _is_child_line(lines, at))]
        for at, end in zip(starts, [*starts[1:], len(lines)], strict=True):
            part = [*lines[at : end - 1], _unbroken(lines[end - 1]) if end < len(lines) else lines[end - 1]]
            if at == 0 and self.items:
                yield from self._in_item(part, kind)
            else:
                yield from self._plain(part, kind)

    def _in_item(self, lines: Sequence[Line], kind: Kind) -> Iterable[Block]:
        """A paragraph of a list item.

        Where a numbered paragraph stands alone or is long, the number is that of an entry of the book ("2. Thomas
        Harrow was born …") and stays in the text.
        """
        item = self.items[-1]
        fresh = [outer.marker for outer in self.items if outer.fresh]
        for outer in self.items:
            outer.fresh = False
        if kind is Kind.PARAGRAPH and len(fresh) == 1 and fresh[0][0].isdigit() and not _child_label(lines[0]):
            item.prose = item.alone or sum(len(line.text.split()) for line in lines) > _ENTRY_WORDS
            if item.prose:
                return self._plain([self._with_marker(lines[0]), *lines[1:]], kind)
        if kind is Kind.PARAGRAPH and not item.prose:
            kind = Kind.ITEM
        return self._plain(lines, kind, " ".join(marker for marker in fresh if marker not in "-*"))

    def _plain(self, lines: Sequence[Line], kind: Kind, label: str = "") -> Iterable[Block]:
        """One block, and its pictures before or after it; a child's number in front becomes its label."""
        clean, pictures = self._clean(lines)
        if not clean.length:
            return pictures
        child = None if self.quoted else CHILD_LABEL.match(clean.text)
        block = clean.block(Kind.ITEM if child else kind, lines[0].number, label=label if label != "+" else "")
        if child:
            block = without_start(block, child.end(), " ".join(f"{label} {child[0]}".split()))
        return [*pictures, block] if lines[0].text.lstrip().startswith("![") else [block, *pictures]

    # --- text -------------------------------------------------------------------------------------------------------

    def _clean(self, lines: Sequence[Line]) -> tuple[CleanText, list[Block]]:
        """The clean text of some lines and the pictures that stand in them."""
        found = self._scan(lines)
        return assemble(lines, found.edits), [self._picture(inside) for inside in _cut(lines, found.pictures)]

    def _picture(self, lines: Sequence[Line]) -> Block:
        return assemble(lines, self._scan(lines).edits).block(Kind.PICTURE, lines[0].number, origin=lines[0].start)

    def _scan(self, lines: Sequence[Line]) -> Inline:
        name = str(lines[0].start)
        found = scan("\n".join(line.text for line in lines), self.references, name)
        for extent, inside in zip(found.notes, _cut(lines, found.notes), strict=True):
            self.inline_notes.append(_Definition(inline_call(name, extent.start), [inside]))
        return found

    def note(self, definition: _Definition, number: str) -> Note:
        """The note that a definition spells."""
        texts = (assemble(lines, self._scan(lines).edits).text for lines in definition.paragraphs)
        line = definition.paragraphs[0][0].number
        return Note(number, "\n".join(filter(None, texts)), "footnote", live=True, line=line)


def _end_of(line: Line, text: str) -> Line:
    """The part of ``line`` that is ``text``: its end, but for white space and what closes a heading."""
    whole = line.text.rstrip()
    at = len(whole) - len(text) if whole.endswith(text) else max(line.text.rfind(text), 0)
    return Line(text, line.start + at, line.number)


def _cut(lines: Sequence[Line], extents: Sequence[Extent]) -> Iterator[list[Line]]:
    """The lines inside each extent, whose offsets count in the lines joined."""
    starts = list(accumulate((len(line.text) + 1 for line in lines), initial=0)) if extents else []
    for extent in extents:
        cut = []
        for at in range(bisect_right(starts, extent.first) - 1, bisect_left(starts, extent.last + 1)):
            start = max(extent.first - starts[at], 0)
            text = lines[at].text[start : extent.last - starts[at]]
            cut.append(Line(text, lines[at].start + start, lines[at].number))
        yield cut


def _parts(lines: Sequence[Line]) -> Iterator[list[Line]]:
    """Lines between blank ones."""
    for blank, part in groupby(lines, key=lambda line: not line.text.strip()):
        if not blank:
            yield list(part)


def _child_label(line: Line) -> re.Match[str] | None:
    return CHILD_LABEL.match(line.text.lstrip()[:80].replace("\\", ""))


def _is_child_line(lines: Sequence[Line], at: int) -> bool:
    """Whether a line inside a paragraph opens a child's entry: it has the number, and the line before ends a clause."""
    if not _child_label(lines[at]):
        return False
    return bool(_CLAUSE_END.search(lines[at - 1].text.rstrip("\\ \t"))) or bool(_child_label(lines[at - 1]))


def _unbroken(line: Line) -> Line:
    """``line`` without the backslash that forces the next one to a line of its own."""
    return Line(line.text.rstrip().removesuffix("\\"), line.start, line.number)


def _opens_paragraphs_set_in(tokens: Sequence[Token]) -> bool:
    """Whether a writer sets in the first lines of paragraphs, which Markdown takes for program code."""
    kinds = Counter(token.type for token in tokens if token.level == 0)
    return kinds["code_block"] > kinds["paragraph_open"]


def _markers(tokens: Sequence[Token]) -> dict[int, _Item]:
    """For the token that opens a list item its marker. A list numbered with ones alone counts up."""
    items: dict[int, _Item] = {}
    lists: list[list[int]] = []
    for at, token in enumerate(tokens):
        if token.type in ("ordered_list_open", "bullet_list_open"):
            lists.append([])
        elif token.type == "list_item_open":
            lists[-1].append(at)
        elif token.type in ("ordered_list_close", "bullet_list_close"):
            members = lists.pop()
            same = len({tokens[member].info for member in members}) == 1
            for place, member in enumerate(members):
                number = tokens[member].info
                if number == "1" and same:
                    number = str(int(number) + place)
                items[member] = _Item(number + tokens[member].markup, alone=len(members) == 1)
    return items
