"""A note read as citations: which sources it names, what a reader is told of each, and which words point elsewhere.

A full citation answers five questions: who made the source, what it is, when, where in it, and where it is kept (T. W.
Jones, Mastering Genealogical Documentation, 2017; the wording from memory). Notes are written in a hundred ways; what
is read here is what nearly all share: parts set off by semicolons, words for kinds of records, dates, locators, and
names of archives.
"""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from importlib.resources import files

from storylint.study.words import noun_forms

QUESTIONS = ("who", "what", "when", "where in", "where is")


@dataclass(frozen=True, slots=True)
class Citation:
    """One source as one note cites it.

    ``answers`` are those of ``QUESTIONS`` that it answers; ``kind`` "original", "derivative", "authored", or "" where
    the wording does not tell. ``core`` are the words that say which source is meant, in order; ``head`` how many of
    them stand before the first comma. ``points`` is "ibid", "above" or "note" where it leans on an earlier note (``to``
    is that note's number, if it gives one). ``weak`` says why nothing can rest on it alone, "" if it can.
    """

    text: str
    answers: frozenset[str]
    kind: str
    core: tuple[str, ...]
    head: int
    points: str = ""
    to: str = ""
    weak: str = ""
    title: str = ""

    @property
    def missing(self) -> list[str]:
        """The questions it leaves open, in the usual order."""
        return [question for question in QUESTIONS if question not in self.answers]


# --- words ----------------------------------------------------------------------------------------------------------


@cache
def _table() -> dict[str, dict[str, str]]:
    """``citations.toml``."""
    return tomllib.loads((files("storylint.study") / "citations.toml").read_text(encoding="utf-8"))


@cache
def _words(group: str, entry: str = "") -> frozenset[str]:
    """The words of one group of ``citations.toml``, nouns with their plurals."""
    table = _table()[group]
    found = set(table.get(entry or "words", "").split())
    for noun in table.get("nouns", "").split() if not entry else ():
        found |= noun_forms(noun)
    return frozenset(found)


_MONTHS = "January|February|March|April|May|June|July|August|September|October|November|December"
_MONTH = rf"(?:{_MONTHS}|Jan\.?|Feb\.?|Mar\.?|Apr\.?|Jun\.?|Jul\.?|Aug\.?|Sept?\.?|Oct\.?|Nov\.?|Dec\.?)"
_DAY = re.compile(
    rf"\b(?:(\d{{1,2}})(?:st|nd|rd|th)? ({_MONTH}),? (\d{{4}})|({_MONTH}) (\d{{1,2}})(?:st|nd|rd|th)?,? (\d{{4}})"
    rf"|\d{{1,2}}(?:,| and| to|[–-]) ?\d{{1,2}} {_MONTH} \d{{4}})\b"
)
_MONTH_OF_YEAR = re.compile(rf"\b{_MONTH} (?:\d{{4}})\b")
_YEAR = re.compile(r"(?<![\w/.,-])(?:c\. ?)?(1[5-9]\d\d|20[0-4]\d)(?![\w]|,\d)")
_NO_DATE = re.compile(r"\b(?:n\.d\.|no date|undated)", re.IGNORECASE)
# When the writer looked, not when the source was made.
_ACCESS = re.compile(
    r"(?:,\s*)?\b(?:read|seen|viewed|accessed|searched|visited|consulted|retrieved|downloaded|checked|examined|held)\b"
    r"(?: (?:again|online|entire|by [^,;]{1,40}|for [^,;]{1,40}|in|on|at [^,;]{1,40}))?,?"
    rf"(?: (?:on |in )?(?:\d{{1,2}} )?(?:{_MONTH} )?(?:\d{{1,2}}, )?\d{{4}})?",
    re.IGNORECASE,
)


@lru_cache(maxsize=100)
def _made(text: str) -> str:
    """What a note says of the source itself. It is asked several times in a row."""
    return _ACCESS.sub("", text)


