"""Words by which a family history tells an event, names a relative, hedges: ``telling.toml``, made ready."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterator
from importlib.resources import files

from storylint.study.quick import Quick, compiled, learn, may_fit, needed, split

_TABLE: dict[str, dict[str, str]] = tomllib.loads(
    (files("storylint.study") / "telling.toml").read_text(encoding="utf-8")
)


def _words(name: str) -> frozenset[str]:
    return frozenset(_TABLE["words"][name].split())


class Cues:
    """The words for all events, as if they were one pattern. The group of a verb is called ``v_`` and its event, that of
    a noun ``n_``. Only those words are looked for whose letters stand in the text (see ``study.quick``)."""

    def __init__(self) -> None:
        self.parts: list[str] = []
        for kind, table in (("v", _TABLE["verbs"]), ("n", _TABLE["nouns"])):
            for event, phrases in table.items():
                for phrase in phrases:
                    # What must stand before or after it is looked for too; no phrase has such a condition in its middle.
                    around = re.sub(r"\(\?<?=", "(?:", phrase)
                    learn(self, len(self.parts), needed(around, re.IGNORECASE))
                    self.parts.append(rf"(?<![\w.’'-])(?=[a-z])(?P<{kind}_{event}>{phrase})(?![\w’-])(?!['’]s\b)")

    def finditer(self, text: str) -> Iterator[re.Match[str]]:
        """The words for events in the text, in order: what fits first, and of what fits at one place the earlier."""
        parts = [compiled(self.parts[at], re.IGNORECASE) for at in may_fit(text).get(self, ())]
        next_of = {part: part.search(text) for part in parts}
        while found := [match for match in next_of.values() if match]:
            best = min(found, key=re.Match.start)
            yield best
            for part, match in next_of.items():
                if match and match.start() < best.end():
                    next_of[part] = part.search(text, best.end())

    def search(self, text: str) -> re.Match[str] | None:
        """The first of them."""
        return next(self.finditer(text), None)


CUES = Cues()
LIGHT = re.compile("(?:" + "|".join(_TABLE["words"]["light"].split()) + ")$")
IRREGULAR, LIVING, AUX, ADVERB = _words("irregular"), _words("living"), _words("aux"), _words("adverb")
MADE, GOING = _words("made"), _words("going")
ARTICLES = frozenset("the a an its this".split())
SUBORDINATE, PREPOSITION, TITLES = _words("subordinate"), _words("preposition"), _words("titles")
BOUNDARY = SUBORDINATE | frozenset(", ; : ( ) [ ] — – -- - and but or nor".split())

MAN = frozenset("he him his himself".split())
WOMAN = frozenset("she her hers herself".split())
PLURAL = frozenset("they them their theirs both".split())
SUFFIXES = frozenset("I II III IV Jr Sr Junior Senior Jun Sen Esq Esquire".split())
STATES = frozenset("widow widower bride bridegroom boy girl child infant baby".split())
# Words of kinship with the sex they tell.
SPOUSE = (
    dict.fromkeys("wife widow relict bride consort".split(), "f")
    | dict.fromkeys("husband widower bridegroom".split(), "m")
    | {"spouse": ""}
)
CHILD = {"son": "m", "boy": "m", "daughter": "f", "girl": "f"} | dict.fromkeys(
    "child baby twins infant firstborn youngest eldest oldest".split(), ""
)
PARENT = {"father": "m", "mother": "f"}
SIBLING = {"brother": "m", "sister": "f", "twin": ""}
OTHER_KIN = _words("kin")
SEVERAL = frozenset(
    """sons daughters children brothers sisters parents grandparents cousins nephews nieces uncles aunts grandsons
    granddaughters grandchildren""".split()
)
COMPOUND = re.compile(
    r"\b(?:(?:[Gg]rand)?(?:father|mother|son|daughter|brother|sister)s?-in-law"
    r"|(?:[Gg]reat|[Hh]alf|[Ff]oster|[Ss]tep)-(?:great-)*\w+)"
)


def _each(words: str, *more: str) -> Quick:
    """Whole words, each of which is sought by letters of its own, and patterns of another kind: of what has common words
    only, for which every sentence is searched, those that begin with letters are much faster."""
    return Quick(*(rf"\b(?:{each})\b" for each in split(words)), *more)


# What makes a statement somebody's guess, or one that the writer weighs: no contradiction is certain then. The first
# kind clouds what follows it, the second the whole sentence.
HEARSAY = _each(
    r"(?:cannot|can['’]t|(?:could|would|might|may|must|should)(?: not|n['’]t)?) (?:also )?(?:have|be)"
    r"|if (?:he|she|they)|claim(?:s|ed|ing)?|tradition|legend|suppos\w+"
    r"|alleged\w*|according to|(?:is|are|was|were|always|has been) said|sa(?:ys|id) (?:\w+ ){0,3}that|gave out|admitted to|owned to|pretended|reckoned|believed|so-called"
    r"|no record|as if|as though|g(?:iving|ave|iven?) (?:his|her) age|own account",
    r"had (?<!\whad )(?:he|she|they) (?:not )?(?:lived|been)\b",
)
WEIGHED = _each(
    r"mistak\w+|wrongly|wrong (?:date|year|day|month)|(?:is|are|was|were|be) wrong|cannot be right|error"
    r"|erroneous\w*|misread|misprint\w*|miscopied|instead of|rather than|impossible|contradict\w*|disagree\w*|doubt\w*"
    r"|conflict\w*|discrepan\w+|namesake|no relation|another (?:man|woman) of|unless"
    r"|whether|should read|would (?:put|place|make|mean|give)|sic|not the|in fact|in truth",
    r"that (?<!\wthat )(?:is|was) (?:his|her) \w+",
    r"\?",
)
