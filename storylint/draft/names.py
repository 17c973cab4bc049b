"""What a person's name looks like on the page: the knowledge that finds entries and tells them from other headings.

A name is read word by word from a given place. Nothing here knows about sections; ``sections`` decides with the whole
draft in view whether a line that opens with a name opens an entry.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from storylint.draft.forenames import FORENAMES, SHORTENED, words

# Courtesy titles are no part of the name by which a section is called; ranks and offices are.
COURTESY = words("mr mrs miss ms messrs mme mlle madame master widow")
RANKS = words(
    """
    rev reverend revd hon honourable honorable capt captain maj major col colonel lt lieut lieutenant gen general sgt
    sergt sergeant ens ensign corp corporal pte private adm admiral commodore dr doctor prof professor judge justice
    deacon dea elder bishop dean canon archdeacon archbishop sir lady dame lord earl baron baronet viscount count
    countess duke duchess pres governor gov mayor sheriff squire sister brother
    """
)
PARTICLES = words(
    "de del della der den des di da do dos du la le les van von vom zu zum zur ten ter te ap ab verch ferch vch af av "
    "bin ben ibn"
)
EPITHETS = words("old young little big long black great aunt aunty auntie uncle granny nanny mammy")
SUFFIXES = words("jr jun junr junior sr sen senr senior esq esquire bart bt ii iii iv v vi 2d 2nd 3d 3rd")
DEGREES = re.compile(r"(?:[A-Z][A-Za-z]{0,2}\. ?){2,4}|(?:MD|DD|BA|MA|LLD|PhD|FRS)\b")

# Words that stand in titles, not in a person's name. Surnames that are such words (Story, Church, Hill) have a set of
# their own: they count after a forename only. Both lists are from memory.
NOT_NAMES = words(
    """
    a about above across after again against all along also although among an and another any appearance as at be
    because been before began behind below beneath beside between beyond both but by can could despite did do does
    during each either eleven even every few first fifth for fourth from had has have he her here hers him his how i if
    in inside into is it its itself last late later many me might more most much my near neither never no nobody none
    nor not nothing now of off on once one only or other our out over part per perhaps second several she should since
    six sixth so some somewhere still such ten than that the their them then there these they third this those three
    through till to together too toward towards two under unknown until up upon us very was we were what when where
    whether which while who whom whose why with within without would year years yes yet you your
    january february march july september october november december tuesday wednesday thursday saturday autumn
    academy account acknowledgements acknowledgments acre acres act addenda address album alley ancestor ancestors
    ancestry ancestral anecdotes annals appendix army arrival arms article articles assembly association asylum avenue
    baptism baptisms bibliography biographical biography births boulevard brief building burial burials business canal
    captivity carolina cathedral cemetery census century certificate chapel chapter chart charter child children
    chronicle chronicles chronology churches circular city claims coast colony commission committee company conclusion
    conference congregation congress connection contents convention copyright corporation correspondence cottage
    council county crossing daughter daughters death deaths declaration deed deeds departure descendant descendants
    description diary diocese directory disaster district dream earliest education emigration endnotes epilogue epidemic
    errata estate estates expedition explanatory extract extracts factory families family famine farewell farms fever
    figure footnotes foreword frontier funeral genealogical genealogy generation generations gift glossary government
    grandchildren graves guide harbor harbour highway history homestead horses hospital hotel houses husband
    illustration illustrations immigration inc indenture index influenza inheritance inn institute institution
    introduction introductory inventory island issue items journal journey junction kingdom landing ledger legacy
    legend legends letter letters library life lineage lives looking ltd magazine map maps marriage marriages meeting
    memoir memoirs memorial memories memory migration mill mine mines minister ministry mission monument mountain
    mountains murder museum names narrative nation navy necrology newspaper newspapers notes number obituaries obituary
    occupation office organization origin origins outline pages papers parents parliament passenger pedigree pedigrees
    period petition photograph photographs picture pictures pioneer pioneers plate plates poem poems port portrait
    postscript potato preface president prison probate proceedings prologue province publications published quarries
    quarry question railroad railway real recollections record records reference references reform register registers
    regiment reminiscences removal report reservation residence revolution revolutionary river road roads room roots
    rural saints sawmill schools sea secretary section settlement settlements settlers ship ships shop sketch sketches
    slate societies society son sons source sources state station states stories streets struggle supplement survey
    survivors table tables tavern telegraph territory testament testimony theatre timeline title tombstone town
    township tradition traditions translation trial troubles twins union university valley verse village voyage war
    wars wedding welcome widow's wife wills witness workhouse works world
    """
)
AFTER_A_FORENAME = words(
    """
    bank banks battle bay bell birth bond book branch bridge brothers burden canon cape case castle church close court
    cross day days dock drive england early fair farm father field forest fire flood frost gold grave green grove hall
    hill hills holiday home house household ireland king lake land lane law lodge london lord market may marsh mills
    monday moon moore mother mount new noble noon note old page parish park place point pool poor pope press price
    ridge root roots royal sailor saint school sharp snow spring square stone storm story street strike summer sunday
    temple tower tree wales water waters way weather west will winter woods yard young
    """
)

SURE = 0.5  # a likeness from which a run of words counts as a name (ours)

_TOKEN = re.compile(r"\s*((?:(?!--)[^\s,;:()\[\]“”\"—])+)")
_INITIALS = re.compile(r"(?:[A-ZÀ-Þ]\.)+$|[A-ZÀ-Þ]$")
_WORD = re.compile(r"(?:[dDlLO]['’])?[^\W\d_][^\W\d_'’.\-]*(?:[-'’][^\W\d_]+)*$")
_EMPHASIS = "_*=~`"
_GENERATION = re.compile(r"(?:\^\{?(\d{1,2}|[A-H])\}?\^?|([¹²³⁰⁴-⁹]{1,2})|(?<=[^\W\d_])(\d{1,2})|(?<=[a-z])([A-H]))$")
_SUPERSCRIPTS = str.maketrans("⁰¹²³⁴⁵⁶⁷⁸⁹", "0123456789")
RAISED = str.maketrans({sign: f"^{digit}" for digit, sign in enumerate("⁰¹²³⁴⁵⁶⁷⁸⁹")})
_DAY = re.compile(r"\.? \d")
_MORE = re.compile(r",?\s+[A-ZÀ-Þ]")
_AFTER_COMMA = re.compile(r",?\s*\b(Jr|Sr|Jun|Sen|Junior|Senior)\b\.?", re.IGNORECASE)
_NICKNAME = re.compile(r"\s*[(\[“\"]([^\W\d_][^\W\d_ ’'.-]{1,20})[)\]”\"](?=\s+[A-ZÀ-Þ])")


@dataclass(frozen=True, slots=True)
class Name:
    """A name as it stands in a text: its words without marks and generation digits, and ``text[start:end]``.

    ``first`` is where its first word stands, after titles. ``capitals`` is the number of words in capitals (initials
    not counted). ``generation`` is the digit after a forename (Huw³ Trefnant, Huw^3 Trefnant, Huw3 Trefnant),
    None where there is none.
    """

    words: tuple[str, ...]
    start: int
    first: int
    end: int
    titles: tuple[str, ...] = ()
    suffixes: tuple[str, ...] = ()
    capitals: int = 0
    generation: int | None = None

    @property
    def text(self) -> str:
        """The name as a reader would say it."""
        return " ".join([*(title.capitalize() for title in self.titles), *said(self.words), *self.suffixes])

    @property
    def keys(self) -> frozenset[str]:
        """The name's own words, folded, without initials and particles: what two forms of it have in common."""
        return frozenset(
            word.casefold() for word in self.words if len(word.rstrip(".")) > 1 and word.casefold() not in PARTICLES
        )


