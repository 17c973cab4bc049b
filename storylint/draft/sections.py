"""Splits a draft into sections: one for each person's own entry, and the front matter, chapters and back matter.

Whether a line that opens with a name opens an entry is not decided line by line. Every block is first described by
its form (a numbered line, a heading of the second level, a paragraph that opens in capitals …); then the forms are
weighed over the whole draft, and only the forms that carry the draft's entries count.
"""

from __future__ import annotations

import re
import unicodedata
from collections import Counter, defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from storylint.draft.model import Block, Draft, Kind, Section
from storylint.draft.names import DEGREES, Name, Vocabulary, forename, likeness, read_name
from storylint.draft.numbering import (
    Number,
    System,
    decide_system,
    generation_heading,
    generation_of,
    in_order,
    opens_child_list,
    read_child_line,
    read_lineage,
    read_number,
    starts_child_list,
)

SURE = 0.5  # a likeness from which a run of words counts as a name (ours)
POSSIBLE = 0.3  # a likeness that the form of the line must back


# ------------------------------------------------------------------------------------------------ the draft's lines


@dataclass(frozen=True, slots=True)
class Form:
    """How a block looks: what all entries of one draft have in common.

    ``style``: heading, capitals heading, capitals line, bold line, italic line, line (the block is the entry's title),
    or capitals, bold, italic, plain (a paragraph that opens with the name). ``level`` is 0 but for real headings.
    """

    style: str
    level: int = 0
    number: str = ""

    @property
    def titled(self) -> bool:
        return self.style.endswith(("heading", "line"))


@dataclass(frozen=True, slots=True)
class Opening:
    """A block with the name it opens with, if any."""

    at: int
    form: Form
    number: Number | None
    name: Name | None
    rest: str = ""  # what follows the name in the block
    likeness: float = 0.0
    generation: int | None = None
    lineage: tuple[str, ...] = ()
    told: bool = False  # a vital fact, a kinship or a year stands close by
    echoed: bool = False  # the text that follows uses the name
    filled: bool = False  # prose follows before the next opening of the same form


def printed(block: Block) -> str:
    """The block as it is printed, with its list number."""
    return f"{block.label} {block.text}" if block.label else block.text


def _indent(draft: Draft, block: Block) -> int:
    """Columns before the first character, in text formats; 0 where that is unknown."""
    if block.line is None or not draft.line_starts:
        return 0
    return max(block.source_offset(0) - draft.line_starts[block.line - 1] - len(block.label), 0)


_VITAL = re.compile(
    r"\b(?:born|b\.|bapti[sz]ed|bap(?:t|s)?\.|bp\.|christened|died|d\.|buried|bur\.|married|m\.|unm\.|native|"
    r"(?:son|daughter|dau\.|child|widow|wife|husband|heir) of|descended|lived|resided|settled|emigrated|educated|"
    r"1[5-9]\d\d|20\d\d)(?!\w)",
    re.IGNORECASE,
)
_LIFE = re.compile(r"[(,\s]\s*(?:c(?:a|irca)?\.?\s*|b\.?\s*|born\s+|d\.?\s*)?(?:1[0-9]|20)\d\d\b")
_SENTENCE = re.compile(r"\b(?:was|were|is|are|had|has|died|born|married|came|went|b\.|m\.|d\.|bp\.|who|he|she)(?!\w)")


# ---------------------------------------------------------------------------------------- front, back and other matter

_MATTER = re.compile(
    r"[\s_*=#]*(?:the\s+|an?\s+|author['’]s\s+|editor['’]s\s+|publisher['’]s\s+|compiler['’]s\s+)?(?P<word>"
    r"preface|foreword|introduct(?:ion|ory)|contents|table of contents|acknowledge?ments?|dedication|appendix|"
    r"appendices|(?:end|foot)?notes|notes (?:and|&) (?:sources|references)|(?:a )?note (?:on|to)\b.*|sources|source notes|"
    r"bibliography|references|works cited|further reading|index(?:es)?|glossary|abbreviations|"
    r"(?:list|table) of (?:illustrations|plates|maps|figures|tables|abbreviations|subscribers|contents)|"
    r"illustrations|afterword|epilogue|prologue|conclusion|errata|corrigenda|addend(?:a|um)|postscript|"
    r"about (?:the author|this book)|to the (?:reader|public|family)|transcriber['’]s notes?|supplement|"
    r"explanatory|explanations?|copyright|colophon|finis|the end|end)\b(?P<rest>.{0,60})$",
    re.IGNORECASE,
)
_CLOSED = re.compile(r"contents|index|illustration|notes|sources|bibliograph|references|works|subscribers|abbrev", re.I)
_CHAPTER = re.compile(
    r"[\s_*=#]*(?:chapter|part|book|section|branch|line|volume|vol\.)\s+"
    r"(?:the\s+)?(?:\d{1,3}|[IVXLC]{1,7}|[A-Z]|one|two|three|four|five|six|seven|eight|nine|ten|eleven|twelve|"
    r"first|second|third|fourth|fifth|sixth|seventh|eighth|ninth|tenth)\b[\s.:,—–-]*",
    re.IGNORECASE,
)