_LOCATOR = re.compile(
    r"\b(?:pp?|ff?|fols?|vols?|nos?|chs?|chap|cols?|pl|pt|sect?|arts?|figs?|schs?|ED|dist|reg|cat|ref|MSS?)\.?\s?\d"
    r"|\b(?:page|folio|leaf|leaves|volume|number|image|item|piece|roll|reel|film|microfilm|microfiche|sheet|schedule"
    r"|dwelling|family|lines?|row|plot|grave|box|folder|file|part|section|lot|drawer|bundle|chapter|column|plate|article|act"
    r"|cassette|tape|track|side|appendix|accession|warrant|docket|certificate|district|[Bb]ook|[Ll]iber|Record|RG|HO|CO|WO|ADM|GRO|CSO"
    r"|IMM)\s?(?:no\.?\s?)?(?:[A-Z]?\d|[A-Z]\b|[ivxlc]+\b|first\b|last\b)"
    r"|\bhouseholds? of|\b(?:first|last|title) (?:entry|leaf|page|clause)|\bentr(?:y|ies) (?:of|for)|\bappendix\b"
    r"|\b(?:[ivxlc]{1,6}|[IVXLC]{1,6})[.:] ?\d|\b\d{1,3}:\d"
    r"|\bs\.v\.|\b[A-Z]{1,4} \d[\d/,.]*\b|\bpages?\b|§",
)
_PAGE = re.compile(r"\b(?:pp?|ff?|fols?|cols?)\.?\s?\d|\b(?:pages?|folios?|leaf|leaves)\s\d")
# A page as the Chicago style prints it: the bare number that ends a citation (17th ed., §14.22); a year is none.
_BARE_PAGE = re.compile(r"(?:, |: ?)(?!(?:1[5-9]|20)\d\d$)\d{1,4}(?:[–-]\d{1,4})?(?:, \d{1,4}(?:[–-]\d{1,4})?)*$")
_KEEPER = re.compile(
    r"\b(?:\w*archi(?:ve|ves|v|vs|vo|vio|ef)\b|\w*archiwum|arkiv\w*|arquivo|kernow|librar\w+|bibliothe\w+|bibliote\w+"
    r"|museums?|museo|universit\w+|college|seminary|societ\w+|institut\w+|association|record office|records? of"
    r"|national records|register office|registry|registrar|courthouse|court house|clerk\w*|office|historical|heritage"
    r"|collections?|papers|muniments|possession|private|held by|owned by|trust|chancery|vestry|in the church"
    r"|with the (?:author|compiler|family)|branch of the family|branch\b|society|town hall|state archives|department of"
    r"|board of|center|centre|register of deeds)",
    re.IGNORECASE,
)
_OWNED = re.compile(
    r"\b(?:possession|collection|papers|held by|owned by|private|author|compiler|family)\b", re.IGNORECASE
)
_STANDS = re.compile(
    r"\b(?:cemetery|churchyard|church|chapel|graveyard|memorial|kirkyard|burying ground)\b", re.IGNORECASE
)
_ADDRESS = re.compile(
    r"https?://\S+|\b(?:www\.)?[\w-]+(?:\.[\w-]+)*\.(?:org|com|net|info|gov|edu|ac|life|[a-z]{2})\b(?:/\S*)?"
)
_PUBLISHED = re.compile(r"\([^()]{2,60}(?::[^()]{2,60})?,? ?(?:n\.d\.|\d{4})\)")
_TITLE = re.compile(r"[“\"‘]([^“”\"‘’]{3,160})[,.]?[”\"’]")
_LETTER = re.compile(
    r"^(?:(?:letters?|postcard|postal card|telegram) (?:of|from) )?[A-ZÀ-Þ][^;:]{2,80}? to (?:the |his |her )?\w"
)
_WORD = re.compile(r"[^\W\d_]+(?:[-'’][^\W\d_]+)*|\d{4}")

# --- taking a note apart ------------------------------------------------------------------------------------------

