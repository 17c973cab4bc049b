"""Splits a draft into sections: one for each person's own entry, and the front matter, chapters and back matter."""

from __future__ import annotations

import re
import unicodedata
from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import replace

from storylint.draft.children import child_lines
from storylint.draft.entries import find_entries
from storylint.draft.forms import Form, Opening
from storylint.draft.matter import divides, matter
from storylint.draft.model import Block, Draft, Kind, Section
from storylint.draft.names import NOT_NAMES, forename, inner_capitals, read_name, spoken
from storylint.draft.numbering import (
    System,
    decide_system,
    generation_heading,
    generation_of,
    printed,
    read_child_line,
)


def split(draft: Draft) -> list[Section]:
    """The draft's sections in reading order; every block stands in exactly one of them.

    A section runs to the next person or to a heading above the person's level. Lines of child lists come back as
    ``Kind.CHILD``. A draft in which no person's entry can be recognised is split by its headings.
    """
    numbered = _numbered_by_place(draft)
    children = child_lines(numbered)
    entries = find_entries(numbered, children)
    binder = _Binder(draft, children, {entry.at: entry for entry in entries}, _system(numbered, entries, children))
    for at, block in enumerate(draft.blocks):
        binder.add(at, block)
    return _with_ids(binder.sections)


def numbering_system(draft: Draft) -> System:
    """The numbering system of the draft's entries."""
    draft = _numbered_by_place(draft)
    children = child_lines(draft)
    return _system(draft, find_entries(draft, children), children)


def _numbered_by_place(draft: Draft) -> Draft:
    """The draft with each block's index that of its place in ``blocks``, for those who look at a block's neighbours.

    The readers of .docx and .odt count empty paragraphs too, and give a picture the index of its paragraph.
    """
    if all(block.index == at for at, block in enumerate(draft.blocks)):
        return draft
    return replace(draft, blocks=tuple(replace(block, index=at) for at, block in enumerate(draft.blocks)))


def _system(draft: Draft, entries: Sequence[Opening], children: set[int]) -> System:
    numbered = [entry for entry in entries if entry.number and entry.name]
    lines = [line for at in children if (line := read_child_line(printed(draft.blocks[at])))]
    return decide_system(
        [entry.number for entry in numbered if entry.number],
        [entry.name.words[-1] for entry in numbered if entry.name],
        len(lines),
        sum(line.number is not None for line in lines),
    )


class _Binder:
    """Walks through the blocks once and binds them into sections."""

    def __init__(self, draft: Draft, children: set[int], entries: dict[int, Opening], system: System) -> None:
        self.draft, self.children, self.entries, self.system = draft, children, entries, system
        self.sections: list[Section] = []
        self.level = 0  # a heading above this level ends the section; 0: no section yet
        self.outer = 0  # level of the heading under which the entries stand
        self.generation: int | None = None
        self.bare = _bare_forms(entries.values())
        self.surname = _family_surname(entries.values(), self.bare) or _titled_surname(draft)
        capitals = any(entry.name and entry.name.capitals for entry in entries.values())
        self.spelled = inner_capitals([block.text for block in draft.blocks]) if capitals else {}
        # where lines of descent are printed, those without one are the first generation or a spouse of the one before
        self.descent = any(entry.lineage for entry in entries.values())
        self.before = 1
        self.floor = _floor(draft, entries)
        self.flat = any(entry.form.style == "heading" and not entry.form.number for entry in entries.values())

    def add(self, at: int, block: Block) -> None:
        """The next block; ``at`` is its place in the draft."""
        if at in self.children:
            block = replace(block, kind=Kind.CHILD)
        if at in self.entries:
            self.open_person(block, self.entries[at])
        elif self.ends_section(block):
            self.open_other(block)
        elif not self.sections:
            self.sections.append(Section("", self.draft, _title(block), None, [block]))
        else:
            self.sections[-1].body.append(block)

    def ends_section(self, block: Block) -> bool:
        if block.kind not in (Kind.HEADING, Kind.PARAGRAPH):
            return False
        inner = block.kind is Kind.HEADING and self.level and block.level > self.level
        if matter(block) or divides(block):
            return not (inner and self.person_open())
        if block.kind is not Kind.HEADING:
            return False
        if not self.person_open():
            return block.level <= max(self.level, self.floor)
        siblings = self.flat and self.draft.format != "txt" and block.level == self.level
        return block.level < self.level or siblings

    def person_open(self) -> bool:
        return bool(self.sections) and self.sections[-1].person is not None

    def open_other(self, block: Block) -> None:
        """Open a section without a person."""
        announced = generation_heading(block.text)
        self.generation = announced or (None if block.level and block.level < self.outer else self.generation)
        self.level = self.outer = block.level or 1
        self.sections.append(Section("", self.draft, _title(block), block))

    def open_person(self, block: Block, entry: Opening) -> None:
        assert entry.name is not None
        titled = entry.form.titled
        self.level = block.level if block.kind is Kind.HEADING else self.outer + 1
        number = entry.number.text if entry.number else None
        section = Section(
            "", self.draft, _title(block) if titled else _opening_title(block, entry), block, [] if titled else [block],
            self.as_spelled(entry), number, self.generation_of(entry), entry.lineage,
        )  # fmt: skip
        self.sections.append(section)

    def generation_of(self, entry: Opening) -> int | None:
        told = generation_of(entry.number.text, self.system) if entry.number else None
        printed_line = len(entry.lineage) + 1 if entry.lineage else None
        found = entry.generation or told or self.generation or printed_line or (self.before if self.descent else None)
        self.before = found or self.before
        return found

    def as_spelled(self, entry: Opening) -> str:
        """The person's name, that of a line in capitals as the draft spells it elsewhere: MACDONALD as MacDonald."""
        name = self.person(entry)
        if not (entry.name and entry.name.capitals):
            return name
        return " ".join(self.spelled.get(word.casefold(), word) for word in name.split())

    def person(self, entry: Opening) -> str:
        """The name, with the epithet of a title, and with the surname that the entry leaves to be understood."""
        assert entry.name is not None
        epithet = _EPITHET.match(entry.rest) if entry.form.titled else None
        if epithet:
            words = [spoken(word) if entry.name.capitals else word for word in epithet[2].split()]
            return " ".join([entry.name.text, epithet[1].casefold(), *words])
        bare = entry.form in self.bare or (len(entry.name.keys) == 1 and (entry.lineage or entry.name.generation))
        ours = entry.marked or not entry.form.titled or forename(entry.name.words[0])  # Doli has no surname but her own
        surname = _parents_surname(entry) or (self.surname if bare and ours else "")
        if not (bare or len(entry.name.keys) == 1) or surname.casefold() in {"", *entry.name.keys}:
            return entry.name.text
        return f"{entry.name.text} {spoken(surname)}"