def matter(block: Block) -> str | None:
    """The word by which a heading announces front or back matter, or None. Only short lines can be headings."""
    if block.kind not in (Kind.HEADING, Kind.PARAGRAPH) or len(block.text) > 90:
        return None
    found = _MATTER.match(block.text)
    if not found:
        return None
    alone = not found["rest"].strip(" .:_*=") or block.text.isupper() or found["rest"][:1] in ".:—,"
    standing = block.kind is Kind.HEADING or alone and not found["rest"].strip(" .:_*=")
    return found["word"].casefold() if standing else None


def _divides(block: Block) -> bool:
    """True for the headings of generations and chapters, whatever the format makes of them."""
    if block.kind not in (Kind.HEADING, Kind.PARAGRAPH) or len(block.text) > 120:
        return False
    if generation_heading(block.text) is not None:
        return block.kind is Kind.HEADING or not block.text.rstrip("_* ").endswith((",", ";")) and len(block.text) < 70
    chapter = _CHAPTER.match(block.text)
    return bool(chapter) and (block.kind is Kind.HEADING or chapter.end() == len(block.text) or block.text.isupper())  # type: ignore[union-attr]


def _closed_zones(blocks: Sequence[Block]) -> set[int]:
    """The blocks of contents, indexes, notes and lists of sources, in which no entry can open."""
    closed: set[int] = set()
    inside: str | None = None
    for block in blocks:
        word = matter(block)
        if word:
            inside = word if _CLOSED.search(word) else None
        elif inside and (block.kind is Kind.HEADING or _divides(block) or _stands_in_capitals(block)):
            inside = None
        if inside or block.kind is Kind.NOTES:
            closed.add(block.index)
    return closed


def _stands_in_capitals(block: Block) -> bool:
    """True for a line in capitals that does not end in a page number."""
    return block.kind is Kind.PARAGRAPH and block.text.isupper() and len(block.text) > 4 and not block.text[-1].isdigit()


# ------------------------------------------------------------------------------------------------------ child lists


@dataclass(slots=True)
class _ChildRun:
    """The child list that is being read. ``hinted``: only a colon announced it, so its lines must name people."""

    announced: bool = False
    hinted: bool = False
    shape: str = ""  # "roman", "arabic" or "bare"; empty before the first line
    last: int = 0
    indent: int = 0
    capitals: bool | None = None  # whether the names stand in capitals; None until a line names somebody


def child_lines(draft: Draft) -> set[int]:
    """The blocks that are lines of a person's list of children."""
    found: set[int] = set()
    run: list[int] = []
    state = _ChildRun()
    for block in draft.blocks:
        text = printed(block)
        if _continues(draft, block, text, state):
            run.append(block.index)
            continue
        found |= _kept(draft, run, state)
        run, state = [], _after(block, text, state)
        if starts_child_list(text) and block.kind is not Kind.HEADING:
            found.add(block.index)
        elif not state.announced and _continues(draft, block, text, state):
            run.append(block.index)
    return found | _kept(draft, run, state)


def _after(block: Block, text: str, state: _ChildRun) -> _ChildRun:
    """What the next block is read as: the first line of a list where this one announces it."""
    broken = "broken" if state.shape in ("arabic", "broken") else ""  # a list may go on after a remark
    if block.kind not in (Kind.PARAGRAPH, Kind.ITEM, Kind.HEADING):
        return replace(state, announced=False, hinted=False, shape=broken)
    if opens_child_list(text):
        return replace(state, announced=True, shape="")
    if state.announced and not state.shape and generation_heading(text) is not None:
        return state  # the heading of the children's generation stands between the announcement and the list
    return replace(state, announced=False, shape=broken, hinted=text.rstrip(" _*—-").endswith(":"))


def _kept(draft: Draft, run: list[int], state: _ChildRun) -> set[int]:
    """The lines of a finished run: all of them, or none where no intro announced it and they name nobody."""
    named = sum(_names_somebody(printed(draft.blocks[at])) for at in run)
    return set(run) if state.announced or 2 * named >= len(run) else set()