def said(words: Sequence[str]) -> list[str]:
    """The words of a name as they are spelled in running text: DE LA CRUZ as de la Cruz, LE ROY as Le Roy."""
    whole: list[str] = []
    for place, word in enumerate(words):
        article = word in {"LA", "LAS", "LOS"} and whole[-1:] == ["de"]
        whole.append(word.casefold() if article else spoken(word, first=place == 0))
    return whole


def spoken(word: str, first: bool = True) -> str:
    """A word of a name in capitals as it is spelled in running text: McCREA, O'BRIEN and LE ROY too."""
    if word.startswith("Mc") and word[2:].isupper():
        return "Mc" + word[2:].capitalize()
    if len(word) < 2 or not word.isupper() or "." in word:
        return word
    if not first and word.casefold() in _SMALL_PARTICLES:
        return word.casefold()
    pieces = [piece.capitalize() for piece in re.split(r"([-'’])", word)]
    whole = "".join(pieces)
    return "Mc" + whole[2:].capitalize() if whole.startswith("Mc") and len(whole) > 4 else whole


# Le, La, Du and Des keep their capital unless the draft writes them small (common practice, no source).
_SMALL_PARTICLES = PARTICLES - words("le les la du des")
_INNER_CAPITAL = re.compile(r"\b[A-ZÀ-Þ][a-zà-þ]{1,3}[A-ZÀ-Þ][a-zà-þ]+\b")
_ONE_CAPITAL = re.compile(r"\b[A-ZÀ-Þ][a-zà-þ]{3,}\b")


