"""Inline Markdown as edits: what in a paragraph is markup, found in one pass and never more than once.

After the CommonMark specification 0.31 (spec.commonmark.org), with notes ("[^3]", "^[text]") and raised figures
("<sup>3</sup>", "^3^") as Pandoc writes them. A sign that belongs to nothing stays text. Two departures, so that no
word of a draft is lost: only what HTML knows is a tag ("<unknown>" is text), and a picture's address may hold spaces.
"""

from __future__ import annotations

import html
import re
from collections import defaultdict, deque
from collections.abc import Container
from dataclasses import dataclass, field
from html.entities import html5

from storylint.draft.source import Edit, unwrapped

_SIGN = re.compile(r"[\\`*_\[\]!<&^]")
_PUNCTUATION = frozenset("!\"#$%&'()*+,-./:;<=>?@[\\]^_`{|}~")
_BACKTICKS = re.compile(r"`+")
_NOTE_CALL = re.compile(r"\[\^([^\]\[\s]{1,100})\]")
_ENTITY = re.compile(r"&(?:#[xX][0-9a-fA-F]{1,6}|#\d{1,7}|[A-Za-z][A-Za-z0-9]{1,31});")
_RAISED_SIGN = re.compile(r"\^(\d{1,3}(?:[,–-]\d{1,3}){0,5})\^?(?![\w^])")
_RAISED_SEPARATOR = re.compile(r"\^[,;] ?\^(?=\[\^)")  # between two notes, as Pandoc's manual has it
_RAISED_TAG = re.compile(r"<sup>\s*\[?(\d{1,3}(?:[,–-]\s?\d{1,3}){0,5})\]?\s*</sup>", re.IGNORECASE)
_AUTOLINK = re.compile(
    r"<(?:[A-Za-z][A-Za-z0-9+.-]{1,31}:[^\s<>]{0,2000}|[\w.+-]{1,64}@[\w-]{1,63}(?:\.[\w-]{1,63}){0,8})>"
)
_TAG = re.compile(
    r"</?(a|abbr|b|big|blockquote|br|center|cite|code|dd|del|details|div|dl|dt|em|figcaption|figure|font|h[1-6]|hr|i|img"
    r"|ins|kbd|li|mark|ol|p|pre|q|s|section|small|span|strike|strong|sub|summary|sup|table|tbody|td|tfoot|th|thead|tr|tt"
    r"|u|ul|wbr)(?:\s{0,20}/?|\s[^<>=]{0,100}=[^<>]{0,2000})>",
    re.IGNORECASE,
)
_BREAKING = frozenset(["br", "div", "p", "li", "tr", "td", "th", "hr", "table", "ul", "ol", "dd", "dt", "blockquote"])
_TITLE = re.compile(r"""\s{1,100}(?:"[^"]{0,2000}"|'[^']{0,2000}'|\([^()]{0,2000}\))""")
_BLANK = re.compile(r"\s{0,100}")
_IN_ADDRESS = re.compile(r"\\[!-/:-@\[-`{-~]|\\(?=\s)|[()\s]")
_LABEL = re.compile(r"\[([^\[\]]{0,999})\]")
# Pandoc's attributes, of a heading, a picture, a link or a span: "{#owen .unnumbered}", "{-}", "{width=50%}".
ATTRIBUTES = re.compile(r"\{(?:-|[#.][\w.:-][^{}\n]{0,200}|[\w:-]{1,30}=[^{}\n]{0,200})\}")
_DEEPEST = 8
_DEEPEST_ADDRESS = 32  # brackets in brackets; CommonMark asks for at least three
_LONGEST_ADDRESS = 2000
_LONGEST_LABEL = 999  # CommonMark: a link label has at most 999 characters


@dataclass(slots=True)
class Inline:
    """What ``scan`` found: ``edits`` of the text, rising; ``pictures`` and ``notes`` as (start, end) of their own text
    with the whole extent they take."""

    edits: list[Edit] = field(default_factory=list)
    pictures: list[Extent] = field(default_factory=list)
    notes: list[Extent] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Extent:
    """A picture or an inline note: ``start`` to ``end`` of the text with its markup, ``first`` to ``last`` without."""

    start: int
    end: int
    first: int
    last: int


@dataclass(slots=True)
class _Run:
    """A run of asterisks or underscores that may still open or close emphasis."""

    at: int
    sign: str
    left: int
    length: int
    opens: bool
    closes: bool


@dataclass(slots=True)
class _Bracket:
    at: int
    kind: str  # "[" link, "!" picture, "^" note
    runs: int  # how many runs of emphasis stood before it


def normal(label: str) -> str:
    """A link label as CommonMark compares it."""
    return " ".join(label.split()).casefold()


def scan(text: str, references: Container[str] = (), name: str = "") -> Inline:
    """The edits that make ``text`` clean.

    ``references`` are the labels (``normal``) of links defined elsewhere; ``name`` tells this text from the others of
    the draft where it has inline notes.
    """
    return _Scanner(text, references, name).result()


def inline_call(name: str, at: int) -> str:
    """What the mark of the inline note at ``at`` of the text ``name`` calls; no label that a writer could type."""
    return f"^{name} {at}"


