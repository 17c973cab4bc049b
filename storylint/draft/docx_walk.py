"""The one walk over the body of a .docx: which words are read, in which order, and where they stand.

The view is that of the printed page with all tracked changes accepted: deleted and moved-away text, instructions of
fields, hidden text and the second copy of a text box are left out. Whoever must find words again in the document (to
comment on them, to put a note behind them) uses this walk, so that it never disagrees with what was read.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import chain
from typing import TYPE_CHECKING, NamedTuple

from storylint.draft.docx_styles import Styles, W, changed, is_on, number, value
from storylint.draft.plain import CELL
from storylint.draft.raw import PLAIN, Look

if TYPE_CHECKING:
    from lxml.etree import _Element

_MC = "{http://schemas.openxmlformats.org/markup-compatibility/2006}"
_M = "{http://schemas.openxmlformats.org/officeDocument/2006/math}"
_V = "{urn:schemas-microsoft-com:vml}"
_O = "{urn:schemas-microsoft-com:office:office}"
_A = "{http://schemas.openxmlformats.org/drawingml/2006/main}"
_DOCPR = "{http://schemas.openxmlformats.org/drawingml/2006/wordprocessingDrawing}docPr"
ALTERNATE, _CHOICE, FALLBACK = (_MC + tag for tag in ("AlternateContent", "Choice", "Fallback"))
# The vocabularies of the standard and of the word processor that it comes from: words and pictures are found in each.
_KNOWN = (
    "http://schemas.openxmlformats.org/", "http://schemas.microsoft.com/office/", "urn:schemas-microsoft-com:",
    "http://purl.oclc.org/ooxml/",
)  # fmt: skip
_TEXT_BOX = W + "txbxContent"

BODY = W + "body"
PARAGRAPH, TABLE, SECTION = W + "p", W + "tbl", W + "sectPr"
FOREIGN = W + "altChunk"
ELSEWHERE = W + "subDoc"
# What may stand right in the body and hold text, and the body itself, which ends last.
BODY_PARENTS = frozenset({W + "document", BODY})
BODY_TAGS = (
    BODY, PARAGRAPH, TABLE, SECTION, FOREIGN, ALTERNATE, *(W + tag for tag in ("sdt", "customXml", "ins", "moveTo")),
)  # fmt: skip

# Elements that only wrap what is read.
_WRAPPERS = frozenset(
    W + tag
    for tag in (
        "sdt", "sdtContent", "customXml", "smartTag", "ins", "moveTo", "hyperlink", "fldSimple", "dir", "bdo",
        "ruby", "rubyBase",
    )
) | frozenset(
    _M + tag
    for tag in (
        "oMath", "oMathPara", "f", "num", "den", "e", "sSup", "sSub", "sSubSup", "sPre", "sup", "sub", "rad", "deg", "d",
        "nary", "func", "fName", "limLow", "limUpp", "lim", "m", "mr", "eqArr", "acc", "bar", "box", "borderBox",
        "groupChr", "phant",
    )
)  # fmt: skip
_DENOMINATOR, _RAISED = _M + "den", _M + "sup"
_HOLDERS = _WRAPPERS | {ALTERNATE, TABLE}
_GONE = frozenset({W + "del", W + "moveFrom", FALLBACK, W + "rt"})
_RUNS = frozenset({W + "r", _M + "r"})
TEXTS = frozenset({W + "t", _M + "t"})
_CHARACTERS = {
    W + "tab": "\t",
    W + "ptab": "\t",
    W + "br": "\n",
    W + "cr": "\n",
    W + "noBreakHyphen": "-",
    W + "softHyphen": "\N{SOFT HYPHEN}",
}
_SYMEX = "{http://schemas.microsoft.com/office/word/2015/wordml/symex}"
SIGN = _SYMEX + "symEx"
_SIGNS = {W + "sym": W + "char", SIGN: _SYMEX + "char"}
_NOTES = {W + "footnoteReference": "footnote", W + "endnoteReference": "endnote"}
_PICTURES = frozenset({W + "drawing", W + "pict", W + "object"})
WORDS_DRAWN = _V + "textpath"
_FILLED = (_A + "blip", _V + "imagedata", _A + "graphicData")
_DRAWN = ("/chart", "/chartex", "/diagram")
# The font Symbol, by the codes 20 to 7E and A0 to FE there (Apple's SYMBOL.TXT among the mappings of the Unicode
# Consortium; the layout is Adobe's); "•" where that has only a part of a sign, and a plain asterisk, which is a mark.
_SYMBOL = dict(
    zip(
        (*range(0x20, 0x7F), *range(0xA0, 0xFF)),
        " !∀#∃%&∋()*+,−./0123456789:;<=>?"
        "≅ΑΒΧΔΕΦΓΗΙϑΚΛΜΝΟΠΘΡΣΤΥςΩΞΨΖ[∴]⊥_"
        "•αβχδεφγηιϕκλμνοπθρστυϖωξψζ{|}∼"
        "€ϒ′≤⁄∞ƒ♣♦♥♠↔←↑→↓°±″≥×∝∂•÷≠≡≈…••↵"
        "ℵℑℜ℘⊗⊕∅∩∪⊃⊇⊄⊂⊆∈∉∠∇®©™∏√·¬∧∨⇔⇐⇑⇒⇓"
        "◊〈®©™∑••••••••••"
        "•〉∫⌠•⌡•••••••••",
        strict=True,
    )
)
# Signs of the other symbol fonts that writers do use; any other becomes a bullet.
_SIGNS_ELSEWHERE = {0xFC: "✓", 0xFB: "✗", 0xE0: "→", 0xDF: "←"}
_SYMBOL_FONTS = ("symbol", "wingdings", "webdings")

_NO_STYLES = Styles(None)
# Paragraphs. An instruction that runs over more has lost its end, and what looks like it is text.
_LONGEST_INSTRUCTION = 50

IN_RAW = frozenset({"text", "again", "count"})  # the kinds of pieces whose text is part of a paragraph's raw text


class Piece(NamedTuple):
    """A thing met in a paragraph.

    ``kind`` is "text", "footnote", "endnote", "again" (the mark of a note, repeated by cross-reference) or "picture".
    ``text`` is what is seen: for a note its own mark where the writer set one, for a picture its description.
    ``part`` is the element that holds it, ``run`` the run around that; ``note`` the id in the notes part.
    """

    kind: str
    run: _Element
    part: _Element
    text: str
    look: Look
    name: str = ""


@dataclass(slots=True)
class Unit:
    """What becomes one block: a paragraph, or a table row with the paragraphs of its cells.

    ``index`` is the place of its first own paragraph in reading order, counting every paragraph of the body, empty or
    not, in tables and text boxes too. ``parts`` are (what stands between, paragraph); several make one paragraph where
    the mark between them is deleted or part of a field's instruction, or the first is a drop cap.
    """

    index: int
    parts: tuple[tuple[str, _Element], ...]
    row: bool = False

    @property
    def paragraph(self) -> _Element:
        """The paragraph whose properties count: the last."""
        return self.parts[-1][1]

    def pieces(self, styles: Styles) -> Iterator[tuple[str, Iterator[Piece]]]:
        """(what stands between, what is seen in the paragraph) of each part, to be taken in order: a field that is open
        at the end of one goes on in the next. The paragraphs of text boxes are units of their own."""
        fields: list[_Field] = []
        for between, paragraph in self.parts:
            if self.row:
                fields = []
            yield between, _Paragraph(paragraph, styles, fields).pieces(paragraph)

    def raw_runs(self, styles: Styles) -> Iterator[tuple[_Element, _Element, int, str]]:
        """(run, text element, start in the unit's raw text, text) of everything visible, in reading order.

        The text element is a ``w:t``, or a one-character element such as ``w:tab`` or ``w:br``.
        """
        at = 0
        for between, pieces in self.pieces(styles):
            at += len(between)
            for piece in pieces:
                if piece.kind in IN_RAW:
                    yield piece.run, piece.part, at, piece.text
                    at += len(piece.text)


def raw_runs(paragraph: _Element, styles: Styles) -> Iterator[tuple[_Element, _Element, int, str]]:
    """(run, text element, start in the raw text, text) of everything visible in one paragraph, in reading order."""
    return Unit(0, (("", paragraph),)).raw_runs(styles)


# --- paragraphs -------------------------------------------------------------------------------------------------


class Walk:
    """The units of a body, in reading order, with their indexes counted through."""

    def __init__(self) -> None:
        self.count = 0
        self.waits = False  # whether the last paragraph is still needed, since it runs on into the next

    def units(self, elements: Iterable[_Element]) -> Iterator[Unit]:
        """The units in these block-level elements (the children of a body, a cell, a text box)."""
        waiting: list[tuple[int, _Element]] = []
        fields: list[_Field] = []
        boxes: list[Unit] = []
        for element in chain(elements, (None,)):
            tag = element.tag if element is not None else None
            if element is not None and tag == PARAGRAPH:
                waiting.append((self._next(), element))
                boxes += self._boxes(element)
                _follow_fields(element, fields)
                self.waits = _runs_on(element) or (_in_instruction(fields) and len(waiting) < _LONGEST_INSTRUCTION)
                if self.waits:
                    continue
            elif tag is not None and tag not in _HOLDERS:
                continue  # a bookmark or the like
            if waiting:
                yield from _joined(waiting, _in_instruction(fields))
                yield from boxes
                self.waits = False
                waiting, fields, boxes = [], [], []
            if element is not None and tag == TABLE:
                yield from self._table(element)
            elif element is not None and tag != PARAGRAPH:
                yield from self.units(chosen(element))

    def _next(self) -> int:
        self.count += 1
        return self.count - 1

    def _boxes(self, paragraph: _Element) -> list[Unit]:
        """The units of the text boxes that hang on a paragraph."""
        if next(paragraph.iter(_TEXT_BOX), None) is None:
            return []
        return [unit for box in _text_boxes(paragraph) for unit in self.units(box)]

    def _table(self, table: _Element) -> Iterator[Unit]:
        rows = list(_inside(table, W + "tr"))
        cells = [cell for cell in _inside(rows[0], W + "tc") if not _is_deleted(cell)] if len(rows) == 1 else []
        for row in rows:
            # One cell alone is a frame around text, not a table.
            units = self.units(cells[0]) if len(cells) == 1 else self._row(row)
            if not _is_deleted(row):
                yield from units
            else:
                for _ in units:  # its paragraphs count
                    pass

    def _row(self, row: _Element) -> Iterator[Unit]:
        parts: list[tuple[str, _Element]] = []
        boxes: list[Unit] = []
        first, between = self.count, ""
        for cell in _inside(row, W + "tc"):
            deleted = _is_deleted(cell)
            for paragraph in _flow(cell):
                self._next()
                if not deleted:
                    boxes += self._boxes(paragraph)
                    parts.append((between, paragraph))
                    between = "\n"
            if not deleted:
                between = between.rstrip("\n") + CELL
        if parts:
            yield Unit(first, tuple(parts), row=True)
        yield from boxes


def chosen(element: _Element) -> Iterable[_Element]:
    """What a wrapper holds; of the versions of one content the first that can be read, as the standard asks, or where
    none can and there is no other, the first all the same, so that no word is lost (ISO/IEC 29500-3)."""
    if element.tag != ALTERNATE:
        return element
    known = (choice for choice in element.iterchildren(_CHOICE) if _is_known(choice))
    version = next(known, None)
    if version is None:
        version = element.find(FALLBACK)
    return version if version is not None else next(iter(element), ())


def _is_known(choice: _Element) -> bool:
    names = choice.nsmap
    return all(names.get(prefix, "").startswith(_KNOWN) for prefix in (choice.get("Requires") or "").split())


def _joined(waiting: list[tuple[int, _Element]], never_ends: bool) -> Iterator[Unit]:
    """One unit of paragraphs that run on into each other. The instruction of a field that never ends is none: its
    paragraphs stand each for itself, so that no word is lost."""
    if never_ends:
        yield from (Unit(index, (("", paragraph),)) for index, paragraph in waiting)
    else:
        yield Unit(waiting[-1][0], tuple(("", paragraph) for _, paragraph in waiting))


def _runs_on(paragraph: _Element) -> bool:
    """Whether the next paragraph continues this one: its mark is deleted or moved away, or it is a drop cap."""
    properties = paragraph.find(W + "pPr")
    if properties is None:
        return False
    frame = properties.find(W + "framePr")
    if frame is not None and frame.get(W + "dropCap") in ("drop", "margin"):
        return True
    mark = properties.find(W + "rPr")
    return mark is not None and (mark.find(W + "del") is not None or mark.find(W + "moveFrom") is not None)


def _inside(element: _Element, tag: str) -> Iterator[_Element]:
    """The rows of a table or the cells of a row, through whatever wraps them."""
    for child in element:
        if child.tag == tag:
            yield child
        elif child.tag in _WRAPPERS or child.tag == ALTERNATE:
            yield from _inside_all(chosen(child), tag)


def _inside_all(elements: Iterable[_Element], tag: str) -> Iterator[_Element]:
    for element in elements:
        if element.tag == tag:
            yield element
        elif element.tag in _WRAPPERS or element.tag == ALTERNATE:
            yield from _inside_all(chosen(element), tag)


def _flow(cell: _Element) -> Iterator[_Element]:
    """All paragraphs of a cell, those of tables within it too."""
    for child in chosen(cell):
        if child.tag == PARAGRAPH:
            yield child
        elif child.tag in (W + "tr", W + "tc"):
            if not _is_deleted(child):
                yield from _flow(child)
        elif child.tag in _HOLDERS:
            yield from _flow(child)


def _is_deleted(part: _Element) -> bool:
    """Whether a row or a cell of a table is a tracked deletion."""
    return part.find(f"{W}trPr/{W}del") is not None or part.find(f"{W}tcPr/{W}cellDel") is not None


def _text_boxes(element: _Element) -> Iterator[_Element]:
    for child in chosen(element):
        if child.tag == _TEXT_BOX:
            yield child
        elif child.tag not in _GONE and not (child.tag == W + "r" and changed(PLAIN, child.find(W + "rPr")).hidden):
            yield from _text_boxes(child)


# --- runs -------------------------------------------------------------------------------------------------------


class _Gives(NamedTuple):
    """What the result of a field is made of: the kind and name of its pieces, and whether it asks for raised type."""

    kind: str = "text"
    name: str = ""
    raised: bool = False


def _gives(instruction: str) -> _Gives | None:
    """What a field with this instruction gives; its code may be in small letters (ISO/IEC 29500-1, 17.16).

    A list to choose from gives nothing: the entry chosen stands with its beginning.

    A cross-reference to a note repeats its number, with ``\\f`` in the look of a mark; with ``\\p`` it says in words
    where the note stands ("2 above"), as no mark does.
    """
    code, *rest = [*instruction.split(), ""]
    if code.upper() == "FORMDROPDOWN":
        return None
    switches = instruction.lower()
    if code.upper() in ("NOTEREF", "FTNREF") and "\\p" not in switches:
        return _Gives("again", raised="\\f" in switches)
    return _Gives("count", rest[0]) if code.upper() == "SEQ" else _Gives()


class _Field:
    """A field that has begun: its instruction so far, and once its result has come what that gives.

    ``within`` is the field around it: what stands in the instruction of that is not seen.
    """

    __slots__ = ("_within", "gives", "instruction")

    def __init__(self, instruction: str, within: _Field | None) -> None:
        self.instruction = [instruction]
        self.gives: _Gives | None = None
        self._within = within is not None and within.unseen

    @property
    def unseen(self) -> bool:
        """Whether we are inside an instruction."""
        return self._within or self.gives is None

    def begin_result(self) -> None:
        """The instruction is complete."""
        self.gives = _gives("".join(self.instruction))


class _Paragraph:
    """The pieces of one paragraph: knows its styles and the fields that are open, innermost last."""

    def __init__(self, paragraph: _Element, styles: Styles, fields: list[_Field]) -> None:
        self._styles = styles
        self._fields = fields
        properties = paragraph.find(W + "pPr")
        self._style = value(properties, "pStyle") if properties is not None else ""
        self._plain = styles.look(self._style, "")
        self._raised = False  # whether we are in the upper part of a formula

    def pieces(self, element: Iterable[_Element]) -> Iterator[Piece]:
        for child in element:
            tag = child.tag
            if tag in _RUNS:
                yield from self._parts(child, child, self._look(child))
            elif tag == W + "fldSimple":
                self._begin_field(child.get(W + "instr") or "")
                self._fields[-1].begin_result()
                yield from self.pieces(child)
                self._fields.pop()
            elif tag == _RAISED:
                around, self._raised = self._raised, True
                yield from self.pieces(child)
                self._raised = around
            elif tag in _WRAPPERS or tag == ALTERNATE:
                if tag == _DENOMINATOR:
                    line = next(child.itersiblings(_M + "fPr", preceding=True), child)
                    yield Piece("text", line, line, "/", self._plain)
                yield from self.pieces(chosen(child))

    def _look(self, run: _Element) -> Look:
        properties = run.find(W + "rPr")
        look = self._plain
        if properties is not None and len(properties):
            style = value(properties, "rStyle")
            look = changed(self._styles.look(self._style, style) if style else look, properties)
        return look._replace(raised=True) if self._raised else look

    def _parts(self, parts: Iterable[_Element], run: _Element, look: Look) -> Iterator[Piece]:
        own_mark: Piece | None = None
        for part in parts:
            tag = part.tag
            if tag in TEXTS:
                text = part.text or ""
            elif tag in _CHARACTERS:
                text = _CHARACTERS[tag]
            elif tag in _SIGNS:
                text = symbol(part.get(_SIGNS[tag]) or "", part.get(W + "font") or "")
            else:
                yield from self._other(part, run, look)
                if tag in _NOTES and not look.hidden and not _in_instruction(self._fields):
                    own_mark = Piece(_NOTES[tag], run, part, "", look, part.get(W + "id") or "")
                    if not is_on(part.get(W + "customMarkFollows") or "0"):
                        yield own_mark
                        own_mark = None
                continue
            if own_mark is not None:
                own_mark = own_mark._replace(text=own_mark.text + text)
            elif text and not look.hidden and not _in_instruction(self._fields):
                kind, name, seen = self._result(look) if self._fields else ("text", "", look)
                yield Piece(kind, run, part, text, seen, name)
        if own_mark is not None:
            yield own_mark

    def _other(self, part: _Element, run: _Element, look: Look) -> Iterator[Piece]:
        """Fields, pictures and wrappers inside a run."""
        tag = part.tag
        if tag == W + "fldChar":
            choices = part.find(f"{W}ffData/{W}ddList")
            if choices is not None and not look.hidden and not _in_instruction(self._fields):
                yield Piece("text", run, choices, _entry(choices), look)
            self._field_character(part.get(W + "fldCharType"))
        elif tag == W + "instrText":
            if self._fields:
                self._fields[-1].instruction.append(part.text or "")
        elif tag in _PICTURES:
            if not look.hidden:
                yield from self._drawing(part, run, look)
        elif tag == ALTERNATE:
            yield from self._parts(chosen(part), run, look)
        elif tag in _WRAPPERS:
            yield from self.pieces(part)

    def _drawing(self, part: _Element, run: _Element, look: Look) -> Iterator[Piece]:
        """A picture, and words that are drawn in a shape of their own."""
        if (described := _description(part)) is not None:
            yield Piece("picture", run, part, described, look)
        for element in _drawn(part):
            if element.tag == WORDS_DRAWN and not _in_instruction(self._fields):
                yield Piece("text", run, element, f"\n{element.get('string') or ''}\n", look)

    def _begin_field(self, instruction: str = "") -> None:
        self._fields.append(_Field(instruction, self._fields[-1] if self._fields else None))

    def _field_character(self, kind: str | None) -> None:
        if kind == "begin":
            self._begin_field()
        elif kind == "separate" and self._fields:
            self._fields[-1].begin_result()
        elif kind == "end" and self._fields:
            self._fields.pop()

    def _result(self, look: Look) -> tuple[str, str, Look]:
        """The kind, name and look of text in the innermost field. A number repeated on the line is a word of its
        sentence ("as note 2 shows"); only a raised one is a mark."""
        gives = self._fields[-1].gives
        if gives is None:
            return "text", "", look
        look = look._replace(raised=look.raised or gives.raised)
        return "text" if gives.kind == "again" and not look.raised else gives.kind, gives.name, look


def _in_instruction(fields: list[_Field]) -> bool:
    return bool(fields) and fields[-1].unseen


def _follow_fields(paragraph: _Element, fields: list[_Field]) -> None:
    """Bring the fields that are open before a paragraph to what is open behind it."""
    marks = [mark.get(W + "fldCharType") for mark in paragraph.iter(W + "fldChar")]
    if fields or marks.count("begin") != marks.count("end"):
        for _ in _Paragraph(paragraph, _NO_STYLES, fields).pieces(paragraph):
            pass


def _entry(choices: _Element) -> str:
    """The entry chosen of a list in a form: the result, else the default, else the first (ISO/IEC 29500-1, 17.16)."""
    entries = [entry.get(W + "val") or "" for entry in choices.iterchildren(W + "listEntry")]
    at = number(value(choices, "result") or value(choices, "default"), 0)
    return entries[at] if 0 <= at < len(entries) else ""


def symbol(hexadecimal: str, font: str) -> str:
    """The character of a sign given by its code; symbol fonts have their own, in the private area from F000 on or in
    the places of common letters."""
    try:
        code = int(hexadecimal, 16)
    except ValueError:
        return ""
    if 0xF000 <= code <= 0xF0FF or (code <= 0xFF and font.lower().startswith(_SYMBOL_FONTS)):
        signs = _SYMBOL if font.lower().startswith(_SYMBOL_FONTS[0]) or not font else _SIGNS_ELSEWHERE
        return signs.get(code & 0xFF, "•")
    return chr(code) if 0x20 <= code < 0xD800 or 0xF900 <= code <= 0x1FFFF else "•"


def _description(drawing: _Element) -> str | None:
    """The description of a picture, chart or diagram, "" where it has none; None if this is only a shape or a box."""
    shown = False
    described = ""
    for element in _drawn(drawing):
        tag = element.tag
        if tag == _DOCPR and not described:
            described = element.get("descr") or element.get("title") or ""
        elif tag == _V + "shape" and not described:
            described = element.get("alt") or ""
        elif tag == _V + "imagedata" and not described:
            described = element.get(_O + "title") or ""
        shown = shown or (tag in _FILLED and (tag != _A + "graphicData" or _is_drawn(element.get("uri") or "")))
    return described if shown else None


def _is_drawn(uri: str) -> bool:
    return uri.endswith(_DRAWN)


def _drawn(element: _Element) -> Iterator[_Element]:
    """The elements of a drawing, without its text boxes and the second copy."""
    for child in chosen(element):
        if child.tag not in _GONE and child.tag != _TEXT_BOX:
            yield child
            yield from _drawn(child)