def _names_somebody(text: str) -> bool:
    """True for '2. ii. Jonathan …' and, in a list without roman numerals, for 'Jonathan, born …'."""
    line = read_child_line(text)
    number = None if line else read_number(text)
    name = read_name(text, line.end if line else number.end if number else 0)
    sure = name is not None and likeness(name, _NO_VOCABULARY) >= SURE
    told = bool(_VITAL.search(text))
    return name is not None and ((sure or told) if line else (sure and told))


_NO_VOCABULARY = Vocabulary(Counter(), Counter(), Counter())


def _continues(draft: Draft, block: Block, text: str, state: _ChildRun) -> bool:
    """True when the block is the next line of the list; the state is carried on."""
    if block.kind not in (Kind.PARAGRAPH, Kind.ITEM, Kind.CHILD):
        return False
    line = read_child_line(text)
    if line:
        begins = state.shape == "roman" or state.announced or line.order == 1 or line.plus or line.number is not None
        state.shape = "roman" if begins else state.shape
        return begins
    if state.shape == "roman":
        return False
    number = read_number(text)
    indent = _indent(draft, block)
    if number and number.form == "arabic":
        return _counts_on(text, number, indent, state)
    if state.shape in ("", "bare") and state.announced and (block.kind is Kind.ITEM or indent > 0):
        state.shape = "bare"
        return not text.isupper()
    return False


def _counts_on(text: str, number: Number, indent: int, state: _ChildRun) -> bool:
    """True when an arabic number goes on in the list and does not open the next entry."""
    value = number.value or 0
    name = read_name(text, number.end)
    capitals = state.capitals
    if name and (name.capitals or likeness(name, _NO_VOCABULARY) >= SURE):
        capitals = bool(name.capitals) or bool(state.capitals and value == state.last + 1)
    like = not (capitals and state.capitals is False) and bool(indent) >= bool(state.indent)
    like = like and not read_lineage(text[number.end : number.end + 160])[0]
    if state.shape == "arabic":
        goes_on = like and (value > state.last or (value == state.last and not number.text.isdigit()))
    elif state.announced:
        goes_on = True
    else:
        first = state.hinted and value == 1
        goes_on = first or (like and 0 < value - state.last <= 2 and len(text) < 400 and (state.hinted or state.shape != ""))
    if not goes_on:
        return False
    state.shape, state.last, state.indent, state.capitals = "arabic", value, indent, capitals
    return len(text) < 1200


# --------------------------------------------------------------------------------------------------------- openings


def _style(block: Block, name: Name | None, start: int, sole: bool) -> str:
    """The style of a block that is no heading."""
    starts = {start, name.first if name else start}
    if any(_set_in(block, at, block.bold, ("**", "=")) for at in starts):
        look = "bold"
    elif name.capitals if name else _opens_in_capitals(printed(block)[start:]):
        look = "capitals"
    elif any(_set_in(block, at, block.italic, ("_",)) for at in starts):
        look = "italic"
    else:
        look = ""
    return f"{look} line".strip() if sole else look or "plain"


def _set_in(block: Block, at: int, spans: Sequence[tuple[int, int]], signs: tuple[str, ...]) -> bool:
    """True when the word at this place of the printed block is set in the type of the spans, or in typed signs."""
    offset = at - (len(block.label) + 1 if block.label else 0)
    return any(start <= offset + 1 < end for start, end in spans) or printed(block).startswith(signs, at)


def _opens_in_capitals(text: str) -> bool:
    word = re.match(r"[\W_]*([^\W\d_]{3,})", text)
    return bool(word) and word[1].isupper()  # type: ignore[index]


def _is_sole(block: Block, rest: str) -> bool:
    """True when the block is a title, not a paragraph that goes on."""
    if block.kind is Kind.HEADING:
        return True
    if block.kind is not Kind.PARAGRAPH or block.words > 14:
        return False
    if block.text.isupper():
        return True
    tail = DEGREES.sub("", rest).strip(" .,:_*=—")
    return not tail or not _SENTENCE.search(rest) and not block.text.rstrip("_* ").endswith((".", ";", "!", "?", ","))


@dataclass(frozen=True, slots=True)
class _Head:
    """The beginning of a block: its number, its name and what follows."""

    start: int  # where the name begins
    number: Number | None
    name: Name | None
    rest: str
    numbered: str  # the class of its number; "behind" where it stands after the name; "inverted" for surnames first