class _Scanner:
    """One pass over the text of a paragraph; each handler takes the place of a sign and returns where to go on."""

    def __init__(self, text: str, references: Container[str], name: str) -> None:
        self.text = text
        self.references = references
        self.name = name
        self.found = Inline()
        self.runs: list[_Run] = []
        self.brackets: list[_Bracket] = []
        self.dead = 0  # brackets below this index stand around a link and can't be links themselves
        self.nested = {"[": 0, "!": 0, "^": 0}
        self.fences: dict[int, deque[int]] | None = None
        self.comments = True  # whether a comment may still be closed
        self.handlers = {
            "\\": self._escape, "`": self._code, "*": self._emphasis, "_": self._emphasis, "[": self._open,
            "]": self._close, "!": self._exclamation, "<": self._angle, "&": self._entity, "^": self._caret,
        }  # fmt: skip

    def result(self) -> Inline:
        at = 0
        while sign := _SIGN.search(self.text, at):
            at = self.handlers[sign[0]](sign.start())
        self._pair(0)
        self.found.edits.sort(key=lambda edit: (edit.start, -edit.end))
        return self.found

    def _drop(self, start: int, end: int) -> None:
        self.found.edits.append(Edit(start, end))

    def _escape(self, at: int) -> int:
        after = self.text[at + 1 : at + 2]
        if after in _PUNCTUATION or after == "\n":
            self._drop(at, at + 1)
            return at + 2
        return at + 1

    def _code(self, at: int) -> int:
        if self.fences is None:
            self.fences = defaultdict(deque)
            for fence in _BACKTICKS.finditer(self.text):
                self.fences[len(fence[0])].append(fence.start())
        length = len(_BACKTICKS.match(self.text, at)[0])  # type: ignore[index]
        later = self.fences[length]
        while later and later[0] <= at:
            later.popleft()
        if not later:
            return at + length
        close = later.popleft()
        self._drop(at, at + length)
        self._drop(close, close + length)
        return close + length

    def _entity(self, at: int) -> int:
        entity = _ENTITY.match(self.text, at)
        if entity is None:
            return at + 1
        code = entity[0][1:]
        stands_for = html.unescape(entity[0]) if code[0] == "#" else html5.get(code, "")
        if not stands_for:
            return at + 1
        self.found.edits.append(Edit(at, entity.end(), put=stands_for))
        return entity.end()

    def _caret(self, at: int) -> int:
        if separator := _RAISED_SEPARATOR.match(self.text, at):
            self._drop(at, separator.end())
            return separator.end()
        if self.text.startswith("[", at + 1):
            self._push(at, "^")
            return at + 2
        if raised := _RAISED_SIGN.match(self.text, at):
            self.found.edits += unwrapped(raised, 1)
            return raised.end()
        return at + 1

    def _angle(self, at: int) -> int:
        if self.comments and self.text.startswith("<!--", at):
            close = self.text.find("-->", at + 4)
            if close >= 0:
                self._drop(at, close + 3)
                return close + 3
            self.comments = False
        if raised := _RAISED_TAG.match(self.text, at):
            self.found.edits += unwrapped(raised, 1)
            return raised.end()
        if link := _AUTOLINK.match(self.text, at):
            self._drop(at, at + 1)
            self._drop(link.end() - 1, link.end())
            return link.end()
        if tag := _TAG.match(self.text, at):
            self.found.edits.append(_tag(tag))
            return tag.end()
        return at + 1

    # --- brackets: links, pictures, notes ---------------------------------------------------------------------------

    def _exclamation(self, at: int) -> int:
        if self.text.startswith("[", at + 1) and not self.text.startswith("[^", at + 1):
            self._push(at, "!")
            return at + 2
        return at + 1

    def _open(self, at: int) -> int:
        if call := _NOTE_CALL.match(self.text, at):
            self.found.edits.append(Edit(at, call.end(), calls=call[1]))
            return call.end()
        self._push(at, "[")
        return at + 1

    def _push(self, at: int, kind: str) -> None:
        if self.nested[kind] >= _DEEPEST:
            kind = "["  # nobody nests pictures or notes so deep
        self.nested[kind] += kind != "["
        self.brackets.append(_Bracket(at, kind, len(self.runs)))

    def _close(self, at: int) -> int:
        if not self.brackets:
            return at + 1
        bracket = self.brackets.pop()
        self.nested[bracket.kind] -= bracket.kind != "["
        dead = bracket.kind == "[" and len(self.brackets) < self.dead
        self.dead = min(self.dead, len(self.brackets))
        first = bracket.at + (1 if bracket.kind == "[" else 2)
        end = at + 1 if bracket.kind == "^" else self._link_end(first, at, bracket.kind == "!")
        may_have = bracket.kind == "[" or (bracket.kind == "!" and end is not None)
        if may_have and (its := ATTRIBUTES.match(self.text, at + 1 if end is None else end)):
            end = its.end()
        if dead or end is None:
            return at + 1
        self._pair(bracket.runs)
        if bracket.kind == "[":
            self._drop(bracket.at, first)
            self._drop(at, end)
            self.dead = len(self.brackets)
        elif bracket.kind == "!":
            self._drop(bracket.at, end)
            self.found.pictures.append(Extent(bracket.at, end, first, at))
        else:
            self.found.edits.append(Edit(bracket.at, end, calls=inline_call(self.name, bracket.at)))
            self.found.notes.append(Extent(bracket.at, end, first, at))
        return end

    def _link_end(self, first: int, close: int, picture: bool) -> int | None:
        """Where the link whose text ends with the bracket at ``close`` ends, or None if it is none."""
        after = self.text[close + 1 : close + 2]
        if after == "(" and (end := _address_end(self.text, close + 1, picture)) is not None:
            return end
        end = close + 1
        label = self.text[first:close] if close - first <= _LONGEST_LABEL else ""
        if after == "[" and (full := _LABEL.match(self.text, close + 1)):
            end = full.end()
            label = full[1] or label
        return end if label and normal(label) in self.references else None

    # --- emphasis ---------------------------------------------------------------------------------------------------

    def _emphasis(self, at: int) -> int:
        sign = self.text[at]
        end = at + 1
        while self.text[end : end + 1] == sign:
            end += 1
        before, after = self.text[at - 1 : at] or " ", self.text[end : end + 1] or " "
        left = not after.isspace() and (after.isalnum() or before.isspace() or not before.isalnum())
        right = not before.isspace() and (before.isalnum() or after.isspace() or not after.isalnum())
        opens, closes = left, right
        if sign == "_":
            opens, closes = left and (not right or not before.isalnum()), right and (not left or not after.isalnum())
        if opens or closes:
            self.runs.append(_Run(at, sign, end - at, end - at, opens, closes))
        return end

    def _pair(self, bottom: int) -> None:
        """Pair the runs from ``bottom`` on, inner ones first, and forget them.

        ``floors`` remembers below which opener a closer of one sort has been sought in vain, so that no run is looked
        at again and again.
        """
        openers: list[_Run] = []
        floors: dict[tuple[str, bool, int], int] = {}
        for run in self.runs[bottom:]:
            while run.closes and run.left:
                sort = (run.sign, run.opens, run.length % 3)
                floor = min(floors.get(sort, 0), len(openers))
                at = next((at for at in range(len(openers) - 1, floor - 1, -1) if _match(openers[at], run)), None)
                if at is None:
                    floors[sort] = len(openers)
                    break
                self._emphasise(openers[at], run)
                del openers[at + bool(openers[at].left) :]
                floors = {key: min(floor, len(openers)) for key, floor in floors.items()}
            if run.opens and run.left:
                openers.append(run)
        del self.runs[bottom:]

    def _emphasise(self, opener: _Run, closer: _Run) -> None:
        width = 2 if opener.left >= 2 and closer.left >= 2 else 1
        italic, bold = int(width == 1), int(width == 2)
        opener.left -= width
        start = opener.at + opener.left
        self.found.edits.append(Edit(start, start + width, italic=italic, bold=bold))
        self.found.edits.append(Edit(closer.at, closer.at + width, italic=-italic, bold=-bold))
        closer.at += width
        closer.left -= width