_ABBREVIATED = frozenset(
    """st mt co vol vols no nos p pp f ff fol fols ed eds dr mr mrs rev jr sr u.s c ca ser pt ch capt gen col lt pte
    art div dist reg sgt maj hon esq prof cf al etc ste inc ltd dept univ hist mass conn penn jan feb mar apr jun
    jul aug sept sep oct nov dec no bros n.d s.v op cit loc ibid id d.c""".split()
)
# Not inside brackets: "(in Welsh; the author's translation)".
_END = re.compile(r";\s+(?![^()]{0,200}\))|\n+|(?<=[\w)\]”\"’'])\.(?:[”\"])?\s+(?![^()]{0,200}\))(?=[“\"A-ZÀ-Þ\d])")
_COMMA = re.compile(r",(?![^()]{0,200}\))")
_ROMAN = re.compile(r"[ivxlc]+|[IVXLC]+")
_BEFORE_STOP = re.compile(r"[\w.]+$")


def parts_of(text: str) -> list[str]:
    """A note's text between its semicolons and full stops; the stop of an abbreviation divides nothing."""
    parts, start = [], 0
    for match in _END.finditer(text):
        if match[0][0] == ".":
            word = _BEFORE_STOP.search(text, max(0, match.start() - 20), match.start())
            if word and (word[0].lower() in _ABBREVIATED or len(word[0]) == 1 or _ROMAN.fullmatch(word[0])):
                continue
        parts.append(text[start : match.start()].strip(" ."))
        start = match.end()
    parts.append(text[start:].strip().removesuffix("."))
    return [part for part in parts if part]


def _plain_words(text: str) -> list[str]:
    return [word.lower() for word in _WORD.findall(text)]


@cache
def _kinds() -> frozenset[str]:
    """The words for kinds of sources that can stand for a source."""
    return _words("what") - _words("holder")


def _opens_source(part: str) -> bool:
    """Whether a part of a note names a source of its own, and not where the one before is kept or what to know of
    it."""
    bare = _made(part)
    words = set(_plain_words(bare))
    dated = bool(_YEAR.search(bare) or _DAY.search(bare))
    titled = bool(_TITLE.search(bare))
    kinds = bool(words & _kinds())
    if _POINTER.match(part) or _BACK.search(part):
        return True
    if _KEEPER.search(bare) or _ADDRESS.search(bare):
        opening = _COMMA.split(bare)[
            0
        ]  # "list of voyages, papers of ...", and not "Old Parish Registers, ... Archives"
        own = opening[:1].islower() and not _KEEPER.search(opening) and bool(set(_plain_words(opening)) & _kinds())
        return titled or own or (kinds and (dated or bool(_LOCATOR.search(bare))))
    return kinds or titled or (dated and bare[:1].isupper())


def _grouped(parts: Sequence[str]) -> Iterator[list[str]]:
    """The parts of each citation: the source, and what follows about it."""
    group: list[str] = []
    for part in parts:
        if group and _opens_source(part) and any(map(_opens_source, group)):
            yield group
            group = []
        group.append(part)
    if group:
        yield group


@lru_cache(maxsize=20_000)
def citations_in(text: str) -> tuple[Citation, ...]:
    """The citations of one note, in order; none for an empty note or a remark (see ``is_remark``)."""
    if is_remark(text):
        return ()
    return tuple(_citation(group) for group in _grouped(parts_of(text)))


_VERB = re.compile(
    r"\b(?:is|was|were|are|had|has|have|died|became|went|came|says|said|appears?|seems?|thinks?|believed?|tells|told|gives"
    r"|married|lived|bears?|shows|calls|called|means|became|could|would|can|may|must|did|does)\b"
)


# Another place in the book itself: "See p. 35, ante".
_ELSEWHERE = re.compile(r"(?:see|cf|compare)\b", re.IGNORECASE)
_IN_THIS_BOOK = re.compile(
    r"\b(?:ante|post|above|below|supra|infra|in this (?:book|chapter)|chapter|appendix)\b", re.IGNORECASE
)