def inner_capitals(texts: Sequence[str]) -> dict[str, str]:
    """How a draft spells the names with a capital inside, by the folded name: MacDonald, DuBois. Not those that it also
    writes without."""
    inner = {word.casefold(): word for text in texts for word in _INNER_CAPITAL.findall(text)}
    if not inner:
        return {}
    plain = {word for text in texts for word in _ONE_CAPITAL.findall(text)}
    return {key: word for key, word in inner.items() if word.capitalize() not in plain}


def split_generation(token: str) -> tuple[str, int | None, bool]:
    """A word without its generation digit, the digit, and whether there was one (letters have no number)."""
    bare = token.strip(_EMPHASIS)
    found = _GENERATION.search(bare)
    if not found or found.start() == 0:
        return bare, None, False
    digit = next(group for group in found.groups() if group).translate(_SUPERSCRIPTS)
    return bare[: found.start()].strip(_EMPHASIS), int(digit) if digit.isdigit() else None, True


def read_name(text: str, start: int = 0) -> Name | None:
    """The name that stands at ``text[start:]``, or None where the first words are no name."""
    reader = _Reader(text, start)
    while reader.step():
        pass
    return reader.name()


class _Reader:
    """Reads the words of one name; a word at a time, so that each kind of word is one small method."""

    def __init__(self, text: str, start: int) -> None:
        self.text, self.start, self.at, self.end = text, start, start, start
        self.first = -1
        self.words: list[str] = []
        self.titles: list[str] = []
        self.suffixes: list[str] = []
        self.pending: list[str] = []  # particles that count only when a word of the name follows
        self.capitals = 0
        self.generation: int | None = None
        self.marked = self.done = False

    def step(self) -> bool:
        """Take one more word; False when the name is over."""
        if self.done or len(self.words) >= 8:
            return False
        nickname = _NICKNAME.match(self.text, self.at) if self.words else None
        if nickname:
            self.at = nickname.end()
            return True
        found = _TOKEN.match(self.text, self.at)
        return found is not None and self.take(found[1], found.start(1), found.end())

    def take(self, token: str, begin: int, end: int) -> bool:
        word, generation, marked = split_generation(token)
        stopped = word.endswith((".", "!", "?")) and not _INITIALS.match(word)
        plain = word.rstrip(".!?")
        low = plain.casefold()
        if not self.words and low in COURTESY | RANKS:
            return self.take_title(plain, end)
        if self.words and low in SUFFIXES and (stopped or not plain.islower()):
            self.suffixes.append(plain.capitalize() + "." if len(plain) == 2 and low in {"jr", "sr"} else word)
            self.at = self.end = end
            self.done = True
            return False
        if plain in PARTICLES and not stopped:
            self.pending.append(plain)
            self.at = end
            return bool(self.words) or len(self.pending) < 3
        if not self.fits(word, plain, end):
            return False
        self.take_word(word if _INITIALS.match(word) else plain, begin, end)
        if marked:
            self.marked, self.generation = True, self.generation if generation is None else generation
        self.done = stopped and plain not in SHORTENED
        if self.done and self.text[end - 1] in ".!?":
            self.end = end - 1
        return not self.done

    def take_title(self, plain: str, end: int) -> bool:
        if not plain[:1].isupper():
            return False
        if plain.casefold() in RANKS:
            self.titles.append(plain + "." if self.text[end - 1] == "." else plain)
        self.at = end
        return True

    def take_word(self, word: str, begin: int, end: int) -> None:
        self.first = begin if self.first < 0 else self.first
        self.words += [*self.pending, word]
        self.pending.clear()
        self.capitals += len(word) > 1 and word.isupper() and "." not in word
        self.at = self.end = end

    def fits(self, word: str, plain: str, end: int) -> bool:
        """True when the word can be part of this name."""
        if _INITIALS.match(word):
            return word != "I" and not (word in {"A", "O"} and not self.words)
        if not _WORD.match(plain) or not (plain[0].isupper() or plain[:2] in {"d'", "d’"}):
            return False
        if plain.casefold() in NOT_NAMES or plain.casefold().endswith(("'s", "’s")):
            return False
        if plain.casefold() in AFTER_A_FORENAME and not (self.words or self.titles or forename(plain)):
            return bool(_MORE.match(self.text, end))  # Moore, John; Frost Trefnant
        # 'HUW TREFNANT Esq' and 'HUW He was': after a name in capitals only capitals go on, or what a digit announces
        return not self.all_in_capitals() or plain.isupper() or self.marked or plain.startswith(("Mc", "Mac"))

    def all_in_capitals(self) -> bool:
        return self.capitals > 0 and self.capitals == sum(len(word) > 1 and "." not in word for word in self.words)

    def name(self) -> Name | None:
        if len(self.words) > 1 and self.words[-1] in {"I.", "I"}:  # Owen Trefnant I.
            self.words.pop()
        if not any(len(word.rstrip(".")) > 1 for word in self.words):
            return None
        if self.words[-1] in {"April", "May", "June", "August"} and _DAY.match(self.text, self.end):
            return None
        after = None if self.suffixes else _AFTER_COMMA.match(self.text, self.end)  # Owen Trefnant, Jr.
        if after:
            self.suffixes.append(after[1].capitalize() + ".")
            self.end = after.end()
        return Name(
            tuple(self.words), self.start, self.first, self.end, tuple(self.titles), tuple(self.suffixes),
            self.capitals, self.generation,
        )  # fmt: skip