def _read_head(block: Block, surnames_first: bool) -> _Head:
    text = printed(block)
    chapter = _CHAPTER.match(text) if block.kind is Kind.HEADING else None
    start = chapter.end() if chapter else 0
    number = None if chapter else read_number(text)
    name = read_name(text, start + (number.end if number else 0))
    if name is None and number and number.form == "letter":  # an initial: A. Trefnant
        number, name = None, read_name(text, start)
    start += number.end if number else 0
    if name is None:
        return _Head(start, number, None, text[start:], _number_class(number) if number else "")
    name, inverted = _uninvert(text, name, surnames_first)
    if len(name.words) == 1:
        name = _with_shared_surname(text, name)
    behind = _number_behind(text, name, number)
    numbered = "behind" if behind else _number_class(number) if number else "inverted" if inverted else ""
    return _Head(start, behind or number, name, text[name.end :], numbered)


def _number_behind(text: str, name: Name, number: Number | None) -> Number | None:
    """The number of 'SILAS STEPHENS, (14), son of …'; a year in brackets is none."""
    found = _NUMBER_BEHIND.match(text, name.end)
    if not found or 1400 < int(found[1]) < 2100 or (number and number.text != found[1]):
        return None
    return Number(found[1], "arabic", found.end(), closed=True)


def _read_opening(block: Block, vocabulary: Vocabulary, guessed: bool, surnames_first: frozenset[str]) -> Opening:
    head = _read_head(block, False)
    form = _form(block, head, guessed)
    if form.style in surnames_first:
        head = _read_head(block, True)
        form = _form(block, head, guessed)
    name = head.name
    if name is None:
        return Opening(block.index, form, head.number, None)
    lineage, parent = read_lineage(head.rest[:260])
    generation = name.generation or (parent + 1 if parent else len(lineage) + 1 if lineage else None)
    sure = likeness(name, vocabulary)
    if form.titled:
        sure *= _title_goes_on_as_name(head.rest, name, bool(head.number or lineage))
    return Opening(block.index, form, head.number, name, head.rest, sure, generation, lineage)


def _form(block: Block, head: _Head, guessed: bool) -> Form:
    """The block's form. Where headings are guessed (plain text), their levels say nothing, and a numbered line is the
    same with or without the guess."""
    sole = _is_sole(block, head.rest)
    style = _style(block, head.name, head.start, sole)
    if block.kind is Kind.HEADING and not guessed:
        return Form("heading", block.level, head.numbered)
    if block.kind is Kind.HEADING and head.numbered not in ("figures", "roman"):
        style = "capitals heading" if printed(block).isupper() else "heading"
    return Form(style, 0, head.numbered)


_TITLE_REST = re.compile(
    r"[\s_*=]*(?:$|[(\[,:;–—\"“]|-\s|-$|\.\s*(?:$|[\d(])|(?:of|the)\s+[A-Z]|(?:and|&)\s+[A-Z]|[1-9]\d{3}|(?:born|b\.|c\.|ca\.)\s)"
)


def _title_goes_on_as_name(rest: str, name: Name, marked: bool) -> bool:
    """True when what follows the name in a heading leaves it a name: dates, an epithet, a bracket, a spouse."""
    if not _TITLE_REST.match(rest):
        return False
    return marked or len(name.words) > 1 or not rest.strip(" ._*=,")


def _uninvert(text: str, name: Name, surnames_first: bool) -> tuple[Name, bool]:
    """'HORTON, BARNABAS' as one name, forename first. Unless the draft is known to put surnames first, only where a
    forename that we know, or capitals on both sides, follow a lone word that is no forename."""
    if len(name.words) != 1 or text[name.end : name.end + 1] != ",":
        return name, False
    given = read_name(text, name.end + 1)
    if given is None or bool(name.capitals) < bool(given.capitals):
        return name, False
    ended = text[given.end : given.end + 1] in (",", "(", ";", ":", ".", "")
    both = ended and bool(name.capitals and given.capitals)
    known = likeness(given, _NO_VOCABULARY) >= SURE or both
    if not (surnames_first and ended) and (not known or likeness(name, _NO_VOCABULARY) >= SURE):
        return name, False
    whole = replace(given, words=given.words + name.words, start=name.start, capitals=name.capitals + given.capitals)
    return whole, True


def _styles_with_surnames_first(openings: Sequence[Opening]) -> frozenset[str]:
    """The styles of which a good part of the names put the surname first."""
    inverted = Counter(o.form.style for o in openings if o.form.number == "inverted" and o.likeness >= SURE)
    straight = Counter(o.form.style for o in openings if o.form.number != "inverted" and o.likeness >= 1.0)
    return frozenset(style for style, count in inverted.items() if count >= 3 and count >= straight[style])


def _number_class(number: Number) -> str:
    """Figures, dotted figures and figures with letters are one class: 1, 1.2 and 12X can stand in one system."""
    return number.form if number.form in ("roman", "letter") else "figures"


