"""Whose voice a sentence has, and what it speaks of: the machine's or a teller's, the family or the world.

Three judgements are made of every prose sentence, each a weighted sum of features that a person can check by eye
(logistic regression: D. R. Cox, J. Royal Statistical Society B 20 (1958): 215–242):

* ``machine``: it only renders facts of the tree (rule boilerplate);
* ``claim``: it asserts a checkable particular of the family (rule unsourced);
* ``world``: it sets the life in the world outside the family (rule context).

The weights in ``weights.toml`` were fitted by ``python -m tests.judgement fit`` on the tuning half of the labelled drafts
in tests/judgement, never on the half that is only measured on.
"""

from __future__ import annotations

import math
import re
import tomllib
from collections.abc import Iterator, Sequence
from functools import cache
from importlib.resources import files
from itertools import accumulate
from operator import mul
from typing import NamedTuple

from storylint.study import patterns
from storylint.study.study import FINITE, MONTHS, Book, Sentence, StudiedSection
from storylint.study.words import (
    DATE,
    KIN,
    NAME,
    NUMBER,
    PLACE,
    PRONOUN,
    RECORD,
    STOP,
    TOLD,
    VITAL,
    WORK,
    forms_of,
    group_words,
)

FACTS = NAME + DATE + NUMBER + KIN + VITAL + RECORD + WORK + PLACE
JUDGEMENTS = ("machine", "claim", "world")
ALONE = ("machine alone", "claim alone", "world alone")  # the same of a sentence by itself
# 'No will has been found', 'Little is recorded of': the machine, or a scholar, saying that there is nothing to say.
NOTHING = frozenset("no not little nothing none never unknown undetermined whether few n't neither".split())
ON_RECORD = frozenset(
    """known recorded found located documented stated available determined survive survives exists file record discovered
    identified traced noted given listed reported indicate show entered established forthcoming evidence information
    particulars details documentation certain clear""".split()
)
EMPTY_SLOT = re.compile(
    r"\b(?:in|on|at|of|as|to|by|from|for|was|and|named|called|numbered|aged|a|the)\s*[.,;:]|[,;]\s*[,;.]|\(\s*\)"
)
QUOTE = re.compile(r"[\"“”«»]|(?<!\w)[‘'](?=\w[^'’]*\s)")
CHAIN = re.compile(r"\b(?:in|at|of|near|from) [A-Z][\w.'’-]*(?: [A-Z][\w.'’-]*)*, [A-Z][\w.'’ -]*, [A-Z][\w.'’]+")
BARE = frozenset("born died was baptized baptised married buried removed settled came served resides residing".split())
RELATIVE = frozenset(("who", "whom", "whose", "which", "that", "what"))
THEN = frozenset(("when", "while", "until", "till", "after", "before", "once", "where"))
BE = frozenset(("was", "were", "is", "are", "been", "be", "being"))
INDEFINITE = frozenset(("a", "an", "any", "every", "no", "each"))
VAGUE = frozenset(("man", "woman", "boy", "girl", "child", "men", "women", "children", "boys", "girls"))
DEMONSTRATIVE = frozenset(("this", "that", "it", "there", "these", "those", "here"))


@cache
def group(name: str) -> frozenset[str]:
    """One group of ``words.toml`` in all its forms."""
    return frozenset(forms_of(name))


class Voice(NamedTuple):
    """The three judgements on one sentence, as probabilities from 0 to 1, and what else the rules ask of it.

    ``alone`` are the ``odds`` of the machine's voice where the sentence is heard by itself. It has an ``empty_slot``, says
    that there is ``nothing`` on record, or has a pattern that ``returns`` in the book.
    """

    machine: float
    claim: float
    world: float
    alone: float
    empty_slot: bool
    nothing: bool
    returns: bool


TOLD_ALONE = -0.1  # ``odds`` below which a sentence by itself is told: less than 0.38 sure of the machine


def told_alone(voice: Voice) -> bool:
    """True for a sentence that, heard by itself, has a teller's voice, whatever its neighbours make of it."""
    return voice.alone < TOLD_ALONE


def hollow(voice: Voice) -> bool:
    """True for a sentence that states no fact: an empty slot, or 'No further facts are known'."""
    return voice.empty_slot or voice.nothing