@dataclass(frozen=True, slots=True)
class Vocabulary:
    """How the draft itself uses its words: which it also writes small, which inside sentences with a capital.

    ``places`` counts the capitalised words that follow 'in', 'at' or 'near', ``things`` those that follow 'on', 'into'
    or 'the'.
    """

    small: Counter[str]
    capital: Counter[str]
    places: Counter[str]
    things: Counter[str]

    @classmethod
    def of(cls, texts: Iterable[str]) -> Vocabulary:
        small: Counter[str] = Counter()
        capital: Counter[str] = Counter()
        places: Counter[str] = Counter()
        things: Counter[str] = Counter()
        for text in texts:
            small.update(_SMALL.findall(text))
            capital.update(_CAPITAL.findall(text))
            places.update(_PLACE.findall(text))
            things.update(_THING.findall(text))
        return cls(small, _folded(capital), _folded(places), _folded(things))

    def common(self, word: str) -> bool:
        """True when the draft mostly writes the word small: it is no name."""
        key = word.casefold()
        return self.small[key] > self.capital[key]

    def place(self, word: str) -> bool:
        """True when every third mention or more is a place where something is."""
        key = word.casefold()
        return 3 * self.places[key] > self.capital[key]

    def spot(self, word: str) -> bool:
        """True when every third mention or more is a place or a thing: on Cefn Du, the Gwalia."""
        key = word.casefold()
        return 3 * (self.places[key] + self.things[key]) > self.capital[key]