def is_remark(text: str) -> bool:
    """Whether a note talks instead of citing: a sentence, or a pointer to another page of the book."""
    parts = parts_of(text)
    if not parts:
        return True
    if _ELSEWHERE.match(text) and _IN_THIS_BOOK.search(text):
        return not set(_plain_words(text)) & _words("what")
    first = parts[0]
    if not _VERB.search(first):
        return bool(_VERB.search(text)) and not _names_source(first)
    verb = _VERB.search(first)
    before = first[: verb.start()] if verb else ""
    return not (_names_source(before) and _YEAR.search(before)) and not weakness(text)


def _names_source(text: str) -> bool:
    """Whether the words could name a source at all."""
    words = set(_plain_words(text))
    return bool(
        words & _words("what")
        or _TITLE.search(text)
        or _LETTER.search(text)
        or _LOCATOR.search(text)
        or _DAY.search(text)
    )


# --- one citation -------------------------------------------------------------------------------------------------

# "Ibid." and what says so in English: "The same manifest, line 6", "Same, p. 9", "Ditto". Behind it stands where to look,
# or nothing: "the same to Jane Roberts" is another letter, and "the same manifest shows" no citation.
_KIND = r"(?!(?:to|as|for|from|that|who|which|is|was)\b)(?-i:[a-z])[\w'’-]*"
_POINTER = re.compile(
    r"[(\s]*(?<!\w)(?:(?:ibid(?:em)?|idem|id|ditto)\b\.?"
    rf"|(?:the )?same(?: (?P<kind>{_KIND}(?: {_KIND}){{0,3}}?))?(?=[.,;:)\s]*$|[,;:.)]|\s\(|\s(?:at |on |under |in )?{_LOCATOR.pattern}))",
    re.IGNORECASE,
)
_BACK = re.compile(
    r"\b(?:op|loc)\. ?cit\b|(?<!see )\bsupra\b|\b(?:as )?(?:cited|quoted|described) (?:above|earlier)\b|\bas above\b",
    re.IGNORECASE,
)
_NOTE_NUMBER = re.compile(
    r"\b(?:see |above,? |supra,? )?(?:note|n\.|fn\.?|footnote|endnote) ?(\d{1,4})\b", re.IGNORECASE
)


def _points(text: str) -> tuple[str, str]:
    """How a citation leans on an earlier note, and that note's number where it is given."""
    number = _NOTE_NUMBER.search(text)
    if _POINTER.match(text):
        return "ibid", ""
    if number:
        return "note", number[1]
    return ("above", "") if _BACK.search(text) else ("", "")


def leans(text: str) -> bool:
    """Whether a note opens with a word that means the note before: "Ibid.", "The same manifest"."""
    return bool(_POINTER.match(text))


def kinds_meant(text: str) -> frozenset[str]:
    """The kinds of records that a pointer names, in the singular: "manifest" for "The same manifest"."""
    match = _POINTER.match(text)
    return singular(set(_plain_words(match["kind"] or "")) & _words("what")) if match else frozenset()


def singular(words: Iterable[str]) -> frozenset[str]:
    """The words without their s, so that a register is found among registers."""
    return frozenset(word.removesuffix("s") for word in words)


def latin(text: str) -> str:
    """The words by which a note points back ("Ibid.", "op. cit.", "The same"), as written; "" if there are none."""
    match = _POINTER.match(text) or re.search(r"\b(?:op|loc)\. ?cit\.?|\bsupra\b", text, re.IGNORECASE)
    return match[0].strip(" (") if match else ""


def _citation(group: Sequence[str]) -> Citation:
    text = "; ".join(group)
    own = [part for part in group if _opens_source(part)] or [group[0]]
    points, to = _points(text)
    core, head = _pointing(own) if points in ("above", "note") else _core(" ; ".join(own))
    answers = frozenset(_answers(text))
    return Citation(text, answers, _kind(own[0]), core, head, points, to, weakness("; ".join(own)), _titled(group))


