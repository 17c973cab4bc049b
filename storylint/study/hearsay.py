"""How a story reached the author, and whether she has weighed it.

A family tradition is known by how it is told: who is the source of it, what sort of word carries it, of whom it
tells. The ways of telling are patterns in ``rules/legend.toml``, matched against a sentence in which the family's
names have been replaced, so that no list of names or titles is needed. A story is weighed where something that could
bear it out or refute it (evidence) stands beside it together with a word on what the author makes of it (a verdict).
"""

from __future__ import annotations

import re
import tomllib
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import Enum
from functools import cache, lru_cache
from importlib.resources import files

from storylint.draft.forenames import FORENAMES
from storylint.study.quick import May, Quick, may_fit
from storylint.study.study import Book, Sentence
from storylint.study.words import NAME, NUMBER, PLACE, RECORD, TOLD, WORK


@dataclass(frozen=True, slots=True)
class Way:
    """A way of telling. ``about_us``: only if the story is of the family; ``subject``: if what stands before is;
    ``others``: if it is of one of them and not of 'us'; ``unmarked``: only without a mark of its own; ``bare``: a
    fact where a mark answers for it; ``loose``: too weak a sign to be looked for where a mark answers."""

    called: str
    pattern: Quick
    about_us: bool
    subject: bool = False
    bare: bool = False
    loose: bool = False
    others: bool = False
    unmarked: bool = False


@dataclass(frozen=True, slots=True)
class Plot:
    """A story that is told in many families, and the record that would test it."""

    called: str
    pattern: Quick
    bare: Quick | None
    test: str


@dataclass(frozen=True, slots=True)
class Lexicon:
    """``legend.toml``, compiled; ``words`` are its single patterns by name."""

    ways: tuple[Way, ...]
    plots: tuple[Plot, ...]
    words: dict[str, Quick]

    def has(self, name: str, text: str) -> bool:
        """True when the text has what the pattern of that name looks for."""
        return self.words[name].search(text) is not None


@cache
def lexicon() -> Lexicon:
    """Read once."""
    table = tomllib.loads((files("storylint.rules") / "legend.toml").read_text(encoding="utf-8"))

    def whole(*patterns: str) -> Quick:
        return Quick(*patterns, pieces=table["pieces"])

    single = {
        name: whole(text)
        for part in ("subjects", "weighing", "notes", "speculation")
        for name, text in table[part].items()
    }
    return Lexicon(
        tuple(Way(way.pop("called"), whole(*way.pop("patterns")), **way) for way in table["way"]),
        tuple(
            Plot(p["called"], whole(p["pattern"]), whole(p["bare"]) if "bare" in p else None, p["test"])
            for p in table["plot"]
        ),
        single,
    )


QUOTES = frozenset('"“”«»')


def normal(sentence: Sentence, book: Book) -> str:
    """The sentence as the patterns want it: small letters, single blanks, names as FAM, FAMS or NAME, no quotations."""
    words: list[str] = []
    quoted = False
    for token, low, tag in zip(sentence.tokens, sentence.lower, sentence.tags, strict=True):
        if token in QUOTES:
            quoted = not quoted
            words.append('"')
        elif quoted:
            continue
        elif tag == NAME and len(token) > 1 and low not in ELDERS and (low not in TITLES or token in book.people):
            name = "NAME" if words and words[-1] in TITLES else family_or_not(token, book)
            words.append(low if name == "NAME" and not words else name)  # any word has a capital where it opens
        else:
            words.append(low)
    return " ".join(words)


ELDERS = frozenset(
    """grandmother grandfather grandma grandpa granny gran grandad granddad nonna nonno nain taid oma opa bobe bubbe zayde
    tante onkel aunt auntie aunty uncle cousin mother father mam dad bibi tía tío yiayia memère pepère""".split()
)
TITLES = frozenset(
    "general king queen president emperor saint st st. prince princess lord pope duke earl mr mr. tsar czar kaiser sultan shah "
    "count countess duchess empress baron".split()
)


def family_or_not(token: str, book: Book) -> str:
    """FAM for a name of the family, FAMS for its plural, else NAME."""
    bare = token.rstrip(".'’")
    if bare in book.people or bare in FORENAMES:
        return "FAM"
    if bare.endswith("s") and (bare[:-1] in book.people.surnames or bare[:-2] in book.people.surnames):
        return "FAMS"
    return "NAME"