def odds(p: float) -> float:
    """The logit of a probability, scaled to about -1 to 1, so that a strong judgement of the sentence by itself stays strong."""
    p = min(max(p, 1e-4), 1 - 1e-4)
    return math.log(p / (1 - p)) / 5


Features = dict[str, float]
Table = dict[str, Features]


@cache
def weights() -> Table:
    """Judgement → feature → weight; 'base' is the constant."""
    return tomllib.loads((files("storylint.study") / "weights.toml").read_text(encoding="utf-8"))


def squash(x: float) -> float:
    """The logistic function."""
    return 1 / (1 + math.exp(-max(-40.0, min(40.0, x))))


class Scale:
    """The weights of several judgements, so that a sentence's features are gone through once for all of them."""

    def __init__(self, table: Table, names: Sequence[str]) -> None:
        weighed = [table.get(name, {}) for name in names]
        self.bases = [each.get("base", 0.0) for each in weighed]
        self.weights = {feature: [each.get(feature, 0.0) for each in weighed] for each in weighed for feature in each}

    def probabilities(self, features: Features) -> list[float]:
        """Each judgement's probability for these features."""
        weights = self.weights.get
        shown = [(value, each) for name, value in features.items() if value and (each := weights(name))]
        if not shown:
            return [squash(base) for base in self.bases]
        values, rows = zip(*shown, strict=True)
        columns = zip(*rows, strict=True)
        return [squash(base + sum(map(mul, column, values))) for base, column in zip(self.bases, columns, strict=True)]


def own_features(sentence: Sentence, family: frozenset[str]) -> dict[str, float]:
    """What the sentence shows by itself. Shares are of its words, punctuation left out; counts are capped."""
    lower, tags = sentence.lower, sentence.tags
    words = [pair for pair in zip(lower, tags, strict=True) if pair[1] != STOP]
    length = max(1, len(words))
    count = {tag: tags.count(tag) for tag in TOLD + FACTS}
    told, facts = count[TOLD], sum([count[tag] for tag in FACTS])
    content = max(1, told + facts)
    has = set(lower)

    kinds = "".join([tag for _, tag in words])

    def any_of(key: str) -> float:
        return float(not group_words("tell", key).isdisjoint(has))

    def turns(cues: frozenset[str]) -> float:
        """A turn of speech counts as a teller's only where it leads to something told."""
        if cues.isdisjoint(has):
            return 0.0
        return float(any(w in cues and TOLD in kinds[i + 1 : i + 9] for i, (w, _) in enumerate(words)))

    strong_past = group_words("past", "verbs")
    strong = sum([tag == TOLD and (word.endswith("ed") or word in strong_past) for word, tag in words])
    empty_slot = float(bool(EMPTY_SLOT.search(sentence.text)))
    first, first_tag = words[0] if words else ("", STOP)
    return {
        "told share": told / content,
        "told words": math.log1p(told) / 3,
        "told none": float(told == 0),
        "told few": float(told <= 1),
        "told some": float(told <= 3),
        "told many": min(told, 12) / 12,
        "told verbs": min(strong, 3) / 3,
        "slot share": (count[NAME] + count[DATE] + count[NUMBER]) / length,
        "record share": (count[RECORD] + count[VITAL]) / length,
        "record words": min(count[RECORD], 4) / 4,
        "vital word": float(VITAL in tags),
        "kin word": float(KIN in tags),
        "work word": float(WORK in tags),
        "place word": float(PLACE in tags),
        "has date": float(DATE in tags),
        "has number": float(NUMBER in tags),
        "has name": float(NAME in tags),
        "quotation": float(bool(QUOTE.search(sentence.text))),
        "teller": any_of("teller"),
        "denial": any_of("denial"),
        "denial told": turns(group_words("tell", "denial")),
        "contrast": turns(group_words("tell", "contrast")),
        "cause": turns(group_words("tell", "cause")),
        "comparison": turns(group_words("tell", "comparison")),
        "mood": turns(group_words("tell", "mood")),
        "relative": turns(RELATIVE),
        "then clause": turns(THEN),
        "signpost": float(not group_words("signpost", "words").isdisjoint(has)),
        "passive": float(passive(words)),
        "length": math.log(length) / 4,
        "short": float(length <= 6),
        "clauses": min(lower.count(",") + lower.count(";") + lower.count(":"), 5) / 5,
        "opens with name": float(first_tag == NAME),
        "opens with pronoun": float(first_tag == PRONOUN),
        "opens with fact": float(first_tag in RECORD + DATE + NUMBER + VITAL + WORK),
        "opens vaguely": float(first in DEMONSTRATIVE),
        "opens with it": float(first == "it"),
        "my": float("my" in has),
        "present tense": float(not {"is", "are", "has", "says", "gives", "hangs", "stands"}.isdisjoint(has)),
        "world words": min(how_many(lower, group("world")), 5) / 5,
        "habit": min(how_many(lower, group("habit")), 3) / 3,
        "opinion": float(not group("opinion").isdisjoint(has)),
        "hearsay": float(not group("hearsay").isdisjoint(has)),
        "nothing on record": float(not NOTHING.isdisjoint(has) and not ON_RECORD.isdisjoint(has) and told <= 5),
        "empty slot": empty_slot,
        "year alone": float(DATE in tags and not MONTHS & has and NUMBER not in tags),
        "day and year": float(DATE in tags and bool(MONTHS & has) and NUMBER in tags),
        "chain of places": float(bool(CHAIN.search(sentence.text))),
        "no subject": float(first in BARE),
        "empty slot, no date": float(bool(empty_slot) and DATE not in tags),
        **about(sentence, words, family),
    }


