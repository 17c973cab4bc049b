"""The study: what every rule needs to know of a sentence, worked out once.

spaCy's blank English pipeline makes the tokens. Its statistical model is not used: see DEVELOPERS.md for what it was
measured to add and to cost.
"""

from __future__ import annotations

import re
import sys
from array import array
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import cache, cached_property
from sys import intern
from types import ModuleType
from typing import TYPE_CHECKING, Any, TypeVar, cast

from storylint import halves
from storylint.draft.forenames import FORENAMES
from storylint.draft.model import PROSE, Block, Kind, Mark, Section
from storylint.study import people as people_of
from storylint.study import sentences as boundaries
from storylint.study.quoted import Spans, quoted
from storylint.study.words import (
    DATE,
    FUNCTION,
    NAME,
    NUMBER,
    PLACE,
    PRONOUN,
    STOP,
    TOLD,
    WORK,
    tag_of_word,
)

if TYPE_CHECKING:
    from spacy.language import Language

    from storylint.findings import Place

MONTHS = frozenset(
    """january february march april may june july august september october november december jan feb mar apr jun jul aug
    sep sept oct nov dec 7ber 8ber 9ber 10ber xber michaelmas martinmas candlemas lammas whitsun easter christmas epiphany
    monday tuesday wednesday thursday friday saturday sunday""".split()
)
NUMBER_WORDS = frozenset(
    """one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen seventeen eighteen
    nineteen twenty thirty forty fifty sixty seventy eighty ninety hundred thousand million dozen half first second third
    fourth fifth sixth seventh eighth ninth tenth eleventh twelfth twentieth thirtieth twice once couple pair""".split()
)
QUALIFIERS = frozenset("about circa ca c. abt before after between around say until since".split())
YEAR = re.compile(r"^(?:1[0-9]|20)\d\d(?:[/–-]\d{1,4})?s?$")
ORDINAL = re.compile(r"^\d+(?:st|nd|rd|th|d)$", re.IGNORECASE)
WORK_CUE = frozenset(
    "occupation trade profession employment calling work livelihood rank religion denomination".split()
)
LINK = frozenset("as was is were being of a an the given by his her in".split())
ARTICLE = frozenset(("a", "an", "the"))


@dataclass(slots=True)
class Sentence:
    """One sentence of prose, or one entry of a list of children.

    ``start`` and ``end`` are offsets in ``block.text``; ``tokens`` the words and marks of punctuation, ``lower`` the same
    in small letters, ``at`` where each begins in ``text``; ``tags`` has one letter a token (see ``study.words``).
    ``covered`` is True when a citation mark answers for the sentence: its own, or the one that ends its paragraph.
    """

    block: Block
    start: int
    end: int
    text: str
    tokens: list[str]
    lower: list[str]
    at: list[int]
    tags: str
    words: int  # split at white space
    marks: tuple[Mark, ...] = ()
    covered: bool = False
    first: bool = False  # opens its paragraph
    last: bool = False  # closes its paragraph
    place: Place | None = None  # once a rule has asked for it: see ``rule.place``

    def count(self, tags: str) -> int:
        """Number of tokens with one of these tags."""
        return sum(self.tags.count(tag) for tag in tags)


@dataclass(slots=True)
class StudiedSection:
    """A section with its prose cut into sentences and its list of children.

    ``quoted`` are the sentences of its paragraphs that somebody else spoke or wrote (see ``study.quoted``): no prose of
    the author's, but printed all the same.
    """

    section: Section
    paragraphs: list[list[Sentence]]
    children: list[Sentence]
    quoted: list[list[Sentence]] = field(default_factory=list)

    @property
    def sentences(self) -> Iterator[Sentence]:
        """The sentences of its prose, in order."""
        return (sentence for paragraph in self.paragraphs for sentence in paragraph)


@dataclass(frozen=True)
class Failed:
    """What came of something that was to be worked out once a book."""

    fault: Exception


Found = TypeVar("Found")