def way_of(sentence: Sentence, text: str) -> tuple[Way, int] | None:
    """The way in which a sentence passes a story on, and where in ``text``, its normal form, it was seen; else None."""
    known, may = lexicon(), may_fit(text)
    for way in known.ways:
        if (
            way.pattern not in may
            or (sentence.covered and (way.bare or way.loose))
            or (way.unmarked and sentence.marks)
        ):
            continue
        match = way.pattern.search(text, may)
        if match and tells_of_family(way, text, match) and not dismissed(text, match):
            return way, match.start()
    return None if sentence.covered else plainly(sentence, text, may)


def plainly(sentence: Sentence, text: str, may: May) -> tuple[Way, int] | None:
    """The plot of a story that is told as if it were a fact, as a way of telling, and where it was seen."""
    unquoted, may_unquoted = (text, may) if '"' in text else (sentence.text.lower(), may_fit(sentence.text))
    for plot in lexicon().plots:
        if plot.bare and (plot.bare in may or plot.bare in may_unquoted):
            match = plot.bare.search(text, may) or plot.bare.search(unquoted, may_unquoted)
            if match:
                return Way("it is a story told in many families", plot.bare, False), match.start()
    return None


def tells_of_family(way: Way, text: str, match: re.Match[str]) -> bool:
    """True when the story is about the family, as far as this way of telling asks for it."""
    known = lexicon()
    if way.subject and not text[: match.start()].strip(MARKS) and not match.group().startswith("it "):
        return True  # 'Said to have been buried standing.'
    if way.subject and not of_family(text, match) and not known.has("kin", text):
        return False
    return not way.about_us or known.has("theirs" if way.others else "ours", text) or known.has("kin", match.group())


def dismissed(text: str, match: re.Match[str]) -> bool:
    """True when the author has judged before she tells, when it is no tradition at all, or a legend on a coin."""
    known = lexicon()
    if known.has("sober", text[match.start() :]):
        return True
    return known.has("verdict", text[: match.start()]) or ("legend" in match.group() and known.has("engraved", text))


MARKS = " \"'(—–-*"
RELATIVE = re.compile(r"\b(?:which|that|who)\s?$")
IT = re.compile(r"\bit\s?$")
CLAUSE = re.compile(r"[;:]|\b(?:and|but|which|who|that)\b")


def of_family(text: str, match: re.Match[str]) -> bool:
    """True when the subject of hearsay is of the family: it stands before the verb or, after 'it', in the clause."""
    known = lexicon()
    before, seen = text[: match.start()], match.group()
    if RELATIVE.search(before):
        before = " ".join(before.split()[-7:])
    if seen.startswith("it ") or IT.search(before):
        return known.has("ours", text[match.end() :]) or known.has("ours", before)
    clause = CLAUSE.split(before)[-1]
    return known.has("ours", seen) or known.has("ours", clause if clause.strip() else before)


def plot_of(sentence: Sentence, text: str) -> Plot | None:
    """The classic plot of a story, if it has one; ``text`` is the sentence in its normal form."""
    forms = (text, sentence.text.lower())
    return next((plot for plot in lexicon().plots if any(map(plot.pattern.search, forms))), None)


# ------------------------------------------------------------------------------------------------------ weighing


def content(sentence: Sentence, book: Book) -> set[str]:
    """The words by which two sentences are seen to speak of one thing: rare in this book, and no names of the
    family."""
    counts, most = stem_counts(book)
    return {stem for stem in stems(sentence) if counts[stem] <= most and stem not in book.people}


SPEAKING = TOLD + RECORD + PLACE + WORK + NAME


def stems(sentence: Sentence) -> set[str]:
    """What a sentence speaks of: its words without endings, names as they are written."""
    return {
        stem(word if tag == NAME else low)
        for word, low, tag in zip(sentence.tokens, sentence.lower, sentence.tags, strict=True)
        if tag in SPEAKING and len(low) > 3 and low not in COMMON
    }


