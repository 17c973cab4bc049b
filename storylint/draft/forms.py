"""How the blocks of a draft look at their beginning: number, name, and the form in which they are set.

The same name can stand in a heading, in capitals at the start of a paragraph, or behind a number. A ``Form`` is what
the entries of one draft have in common; ``entries`` weighs the forms against each other.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace

from storylint.draft.bearers import Bearing, bearing
from storylint.draft.children import VITAL
from storylint.draft.matter import CHAPTER, STORY, closed_zones, divides, matter
from storylint.draft.model import Block, Draft, Kind
from storylint.draft.names import (
    AFTER_A_FORENAME,
    DEGREES,
    EPITHETS,
    NO_VOCABULARY,
    PARTICLES,
    SURE,
    Name,
    Vocabulary,
    forename,
    likeness,
    read_name,
)
from storylint.draft.numbering import Number, generation_heading, printed, read_lineage, read_number

POSSIBLE = 0.3  # a likeness that the form of the line must back


@dataclass(frozen=True, slots=True)
class Form:
    """How a block looks: what all entries of one draft have in common.

    ``style``: heading, story heading and story line ('The Life of …'), capitals heading, capitals line, bold line, italic line, line
    (the block is the entry's title),
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
    life: bool = False  # birth or parents follow the name at once
    told: bool = False  # a vital fact, a kinship or a year stands close by
    echoed: bool = False  # the text that follows uses the name
    filled: bool = False  # prose follows before the next opening of the same form
    borne: Bearing = Bearing.NONE  # how surely the text below a title without number speaks of a person

    @property
    def marked(self) -> bool:
        """True where a number, a line of descent or a generation says that the name is a person's."""
        return bool(self.number or self.lineage or self.generation)


_SENTENCE = re.compile(r"\b(?:was|were|is|are|had|has|died|born|married|came|went|b\.|m\.|d\.|bp\.|who|he|she)(?!\w)")


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
    return word is not None and word[1].isupper()


def _is_sole(block: Block, rest: str) -> bool:
    """True when the block is a title, not a paragraph that goes on."""
    if block.kind is Kind.HEADING:
        return True
    if block.kind is not Kind.PARAGRAPH or block.words > 14:
        return False
    if block.text.isupper():
        return True
    tail = DEGREES.sub("", rest).strip(" .,:_*=—")
    ended = block.text.rstrip("_* ").endswith((".", ";", ":", "!", "?", ","))
    return not tail or not (ended or _SENTENCE.search(rest))


@dataclass(frozen=True, slots=True)
class _Head:
    """The beginning of a block: its number, its name and what follows."""

    start: int  # where the name begins
    number: Number | None
    name: Name | None
    rest: str
    story: bool  # 'The Story of' stands before the name
    numbered: str  # the class of its number; "behind" where it stands after the name; "inverted" for surnames first


def _read_head(block: Block, surnames_first: bool) -> _Head:
    text = printed(block)
    title = block.kind is Kind.HEADING or (not text.endswith((".", ",", ";", ":")) and block.words <= 14)
    chapter = CHAPTER.match(text) if title else None
    start = chapter.end() if chapter else 0
    number = None if chapter else read_number(text)
    story = STORY.match(text, start + (number.end if number else 0)) if title else None
    name = _after_label(text) if title and not story else None
    name = name or read_name(text, story.end() if story else start + (number.end if number else 0))
    if name is None and number and number.form == "letter":  # an initial: A. Trefnant
        number, name = None, read_name(text, start)
    start += number.end if number else 0
    if name is None:
        return _Head(start, number, None, text[start:], bool(story), _number_class(number) if number else "")
    name, inverted = _uninvert(text, name, surnames_first)
    if len(name.words) == 1:
        name = _with_shared_surname(text, name)
    behind = _number_behind(text, name, number)
    numbered = "behind" if behind else _number_class(number) if number else "inverted" if inverted else ""
    return _Head(start, behind or number, name, text[name.end :], bool(story), numbered)


def _after_label(text: str) -> Name | None:
    """The name with its years in 'The rockman: Huw Trefnant (1820–1899)', where what stands before it names nobody: a calling, a
    kinship, a motto."""
    label = _LABEL.match(text)
    name = read_name(text, label.end()) if label else None
    if label is None or name is None or len(name.words) < 2 or _THING.search(label[0]):
        return None
    alone = label[0].startswith(("My ", "Our ")) and name.end == len(text)
    if not alone and not _LIVED.match(text, name.end):
        return None
    other = read_name(text, 0)
    return name if other is None or _WHOSE.search(label[0]) or not forename(other.words[0]) else None


def _number_behind(text: str, name: Name, number: Number | None) -> Number | None:
    """The number of 'HUW TREFNANT, (14), son of …'; a year in brackets is none."""
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
    if name is None or _FIRM.match(head.rest):
        return Opening(block.index, form, head.number, None)
    lineage, parent = read_lineage(head.rest[:260])
    generation = name.generation or (parent + 1 if parent else None)
    sure = likeness(name, vocabulary)
    if form.titled:
        sure *= _title_goes_on_as_name(head.rest, name)
    life = sure >= 1.0 and bool(_LIFE.match(head.rest))
    return Opening(block.index, form, head.number, name, head.rest, sure, generation, lineage, life)


def _form(block: Block, head: _Head, guessed: bool) -> Form:
    """The block's form. Where headings are guessed (plain text), their levels say nothing, and a numbered line is the
    same with or without the guess."""
    sole = _is_sole(block, head.rest)
    style = _style(block, head.name, head.start, sole)
    if head.story and not head.numbered and sole:
        heading = block.kind is Kind.HEADING
        return Form("story heading" if heading else "story line", block.level if heading and not guessed else 0)
    if block.kind is Kind.HEADING and not guessed:
        return Form("heading", block.level, head.numbered)
    if block.kind is Kind.HEADING and head.numbered not in ("figures", "roman"):
        style = "capitals heading" if printed(block).isupper() else "heading"
    return Form(style, 0, head.numbered)


_LIFE = re.compile(
    r"[\s,]*(?:\([^\W\d_][^\d()]{1,60}\)[\s,]*)?(?:\((?:c\. ?|b\. ?|born )?1\d\d\d|(?:the |an? |\w+ ){0,3}(?:son|daughter|child) of\b"
    r"|was born\b|born\b|b\.\s)"
)
_TITLE_REST = re.compile(
    r"[\s_*=]*(?:$|[(\[,:;–—\"“]|-\s|-$|\.\s*(?:$|[\d(])|(?:of|the|OF|THE)\s+[A-Z]|[1-9]\d{3}\b"
    r"|(?:born|b\.|c\.|ca\.)\s)"
)


def _title_goes_on_as_name(rest: str, name: Name) -> bool:
    """True when what follows the name in a heading leaves it a name: dates, an epithet, a bracket, a spouse."""
    joined = _AND.match(rest)
    if joined and _FAMILY.match(rest, joined.end()):  # Huw Trefnant and his wives
        return len(name.words) > 1
    if joined:  # Huw Trefnant and Ann Powell
        spouse = read_name(rest, joined.end())
        return spouse is not None and len(name.words) > 1 and forename(spouse.words[0])
    return bool(_TITLE_REST.match(rest) or other_name(rest))


def other_name(rest: str) -> Name | None:
    """The other name that follows a name in a title: 'alias James Felix', '(James Felix)'."""
    link = _ALIAS.match(rest)
    return read_name(rest, link.end()) if link and link.end() else None


_ALIAS = re.compile(
    r",?\s(?:[(\[](?=[A-ZÀ-Þ])"
    r"|[(\[]?(?:(?:later|afterwards|also|now|then) )?(?:known as|called|alias|otherwise|later|afterwards|or|now|then)\s)",
    re.IGNORECASE,
)


def _uninvert(text: str, name: Name, surnames_first: bool) -> tuple[Name, bool]:
    """'TREFNANT, OWEN' as one name, forename first. Unless the draft is known to put surnames first, only where a
    forename that we know, or capitals on both sides, follow a lone word that is no forename."""
    lone = all(word.casefold() in PARTICLES for word in name.words[:-1])  # Trefnant; Le Roy
    if not lone or text[name.end : name.end + 1] != ",":
        return name, False
    given = read_name(text, name.end + 1)
    if given is None or bool(name.capitals) < bool(given.capitals):
        return name, False
    ended = text[given.end : given.end + 1] in (",", "(", ";", ":", ".", "")
    both = ended and bool(name.capitals and given.capitals)
    known = likeness(given, NO_VOCABULARY) >= SURE or both
    surname = bool(name.capitals and not given.capitals and ended) or likeness(name, NO_VOCABULARY) < SURE
    if not (surnames_first and ended) and not (known and surname):
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


_LABEL = re.compile(r"[^:(\d]{2,80}:\s+|(?:My|Our|The|His|Her|Their) [^,:(\dA-Z]{2,60},\s+")
_WHOSE = re.compile(r"['’]s? [a-z][a-z -]*:\s+$")  # 'Ellis Gethin's daughter: '
_THING = re.compile(
    r"\b(?:ship|barque|brig|schooner|steamer|boat|house|home|street|road|chapel|church|school|farm|mill|quarry|pit|mine|town|village|"
    r"county|company|shop|store|years|days|horse|dog)\W*$"
)
_LIVED = re.compile(r",?\s*[(\[]?(?:b\. ?|c\. ?|ca\. ?|born |about )?1[4-9]\d\d\s*[–—-]")
_NUMBER_BEHIND = re.compile(r",?\s*[(\[](\d{1,5})[)\]]")  # HUW TREFNANT, (14), son of …
_FIRM = re.compile(r"\s*(?:&|and) (?:co|company|sons?|bros|brothers)\b", re.IGNORECASE)  # Huw Trefnant & Sons
_AND = re.compile(r"\s+(?:and|&)\s+", re.IGNORECASE)
_FAMILY = re.compile(
    r"(?:his|her|their) (?:\w+ )?(?:wives|wife|husbands?|widow|sons?|daughters?|brothers?|sisters?|parents)\b",
    re.IGNORECASE,
)
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


def _by_line(blocks: Sequence[Block], block: Block) -> bool:
    """True for the author's name under 'by' or 'compiled by' on a title page."""
    before = blocks[block.index - 1].text if block.index else ""
    return len(before) < 60 and before.casefold().rstrip(" :_*").endswith("by")


_CANDIDATES = frozenset({Kind.HEADING, Kind.PARAGRAPH, Kind.ITEM})


def read_openings(draft: Draft, children: set[int]) -> list[Opening]:
    """The blocks that could open an entry, with what the text around them says. ``children``: lines of child lists."""
    vocabulary = _vocabulary(draft)
    closed = closed_zones(draft.blocks)
    blocks = [
        block
        for block in draft.blocks
        if block.kind in _CANDIDATES
        and block.index not in children
        and block.index not in closed
        and block.text
        and not matter(block)
        and generation_heading(block.text) is None
        and not _by_line(draft.blocks, block)
    ]
    guessed = draft.format == "txt"
    read = [_read_opening(block, vocabulary, guessed, frozenset()) for block in blocks]
    surnames_first = _styles_with_surnames_first(read)
    if surnames_first:
        read = [_read_opening(block, vocabulary, guessed, surnames_first) for block in blocks]
    known = _with_shared_surnames(read)
    named = {opening.at: opening for opening in known if opening.likeness >= POSSIBLE}
    borne = {o.name.words[-1].casefold() for o in known if o.name and len(o.name.words) > 1 and o.likeness >= 1.0}
    placed = [_seen_in_place(draft, opening, named) for opening in known]
    return [replace(o, likeness=_as_title(o, o.name, borne, vocabulary)) if o.name else o for o in placed]


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
    """The opening with what the lines say that belong to it: its own, and those that follow a title."""
    if opening.name is None:
        return opening
    if not opening.form.titled:
        return replace(opening, told=bool(VITAL.search(f"{opening.rest} "[:400])), echoed=True, filled=True)
    prose = _prose_below(draft, opening, named)
    follows, keys = " ".join(prose), opening.name.keys
    told = bool(VITAL.search(f"{opening.rest} {follows}"[:400]))
    echoed = any(word[0] in keys for word in _LETTERS.finditer(follows.casefold()))
    borne = Bearing.NONE if opening.marked else bearing(opening.name, prose)
    return replace(opening, told=told, echoed=echoed, filled=bool(prose), borne=borne)


def _as_title(opening: Opening, name: Name, borne: set[str], vocabulary: Vocabulary) -> float:
    """The likeness of a title, where nothing but its words and the text below tell a person from a place or a topic.

    ``borne``: surnames that stand behind known forenames at the head of other blocks.
    """
    if opening.marked or name.titles or not opening.form.titled:
        return opening.likeness
    if len(name.words) == 1 or (len(name.words) == 2 and name.words[0].casefold() in EPITHETS):
        return _as_lone_name(opening, name, vocabulary)
    return opening.likeness if _DATES.match(opening.rest) else _as_full_name(opening, name, borne, vocabulary)


def _as_lone_name(opening: Opening, name: Name, vocabulary: Vocabulary) -> float:
    """Doli, Old Doli; not Tobacco, Virginia, Old Bethesda."""
    word, sure = name.words[-1], opening.likeness
    if len(name.words) == 1 and forename(word):  # Owen; not Virginia, nor Will of 1799
        doubted = opening.rest.strip(" ._*=,") or vocabulary.spot(word)
        return 0.1 if doubted and opening.borne < Bearing.DOES else sure
    common = vocabulary.common(word) or word.casefold().endswith(_ABSTRACT)
    if sure < 0.2 or common or any(vocabulary.places[part.casefold()] for part in name.words):
        return sure
    if opening.borne is Bearing.BORN or _renamed(opening.rest):
        return SURE
    named = opening.borne is Bearing.NAMED and len(name.words) == 1 and vocabulary.capital[word.casefold()]
    return POSSIBLE if named or opening.borne is Bearing.DOES else sure


def _renamed(rest: str) -> bool:
    """True where a full name that we know follows: Doli, later Dorothy Parry."""
    other = other_name(rest)
    return other is not None and len(other.words) > 1 and forename(other.words[0]) and rest[other.start - 1] not in "(["


def _as_full_name(opening: Opening, name: Name, borne: set[str], vocabulary: Vocabulary) -> float:
    """Guro Olsdatter, Ann Powell; not Slate Valley, Dorothea Street."""
    first, last, sure = name.words[0], name.words[-1].casefold(), opening.likeness
    if any(len(word.rstrip(".")) == 1 for word in name.words):  # Elmina S. Cadnant
        return max(sure, 0.7)
    if last.endswith(_DAUGHTER):
        return sure
    spot = vocabulary.spot(first) and vocabulary.capital[first.casefold()] > 0
    doubted = spot or opening.borne is Bearing.PLACE
    if opening.borne >= (Bearing.DOES if doubted else Bearing.HE_OR_SHE):
        return sure
    ours = not (spot or last in AFTER_A_FORENAME) if forename(first) else last in borne and not doubted
    return sure if ours else min(sure, 0.2)


_ABSTRACT = ("ism", "ment", "ness", "ship", "tion")
_DAUGHTER = ("datter", "dotter", "dóttir")
_DATES = re.compile(r"[\s,_*]*[(\[]?\s*(?:(?:b\.|c\.|ca\.|born|about)\s*)?1[4-9]\d\d")


_LETTERS = re.compile(r"[^\W\d_]+")


def _prose_below(draft: Draft, opening: Opening, named: dict[int, Opening]) -> list[str]:
    """The paragraphs below a title: up to a heading after the prose, or the next name of the same form."""
    prose: list[str] = []
    for block in draft.blocks[opening.at + 1 : opening.at + 7]:
        other = named.get(block.index)
        if (prose and block.kind is Kind.HEADING) or (other and other.form == opening.form):
            break
        if matter(block) or divides(block):
            break
        told = block.words > 7 or (block.words > 3 and block.text.endswith("."))
        if block.kind in (Kind.PARAGRAPH, Kind.QUOTATION) and told:
            prose.append(block.text[:600])
    return prose


def _vocabulary(draft: Draft) -> Vocabulary:
    """How the draft's running text uses its words; titles and lists would count every word as a name."""
    return Vocabulary.of(block.text for block in draft.blocks if block.kind is not Kind.HEADING and block.words > 11)