@dataclass
class Book:
    """All sections of all drafts of one run, studied, with what is true of the book as a whole."""

    sections: list[StudiedSection]
    people: people_of.People
    settings: dict[str, object] = field(default_factory=dict)
    memo: dict[str, object] = field(default_factory=dict)  # what a book-wide rule works out once
    voices_elsewhere: Callable[[], list[Any] | None] | None = (
        None  # waits for ``voice.hear``, where another process hears
    )

    def once(self, key: str, work_out: Callable[[], Found]) -> Found:
        """What is worked out once a book; where that fails, it fails for all who ask, without being tried again."""
        if key not in self.memo:
            try:
                self.memo[key] = work_out()
            except Exception as fault:
                self.memo[key] = Failed(fault)
        found = self.memo[key]
        if isinstance(found, Failed):
            raise found.fault
        return cast(Found, found)

    @cached_property
    def sentences(self) -> list[Sentence]:
        """All prose sentences of the book, in order."""
        return [sentence for section in self.sections for sentence in section.sentences]


@cache
def english() -> Language:
    """spaCy's blank English: tokens only, no model, no network."""
    try:
        with without_commands():
            import spacy
    except ImportError:
        import spacy

    return spacy.blank("en")


@contextmanager
def without_commands() -> Iterator[None]:
    """spaCy imports its own command line for one function that tells its version; with all that it needs (web clients, a
    project manager) that takes a third of spaCy's start, and is never used here. Meanwhile something stands in for it."""
    name = "spacy.cli.info"
    if name in sys.modules or "spacy" in sys.modules:
        yield
        return
    stand_in = ModuleType(name)
    stand_in.info = None  # type: ignore[attr-defined]
    sys.modules[name] = stand_in
    try:
        yield
    finally:
        sys.modules.pop(name, None)


# Characters without white space between them: a long web address has 200. The tokeniser's time grows with their square.
UNBROKEN = re.compile(r"\S{400}")
AT_ONCE = 50_000  # characters; its memory grows with what it gets at once, which may be a million


def tokens_of(text: str) -> list[tuple[str, int]]:
    """The tokens of a text with their offsets, white space left out."""
    if not text or text.isspace():
        return []
    places = halves.places_of(text) or places_of(text)
    ends = array("I")
    ends.frombytes(places)
    each = iter(ends)
    return [
        (intern(text[start:end]), start) for start, end in zip(each, each, strict=True)
    ]  # a book says few words often


def places_of(text: str) -> bytes:
    """Where the tokens of a text begin and end, one after the other, as numbers of ``array("I")``."""
    found = b""
    for start, piece in pieces_of(text) if len(text) >= 400 else [(0, text)]:
        places = english().make_doc(piece).to_array(["IDX", "LENGTH", "IS_SPACE"])
        places = places[places[:, 2] == 0, :2] + start
        places[:, 1] += places[:, 0] - start
        found += places.astype("I").tobytes()
    return found


def pieces_of(text: str) -> Iterator[tuple[int, str]]:
    """What the tokeniser gets at once, each with its offset: all of it, but for what nobody writes."""
    start = 0
    for stop in (*(run.end() for run in UNBROKEN.finditer(text)), len(text)):
        while stop - start > AT_ONCE:
            cut = text.find(" ", start + AT_ONCE, stop)
            cut = cut if cut > 0 else stop
            yield start, text[start:cut]
            start = cut
        yield start, text[start:stop]
        start = stop


def study(sections: Iterable[Section], settings: dict[str, object] | None = None) -> Book:
    """Study all sections of a book at once: names are gathered first, then sentences are tagged with them."""
    sections = list(sections)
    family = people_of.gather(sections)
    tagger = Tagger(family, common_words(sections))
    return Book([studied(section, tagger) for section in sections], family, settings or {})


def common_words(sections: Iterable[Section]) -> set[str]:
    """Words that the book writes in small letters somewhere: at the start of a sentence they are no names."""
    seen: set[str] = set()
    for section in sections:
        for block in section.body:
            if block.kind in (Kind.PARAGRAPH, Kind.QUOTATION, Kind.ITEM):
                seen.update(re.findall(r"[^\W\d_]+", block.text))
    return {word for word in seen if word.islower()}


def studied(section: Section, tagger: Tagger) -> StudiedSection:
    """One section's prose and children as tagged sentences."""
    theirs = quoted(section.body, section.entry, section.draft.format == "txt")
    following = [*section.body[1:], None][: len(section.body)] if section.body else []
    prose = (
        block
        for block, after in zip(section.body, following, strict=True)
        if block.kind in PROSE and not announces(block, after, after is not None and after.index in theirs)
    )
    children = [whole(block, tagger) for block in section.body if block.kind is Kind.CHILD]
    told: list[list[Sentence]] = []
    documents: list[list[Sentence]] = []
    for paragraph in (cut(block, tagger) for block in prose):
        told.append([sentence for sentence in paragraph if not is_quoted(sentence, theirs)])
        documents.append([sentence for sentence in paragraph if is_quoted(sentence, theirs)])
    return StudiedSection(section, [p for p in told if p], children, [p for p in documents if p])


