"""Which typed mark becomes which live note, decided before anything is written.

Nothing is guessed. A mark whose note is missing, a number that heads two notes and a note that several marks call are
left as they are and listed, unless the author has said what to do with the last two.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise

from storylint.draft.model import Block, Draft, Kind
from storylint.study.apparatus import Apparatus, Call, doubled, lay_out
from storylint.study.citations import Cited, cited_in
from storylint.study.cited import has_locator, latin, short_form_end

# A printed group of marks ("3", "[3]", "3,4") with the space before it.
# What stands at one spot, several marks side by side ("[3][4]") and what parts them included.
DIGITS = re.compile(r"[ \N{NO-BREAK SPACE}]?[\[(]?[\d⁰¹²³⁴-⁹](?:[\d⁰¹²³⁴-⁹,;\s–\[\]()-]*[\d⁰¹²³⁴-⁹\])])?")
SHARED = {
    "leave": "leave these marks typed and list them",
    "own": "each mark gets a note of its own with the same text",
    "same": "the first mark gets the note, later ones repeat its number",
}
REPEATED = {
    "leave": "leave these marks typed and list them",
    "turn": "the first mark of the number gets the first note, the next mark the next",
    "join": "one note with the text of all",
}


@dataclass(frozen=True, slots=True)
class Text:
    """Words of a note, set in italic or not. ``note`` is the index of a typed note that is taken over as it is."""

    words: str = ""
    italic: bool = False
    note: int | None = None


@dataclass(slots=True, eq=False)
class Link:
    """One mark that becomes live.

    ``body`` is the text of its note; empty where the mark repeats the number of ``again``, an earlier link, or of the
    live note ``live`` of the draft. With a body, ``live`` is the live note whose text is copied.
    """

    call: Call
    body: tuple[Text, ...] = ()
    again: Link | None = None
    live: int | None = None


@dataclass(frozen=True, slots=True)
class Left:
    """A mark or note that stays as it is. ``where`` is the words in which it stands, or those of the note."""

    what: str
    why: str
    where: str


@dataclass(slots=True)
class Group:
    """The marks of one printed group ("3,4"), which become live together or not at all; ``start`` to ``end`` is where
    it stands in the block's source."""

    block: Block
    start: int
    end: int
    links: list[Link]


@dataclass(slots=True)
class Plan:
    """What will be done: the groups in reading order, the typed notes that leave their lists, what stays."""

    draft: Draft
    apparatus: Apparatus
    groups: list[Group] = field(default_factory=list)
    taken: set[int] = field(default_factory=set)
    left: list[Left] = field(default_factory=list)
    expanded: int = 0
    gone: list[Block] = field(default_factory=list)  # headings of empty lists, once the writer has taken them out

    @property
    def staying(self) -> list[Block]:
        """The blocks of typed notes that stay in their lists."""
        return [
            block
            for index, note in enumerate(self.draft.notes)
            if not note.live and index not in self.taken
            for block in self.blocks_of(index)
        ]

    def emptied(self, keep_last: bool) -> list[Block]:
        """The headings right above lists that are empty now. ``keep_last`` spares the one over the end of the draft,
        under which endnotes are printed."""
        order = {id(block): at for at, block in enumerate(self.draft.blocks)}
        found: dict[int, Block] = {}
        for listed in self.apparatus.lists:
            first = self.blocks_of(listed.start)[:1]
            at = order[id(first[0])] if first and all(index in self.taken for index in listed) else 0
            while at and titles_list(self.draft.blocks[at - 1]):
                at -= 1
                found[at] = self.draft.blocks[at]
        if keep_last:
            found.pop(self._last_title(), None)
        return list(found.values())

    def _last_title(self) -> int:
        """Where the heading stands after which there are only lists of notes; -1 if something else ends the draft."""
        title = -1
        for at in range(len(self.draft.blocks) - 1, -1, -1):
            block = self.draft.blocks[at]
            if block.kind is not Kind.NOTES:
                if at == len(self.draft.blocks) - 1 or not titles_list(block):
                    break
                title = at
        return title

    @property
    def links(self) -> list[Link]:
        """All marks that become live, in reading order."""
        return [link for group in self.groups for link in group.links]

    def blocks_of(self, index: int) -> list[Block]:
        """The blocks of a typed note in its list: the one with its number, and those that go on."""
        note, notes = self.draft.notes[index], self.draft.notes
        if note.block is None:
            return []
        later = [n.block for n in notes[index + 1 : index + 2] if n.block is not None]
        at, blocks = note.block, []
        while at in self.apparatus.written and at not in later:
            blocks.append(self.apparatus.written[at])
            at += 1
        return blocks


_LIST_TITLE = re.compile(
    r"(?:(?:source|chapter|end|foot|reference)[ -]?)?notes?(?: (?:and|&) \w+)?(?: (?:to|for|on) .{1,60})?"
    r"|(?:references|sources|citations)(?: (?:and|&) notes)?",
    re.IGNORECASE,
)


def titles_list(block: Block) -> bool:
    """Whether a block right above a list is its heading."""
    return block.kind is Kind.HEADING or bool(_LIST_TITLE.fullmatch(block.text.strip(" .:")))