def _pointing(parts: Sequence[str]) -> tuple[tuple[str, ...], int]:
    """The words that a pointer gives of the source it means: those right before it, as in "the daybook, cited above".

    Where they name nobody, only the kind of source counts ("the will of his father").
    """
    part = next((part for part in parts if _BACK.search(part) or _NOTE_NUMBER.search(part)), parts[0])
    pointer = _BACK.search(part) or _NOTE_NUMBER.search(part)
    before = part[: pointer.start()].strip(" ,(") if pointer else part
    elements = _COMMA.split(before)
    tails = [",".join(elements[at:]) for at in range(len(elements) - 1, -1, -1)] if _BACK.search(part) else [before]
    tail = next((tail for tail in tails if _core(tail)[0]), before)
    core, head = _core(tail)
    if not names_in(tail.strip().partition(" ")[2]):
        core = tuple(word for word in core if word in _words("what") or word.startswith("on")) or core
    return core, head


def _answers(text: str) -> Iterator[str]:
    bare = _made(text)
    words = set(_plain_words(bare))
    day = bool(_DAY.search(bare))
    what = bool(words & _words("what") or _TITLE.search(bare) or _LETTER.search(bare) or _PUBLISHED.search(bare))
    names = names_in(bare)
    if names or _AUTHOR.search(bare):
        yield "who"
    heard = bool(_HEARD.search(bare))
    paged = bool(_BARE_PAGE.search(bare.strip(" .")))
    titled = paged and len(_COMMA.split(bare)) > 2  # "Prydderch, Annals of Gerlan, 12"
    if what or heard or titled or (names and (day or _MONTH_OF_YEAR.search(bare))):
        yield "what"
    if _YEAR.search(text) or day or _NO_DATE.search(text):
        yield "when"
    if heard or paged or _LOCATOR.search(bare) or day or words & _words("single"):
        yield "where in"
    kept = _KEEPER.search(text) or _STANDS.search(text)
    if (kept and (names or _OWNED.search(text))) or _ADDRESS.search(text) or _PUBLISHED.search(text):
        yield "where is"


_AUTHOR = re.compile(r"\b(?:author|compiler|editor)(?:'s|’s)?\b|\b(?:my|our)\b", re.IGNORECASE)
# Somebody's own words, taken down: the person is the source, and there is nowhere further to look.
_HEARD = re.compile(
    r"\b(?:recorded|interviewed|taken down|written down|dictated|told the (?:author|compiler))\b", re.IGNORECASE
)
_CAPITAL = re.compile(r"[A-ZÀ-Þ](?<![\w'’].)[\w'’-]+")


def names_in(text: str) -> list[str]:
    """The capitalised words of a note that are neither months nor, as the first word, a kind of source or of keeper."""
    found = [(match.start(), match[0].removesuffix("'s").removesuffix("’s")) for match in _CAPITAL.finditer(text)]
    return [word for at, word in found if word not in _MONTH_NAMES and not (at == 0 and word.lower() in _generic())]


_MONTH_NAMES = frozenset(_MONTHS.split("|"))


@cache
def _generic() -> frozenset[str]:
    """What opens a note with a capital and is nobody's name."""
    return _words("what") | _words("stop") | _words("holder") | _words("keeper")


def _kind(text: str) -> str:
    words = set(_plain_words(text))
    for kind in ("derivative", "authored", "original"):
        if words & _words("kind", kind):
            return kind
    return "authored" if _PUBLISHED.search(text) else "original" if _LETTER.search(text) else ""


