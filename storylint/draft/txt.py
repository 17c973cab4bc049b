"""Reader of plain text: what the blank lines, indents and capitals of a typescript mean.

Nothing in a .txt file says what is a heading or a list; a typist's habits do. They are common practice, no source:
paragraphs stand between blank lines and may be broken at a right margin, headings stand alone and are short or in
capitals, what is quoted or listed is set in from the margin.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import replace
from itertools import pairwise

from storylint.draft.headings import Piece, find_headings, in_capitals, is_division
from storylint.draft.model import Block, Draft, Kind
from storylint.draft.page import LONG_LINE, SET_IN, Page, cells, columns, indent, is_table
from storylint.draft.source import CleanText, Edit, Line, assemble, decode, lines_of, unwrapped, without_start
from storylint.draft.typed import attach

# A typed label. "i.", "12.  iv.", "+ 2 i.", "+ 5." open the entry of a child; "3.", "(3)", "-" that of any list.
CHILD_LABEL = re.compile(
    r"(?:(?:\+\s*)?(?:\d{1,4}[.)]?\s+)?(?!i\.\s?e\.)[ivxl]{1,7}[.)]|\+\s*\d{1,4}[.)]?)\s+(?=[^\W\d]|[\"'“_*=(\[—–-])"
)
LIST_LABEL = re.compile(
    r"(?:\(\d{1,3}\)|\[\d{1,4}\]|\d{1,4}[.)]|\d{1,3}(?:\.\d{1,3}){1,12}\.?|[a-z]\)|[-–*•·▪])\s+(?=\S)"
    r"|[IVXL]{1,7}[.)]\s+(?=[^\W\d_]{2})"
)

_LABEL_START = re.compile(r"\s*(?:[^\w\s]|\d|[ivxlIVXL]{1,7}[.)]|[a-z]\))")  # a quick look: most lines are no entries
_RULE = re.compile(r"[\s*_=~#·•—–+-]+")
_WORD = re.compile(r"[^\W\d_]{2}")
_UNDERLINE = re.compile(r"\s*(?:={3,}|-{3,}|~{3,})\s*")
_PAGE_NUMBER = re.compile(r"\s*(?:[Pp]age\s+|[-–—\[]\s*)?(?P<number>\d{1,4})(?:\s+of\s+\d{1,4}|\s*[-–—\]])?\s*")
_FIRST_YEAR = 1000  # no family book has so many pages, and from here on a number beside a title may be a year
# The head of a page: its number and, far from it, a title that other pages have too.
_PAGE_HEADS = (
    re.compile(r"\s*(?P<number>\d{1,4})(?:\s{3,}|\t\s*)(?P<title>\S.{0,80})"),
    re.compile(r"\s*(?P<title>\S.{0,80}?)(?:\s{3,}|\t\s*)(?P<number>\d{1,4})\s*"),
)
_PICTURE = re.compile(
    r"\[(?:illustration|picture|photo(?:graph)?|image|figure|map|portrait)\b\s*[:.]?\s*", re.IGNORECASE
)
_CAPTION = re.compile(
    r"(?:table|fig(?:ure)?|plate|illustration|photo(?:graph)?|map|chart)\.? [\dIVX]+[.:]", re.IGNORECASE
)
_CAPTION_WORDS = 60
_HASHES = re.compile(r"(#{1,6})\s+(?=\S)")
_QUOTED = re.compile(r"\s{0,3}>\s?")
_ENDS_SENTENCE = re.compile(r"[.!?:;][\"'”’)\]]{0,3}(?:\[?\d{1,3}(?:[,–-]\d{1,3}){0,3}\]?)?$")  # perhaps with a mark
_YEAR = re.compile(r"\b(?:1\d|20)\d\d\b")
_SENTENCE_WORDS = 12  # an unlabelled line of so many words that ends like a sentence is a paragraph, not a list entry


def read(path: str, data: bytes, sha256: str) -> Draft:
    """The draft in a plain-text file. Raises Unreadable for what is no text."""
    source, remarks = decode(path, data)
    lines = lines_of(source)
    groups = list(_groups(lines))
    if numbers := _page_numbers(groups):
        remarks = (*remarks, f"{len(numbers)} lines that number the pages are left out")
    page = Page.of(lines)
    pieces = [piece for group in _without(groups, numbers, lines) for piece in _pieces(group, page)]
    seen = [piece for piece in pieces if piece.block.text or piece.block.kind is Kind.PICTURE]
    in_order = enumerate(with_captions(find_headings(seen)))
    blocks, notes = attach([replace(block, index=index) for index, block in in_order])
    return Draft(path, "txt", sha256, blocks, notes, tuple(line.start for line in lines), remarks)


# --- groups: the lines between two blank lines ---------------------------------------------------------------------


def _groups(lines: Sequence[Line]) -> Iterator[list[Line]]:
    """Runs of lines between blank lines; a row of asterisks or dashes is as good as blank, unless under a heading, and so
    is a new page, unless a sentence goes on there."""
    group: list[Line] = []
    for line in lines:
        if group and _opens_page(group[-1], line):
            yield group
            group = []
        if line.text.strip() and (not _RULE.fullmatch(line.text) or _underlines(group, line)):
            group.append(line)
        elif group:
            yield group
            group = []
    if group:
        yield group


def _opens_page(last: Line, line: Line) -> bool:
    """Whether a page ends between two lines, and with it a sentence or what stands above a heading."""
    turned = last.text.rstrip(" \t").endswith("\f") or line.text.lstrip(" \t").startswith("\f")
    return turned and bool(
        _ENDS_SENTENCE.search(last.text.rstrip()) or in_capitals(line.text) or is_division(line.text)
    )


def _underlines(group: Sequence[Line], line: Line) -> bool:
    """Whether ``line`` is drawn under the one line that stands above it."""
    if len(group) != 1 or not _UNDERLINE.fullmatch(line.text) or not _WORD.search(group[0].text):
        return False
    return len(group[0].text.strip()) <= 100 and abs(indent(group[0]) - indent(line)) <= 8


def _page_numbers(groups: Sequence[Sequence[Line]]) -> set[int]:
    """Which groups are lines that number the pages: lone numbers, or with a title that comes again, where a file has
    three or more that rise."""
    heads = {at: head for at, group in enumerate(groups) if len(group) == 1 and (head := _page_head(group[0].text))}
    titles = Counter(head.groupdict().get("title", "").strip() for head in heads.values())
    alone = {
        at: int(head["number"])
        for at, head in heads.items()
        if not (title := head.groupdict().get("title", "").strip())
        or (titles[title] > 1 and int(head["number"]) < _FIRST_YEAR)
    }
    rising = sum(early < late for early, late in pairwise(alone.values()))
    return set(alone) if len(alone) >= 3 and rising >= 0.8 * (len(alone) - 1) else set()


def _page_head(text: str) -> re.Match[str] | None:
    found = _PAGE_NUMBER.fullmatch(text)
    return found or next(filter(None, (pattern.fullmatch(text) for pattern in _PAGE_HEADS)), None)


def _without(groups: Sequence[list[Line]], numbers: set[int], lines: Sequence[Line]) -> Iterator[list[Line]]:
    """The groups without those at ``numbers``; a sentence that the foot of a page cut in two is joined again."""
    kept: list[Line] = []
    turned = False
    for at, group in enumerate(groups):
        if at in numbers:
            turned = True
        elif kept and (turned or _is_turned(lines, kept[-1], group[0])) and _runs_over(kept[-1], group[0]):
            kept = kept + group
            turned = False
        else:
            if kept:
                yield kept
            kept, turned = group, False
    if kept:
        yield kept


def _is_turned(lines: Sequence[Line], last: Line, first: Line) -> bool:
    """Whether a page ends between two lines."""
    return any("\f" in line.text for line in lines[last.number - 1 : first.number])


def _runs_over(last: Line, first: Line) -> bool:
    """Whether a sentence goes on from the foot of one page to the head of the next."""
    return first.text.lstrip()[:1].islower() and not _ENDS_SENTENCE.search(last.text.rstrip())


# --- pieces: what each group is made of ----------------------------------------------------------------------------


def _pieces(group: list[Line], page: Page) -> Iterator[Piece]:
    """The paragraphs, entries, tables and so on of one group, in order."""
    if len(group) == 2 and _underlines(group[:1], group[1]):
        yield _piece(group[:1], page, alone=True, underline=group[1].text.strip()[0])
    elif hashes := _HASHES.match(group[0].text):
        yield _hashed(group[0], len(hashes[1]), hashes.end())
        if len(group) > 1:
            yield from _pieces(group[1:], page)
    elif _QUOTED.match(group[0].text):
        yield from _quoted(group, page)
    elif _PICTURE.match(group[0].text.strip()):
        yield from _picture(group, page)
    elif (inside := _picture_inside(group)) is not None:
        yield from _pieces(group[:inside], page)
        yield from _picture(group[inside:], page)
    elif len(group) > 1 and max(len(line.text) for line in group) > LONG_LINE:
        yield from _unbroken(group, page)
    elif len(group) == 1 and page.centres(group[0]) and in_capitals(group[0].text):
        yield _prose(group, page, alone=True)
    elif (first := _first_entry(group, page)) is not None:
        if first:
            yield from _pieces(group[:first], page)
        yield from _entries(group[first:], page)
    elif len(group) > 1 and is_table(group):
        yield from map(_row, group)
    else:
        yield from _text(group, page)


def _piece(
    lines: Sequence[Line], page: Page, kind: Kind = Kind.PARAGRAPH, alone: bool = False, underline: str = ""
) -> Piece:
    block = _clean(lines).block(kind, lines[0].number)
    return Piece(block, alone, page.sets_in(lines), all(map(page.centres, lines)), underline)


def _hashed(line: Line, level: int, skip: int) -> Piece:
    """A heading marked as in Markdown, which many a typist knows by now."""
    text = Line(line.text[skip:], line.start + skip, line.number)
    return Piece(_clean([text]).block(Kind.HEADING, line.number, level=level))


def _quoted(group: list[Line], page: Page) -> Iterator[Piece]:
    """Lines that begin with '>', as in a letter quoted in an e-mail; an empty one ends a paragraph."""
    stop = next((at for at, line in enumerate(group) if not _QUOTED.match(line.text)), len(group))
    paragraph: list[Line] = []
    for line in [*group[:stop], Line(">", 0, 0)]:
        prefix = _prefix(line.text)
        if line.text[prefix:].strip():
            paragraph.append(Line(line.text[prefix:], line.start + prefix, line.number))
        elif paragraph:
            yield _piece(paragraph, page, Kind.QUOTATION)
            paragraph = []
    if stop < len(group):
        yield from _pieces(group[stop:], page)


def _prefix(text: str) -> int:
    """Length of the '>' signs and spaces before quoted text."""
    return len(text) - len(text.lstrip("> \t"))


def _picture_inside(group: Sequence[Line]) -> int | None:
    """The line on which a picture stands right under text, with nothing after its bracket."""
    texts = (line.text.strip() for line in group)
    return next(
        (at for at, text in enumerate(texts) if text[0] == "[" and text[-1] == "]" and _PICTURE.match(text)), None
    )


def _picture(group: list[Line], page: Page) -> Iterator[Piece]:
    """'[Illustration: caption]' or '[Illustration] caption'."""
    stop = next((at for at, line in enumerate(group, 1) if "]" in line.text), len(group))
    if not group[stop - 1].text.rstrip().endswith("]"):
        stop = len(group)
    text = "\n".join(line.text for line in group[:stop])
    opening = _PICTURE.match(text, len(text) - len(text.lstrip()))
    edits = [Edit(*opening.span())] if opening else []
    close = text.rfind("]")
    if close >= (edits[0].end if edits else 0):
        edits.append(Edit(close, close + 1))
    yield Piece(assemble(group[:stop], _with_type(text, edits)).block(Kind.PICTURE, group[0].number))
    if stop < len(group):
        yield from _pieces(group[stop:], page)


def _row(line: Line) -> Piece:
    """A row of a table, with a tab between two cells."""
    clean = CleanText()
    for start, end in cells(line):
        clean.gap("\t")
        part = Line(line.text[start:end], line.start + start, line.number)
        assemble([part], _with_type(part.text, []), into=clean)
    return Piece(clean.block(Kind.TABLE, line.number))


def _first_entry(group: Sequence[Line], page: Page) -> int | None:
    """The line on which a list begins in this group, or None.

    A label at the margin before running text may be the number of a person's own entry: only small roman numerals, a
    plus sign, a set-in line, a second label or a colon before it make a list of it.
    """
    starts = [at for at in range(len(group)) if _opens_entry(group, at, page)]
    for at in starts:
        announced = at > 0 and group[at - 1].text.rstrip().endswith(":")
        if (
            CHILD_LABEL.match(group[at].text.lstrip())
            or page.sets_in(group[at : at + 1])
            or starts[-1] > at
            or announced
        ):
            return at
    return None


def _opens_entry(group: Sequence[Line], at: int, page: Page) -> bool:
    """Whether a line has a label, and not by chance as the next line of running text ("born in / 1702. He")."""
    if not _label(group[at]):
        return False
    before = group[at - 1] if at else None
    if before is None or indent(group[at]) != indent(before) or _ENDS_SENTENCE.search(before.text.rstrip()):
        return True
    return not page.is_full(before, group[at]) or _follows(_label(before), _label(group[at]))


def _follows(early: re.Match[str] | None, late: re.Match[str] | None) -> bool:
    """Whether one label comes right after another: 12 after 11, or one child after another."""
    if early and late and early.re is late.re is CHILD_LABEL:
        return True
    numbers = [int(digits[0]) for label in (early, late) if label and (digits := re.search(r"\d+", label[0]))]
    return len(numbers) == 2 and numbers[1] == numbers[0] + 1


def _label(line: Line) -> re.Match[str] | None:
    if not _LABEL_START.match(line.text):
        return None
    text = line.text.strip()
    return CHILD_LABEL.match(text) or LIST_LABEL.match(text)


def _entries(group: Sequence[Line], page: Page) -> Iterator[Piece]:
    """One piece an entry; lines without a label go on with the entry above, unless they fall back to the left."""
    entry: list[Line] = []
    for at, line in enumerate(group):
        if entry and not _opens_entry(group, at, page):
            if not _goes_on(entry, line, page):
                yield _entry(entry)
                yield from _pieces(list(group[at:]), page)
                return
            entry.append(line)
            continue
        if entry:
            yield _entry(entry)
        entry = [line]
    yield _entry(entry)


def _goes_on(entry: Sequence[Line], line: Line, page: Page) -> bool:
    if indent(line) > indent(entry[0]):
        return True
    return indent(line) == indent(entry[0]) and (line.text.lstrip()[:1].islower() or page.is_full(entry[-1], line))


def _entry(lines: Sequence[Line]) -> Piece:
    block = _clean(lines).block(Kind.ITEM, lines[0].number)
    label = CHILD_LABEL.match(block.text) or LIST_LABEL.match(block.text)
    return Piece(without_start(block, label.end(), label[0].strip()) if label else block)


# --- text without labels -------------------------------------------------------------------------------------------


def _text(group: list[Line], page: Page) -> Iterator[Piece]:
    """Paragraphs, headings in several lines, verse, addresses and lists without labels."""
    if len(group) == 1 or in_capitals(" ".join(line.text for line in group)) or all(map(page.centres, group)):
        yield _prose(group, page, alone=True)
    elif page.flows(group) or _is_one_span(group):
        titled = int(_titles(group, page))
        if titled:
            yield _prose(group[:1], page, alone=True)
        for paragraph in _at_indents(group[titled:]):
            yield _prose(paragraph, page)
    elif page.sets_in(group) and sum(bool(_YEAR.search(line.text)) for line in group) < 0.5 * len(group):
        yield _piece(group, page, Kind.QUOTATION)  # verse, an address, an inscription
    else:
        for entry in _loose_entries(group, page):
            yield _piece(entry, page, Kind.PARAGRAPH if _is_sentence(entry) else Kind.ITEM)


def _unbroken(group: Sequence[Line], page: Page) -> Iterator[Piece]:
    """A group whose lines are not broken at a margin: each is a paragraph, but for lists, tables and turned pages."""
    start = 0
    for at in range(1, len(group) + 1):
        if at < len(group) and (_are_alike(group[at - 1], group[at]) or _runs_over(group[at - 1], group[at])):
            continue
        part = list(group[start:at])
        start = at
        if len(part) == 1:
            yield from _pieces(part, page)
        elif _label(part[0]):
            yield from map(_entry, ([line] for line in part))
        elif columns(part[0]) > 1:
            yield from map(_row, part)
        else:
            yield _prose(part, page, alone=True)


def _are_alike(early: Line, late: Line) -> bool:
    """Whether two lines one below the other are entries of one list or rows of one table."""
    first, second = _label(early), _label(late)
    if first and second:
        return first.re is second.re and bool(indent(early)) == bool(indent(late))
    return not first and not second and columns(early) > 1 < columns(late)


def _is_one_span(group: Sequence[Line]) -> bool:
    """Whether typed italics open with the first line and close with the last."""
    text = "\n".join(line.text for line in group).strip()
    return text[0] == text[-1] == "_" and text.count("_") == 2


def _prose(lines: Sequence[Line], page: Page, alone: bool = False) -> Piece:
    return _piece(lines, page, Kind.QUOTATION if page.sets_in(lines) else Kind.PARAGRAPH, alone)


def _titles(group: Sequence[Line], page: Page) -> bool:
    """Whether the first line is a heading that stands right above its text."""
    title = group[0].text.strip()
    return not page.is_full(group[0], group[1]) and (is_division(title) or in_capitals(title))


def _at_indents(group: Sequence[Line]) -> Iterator[Sequence[Line]]:
    """Paragraphs told apart by a set-in first line alone."""
    start = 0
    starts_at = [indent(line) for line in group]
    base = min(starts_at)
    for at in range(1, len(group)):
        opens = starts_at[at] >= base + SET_IN and starts_at[at - 1] == base
        if opens and _ENDS_SENTENCE.search(group[at - 1].text.rstrip()):
            yield group[start:at]
            start = at
    yield group[start:]


def _loose_entries(group: Sequence[Line], page: Page) -> Iterator[list[Line]]:
    """The lines of a list without labels, each with the lines that go on from it."""
    entry = [group[0]]
    for line in group[1:]:
        ended = _ENDS_SENTENCE.search(entry[-1].text.rstrip())
        hangs = indent(line) > indent(entry[0]) and (len(entry) > 1 or page.is_full(entry[-1], line))
        if hangs or (line.text.lstrip()[:1].islower() and not ended):
            entry.append(line)
        else:
            yield entry
            entry = [line]
    yield entry


def _is_sentence(lines: Sequence[Line]) -> bool:
    words = sum(len(line.text.split()) for line in lines)
    last = lines[-1].text.rstrip()
    return last.endswith(":") or (words >= _SENTENCE_WORDS and bool(_ENDS_SENTENCE.search(last)))


# --- captions ------------------------------------------------------------------------------------------------------


def with_captions(blocks: Sequence[Block]) -> list[Block]:
    """Short paragraphs that name a table or figure, or stand in italics by one, are captions."""
    captioned = []
    for at, block in enumerate(blocks):
        named = block.kind in (Kind.PARAGRAPH, Kind.QUOTATION) and (
            _CAPTION.match(block.text) or (is_italic(block) and _is_beside(blocks, at))
        )
        captioned.append(replace(block, kind=Kind.CAPTION) if named and block.words <= _CAPTION_WORDS else block)
    return captioned


def _is_beside(blocks: Sequence[Block], at: int) -> bool:
    """Whether a table or picture stands next to the block."""
    return any(near.kind in (Kind.TABLE, Kind.PICTURE) for near in blocks[max(at - 1, 0) : at + 2])


def is_italic(block: Block) -> bool:
    """Whether all of the block is in italics."""
    return bool(block.text) and block.italic == ((0, len(block.text)),)


# --- type: italics, bold, raised figures ----------------------------------------------------------------------------

_TYPE = {
    "_": re.compile(r"(?<![^\W\d])_(?![\s_])[^_]+(?<!\s)_(?!\w)"),
    "**": re.compile(r"(?<![\w*])\*\*(?![\s*])[^*]+(?<!\s)\*\*(?![\w*])"),
    "*": re.compile(r"(?<![\w*])\*(?![\s*])[^*]+(?<!\s)\*(?![\w*])"),
    "=": re.compile(r"(?<![\w=])=(?![\s=])[^=]+(?<!\s)=(?![\w=])"),
}
_RAISED = re.compile(
    r"\^\{(?P<braced>[\w.]{1,12})\}|\^(?P<digits>\d{1,3}(?:[,–-]\d{1,3})*)\^?|(?<=\w)\^(?P<letters>[^\W\d_]{1,3})(?!\w)"
    r"|<sup>(?P<tagged>[^<>]{1,12})</sup>"
)


def _clean(lines: Sequence[Line]) -> CleanText:
    text = "\n".join(line.text for line in lines)
    return assemble(lines, _with_type(text, []))


def _with_type(text: str, edits: list[Edit]) -> list[Edit]:
    """``edits`` and those that take typed signs for italics, bold and raised figures out of ``text``, in order."""
    for sign, pattern in _TYPE.items():
        if sign in text:
            italic, bold = (1, 0) if sign in "_*" else (0, 1)
            for match in pattern.finditer(text):
                edits.append(Edit(match.start(), match.start() + len(sign), italic=italic, bold=bold))
                edits.append(Edit(match.end() - len(sign), match.end(), italic=-italic, bold=-bold))
    if "^" in text or "<sup>" in text:
        for match in _RAISED.finditer(text):
            edits += unwrapped(match, match.lastgroup or 0)
    edits.sort(key=lambda edit: edit.start)
    return edits