def _floor(draft: Draft, entries: dict[int, Opening]) -> int:
    """The level down to which every heading divides a text without persons: that of the persons' own headings, else
    the one that has most headings."""
    own = [entry.form.level for entry in entries.values() if entry.form.level]
    levels = Counter(block.level for block in draft.blocks if block.kind is Kind.HEADING)
    return min(own) if own else max(levels, key=lambda level: (levels[level], -level), default=0)


_EPITHET = re.compile(r"\s+(the|of|THE|OF)((?: [A-ZÀ-Þ][\w'’-]*){1,2})(?=\s*(?:$|[(,\[]))")
_PARENT = re.compile(r"\b(?:son|daughter|child|dau\.) of (?:the )?")


def _bare_forms(entries: Iterable[Opening]) -> set[Form]:
    """The forms that leave the surname to be understood: most of their names are a forename alone."""
    names: dict[Form, list[bool]] = defaultdict(list)
    for entry in entries:
        names[entry.form].append(entry.name is not None and len(entry.name.words) == 1)
    return {form for form, single in names.items() if 2 * sum(single) > len(single)}


def _parents_surname(entry: Opening) -> str:
    """The surname of the parent whom the entry names: 'HUW, son of Owen Trefnant'."""
    parent = _PARENT.search(entry.rest[:120])
    named = read_name(entry.rest, parent.end()) if parent else None
    return named.words[-1] if named and len(named.keys) > 1 else ""


def _family_surname(entries: Iterable[Opening], bare: set[Form]) -> str:
    """The surname that most entries or their parents bear."""
    full = [e.name.words[-1] for e in entries if e.name and e.form not in bare and len(e.name.keys) > 1]
    borne = Counter(spoken(word) for word in [*full, *(_parents_surname(e) for e in entries if e.form in bare)] if word)
    return max(borne, key=lambda word: borne[word], default="")


def _titled_surname(draft: Draft) -> str:
    """The surname in the book's title: 'The Trefnant Family'."""
    titles = (_FAMILY.search(block.text) for block in draft.blocks[:4] if block.words < 15)
    return next((found[1] for found in titles if found and found[1].casefold() not in NOT_NAMES), "")


_FAMILY = re.compile(r"\b([A-ZÀ-Þ][\w'’-]+) (?i:family|genealogy)\b")


def _title(block: Block) -> str:
    text = printed(block).strip(" _*=")
    return text if len(text) <= 120 else text[:117].rsplit(" ", 1)[0] + "…"


def _opening_title(block: Block, entry: Opening) -> str:
    end = entry.name.end if entry.name else 80
    return printed(block)[:end].strip(" _*=+")


def _with_ids(sections: list[Section]) -> list[Section]:
    """Give each section an id of its own: the slug of its person or title, with -2, -3 where it comes again."""
    seen: Counter[str] = Counter()
    for section in sections:
        slug = _slug(section.person or section.title) or "section"
        seen[slug] += 1
        section.id = slug if seen[slug] == 1 else f"{slug}-{seen[slug]}"
    return sections


def _slug(text: str) -> str:
    folded = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode() or text
    return re.sub(r"[^\w]+", "-", folded.casefold()).strip("-")[:60]