def _core(text: str) -> tuple[tuple[str, ...], int]:
    """The words that tell which source is meant, in order, and how many of them stand before the first comma.

    A thing found by itself, such as a letter or a certificate, is known by its date as well; a census by its year.
    """
    text = re.sub(r"\bcertified cop(?:y|ies)\b", "certificate", text, flags=re.IGNORECASE)
    text = re.sub(r"\bcertificates\b", "certificate", text, flags=re.IGNORECASE)
    bare = _POINTER.sub("", _BACK.sub("", _NOTE_NUMBER.sub("", _made(text))))
    lower = _plain_words(bare)
    single = bool(set(lower) & _words("single") and "book" not in lower) or bool(_LETTER.search(bare))
    core: list[str] = []
    head = 0
    for number, element in enumerate(_COMMA.split(_DAY.sub(lambda day: _day_word(day) if single else " ", bare))):
        if number and _LOCATOR.match(element.strip()):
            continue
        core += [word for word in _telling(element) if word not in core]
        head = head or len(core)
    return tuple(core), head


_A_DAY = re.compile(r"on[a-j]{5,}[a-z]{3}")


def _day_word(day: re.Match[str]) -> str:
    """A date as one word of letters, so that it is kept with the words."""
    digits = re.sub(r"\D", "", day[0])
    return f" on{digits.translate(str.maketrans('0123456789', 'abcdefghij'))}{(day[2] or day[4] or '')[:3].lower()} "


_CENSUS_YEAR = re.compile(
    r"\b(\d{4})(?= (?:u\.?s\.? |federal |state |[a-z]+ state )?(?:census|register))|census(?:es)? (?:of )?(\d{4})", re.I
)


def _telling(element: str) -> Iterator[str]:
    stop = _words("stop")
    years = {year for pair in _CENSUS_YEAR.findall(element) for year in pair if year}
    for word in _plain_words(element):
        if word in years or (
            not word.isdigit() and word.removesuffix("'s").removesuffix("’s") not in stop and len(word) > 1
        ):
            yield word.removesuffix("'s").removesuffix("’s")


def known_by(citation: Citation) -> tuple[frozenset[str], frozenset[str], frozenset[str]]:
    """Of the words that say which source is meant: the proper names, the kinds of records, the years and days."""
    core = frozenset(citation.core)
    kinds = core & _words("what")
    names = core & {name.lower() for name in names_in(citation.text)} - kinds
    days = frozenset(word for word in core if word.isdigit() or _A_DAY.fullmatch(word))
    return names, kinds, days


def _titled(group: Sequence[str]) -> str:
    """The citation without its locators and entry, for a table of sources: at most 120 characters."""
    elements = [element for element in _COMMA.split(group[0]) if not _LOCATOR.match(element.strip())]
    text = ",".join(elements).strip(" ,.")
    return text if len(text) <= 120 else text[:117].rsplit(" ", 1)[0] + "…"


# --- weak sources -------------------------------------------------------------------------------------------------

# Published lists of what can't carry a claim by itself: unsourced trees, indexes, "personal knowledge", bare sites.
# Common
# practice; several are in the do-and-don't lists of research firms.
_TREE = re.compile(
    r"\b(?:family|ancestral|online|public|member|personal|user|internet) trees?\b|\bpedigree chart\b|\bgedcom\b", re.I
)
_SOURCED = re.compile(r"\b(?:citing|with (?:its |his |her )?sources|sourced|quoting)\b", re.IGNORECASE)
_INDEX = re.compile(r"\b(?:index|indexes|indices)\b", re.IGNORECASE)
_SITE = re.compile(r"(?:https?://)?(?:www\.)?[\w-]+(?:\.[\w-]+){1,3}/?(?: ?(?:web ?site|home ?page))?", re.IGNORECASE)
_VAGUE = re.compile(
    r"(?:the |my |our |from |see |own )*(?:"
    r"(?:various|several|many|different|miscellaneous|unknown|other|online|internet|web|secondary|family|personal)? ?"
    r"(?:sources?|records?|information|knowledge|research|files?|data|memory|notes|history|documents|papers)"
    r"|(?:personal |private )?communications?|(?:inter)?net(?: search(?:es)?)?|online|(?:web|home) ?(?:sites?|pages?)"
    r"|world wide web|various|common knowledge|hearsay|unknown|unsourced|tradition|as told|told to me|word of mouth)"
    r"(?: (?:of|from|by|in) (?:a |the |my |our )?[\w' ’]{1,40})?",
    re.IGNORECASE,
)
_MAIL = re.compile(r"(?:personal )?(?:e-?mails?|messages?|phone calls?|telephone calls?)\b", re.IGNORECASE)