def is_quoted(sentence: Sentence, spans: Spans) -> bool:
    """True for a sentence that lies in a quotation at length."""
    parts = spans.get(sentence.block.index, ())
    return any(start <= sentence.start and sentence.end <= end for start, end in parts)


ANNOUNCES = re.compile(
    r"^\W*(?:the |known |their |other )*(?:children|child|issue|offspring)\s+(?:of|by|with|from|born)\b", re.IGNORECASE
)


INNER_END = re.compile(r"[a-z\d)”\"][.!?][”\"’)]*\s+[A-Z]")  # one sentence ends here and another begins


FINITE = re.compile(
    r"\b(?:is|are|was|were|be|been|has|have|had|do|does|did|says?|said|writes?|wrote|gives?|gave|runs?|ran|reads?|tells?|told"
    r"|went|came|sent|took|made|left|saw|(?!dated|addressed|signed|enclosed|entitled|headed)[a-z]{2,}ed|[IWw]e|[Hh]e|[Ss]he|[Tt]hey)\b"
)


def announces(block: Block, after: Block | None, quoted: bool = False) -> bool:
    """True for the line above a list of children ('Children of Owen Gethin and Jane Thomas:'), which belongs to the
    list, and for one without a verb above a document ('Extract of a letter from Boston, 11 July 1771:')."""
    if ends_open(block) and block.words <= 3:  # 'Children:'
        return True
    if after is None:
        return False
    if after.kind is Kind.CHILD:  # a life told in one paragraph may end in 'They had three children:'
        alone = ends_open(block) and not INNER_END.search(block.text)
        return alone or (bool(ANNOUNCES.match(block.text)) and block.words <= 30)
    document = quoted or after.kind is Kind.QUOTATION
    return document and ends_open(block) and block.words <= 30 and not FINITE.search(block.text)


HEADS_LIST = re.compile(
    r"^\W*(?:(?:the|his|her|their|known|other|all)\s+)*(?:children|child|issue|offspring)\b"
    r"(?:\s+(?:by|of|from|with|born|are|were)\b[^.;:]{0,50})?\s*(?::|\.?--?|—)\s*(?:\d+\.|by\s[^:;]{2,40})?\s*$"
    r"|^\W*by (?-i:[A-Z])[\w.'’-]*(?: (?-i:[A-Z])[\w.'’-]*){0,4}\s*[.:]\s*$",
    re.IGNORECASE,
)


ATTRIBUTION = re.compile(r"^[\s\"”’]*(?:--|—|–)\s*[A-Z\"“']")


LONG = 40  # tokens; so many are more than a date and a place, and more than the head of a list


def says_something(text: str, tokens: list[tuple[str, int]]) -> bool:
    """False for what is no sentence: a numeral, a name or initials that stand alone ('VII.', 'No. 5.'), a line of place
    and date ('Bethesda, 4 May 1903.'), who said what stands before ('--Letter of Ann Rowe.'), and the words at a
    paragraph's end that head a list ('Children:', 'By Jane Thomas.')."""
    if len(tokens) > LONG and not ATTRIBUTION.match(text):
        return True
    words = [word for word, _ in tokens if word.isalpha()]
    if HEADS_LIST.match(text) or (ATTRIBUTION.match(text) and len(words) <= 16):
        return False
    if is_dateline(text, words):
        return False
    return (
        any(word.islower() for word in words) or len(words) > 2 or any(word.lower() in tag_of_word() for word in words)
    )


VITAL_SIGN = re.compile(r"\b(?:b|bp|bapt|bur|d|m)\.\s")  # 'Ann, b. Voss 19 May 1836.'


def is_dateline(text: str, words: Sequence[str]) -> bool:
    """True for a place and a date without anything that happened there: the head or the foot of a letter."""
    if len(words) > 8 or VITAL_SIGN.search(text):
        return False
    names = [word for word in words if word.lower() not in MONTHS]
    bare = all(word[:1].isupper() or not word.isalpha() for word in names) and len(names) < len(words)
    events = any(word.lower().endswith("ed") or tag_of_word().get(word.lower(), PLACE) != PLACE for word in names)
    return bool(names) and bare and not events and bool(YEAR.match(text.rstrip(" .,")[-4:]))