def how_many(words: Sequence[str], group: frozenset[str]) -> int:
    """How many of the words are of the group."""
    return sum([word in group for word in words])


def passive(words: Sequence[tuple[str, str]]) -> bool:
    """A form of 'be' before a participle in -ed or -en, one word between allowed."""
    for i, (word, _) in enumerate(words):
        if word in BE and any(w.endswith(("ed", "en", "wn", "rn")) for w, _ in words[i + 1 : i + 3]):
            return True
    return False


def about(sentence: Sentence, words: Sequence[tuple[str, str]], family: frozenset[str]) -> dict[str, float]:
    """Of whom it speaks: the family by name or pronoun, or people in general."""
    lower = [w for w, _ in words]
    has = set(lower)
    pronouns = [i for i, (w, _) in enumerate(words) if w in group_words("tell", "pronoun")]
    vague = [i for i, w in enumerate(lower) if w in VAGUE and set(lower[max(0, i - 3) : i]) & INDEFINITE]
    trade = [i for i, (w, t) in enumerate(words) if t == WORK and set(lower[max(0, i - 2) : i]) & INDEFINITE and i <= 4]
    bound = vague + trade
    free = [i for i in pronouns if not any(v < i for v in bound)]
    names = [word for word, tag in zip(sentence.tokens, sentence.tags, strict=True) if tag == NAME]
    ours = {word.lower() for word in names if word in family}
    named = len(ours)
    teller = not {"i", "we", "my", "our", "me", "us", "i'm", "i've", "i'd"}.isdisjoint(has)
    thinks = not group("opinion").isdisjoint(has) or not group_words("tell", "mood").isdisjoint(has)
    foreign = len(names) - how_many(names, family)
    subject = next((i for i, (_, t) in enumerate(words) if t in (NAME, PRONOUN, KIN, WORK, TOLD, RECORD)), 0)
    subject_ours = (
        bool(words)
        and subject < 4
        and (subject in free or words[subject][1] == KIN or any(w == lower[subject] for w in ours))
    )
    kin_owned = any(
        t == KIN and i and lower[i - 1] in ("his", "her", "their", "my", "the", "our", "whose")
        for i, (_, t) in enumerate(words)
    )
    return {
        "family named": float(named > 0),
        "he or she": float(bool(free)),
        "bound pronoun": float(bool(pronouns) and not free),
        "they": float(not group_words("tell", "plural").isdisjoint(has)),
        "own kin": float(kin_owned),
        "people in general": float(bool(vague) or not group_words("tell", "generic").isdisjoint(has)),
        "trade in general": float(bool(trade)),
        "other names": min(foreign, 4) / 4,
        "subject ours": float(subject_ours),
        "we or I": float(teller),
        "I think": float(teller and thinks),
        "I did": float(teller and not thinks and any(t == TOLD for _, t in words)),
        "hearsay ours": float(not group("hearsay").isdisjoint(has) and (named > 0 or bool(pronouns) or teller)),
        "I open": float(lower[:1] == ["i"]),
        "no family": float(not named and not free and not kin_owned),
        "opens with the": float(lower[:1] == ["the"]),
        "opens with a": float(lower[:1] in (["a"], ["an"])),
        "opens with in": float(lower[:1] in (["in"], ["by"], ["from"], ["at"], ["on"], ["for"])),
    }


