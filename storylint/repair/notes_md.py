"""Live notes in Markdown: "[^3]" in the text, and in the place of each entry of the list its definition."""

from __future__ import annotations

import codecs
import re
from bisect import bisect_left

from storylint.draft.model import Draft
from storylint.draft.source import decode
from storylint.repair.plan import Group, Link, Plan, Text

# What a typed mark may look like in the source: "³", "[3]", "3", "^3^" or "<sup>3</sup>", with the space before it.
_DIGITS = r"(?:\d{1,4}|[⁰¹²³⁴-⁹]{1,4})"
_GROUP = re.compile(
    rf"[ \t]?(?:<sup>\s*\[?{_DIGITS}(?:[,;–-]\s?{_DIGITS})*\]?\s*</sup>|\^{_DIGITS}(?:[,–-]{_DIGITS})*\^?"
    rf"|\\?\[{_DIGITS}(?:[,;–-]\s?{_DIGITS})*\\?\]|{_DIGITS}(?:[,;–-] ?{_DIGITS})*)",
    re.IGNORECASE,
)
_PARTING = re.compile(r"(?:\^[,;]\^|<sup>[,;]</sup>|[,;])?")
_NUMBER = re.compile(
    rf"[ \t>]*(?:\\?\[{_DIGITS}\\?\]|\({_DIGITS}\)|<sup>\s*{_DIGITS}\s*</sup>|\^{_DIGITS}\^?|{_DIGITS})\\?[.):]?[ \t]*",
    re.IGNORECASE,
)
_LABEL = re.compile(r"\[\^([^\]\[\s]{1,100})\]")
_DEFINITION = re.compile(r" {0,3}\[\^[^\]\[\s]{1,100}\]:")

Edit = tuple[int, int, str]


def write(data: bytes, made: Plan, kind: str, per: str) -> bytes:
    """The copy's bytes. Notes number themselves wherever Markdown is printed, so ``kind`` and ``per`` change
    nothing."""
    source, _ = decode(made.draft.path, data)
    labels = _Labels(source, made)
    edits = [edit for group in made.groups for edit in _marks(source, group, labels)]
    edits += _definitions(source, made, labels)
    return _encoded(_applied(source, edits), data)


def _applied(source: str, edits: list[Edit]) -> str:
    pieces: list[str] = []
    at = 0
    for start, end, words in sorted(edits):
        pieces += (source[at:start], words)
        at = end
    return "".join([*pieces, source[at:]])


def _encoded(text: str, data: bytes) -> bytes:
    """The text in the encoding of the draft."""
    for mark, codec in (
        (codecs.BOM_UTF8, "utf-8-sig"),
        (codecs.BOM_UTF16_LE, "utf-16"),
        (codecs.BOM_UTF16_BE, "utf-16"),
    ):
        if data.startswith(mark):
            return text.encode(codec)
    return text.encode("utf-8")


class _Labels:
    """Gives each link a label: its number where that is free."""

    def __init__(self, source: str, made: Plan) -> None:
        self._taken = set(_LABEL.findall(source))
        self._of: dict[int, str] = {}
        self._live = {note.number: note for note in made.draft.notes if note.live}
        for link in made.links:
            self._of[id(link)] = self._label(link, made.draft)

    def _label(self, link: Link, draft: Draft) -> str:
        if link.again is not None and not link.body:
            return self._of[id(link.again)]
        if link.live is not None and not link.body:
            return draft.notes[link.live].number
        label, copies = link.call.mark.number, 1
        while label in self._taken:
            copies += 1
            label = f"{link.call.mark.number}-{copies}"
        self._taken.add(label)
        return label

    def of(self, link: Link) -> str:
        """The label of a link."""
        return self._of[id(link)]


def _marks(source: str, group: Group, labels: _Labels) -> list[Edit]:
    """A printed group of marks as calls, one behind the other. Nothing where the digits are not found again."""
    end = group.end
    if group.links[0].call.mark.at == len(group.block.text):  # what closes a raised mark may lie behind the last letter
        end = next((at for at in range(end, len(source)) if source[at] in "\r\n"), len(source))
    found = printed(source, group.start, end)
    if found is None:
        return []
    return [(*found, "".join(f"[^{labels.of(link)}]" for link in group.links))]