@dataclass(frozen=True, slots=True)
class Wanted:
    """The text of a paragraph of the copy. Where marks stay typed, their digits may be read as text or not."""

    text: str
    loose: bool = False

    def allows(self, text: str) -> bool:
        """Whether ``text`` is the same."""
        return text == self.text or (self.loose and _without_digits(text) == _without_digits(self.text))


def _without_digits(text: str) -> str:
    return re.sub(r"[\d⁰¹²³⁴-⁹\[\],–\s]+", "", text)


def planned_texts(made: Plan) -> list[Wanted]:
    """The paragraphs of the copy outside of lists of notes, in order. Headings of empty lists may be gone or not."""
    linked = {id(link.call) for link in made.links}
    loose = {call.block.index for call in made.apparatus.typed if id(call) not in linked}
    gone = {id(block) for block in made.gone}
    return [
        Wanted(block.text, block.index in loose)
        for block in made.draft.blocks
        if block.kind is not Kind.NOTES and id(block) not in gone
    ]


def planned_notes(made: Plan) -> list[str]:
    """For each live mark of the copy, in reading order, the text of the note that it calls."""
    links = {id(link.call): link for link in made.links}
    texts = []
    for call in made.apparatus.calls:
        if id(call) in links:
            texts.append(text_of(made, links[id(call)]))
        elif call.mark.live and call.mark.note is not None:
            texts.append(made.draft.notes[call.mark.note].text)
    return texts


def text_of(made: Plan, link: Link) -> str:
    """The text of the note that a link calls."""
    if link.body:
        return "".join(made.draft.notes[text.note].text if text.note is not None else text.words for text in link.body)
    if link.again is not None:
        return text_of(made, link.again)
    return made.draft.notes[link.live].text if link.live is not None else ""


def plan(draft: Draft, shared: str, repeated: str, blocks: set[int] | None = None, boxed: Collection[int] = ()) -> Plan:
    """Decide for each typed mark of ``draft`` (of those blocks alone, if given) what it becomes; ``boxed`` are the
    indexes of blocks in text boxes, which can hold no live note."""
    apparatus = lay_out(draft)
    made = Plan(draft, apparatus)
    decider = _Decider(made, shared, repeated)
    for calls in _printed_groups(apparatus.calls):
        if blocks is not None and calls[0].block.index not in blocks:
            continue
        if calls[0].block.index in boxed:
            shown = _around(calls[0].block, calls[0].mark.at)
            made.left += [Left(f"mark {call.mark.number}", IN_BOX, shown) for call in calls]
        else:
            decider.decide(calls)
    _take(made)
    _tell_notes(made, blocks)
    return made


def _printed_groups(calls: Sequence[Call]) -> Iterable[list[Call]]:
    """Typed marks that stand at one spot."""
    groups: dict[tuple[int, int], list[Call]] = {}
    for call in calls:
        if not call.mark.live:
            groups.setdefault((call.block.index, call.mark.at), []).append(call)
    return groups.values()


def span_of(block: Block, at: int) -> tuple[int, int]:
    """Where in the source stands what was lifted out at ``text[at]``: behind the character before, up to the next."""
    start = block.source_offset(at - 1) + 1 if at else block.source_offset(0)
    return start, block.source_offset(at)


IN_BOX = "a text box can hold no live note; move the sentence out of it"