_NUMBER_BEHIND = re.compile(r",?\s*[(\[](\d{1,5})[)\]]")  # SILAS STEPHENS, (14), son of …
_AND = re.compile(r"\s+(?:and|&)\s+", re.IGNORECASE)
_FELLOW = re.compile(r",?\s+(?:and|&)\s+|,\s*", re.IGNORECASE)


def _with_shared_surname(text: str, name: Name) -> Name:
    """'Ifan and Gwen Trefnant' is the entry of Ifan Trefnant; 'Huw, Ifan and Gwen Trefnant' that of Huw Trefnant."""
    at = name.end
    for _ in range(6):
        link = _FELLOW.match(text, at)
        other = read_name(text, link.end()) if link else None
        if link is None or other is None or (other.capitals > 0) != (name.capitals > 0):
            return name
        if len(other.words) > 1:
            joined = _AND.search(link[0]) and not text[other.end : other.end + 1].isalpha()
            return replace(name, words=(*name.words, other.words[-1]), end=other.end) if joined else name
        if not forename(other.words[0]):
            return name
        at = other.end
    return name


_CANDIDATES = frozenset({Kind.HEADING, Kind.PARAGRAPH, Kind.ITEM})


def _openings(draft: Draft, children: set[int], vocabulary: Vocabulary) -> list[Opening]:
    """The blocks that could open an entry, with what the text around them says."""
    closed = _closed_zones(draft.blocks)
    blocks = [
        block
        for block in draft.blocks
        if block.kind in _CANDIDATES
        and block.index not in children
        and block.index not in closed
        and block.text
        and not matter(block)
        and generation_heading(block.text) is None
    ]
    guessed = draft.format == "txt"
    read = [_read_opening(block, vocabulary, guessed, frozenset()) for block in blocks]
    surnames_first = _styles_with_surnames_first(read)
    if surnames_first:
        read = [_read_opening(block, vocabulary, guessed, surnames_first) for block in blocks]
    known = _with_shared_surnames(read)
    named = {opening.at: opening for opening in known if opening.likeness >= POSSIBLE}
    return [_seen_in_place(draft, opening, named) for opening in known]


def _with_shared_surnames(openings: list[Opening]) -> list[Opening]:
    """Raise the likeness of names unknown to us whose surname opens more than one block."""
    surnames = Counter(o.name.words[-1].casefold() for o in openings if o.name and len(o.name.words) > 1)
    return [
        replace(o, likeness=0.7) if POSSIBLE <= o.likeness < SURE and o.name and _shares(o.name, surnames) else o
        for o in openings
    ]


def _shares(name: Name, surnames: Counter[str]) -> bool:
    return len(name.words) > 1 and surnames[name.words[-1].casefold()] > 1


def _seen_in_place(draft: Draft, opening: Opening, named: dict[int, Opening]) -> Opening:
    """The opening with what the next lines say: up to a heading after the prose, or the next name of the same form."""
    if opening.name is None:
        return opening
    prose: list[str] = []
    for block in draft.blocks[opening.at + 1 : opening.at + 7]:
        other = named.get(block.index)
        if (prose and block.kind is Kind.HEADING) or (other and other.form == opening.form):
            break
        if block.kind in (Kind.PARAGRAPH, Kind.QUOTATION) and block.words > 7:
            prose.append(block.text[:600])
    follows = " ".join(prose)
    titled = opening.form.titled
    words = set(re.findall(r"[^\W\d_]+", f"{'' if titled else opening.rest} {follows}".casefold()))
    echoed = not titled or bool(opening.name.keys & words)
    told = bool(_VITAL.search(f"{opening.rest} {follows if titled else ''}"[:400]))
    return replace(opening, told=told, echoed=echoed, filled=bool(prose) or not titled)


# ------------------------------------------------------------------------------------- which forms carry the entries


@dataclass(frozen=True, slots=True)
class Weight:
    """What speaks for a form, each a share from 0 to 1 of its likely names (``share``: of all blocks of the form)."""

    names: int
    share: float
    linked: float
    ordered: float
    told: float
    echoed: float
    filled: float


def _weigh(group: Sequence[Opening], carried: dict[str, str]) -> Weight:
    likely = [opening for opening in group if opening.likeness >= SURE]
    count = max(len(likely), 1)
    within = _within(group, likely)

    def part(numbers: Iterable[bool]) -> float:
        return sum(numbers) / count

    return Weight(
        len(likely),
        sum(opening.likeness >= SURE for opening in within) / max(len(within), 1),
        part(_linked(opening, carried) for opening in likely),
        in_order([opening.number for opening in likely if opening.number]),
        part(opening.told for opening in likely),
        part(opening.echoed for opening in likely),
        part(opening.filled for opening in likely),
    )


