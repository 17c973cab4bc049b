"""Whether the text under a title speaks of its words as of a person: Kwame Mensah or Port Dinorwic, Doli or Tobacco.

A forename that we know settles most titles. Where it doesn't, the reader decides by what the text goes on to say: people
are born, marry and are called by half of their name; one is *in* a town, *at* a farm and on *the* ship.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from enum import IntEnum

from storylint.draft.names import Name, forename


class Bearing(IntEnum):
    """How surely a text speaks of a person."""

    PLACE = -1  # one is in it, at it, on it
    NONE = 0
    HE_OR_SHE = 1  # someone is 'he' or 'she' before anyone else is named
    NAMED = 2  # the same, and the name stands where a person's can
    DOES = 3  # the name does what people do
    BORN = 4  # the name is born, baptised, married, somebody's child


_OTHER_NAME = (
    r"(?:,? (?:alias|later|afterwards|otherwise|also known as|known as|called|or)(?: [A-ZÀ-Þ][\w’'-]+){1,3},?)?"
)
_ADVERB = r"(?:(?!not\b)\w+ ){0,2}"
_KIN = r"(?:son|daughter|child|wife|widow|mother|father|brother|sister|husband|twin)"
_APART = r"(?:,? \([^()]{1,80}\))?(?:, [^,.;]{1,80},)?"  # what a writer sets in brackets or commas behind a name
_BORN = re.compile(
    rf"{_OTHER_NAME}{_APART}(?: (?:was|were|is) {_ADVERB}"
    rf"(?:born|bapti[sz]ed|christened|married|the (?:\w+ ){{0,3}}{_KIN} of)\b"
    r"|,? (?:b|bp|bapt?|m|d)\.(?!\w)|,? born\b| married\b| died (?:on|in|at|about|before|after|aged|of|a)\b)"
)
_DOES = re.compile(
    rf"{_OTHER_NAME}(?:,? (?:and|with) (?:his|her)\b|, (?:aged )?\d\d?\b|,? whom?\b|['’]s? (?:\w+ )?{_KIN}\b"
    rf"|{_APART} (?:(?:was|is) {_ADVERB}"
    r"(?:an? (?:\w+ ){0,2}(?:m[ae]n|wom[ae]n|boy|girl|child|infant|slave|servant|\w+(?:ess|er|ist|man|smith|wright))\b"
    r"|buried|apprenticed|enslaved|freed|manumitted|hired|ordained|educated|widowed|raised"
    r"|enlisted|elected|\w+ years old|alive|living|aged)"
    r"|(?:had )?(?:never |also |first |then )?(?:came|went|walked|wrote|said|told|worked|served|learned|learnt|lived|died"
    r"|enlisted|emigrated|taught|preached|signed|could|knew|loved|hated|wanted|remembered|asked|answered|swore|ran|fled"
    r"|escaped|bore|met|cooked|nursed|laboured|sewed|married|bought|kept|dug|hoped|saved|spoke|thought|believed|heard"
    r"|saw|took|gave|made|followed|joined|moved|returned|remained|refused|earned|sang|danced|prayed|read)\b))"
)
_RUN = re.compile(r"[A-ZÀ-Þ][\w’'-]*(?: (?:(?:de|la|van|von|ap|verch|ferch) )*[A-ZÀ-Þ][\w’'-]*)*")
_BEFORE = re.compile(r"([^\W_]+) $")
_SPOT = frozenset("in at on near into onto aboard outside inside across the this".split())
_DOUBTFUL = frozenset("from to of through around towards toward past a an that old new upper lower".split())
_IT = r"\bIt\b(?! (?:is|was|may|seems|appears|would))|\b[Ii]ts\b"
_PRONOUN_OR_NAME = re.compile(rf"\b(?:[Hh]e|[Ss]he|[Hh]im|[Hh]is|[Hh]ers?)\b|{_IT}|{_RUN.pattern}")
_PERSONAL = frozenset(["he", "she", "him", "his", "her", "hers"])
_MONTHS = frozenset(["April", "May", "June", "August"])


def bearing(name: Name, prose: Sequence[str]) -> Bearing:
    """How surely the paragraphs under a title speak of its name as of a person."""
    said = {_in_run(name, text, run) for text in prose for run in _RUN.finditer(text)}
    most = max(said, default=Bearing.NONE)
    pronoun = _first_pronoun(name, prose[0]) if prose else ""
    thing = len(name.words) == 1 and pronoun in ("it", "its")  # Cholera came in 1832. It …
    if most is Bearing.BORN or (most is Bearing.DOES and not thing):
        return most
    if Bearing.PLACE in said:
        return Bearing.PLACE
    return (most or Bearing.HE_OR_SHE) if pronoun in _PERSONAL else Bearing.NONE


def _in_run(name: Name, text: str, run: re.Match[str]) -> Bearing:
    """What one run of capitalised words ('In Port Dinorwic', 'Kwame') says of a name."""
    words = run[0].split()
    own = [at for at, word in enumerate(words) if _bare(word).casefold() in name.keys]
    if not own or own[-1] != len(words) - 1:
        return Bearing.NONE
    before = _BEFORE.search(text, max(run.start() - 20, 0), run.start())
    last = (words[own[0] - 1] if own[0] else before[1] if before else "").casefold()
    possessive = len(words[-1]) - len(_bare(words[-1]))
    if last in _SPOT or (last.isdigit() and len(last) < 4):  # at Port Dinorwic, the Gwalia, 4 Dorothea Street
        return Bearing.NONE if possessive else Bearing.PLACE
    if last in _DOUBTFUL or last.isdigit():
        return Bearing.NONE
    if _BORN.match(text, run.end()):
        return Bearing.BORN
    alone = len(name.keys) > 1 and len(own) == 1 == len(words) and words[0].casefold() not in _DOUBTFUL
    return Bearing.DOES if alone or _DOES.match(text, run.end() - possessive) else Bearing.NAMED


def _bare(word: str) -> str:
    """A word without the sign of the possessive."""
    return re.sub(r"['’]s?$", "", word)


def _first_pronoun(name: Name, text: str) -> str:
    """The first pronoun of a paragraph; '' where somebody else is named before it."""
    for found in _PRONOUN_OR_NAME.finditer(text):
        first = found[0].split()[0]
        if first.casefold() in _PERSONAL | {"it", "its"}:
            return first.casefold()
        if first.casefold() not in name.keys and first not in _MONTHS and forename(first):
            return ""
    return ""