def _folded(counts: Counter[str]) -> Counter[str]:
    """The counts of words that are the same but for their capitals, added up."""
    folded: Counter[str] = Counter()
    for word, count in counts.items():
        folded[word.casefold()] += count
    return folded


NO_VOCABULARY = Vocabulary(Counter(), Counter(), Counter(), Counter())
# What must stand before is looked at after the first letter: a search that knows it goes several times faster.
_SMALL = re.compile(r"[a-zà-þ](?<![\w.@/].)[a-zà-þ]{2,}\b(?![@/]|\.\w)")  # not the words of an e-mail or web address
_CAPITAL = re.compile(r"[A-ZÀ-Þ](?<=[a-zà-þ,;] .)[a-zà-þ]+\b")
_PLACE = re.compile(r"[A-ZÀ-Þ](?:(?<=\b[Ii]n .)|(?<=\b[Aa]t .)|(?<=\b[Nn]ear .))[a-zà-þ]+\b")
_THING = re.compile(r"[A-ZÀ-Þ](?:(?<=\b[Tt]he .)|(?<=\b[Oo]n .)|(?<=\binto .))[a-zà-þ]+\b(?!['’]s)")


def forename(word: str) -> bool:
    """True for a known forename, its clerk's abbreviation, or a double name of which one half is known."""
    plain = word.rstrip(".")
    said = spoken(plain)
    return said in FORENAMES or said in SHORTENED or any(half.capitalize() in FORENAMES for half in said.split("-"))


def likeness(name: Name, vocabulary: Vocabulary) -> float:
    """How surely a run of words is a person's name, from 0 to 1 (weights: our own, set on drafts and books).

    A known forename, an initial or a rank in front settles it; else the draft must treat the words as names: with
    capitals inside sentences, and not as places. 0.3 stands for a name that the draft never mentions elsewhere, 0.2
    for a lone unknown word, 0.1 for a place.
    """
    plain = [word for word in name.words if word not in PARTICLES] or list(name.words)
    first, last = plain[0], plain[-1]
    initial = len(first.rstrip(".")) == 1 or "." in first
    if last.casefold() in AFTER_A_FORENAME:
        doubt = _common_word_last(first, last, forename(first) or initial or bool(name.titles), vocabulary)
        if doubt is not None:
            return doubt
    if forename(first) or name.titles:
        if len(plain) == 1:
            return 0.3 if vocabulary.common(first) else 0.6
        return 1.0
    if initial:
        return 0.3 if vocabulary.common(last) else 0.8
    return _unknown(plain, vocabulary)


def _common_word_last(first: str, last: str, known: bool, vocabulary: Vocabulary) -> float | None:
    """The likeness of 'Alder Way' and 'Victoria Park'; None where the common word is a surname: Huw Story."""
    if not known:
        return 0.0 if vocabulary.common(last) or not vocabulary.capital[last.casefold()] else 0.3
    return 0.1 if vocabulary.capital[first.casefold()] and vocabulary.place(first) else None


def _unknown(plain: Sequence[str], vocabulary: Vocabulary) -> float:
    """The likeness of words none of which we know as a forename: how does the draft use them?"""
    if len(plain) == 2 and plain[0].casefold() in EPITHETS:  # Old Doli, where the text says who she was
        return 0.0 if vocabulary.common(plain[-1]) else 0.2
    if vocabulary.common(plain[0]) or vocabulary.common(plain[-1]):
        return 0.0
    if plain[0].casefold() in AFTER_A_FORENAME:
        return 0.2 if len(plain) > 1 else 0.0  # New York; Frost Trefnant, where his entry says so
    if len(plain) == 1:
        return 0.2
    seen = [word for word in plain if vocabulary.capital[word.casefold()]]
    if seen and all(vocabulary.place(word) for word in seen):
        return 0.1
    return 0.7 if seen else 0.3