def _within(group: Sequence[Opening], likely: Sequence[Opening]) -> Sequence[Opening]:
    """The part of a group in which nine tenths of its likely names stand: entries may fill one part of a book."""
    if not likely:
        return group
    trim = len(likely) // 20
    first, last = likely[trim].at, likely[-1 - trim].at
    return [opening for opening in group if first <= opening.at <= last]


def _linked(opening: Opening, carried: dict[str, str]) -> bool:
    """True when a child list sends the reader here by number and forename, or a generation is printed."""
    if opening.lineage or opening.generation:
        return True
    if not opening.number or not opening.name:
        return False
    return carried.get(opening.number.text) in {word.casefold() for word in opening.name.words}


def _carries(form: Form, weight: Weight) -> bool:
    """True when a form carries entries (thresholds: ours, set on whole books and drafts)."""
    if not weight.names:
        return False
    if form.number and form.number != "inverted":
        return weight.linked >= 0.34 or (
            weight.share >= 0.5
            and (weight.ordered >= 0.7 or (weight.names == 1 and form.titled))
            and (weight.told >= 0.5 or weight.echoed >= 0.5 and form.titled)
        )
    if form.style.endswith("heading") or form.style in ("capitals line", "bold line"):
        enough = 0.35 if form.style == "heading" else 0.25
        return (weight.share >= enough and weight.echoed >= 0.5) or (weight.share >= 0.6 and weight.told >= 0.5)
    if form.style in ("line", "italic line"):
        return weight.linked >= 0.34 or weight.names >= 2 and min(weight.share, weight.echoed, weight.filled) >= 0.6
    if form.style == "plain":
        return weight.linked >= 0.34 and weight.told >= 0.5
    return weight.share >= 0.4 and weight.told >= 0.6


def _entries(blocks: Sequence[Block], openings: Sequence[Opening], carried: dict[str, str]) -> list[Opening]:
    """The openings that are entries."""
    groups: dict[Form, list[Opening]] = defaultdict(list)
    for opening in openings:
        groups[opening.form].append(opening)
    weights = {form: _weigh(group, carried) for form, group in groups.items()}
    forms = {form for form, weight in weights.items() if _carries(form, weight)}
    forms = _without_subheadings(_without_lists(forms, weights, groups), weights)
    chosen = [
        opening
        for opening in openings
        if (opening.form in forms and _belongs(opening, weights[opening.form], carried)) or _twin(opening, forms)
    ]
    return _without_spouses(_without_echoes(_without_contents(chosen)), blocks)


def _twin(opening: Opening, forms: set[Form]) -> bool:
    """True for a line of plain text that was not taken for a heading where headings like it carry the entries."""
    heading = replace(opening.form, style=opening.form.style.replace("line", "heading"))
    like = opening.form.style.endswith("line") and heading in forms
    return like and opening.likeness >= 1.0 and opening.echoed and opening.filled


def _without_subheadings(forms: set[Form], weights: dict[Form, Weight]) -> set[Form]:
    """Drop forms that only stand inside the entries of another: names in sub-headings, spouses set in bold."""
    numbered = {form for form in forms if form.number not in ("", "inverted")}
    strict = any(_counts_everybody(form, weights[form]) for form in numbered)
    titled = {form for form in forms if form.style.endswith("heading")}
    level = min((form.level for form in titled & numbered or titled), default=0)
    most = max((weights[form].names for form in forms), default=0)
    kept = set(forms)
    for form in forms - numbered:
        loose = weights[form].linked < 0.34
        if form in titled:
            inside = bool(level) and form.level > level
        elif form.style in ("capitals", "bold", "italic"):
            inside = loose and (strict or _outnumbered(form, titled, weights, 3))
        else:
            inside = loose and bool(titled or numbered)
        rare = loose and 12 * weights[form].names < most
        if inside or rare or (form.style in ("italic", "bold") and loose and numbered):
            kept.discard(form)
    return kept


def _counts_everybody(form: Form, weight: Weight) -> bool:
    """True for arabic numbers that run on through the draft: who has no number there has no entry."""
    return form.number in ("figures", "behind") and (weight.linked >= 0.34 or (weight.ordered >= 0.9 and weight.names >= 5))


def _outnumbered(form: Form, others: set[Form], weights: dict[Form, Weight], factor: int) -> bool:
    """True when a form has fewer than ``factor`` times the names of the most frequent of the others."""
    return bool(others) and weights[form].names < factor * max(weights[other].names for other in others)