def _match(opener: _Run, closer: _Run) -> bool:
    """CommonMark's rule of three: runs that could both open and close don't pair when their lengths add up to 3n."""
    if opener.sign != closer.sign:
        return False
    both = opener.closes or closer.opens
    return not both or (opener.length + closer.length) % 3 != 0 or (opener.length % 3 == 0 and closer.length % 3 == 0)


def _tag(tag: re.Match[str]) -> Edit:
    name = tag[1].lower()
    by = -1 if tag[0][1] == "/" else 1
    if name in ("i", "em"):
        return Edit(*tag.span(), italic=by)
    if name in ("b", "strong"):
        return Edit(*tag.span(), bold=by)
    return Edit(*tag.span(), put=" " if name in _BREAKING else "")


def _address_end(text: str, at: int, picture: bool) -> int | None:
    """Where the brackets round an address and perhaps a title, which open at ``at``, close; None if they are not."""
    start = at = _skip(text, at + 1)
    if text.startswith("<", at):
        at = text.find(">", at, at + _LONGEST_ADDRESS) + 1
        if not at:
            return None
    else:
        depth = 0
        for sign in _IN_ADDRESS.finditer(text, at, at + _LONGEST_ADDRESS):
            at = sign.start()
            if (sign[0] == ")" and not depth) or depth > _DEEPEST_ADDRESS:
                break
            if sign[0] == "\\" and not picture:  # as markdown-it-py, our reference, has it
                return None
            if sign[0].isspace() and not (picture and sign[0] != "\n" and not _TITLE.match(text, at)):
                break
            depth += {"(": 1, ")": -1}.get(sign[0], 0)
        else:
            return None
        if depth:  # brackets in an address close, or it is none
            return None
    if at > start and (title := _TITLE.match(text, at)):
        at = title.end()
    at = _skip(text, at)
    return at + 1 if text.startswith(")", at) else None


def _skip(text: str, at: int) -> int:
    return _BLANK.match(text, at).end()  # type: ignore[union-attr]