class _Decider:
    """Goes through the marks in reading order and remembers which notes have been given away."""

    def __init__(self, made: Plan, shared: str, repeated: str) -> None:
        self.made, self.shared, self.repeated = made, shared, repeated
        self.cited = cited_in(made.apparatus)
        self.first: dict[int, Link] = {}
        self.typed_calls = Counter(call.mark.note for call in made.apparatus.typed)
        self.twice = {index: same for same in doubled(made.apparatus) for index in same}

    def decide(self, calls: list[Call]) -> None:
        """Make links of the marks of one group, or leave them all."""
        links: list[Link] = []
        for call in calls:
            link, why = self._link(call)
            if link is None:
                self._leave(calls, call, why)
                return
            links.append(link)
        for link in links:
            self._remember(link)
        start, end = span_of(calls[0].block, calls[0].mark.at)
        self.made.groups.append(Group(calls[0].block, start, end, links))

    def _remember(self, link: Link) -> None:
        for text in link.body:
            if text.note is not None:
                self.first.setdefault(text.note, link)
        if link.body and link.call.mark.note is not None:
            self.first.setdefault(link.call.mark.note, link)

    def _leave(self, calls: list[Call], cause: Call, why: str) -> None:
        shown = _around(cause.block, cause.mark.at)
        self.made.left.append(Left(f"mark {cause.mark.number}", why, shown))
        for call in calls:
            if call is not cause:
                why_too = f"it stands together with mark {cause.mark.number}"
                self.made.left.append(Left(f"mark {call.mark.number}", why_too, shown))

    def _link(self, call: Call) -> tuple[Link | None, str]:
        index = call.mark.note
        if index is None:
            return None, "no note answers it"
        if self.made.draft.notes[index].live:
            return self._to_live(call, index)
        if index in self.twice:
            return self._to_one_of(call, index)
        if self.typed_calls[index] > 1:
            return self._to_shared(call, index)
        return Link(call, self._body(index)), ""

    def _to_live(self, call: Call, index: int) -> tuple[Link | None, str]:
        """A typed digit that repeats the number of a live note."""
        if self.shared == "leave":
            return None, f"live note {call.mark.number} is called by its own mark; choose --shared own or same"
        body = (Text(self.made.draft.notes[index].text),) if self.shared == "own" else ()
        return Link(call, body, live=index), ""

    def _to_one_of(self, call: Call, index: int) -> tuple[Link | None, str]:
        """A number that heads several notes."""
        same = self.twice[index]
        if self.repeated == "leave":
            return None, f"{len(same)} notes have this number; choose --repeated turn or join"
        if self.repeated == "join":
            if same[0] in self.first:
                return self._again(call, same[0])
            body = [text for at in same for text in (*self._body(at), Text(" "))][:-1]
            return Link(call, tuple(body)), ""
        free = next((at for at in same if at not in self.first), None)
        return (Link(call, self._body(free)), "") if free is not None else self._again(call, same[-1])

    def _to_shared(self, call: Call, index: int) -> tuple[Link | None, str]:
        """A note that several marks call."""
        if self.shared == "leave":
            return None, f"{self.typed_calls[index]} marks call this note; choose --shared own or same"
        return self._again(call, index) if index in self.first else (Link(call, self._body(index)), "")

    def _again(self, call: Call, index: int) -> tuple[Link | None, str]:
        if self.shared == "leave":
            return None, "more marks than notes have this number; choose --shared own or same"
        first = self.first[index]
        return Link(call, first.body if self.shared == "own" else (), again=first), ""

    def _body(self, index: int) -> tuple[Text, ...]:
        """The text of a typed note: itself, or with "ibid." spelt out."""
        one = self.cited[index]
        if not one.citations or one.citations[0].points != "ibid":
            return (Text(note=index),)
        body = self._expanded(one)
        if body is None:
            why = one.misfit or "the note before it can't be shortened"
            self.made.left.append(Left(f"“{latin(one.note.text)}” in note {one.note.number}", why, one.note.text))
            return (Text(note=index),)
        self.made.expanded += 1
        return body

    def _expanded(self, one: Cited) -> tuple[Text, ...] | None:
        """The short form of the source before, and what follows "ibid." in the note; None where it does not fit."""
        before = self.made.apparatus.before(one.index)
        if one.misfit or before is None:
            return None
        word = latin(one.note.text)
        rest = one.note.text[one.note.text.index(word) + len(word) :].strip() or "."
        rest = rest if rest[0] in ",.;:" else f", {rest}"
        earlier = self.cited[before]
        if len({id(source) for source in earlier.sources}) > 1:
            return None  # "the same manifest" means but one of them
        source = self._expanded(earlier) if earlier.citations[0].points == "ibid" else self._words(before)
        if source is None:
            return None
        whole = "".join(text.words for text in source)
        end = short_form_end(whole, keep_locator=not has_locator(rest.split(";")[0]))
        return (*_cut(source, end), Text(rest))

    def _words(self, index: int) -> tuple[Text, ...]:
        """A typed note's own words with their italics."""
        block = self.made.blocks_of(index)[0]
        note = self.made.draft.notes[index].text.split("\n")[0]
        start = max(block.text.find(note), 0)
        edges = sorted({start, len(block.text), *(at for span in block.italic for at in span if at > start)})
        return tuple(
            Text(block.text[early:late], any(a <= early and late <= b for a, b in block.italic))
            for early, late in pairwise(edges)
        )


def _cut(texts: Sequence[Text], end: int) -> list[Text]:
    """The first ``end`` characters of some texts."""
    kept = []
    for text in texts:
        if end <= 0:
            break
        kept.append(Text(text.words[:end], text.italic))
        end -= len(text.words)
    return kept


def _around(block: Block, at: int) -> str:
    """The words before a mark."""
    return "…" + block.text[max(at - 60, 0) : at] if at > 60 else block.text[:at]


def _take(made: Plan) -> None:
    """Take from their lists the notes that live on in a live note and that no mark needs there any more."""
    twice = {index for same in doubled(made.apparatus) for index in same}
    given = {text.note for link in made.links for text in link.body if text.note is not None}
    called = (link.call.mark.note for link in made.links)
    given |= {index for index in called if index is not None and index not in twice}
    linked = {id(link.call) for link in made.links}
    for index in given:
        if made.draft.notes[index].live:
            continue
        waiting = [call for call in made.apparatus.by_note.get(index, ()) if id(call) not in linked]
        if not waiting:
            made.taken.add(index)


def _tell_notes(made: Plan, blocks: set[int] | None) -> None:
    """List the typed notes that stay because no mark calls them; not where only one person is relinked."""
    if blocks is not None:
        return
    for index, note in enumerate(made.draft.notes):
        if not note.live and index not in made.taken and index not in made.apparatus.by_note:
            made.left.append(Left(f"note {note.number}", "no mark calls it", note.text))