def _without_lists(
    forms: set[Form], weights: dict[Form, Weight], groups: dict[Form, list[Opening]]
) -> set[Form]:
    """Drop numbered paragraphs that are lists, of children for the most part: plain ones that begin anew at 1 again
    and again, or where another form carries the entries; any, where the entries bear their numbers behind the name."""
    kept = set(forms)
    behind = max((weights[form].names for form in forms if form.number == "behind"), default=0)
    for form in forms:
        if form.number == "figures" and not form.titled and weights[form].names < 4 * behind:
            kept.discard(form)
        if form.style != "plain" or weights[form].linked >= 0.34:
            continue
        begun = sum(bool(opening.number and opening.number.value == 1) for opening in groups[form])
        others = max((weights[other].names for other in forms - {form}), default=0)
        if begun > 1 + weights[form].names // 10 or 2 * others > weights[form].names:
            kept.discard(form)
    return kept


def _belongs(opening: Opening, weight: Weight, carried: dict[str, str]) -> bool:
    """True when this opening of a form that carries entries is one itself."""
    if opening.name is None:
        return False
    if _linked(opening, carried):
        return True
    if opening.likeness < SURE:
        return _backed(opening, weight)
    return opening.form.titled or opening.told or weight.share >= 0.7


def _backed(opening: Opening, weight: Weight) -> bool:
    """True when the form makes up for a name that we do not know: its other members are names, the text takes the
    name up."""
    if opening.number and opening.number.closed:
        return opening.likeness >= 0.2 and weight.share >= 0.6
    if opening.form.titled:
        return opening.likeness >= POSSIBLE and opening.echoed
    return opening.told and opening.likeness >= 0.2 and weight.share >= (0.5 if opening.likeness >= POSSIBLE else 0.8)


def _without_contents(chosen: list[Opening]) -> list[Opening]:
    """Drop runs of three or more titles with no text between them that all come again: a table of contents."""
    later = Counter(opening.name.text for opening in chosen if opening.name)
    kept: list[Opening] = []
    run: list[Opening] = []
    for opening in [*chosen, None]:
        if opening is not None and opening.form.titled and not opening.filled:
            run.append(opening)
            continue
        repeated = sum(later[item.name.text] > 1 for item in run if item.name)
        kept += [] if len(run) >= 3 and 2 * repeated >= len(run) else run
        run = []
        kept += [opening] if opening is not None else []
    return kept


def _without_echoes(chosen: list[Opening]) -> list[Opening]:
    """Where a title and the paragraph under it both open with the person's name, the title alone opens the entry."""
    kept: list[Opening] = []
    for opening in chosen:
        before = kept[-1] if kept else None
        if before and before.form.titled and opening.at == before.at + 1 and before.name and opening.name:
            shared = before.name.keys & opening.name.keys
            if shared and (shared == opening.name.keys or shared == before.name.keys):
                continue
        kept.append(opening)
    return kept


def _without_spouses(chosen: list[Opening], blocks: Sequence[Block]) -> list[Opening]:
    """Drop unnumbered paragraphs that open with someone whom the entry before names in full, among numbered entries."""
    if not any(opening.number for opening in chosen):
        return chosen
    kept: list[Opening] = []
    for opening in chosen:
        if kept and opening.name and not opening.number and not opening.form.titled and len(opening.name.words) > 1:
            said = opening.name.text.casefold()
            if any(said in block.text.casefold() for block in blocks[kept[-1].at : opening.at]):
                continue
        kept.append(opening)
    return kept


# --------------------------------------------------------------------------------------------------------- sections


def split(draft: Draft) -> list[Section]:
    """The draft's sections in reading order; every block stands in exactly one of them.

    A section runs to the next person or to a heading above the person's level. Lines of child lists come back as
    ``Kind.CHILD``. A draft in which no person's entry can be recognised is split by its headings.
    """
    children = child_lines(draft)
    vocabulary = _vocabulary(draft)
    entries = _entries(draft.blocks, _openings(draft, children, vocabulary), _carried(draft, children))
    binder = _Binder(draft, children, {entry.at: entry for entry in entries}, _system(draft, entries, children))
    for block in draft.blocks:
        binder.add(block)
    return _with_ids(binder.sections)


def _carried(draft: Draft, children: set[int]) -> dict[str, str]:
    """Numbers in child lists with the child's forename, folded: the entries that the reader is sent on to.

    Numbers that come again in every list are the order of birth and lead nowhere.
    """
    carried: dict[str, str] = {}
    again = 0
    for at in sorted(children):
        text = printed(draft.blocks[at])
        line = read_child_line(text)
        found = None if line else read_number(text)
        number = line.number if line else found.text if found else None
        name = read_name(text, line.end if line else found.end if found else 0)
        if number and name:
            again += number in carried
            carried[number] = name.words[0].casefold()
    return carried if 4 * again <= len(carried) else {}