HEADS_CHILDREN = re.compile(
    r"\W*(?:(?:their|the|all|his|her)\s+)*(?:children|child|issue)\b[^.;:]*\bborn\b", re.IGNORECASE
)


def heads_children(sentence: Sentence, section: StudiedSection) -> bool:
    """True for what heads the list of children without a colon: 'Children, all born at Gerlan.'"""
    heads = section.children and sentence.last and HEADS_CHILDREN.match(sentence.text)
    return bool(heads) and not FINITE.search(sentence.text)


def world_alone(sentence: Sentence) -> float:
    """How sure a sentence by itself speaks of the world outside the family, from 0 to 1."""
    return Scale(weights(), ("world alone",)).probabilities(own_features(sentence, frozenset()))[0]


def hear(book: Book, table: Table) -> list[Voice]:
    """Judge every sentence of the book, in the order of ``book.sentences``."""
    scale = Scale(table, JUDGEMENTS)
    return [voice(scale, features) for features in features_in(book, table)]


def voice(scale: Scale, features: Features) -> Voice:
    """The judgements on the sentence that has these features."""
    machine, claim, world = scale.probabilities(features)
    has = [bool(features[name]) for name in ("empty slot", "nothing on record", "pattern returns")]
    return Voice(machine, claim, world, features["alone machine"], *has)


def features_in(book: Book, table: Table) -> Iterator[Features]:
    """What every sentence of the book shows, in the order of ``book.sentences``.

    First each sentence by itself and how often its pattern returns; then what its neighbours are, by a first judgement
    of each alone, because a bare fact inside a told life is the teller's, and an odd fact inside a list is the machine's.
    """
    alone = Scale(table, ALONE)
    found = patterns_of(book)
    names = frozenset(book.people.forenames | book.people.surnames)
    spread = spreads(found, book)
    index = 0
    for section in book.sections:
        features = []
        for sentence in section.sentences:
            own = own_features(sentence, names)
            own |= returning(found, index, spread)
            features.append(own)
            index += 1
        yield from with_neighbours(section, features, alone)


def returning(found: patterns.Patterns, index: int, spread: dict[int, float]) -> dict[str, float]:
    """How a sentence's pattern returns. A short pattern ('He died in 1722.') returns in any book and says little."""
    family = found.of[index]
    if family is None:
        return {"pattern returns": 0.0, "pattern exact": 0.0, "pattern spread": 0.0}
    words = found.skeletons[index]
    weight = min(1.0, len(patterns.fixed(words)) / 5)
    return {
        "pattern returns": weight * min(math.log2(1 + found.returns(index)), 4) / 4,
        "pattern exact": weight * (found.families[family].exact[words] > 1),
        "pattern spread": weight * spread.get(family, 0.0),
    }


def spreads(found: patterns.Patterns, book: Book) -> dict[int, float]:
    """Of each family of three and more, the share of the book's sections in which it occurs."""
    where: dict[int, set[int]] = {}
    index = count = 0
    for number, section in enumerate(book.sections):
        count += bool(section.paragraphs) and section.section.person is not None
        for _ in section.sentences:
            family = found.of[index]
            if family is not None and len(found.families[family]) > 2:
                where.setdefault(family, set()).add(number)
            index += 1
    return {family: min(1.0, len(sections) / max(1, count)) for family, sections in where.items()}


def patterns_of(book: Book) -> patterns.Patterns:
    """The book's wording patterns, worked out once."""
    return book.once("patterns", lambda: patterns.find(book.sentences))


def voices_of(book: Book) -> list[Voice]:
    """``hear``, worked out once a book."""

    def work_out() -> list[Voice]:
        heard = book.voices_elsewhere and book.voices_elsewhere()
        book.voices_elsewhere = None
        return heard or hear(book, weights())

    return book.once("voices", work_out)


def first_index(book: Book, section: StudiedSection) -> int:
    """Where this section's sentences begin in ``book.sentences``."""

    def work_out() -> dict[int, int]:
        lengths = [sum(len(paragraph) for paragraph in each.paragraphs) for each in book.sections]
        return dict(zip(map(id, book.sections), accumulate(lengths, initial=0), strict=False))

    return book.once("first index", work_out)[id(section)]