def ends_open(block: Block) -> bool:
    """True when the text ends with a colon."""
    return block.text.rstrip().endswith(":")


def cut(block: Block, tagger: Tagger) -> list[Sentence]:
    """A paragraph as sentences, each with the marks that stand in it or close it."""
    spans = boundaries.split(block.text)
    tokens = tokens_of(block.text)
    found: list[Sentence] = []
    at = 0
    for number, (start, end) in enumerate(spans):
        until = spans[number + 1][0] if number + 1 < len(spans) else len(block.text) + 1
        own = []
        while at < len(tokens) and tokens[at][1] < until:
            own.append(tokens[at])
            at += 1
        marks = tuple(
            mark
            for mark in block.marks
            if start < mark.at <= until and not (mark.at == until and number + 1 < len(spans))
        )
        if says_something(block.text[start:end], own):
            found.append(sentence(block, start, end, own, marks, tagger))
    if found:
        found[0].first = found[-1].last = True
        ending = block.text[spans[-1][0] :]
        closing = bool(found[-1].marks) or bool(ATTRIBUTION.match(ending) or IN_TEXT.search(ending))
        for each in found:
            each.covered = closing or bool(each.marks) or names_source(each)
    return found


# A source named in the text itself instead of a note: '(See Rowe's History of Cwm, p. 9.)', '(Rowe 1871, 44)',
# '(Deed book C, fol. 12)', '--Letter of the Rev. J. Rowe.' A reference to a place in the same book is none.
IN_TEXT = re.compile(
    r"\(\s*(?:see(?! (?:also )?(?:above|below|plate|fig|map|chart|p\.|page|pp\.|chap|appendix|no\b|note|portrait|photo|illus))|source|from|cf\.|vide|ref\.|per)"
    r"[:,]?\s+(?:[^()]{0,20}[\"“‘«*]|(?:the |an? )?[A-Z])[^()]{2,}\)"
    r"|\((?!see\b)[^()A-Za-z.,]*[A-Za-z.,][^()]*?\b(?:pp?\.|fols?\.|ff?\.|vols?\.|lib\.)\s*\d+[^()]*\)"
    r"|\([A-Z][^()\d]{2,50},? \(?(?:1[5-9]|20)\d\d[a-z]?\)?[,:] ?(?:pp?\. ?)?\d{1,4}(?:[–-]\d+)?\)"
    r"|(?:--|—|–)\s*(?:Letter|From|Diary|Journal|History|Records?|Register)\b[^()]{4,90}$",
    re.IGNORECASE,
)


def names_source(sentence: Sentence) -> bool:
    """True when the sentence names in a bracket, or after a dash at its end, where it is taken from."""
    return bool(IN_TEXT.search(sentence.text))


def whole(block: Block, tagger: Tagger) -> Sentence:
    """A child-list entry as one sentence, without its number and numeral where they are part of the text."""
    label = people_of.LABEL.match(block.text)
    start = label.end() if label and label.end() < len(block.text) else 0
    tokens = [(token, at + start) for token, at in tokens_of(block.text[start:])]
    entry = sentence(block, start, len(block.text), tokens, block.marks, tagger)
    entry.covered = bool(block.marks)
    return entry


def sentence(
    block: Block, start: int, end: int, tokens: list[tuple[str, int]], marks: tuple[Mark, ...], tagger: Tagger
) -> Sentence:
    """Put one sentence together and tag it."""
    text = block.text[start:end]
    words = [token for token, _ in tokens]
    lower, tags = tagger.tag(words)
    places = [at - start for _, at in tokens]
    return Sentence(block, start, end, text, words, lower, places, tags, len(text.split()), marks)