def stem_counts(book: Book) -> tuple[Counter[str], int]:
    """In how many sentences each stem stands, and up to how many it is rare; worked out once."""

    def work_out() -> tuple[Counter[str], int]:
        counts: Counter[str] = Counter()
        for sentence in book.sentences:
            counts.update(stems(sentence))
        return counts, max(RARE, len(book.sentences) // 100)

    return book.once("stem counts", work_out)


RARE = 5  # sentences; a word that stands in more of them ties none together (proposed for this tool, no source)
COMMON = frozenset(
    """said told story stories family that with have been were they always never when there their about could would
    should which while after before only once over down back from into what some ever even tells telling claimed
    supposed year years time times days night nights house home found find finds came went took made make called gave
    again after before never young same still none nothing nobody another either neither""".split()
)


@lru_cache(maxsize=5000)
def stem(word: str) -> str:
    """A word without its commonest endings."""
    for ending in ("ing", "ed", "es", "s", "e"):
        if word.endswith(ending) and len(word) - len(ending) > 3:
            return word[: -len(ending)]
    return word


class Where(Enum):
    """Where a sentence stands to a story: before or after it in its paragraph, in it, or in the paragraph that
    follows."""

    BEFORE = 0
    OWN = 1
    AFTER = 2
    NEXT = 3


BEFORE, OWN, AFTER, NEXT = Where
NEAR = 2  # sentences after a story in which a verdict is on it even where nothing ties them (proposed for this tool)
CLOSE = 3  # the same for a plain 'but' or 'no'
YEAR = re.compile(r"\b(?:1[0-9]|20)\d\d\b")


@dataclass(slots=True)
class Scales:
    """What has been found for or against a story, each from 0 to 1; 0.5 where nothing ties the sentence to it."""

    evidence: float = 0.0
    verdict: float = 0.0

    def add(self, text: str, low: str, tied: bool, where: Where, distance: int) -> None:
        """Weigh one sentence: ``text`` in its normal form, ``low`` as written."""
        known, weight = lexicon(), 1.0 if tied else 0.5
        turns = known.has("turn", text)
        if known.has("evidence", low) or ((turns or (where is AFTER and not distance)) and YEAR.search(low)):
            self.evidence = max(self.evidence, weight)
            if turns and distance < CLOSE and where is not BEFORE:
                self.verdict = max(self.verdict, 0.5 * weight)
            if where is AFTER and distance < NEAR and known.has("absent", text):
                self.evidence, self.verdict = 1.0, max(self.verdict, 0.5)
        if where is BEFORE:
            return
        if where is AFTER and distance < CLOSE and self.evidence == 1.0 and known.has("denies", text):
            self.verdict = max(self.verdict, 0.5)
        if known.has("verdict", text):
            self.verdict = max(self.verdict, 1.0 if where is AFTER and distance < NEAR else weight)
        elif known.has("soft", text):
            self.verdict = max(self.verdict, weight)


def weighed(tale: Sequence[Sentence], around: Sequence[tuple[Sentence, str, Where]], book: Book) -> bool:
    """True when evidence and a verdict stand with the story, and at least one of them is tied to it for certain.

    ``around`` are the sentences that may weigh it, each in its normal form and with where it stands.
    """
    known, scales, carried = lexicon(), Scales(), False
    about = set().union(*(content(sentence, book) for sentence in tale))
    counts = any(sentence.count(NUMBER) for sentence in tale)
    for distance, (sentence, text, where) in enumerate(around):
        tied = where is OWN or carried or bool(about & content(sentence, book))
        carried = where is AFTER and known.has("story", text)  # what follows is on the story of which it speaks
        again = known.has("again", text) or (not distance and where is AFTER and judges_him(text))
        if where in (BEFORE, NEXT) and not tied and not (where is NEXT and again and "stor" in text):
            continue
        low = text if where is OWN else sentence.text.lower()
        scales.add(text, low, tied or again, where, distance)
        other_number = counts and not distance and bool(sentence.count(NUMBER))
        if where is AFTER and distance < NEAR and (tied or again or other_number) and known.has("speaks", low):
            return True
    return scales.evidence + scales.verdict >= 1.5


PRONOUN = re.compile(r"^\W*(?:he|she|his|her|they|their)\b")


def judges_him(text: str) -> bool:
    """True for a sentence that goes on with the same person and has a word of judgement."""
    return bool(PRONOUN.match(text)) and (lexicon().has("verdict", text) or lexicon().has("soft", text))


def weighed_in(notes: Iterator[str]) -> bool:
    """True when the story's own notes weigh it, or name the witness who told it of her own knowledge."""
    known = lexicon()
    for note in notes:
        low = note.lower()
        if known.has("witness", note) and not known.has("second_hand", low):
            return True
        judged = known.has("verdict", low) or (known.has("denies", low) and known.has("about", low))
        if judged and known.has("evidence", low):
            return True
    return False