def printed(source: str, start: int, end: int) -> tuple[int, int] | None:
    """Where the marks of one spot stand, several side by side ("[3][4]", "[3], [4]") as one."""
    found = _GROUP.search(source, start, end)
    if found is None:
        return None
    first, last = found.span()
    while found := _GROUP.match(source, _PARTING.match(source, last, end).end(), end):  # type: ignore[union-attr]
        last = found.end()
    return first, last


class _List:
    """The entries of typed notes as they stand in the source."""

    def __init__(self, source: str, made: Plan) -> None:
        self.source, self.made = source, made
        self.newline = "\r\n" if "\r\n" in source else "\n"
        self._lines = sorted(block.line for block in made.draft.blocks if block.line is not None)

    def place(self, index: int) -> tuple[int, int]:
        """From the start of a note's first line to the end of its last, white space left out."""
        starts, blocks = self.made.draft.line_starts, self.made.blocks_of(index)
        start = end = starts[(blocks[0].line or 1) - 1]
        last = blocks[-1].line or 1
        for line in range((blocks[0].line or 1) - 1, self._next(last)):
            stop = starts[line + 1] if line + 1 < len(starts) else len(self.source)
            text = self.source[starts[line] : stop]
            if line >= last and (not text.strip() or _DEFINITION.match(text)):
                break
            end = starts[line] + len(text.rstrip())
        return start, end

    def _next(self, line: int) -> int:
        """The line before which what begins on ``line`` must end: that of the next block, or the end of the file."""
        at = bisect_left(self._lines, line + 1)
        return self._lines[at] - 1 if at < len(self._lines) else len(self.made.draft.line_starts)

    def words(self, text: Text) -> str:
        """What a definition says of a note: its lines without the number, the later ones set in."""
        if text.note is None:
            return f"*{text.words}*" if text.italic and text.words.strip() else text.words
        start, end = self.place(text.note)
        number = _NUMBER.match(self.source, start, end)
        first, *more = self.source[number.end() if number else start : end].split("\n")
        return self.newline.join([first.rstrip(), *(f"    {line.strip()}" if line.strip() else "" for line in more)])


def _definitions(source: str, made: Plan, labels: _Labels) -> list[Edit]:
    """In the place of each entry that is taken its definition, and those of its copies; the rest at the end."""
    entries = _List(source, made)
    places = {index: entries.place(index) for index in sorted(made.taken)}
    homes: dict[int, list[str]] = {index: [] for index in places}
    rest: list[str] = []
    for link in made.links:
        if link.body:
            home = next((text.note for text in link.body if text.note in homes), link.call.mark.note)
            definition = f"[^{labels.of(link)}]: {''.join(map(entries.words, link.body))}"
            homes.get(home if home is not None else -1, rest).append(definition)
    newline = entries.newline
    ends = {end for _, end in places.values()}
    edits = [
        (*places[index], _set_apart(source, places[index], ends, newline.join(lines), newline))
        for index, lines in homes.items()
    ]
    if rest:
        edits.append((len(source), len(source), newline * 2 + newline.join(rest) + newline))
    return edits


def _set_apart(source: str, place: tuple[int, int], ends: set[int], words: str, newline: str) -> str:
    """Definitions with an empty line before and after, so that nothing of the list runs on into them."""
    before, after = (
        source[max(place[0] - 200, 0) : place[0]].rstrip(" \t\r\n"),
        source[place[1] : place[1] + 200].lstrip(" \t\r"),
    )
    close = max(place[0] - 200, 0) + len(before)
    opening = newline if before and source.count("\n", close, place[0]) < 2 and close not in ends else ""
    closing = newline if after.strip() and not after.startswith(("\n\n", "\n\r\n")) else ""
    return opening + words + closing if words else ""