def numbering_system(draft: Draft) -> System:
    """The numbering system of the draft's entries."""
    children = child_lines(draft)
    vocabulary = _vocabulary(draft)
    return _system(draft, _entries(draft.blocks, _openings(draft, children, vocabulary), _carried(draft, children)), children)


def _system(draft: Draft, entries: Sequence[Opening], children: set[int]) -> System:
    numbered = [entry for entry in entries if entry.number and entry.name]
    lines = [line for at in children if (line := read_child_line(printed(draft.blocks[at])))]
    return decide_system(
        [entry.number for entry in numbered if entry.number],
        [entry.name.words[-1] for entry in numbered if entry.name],
        len(lines),
        sum(line.number is not None for line in lines),
    )


def _vocabulary(draft: Draft) -> Vocabulary:
    """How the draft's running text uses its words; titles and lists would count every word as a name."""
    return Vocabulary.of(block.text for block in draft.blocks if block.kind is not Kind.HEADING and block.words > 11)


class _Binder:
    """Walks through the blocks once and binds them into sections."""

    def __init__(self, draft: Draft, children: set[int], entries: dict[int, Opening], system: System) -> None:
        self.draft, self.children, self.entries, self.system = draft, children, entries, system
        self.sections: list[Section] = []
        self.level = 0  # a heading above this level ends the section; 0: no section yet
        self.outer = 0  # level of the heading under which the entries stand
        self.generation: int | None = None
        self.surname = ""
        # where lines of descent are printed, those without one are the first generation or a spouse of the one before
        self.descent = any(entry.lineage for entry in entries.values())
        self.before = 1
        self.floor = _floor(draft, entries)
        self.flat = any(entry.form.style == "heading" and not entry.form.number for entry in entries.values())

    def add(self, block: Block) -> None:
        if block.index in self.children:
            block = replace(block, kind=Kind.CHILD)
        if block.index in self.entries:
            self.open_person(block, self.entries[block.index])
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
        if matter(block) or _divides(block):
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
        """Open a section without a person; headings that follow each other share one."""
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
            self.person(entry), number, self.generation_of(entry), entry.lineage,
        )  # fmt: skip
        self.sections.append(section)

    def generation_of(self, entry: Opening) -> int | None:
        told = generation_of(entry.number.text, self.system) if entry.number else None
        found = entry.generation or told or self.generation or (self.before if self.descent else None)
        self.before = found or self.before
        return found

    def person(self, entry: Opening) -> str:
        """The name, with the epithet of a title, and with the surname that the entry leaves to be understood."""
        assert entry.name is not None
        name = entry.name
        if len(name.keys) > 1:
            self.surname = self.surname or name.words[-1]
        epithet = _EPITHET.match(entry.rest) if entry.form.titled else None
        if epithet:
            return f"{name.text} {epithet[1]}"
        if len(name.keys) == 1:
            return _with_surname(name, entry, self.surname)
        return name.text


def _floor(draft: Draft, entries: dict[int, Opening]) -> int:
    """The level down to which every heading divides a text without persons: that of the persons' own headings, else
    the one that has most headings."""
    own = [entry.form.level for entry in entries.values() if entry.form.level]
    levels = Counter(block.level for block in draft.blocks if block.kind is Kind.HEADING)
    return min(own) if own else max(levels, key=lambda level: (levels[level], -level), default=0)


_EPITHET = re.compile(r"\s+((?:the|of) [A-ZÀ-Þ][\w'’-]*(?: [A-ZÀ-Þ][\w'’-]*)?)(?=\s*(?:$|[(,\[]))")
_PARENT = re.compile(r"\b(?:son|daughter|child|dau\.) of (?:the )?")


def _with_surname(name: Name, entry: Opening, dominant: str) -> str:
    """'JOSEPH, son of Barnabas Horton' is Joseph Horton; '2. JONATHAN (John)' has the family's surname."""
    parent = _PARENT.search(entry.rest[:120])
    named = read_name(entry.rest, parent.end()) if parent else None
    if named and len(named.keys) > 1:
        return f"{name.text} {replace(named, words=named.words[-1:], titles=(), suffixes=()).text}"
    if dominant and (entry.lineage or name.generation) and dominant.casefold() not in name.keys:
        return f"{name.text} {replace(name, words=(dominant,), titles=(), suffixes=()).text}"
    return name.text


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