def weakness(text: str) -> str:
    """Why a source carries no claim by itself ("an unsourced tree"), or "" if it may."""
    bare = _made(re.sub(r",? no (?:sources?|date)[\w ]*", "", text, flags=re.IGNORECASE)).strip(" .,;")
    if _VAGUE.fullmatch(bare):
        return "it names no source that anyone could look up"
    if _TREE.search(bare) and not _SOURCED.search(bare):
        return "it is a tree that gives no sources of its own"
    if _SITE.fullmatch(bare):
        return "it is a site without a page, a title or a record"
    if _MAIL.match(bare) and not _YEAR.search(bare):
        return "it is a message without a date"
    if _INDEX.search(bare) and not _SOURCED.search(bare) and not re.search(r"\bimages?\b", bare):
        return "it is an index, which only points to the record"
    return ""


# --- gaps ---------------------------------------------------------------------------------------------------------

_PLACEHOLDER = re.compile(
    r"\b(?:todo|tbd|tba|tk|xx+|fixme)\b|\?\?+|_{3,}|…$|\.\.\.$|\[\s*\]"
    r"|\[[^\]]{0,40}(?:\?|source|cite|citation|check|page|find|to come|add)[^\]]{0,40}\]"
    r"|\b(?:citation|source|reference|note) (?:needed|missing|to come|wanted|to follow)\b"
    r"|\b(?:find|check|need|add|look up|get) (?:the |a |this |original )?"
    r"(?:source|citation|reference|record|page|page number|certificate)\b",
    re.IGNORECASE,
)
_INITIALS = re.compile(r"(?:[A-Z]{2,5}\.?(?: |$)){1,3}")


def is_placeholder(text: str) -> bool:
    """Whether a note still waits for its text: empty, a reminder, a question, or initials alone."""
    bare = text.strip(" .,;")
    return not bare or bool(_PLACEHOLDER.search(text)) or bool(_INITIALS.fullmatch(bare)) or set(bare) <= set("?-–—xX*")


# --- ibid. and short forms ----------------------------------------------------------------------------------------


def has_page(text: str) -> bool:
    """Whether a page, leaf, folio or column is named."""
    return bool(_PAGE.search(text) or _BARE_PAGE.search(text.strip(" .")))


def is_unpaged(citation: Citation) -> bool:
    """Whether the source is a thing without pages, such as a gravestone or a certificate."""
    return bool(set(_plain_words(citation.text)) & _words("unpaged")) and not has_page(citation.text)


def has_locator(text: str) -> bool:
    """Whether the words say where in a source to look."""
    return bool(_LOCATOR.search(text) or _BARE_PAGE.search(text.strip(" .")))


def _locates(element: str) -> bool:
    """Whether an element, with the comma before it, only says where in the source to look."""
    return bool(_LOCATOR.match(element.strip(" ,")) or _BARE_PAGE.fullmatch(element))


def short_form_end(text: str, keep_locator: bool = True) -> int:
    """How many characters of a citation make a short form of it: all up to where it is kept, without a full stop.

    Chicago Manual of Style, 17th ed., §§14.29–14.33, asks for author, short title and page (from memory). Records have
    no author and no title that could be cut safely, so only the keeper's name goes, and the old locator where the note
    that leans on this one brings its own.
    """
    first = parts_of(text)[0]
    elements = _COMMA.split(first)
    while not keep_locator and len(elements) > 1 and _locates("," + elements[-1]):
        elements.pop()
    return text.index(first) + len(",".join(elements))