def voices_in(book: Book, section: StudiedSection) -> list[Voice]:
    """The judgements on one section's sentences."""
    start = first_index(book, section)
    return voices_of(book)[start : start + sum(len(paragraph) for paragraph in section.paragraphs)]


FEW = (
    1.0  # in a short section the neighbours say less: as if so many more stood there, of which half were the machine's
)
THINGS = TOLD + RECORD + PLACE + WORK


def thing(sentence: Sentence, seen: dict[str, float]) -> tuple[float, float]:
    """Of the first 'the thing' near the sentence's opening: how far it is known as the family's, and whether it is new."""
    for i, word in enumerate(sentence.lower[:6]):
        if word in ("the", "this", "that", "both", "these", "those"):
            for noun, tag in zip(sentence.lower[i + 1 : i + 4], sentence.tags[i + 1 : i + 4], strict=True):
                if tag in THINGS:
                    return seen.get(noun, 0.0), float(noun not in seen)
    return 0.0, 0.0


def remember(sentence: Sentence, ours: float, seen: dict[str, float]) -> None:
    """Note the things a sentence names, and whether it spoke of the family when it did."""
    for word, tag in zip(sentence.lower, sentence.tags, strict=True):
        if tag in THINGS and len(word) > 2:
            seen[word] = max(seen.get(word, -1.0), ours)


def with_neighbours(section: StudiedSection, features: list[Features], scale: Scale) -> list[Features]:
    """The features of one section's sentences, with the judgements of their neighbours by themselves."""
    alone = [scale.probabilities(each) for each in features]
    first, claim, world = ([each[i] for each in alone] for i in range(3))
    paragraphs = [number for number, paragraph in enumerate(section.paragraphs) for _ in paragraph]
    total = sum(first)
    sums: dict[int, float] = {}
    sizes: dict[int, int] = {}
    for number, value in zip(paragraphs, first, strict=True):
        sums[number] = sums.get(number, 0.0) + value
        sizes[number] = sizes.get(number, 0) + 1
    section_sentences = list(section.sentences)
    told_of = [sentence.tags.count(TOLD) for sentence in section_sentences]
    content_of = [told_of[i] + sentence.count(FACTS) for i, sentence in enumerate(section_sentences)]
    told, content = sum(told_of), sum(content_of)
    returns = sum(each["pattern returns"] for each in features)
    seen: dict[str, float] = {}
    for i, each in enumerate(features):
        number, count = paragraphs[i], len(features)
        each["section machine"] = (total - first[i] + FEW / 2) / (count - 1 + FEW)
        each["paragraph machine"] = (sums[number] - first[i] + FEW * each["section machine"]) / (
            sizes[number] - 1 + FEW
        )
        each["before machine"] = first[i - 1] if i else each["section machine"]
        each["after machine"] = first[i + 1] if i + 1 < count else each["section machine"]
        each["before world"] = world[i - 1] if i else 0.0
        each["after world"] = world[i + 1] if i + 1 < count else 0.0
        each["before claim"] = claim[i - 1] if i and paragraphs[i - 1] == number else 0.5
        each["after claim"] = claim[i + 1] if i + 1 < count and paragraphs[i + 1] == number else 0.5
        each["alone machine"], each["alone world"], each["alone claim"] = odds(first[i]), odds(world[i]), odds(claim[i])
        each["alone told"] = max(0.0, 0.2 - first[i]) * 5
        each["alone told, told around"] = each["alone told"] * (1 - each["section machine"])
        each["pronoun after world"] = each["he or she"] * each["before world"] * (1 - each["family named"])
        each["world around"] = (each["before world"] + each["after world"]) / 2 * each["no family"]
        each["section told"] = (told - told_of[i] + 3.0) / max(1.0, content - content_of[i] + 10.0)
        each["section returns"] = (returns - each["pattern returns"] + 0.2) / (count - 1 + FEW)
        each["section first"] = float(i == 0)
        each["opens paragraph"] = float(i == 0 or paragraphs[i - 1] != number)
        each["opens section"] = float(number == 0)
        each["no section"] = float(section.section.person is None)
        each["thing of theirs"], each["thing unknown"] = thing(section_sentences[i], seen)
        remember(section_sentences[i], claim[i] - world[i], seen)
        each["nothing, machine"] = each["nothing on record"] * first[i]
        each["it after claim"] = each["opens with it"] * (each["before claim"] - each["before world"])
    return features