class Tagger:
    """Gives each token its class, knowing the family's names and the book's common words."""

    def __init__(self, family: people_of.People, common: set[str]) -> None:
        self.family = family
        self.common = common
        self.table = tag_of_word()
        self.known: dict[str, tuple[str, str]] = {}  # word → the same in small letters, its tag inside a sentence

    def tag(self, words: list[str]) -> tuple[list[str], str]:
        """The words in small letters, and one letter a token; what is left in the end is told by a teller."""
        seen = [self.known.get(word) or self.learn(word) for word in words]
        lower, tags = [small for small, _ in seen], [tag for _, tag in seen]
        opening = next((at for at, word in enumerate(words) if any(map(str.isalnum, word))), None)
        if opening is not None:
            tags[opening] = self.one(words[opening], lower[opening], opening=True)
        if "-" in words:
            fill_hyphened(words, tags, self.family)
        fill_work(lower, tags)
        return lower, "".join(tags)

    def learn(self, word: str) -> tuple[str, str]:
        """What is known of a word that stands inside a sentence; a book says few words often."""
        small = intern(word.lower())
        self.known[word] = small, self.one(word, small, opening=False)
        return self.known[word]

    def one(self, word: str, small: str, opening: bool) -> str:
        """The tag of a token by itself; ``opening`` where no word stands before it."""
        if not any(char.isalnum() for char in word):
            return FUNCTION if small in ("&", "'s", "’s") else STOP
        if word[0].isdigit() or (word[0] in "$£€" and word[1:2].isdigit()):
            return DATE if YEAR.match(word) else NUMBER
        if small in MONTHS and (word[0].isupper() or small not in ("may", "march", "mar", "dec", "sun")):
            return DATE
        if small in NUMBER_WORDS or (small.split("-")[0] in NUMBER_WORDS and small.split("-")[-1] in NUMBER_WORDS):
            return NUMBER
        if word[0].isupper() and word != "I":
            return self.capital(word, small, opening)
        return self.table.get(small) or self.compound(small)

    def capital(self, word: str, small: str, opening: bool) -> str:
        """A capitalised token: a name, or a common word that opens a sentence."""
        known = self.table.get(small)
        if not opening:
            return NAME if known != FUNCTION and known != PRONOUN else known
        if word in self.family and known not in (FUNCTION, PRONOUN):
            return NAME
        if known:
            return known
        if small in self.common or (small.endswith(("ly", "ing")) and word not in FORENAMES):
            return TOLD
        return NAME

    def compound(self, small: str) -> str:
        """A hyphenated word takes the class of its last part; any other unknown word is told."""
        if "-" in small:
            last = small.rsplit("-", 1)[1]
            return self.table.get(last, TOLD)
        return TOLD


def fill_hyphened(words: list[str], tags: list[str], family: people_of.People) -> None:
    """Mark as names the small words inside a hyphenated one: 'on' and 'the' in Betws-on-the-Hill, 'en' in Aix-en-Provence;
    and 'kit' in Wah-kit, where one of the family is called so."""
    for at in (at for at, word in enumerate(words) if word == "-" and at and words[at - 1][:1].isupper()):
        end = at + 1
        while words[end + 1 : end + 2] == ["-"] and words[end].islower():
            end += 2
        closed = words[end : end + 1] and words[end][:1].isupper()
        if end > at + 1 and closed:
            tags[at + 1 : end : 2] = [NAME] * len(tags[at + 1 : end : 2])
        elif not closed and "-".join([words[at - 1], *words[at + 1 : end + 1 : 2]]) in family:
            tags[at + 1 : end + 1 : 2] = [NAME] * len(tags[at + 1 : end + 1 : 2])


def fill_work(lower: list[str], tags: list[str]) -> None:
    """Mark what fills an occupation slot: the words between 'as a' or 'occupation was' and the next turn."""
    if "as" not in lower and WORK_CUE.isdisjoint(lower):
        return
    for i, word in enumerate(lower):
        start = None
        if word == "as" and i + 1 < len(lower) and (lower[i + 1] in ARTICLE or tags[i + 1] in "xO") and i:
            start = i + 2 if lower[i + 1] in ARTICLE else i + 1
        elif word in WORK_CUE:
            j = i + 1
            while j < len(lower) and j < i + 4 and lower[j] in LINK:
                j += 1
            start = j if j > i + 1 else None
        if start is not None:
            fill(lower, tags, start, 5)


def fill(lower: list[str], tags: list[str], start: int, most: int) -> None:
    """Turn told words from ``start`` into work, if the phrase is short and then something else begins."""
    end = start
    while end < len(lower) and end < start + most and (tags[end] in "xO" or lower[end] in ("'s", "’s", "of", "and")):
        end += 1
    if end == start or (end < len(lower) and tags[end] == TOLD):
        return
    for i in range(start, end):
        if tags[i] == TOLD:
            tags[i] = WORK
