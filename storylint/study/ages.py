"""Stated ages: 'aged 71', 'in her seventy-first year', 'who was seventeen', 'a widow of forty'."""

from __future__ import annotations

import re
from dataclasses import dataclass

from storylint.study.dateshapes import CARDINALS, ORDINALS, TENS, number, ordinal

YEAR = 365.2425
_UNITS = "one|two|three|four|five|six|seven|eight|nine"
_NTHS = "first|second|third|fourth|fifth|sixth|seventh|eighth|ninth"
_WORD_NUMBER = (
    rf"(?:(?:a\s|one\s)?hundred(?:\sand\s[a-z]+(?:-[a-z]+)?)?|(?:{'|'.join(TENS)})(?:[-\s](?:{_UNITS}))?|"
    + "|".join(reversed(CARDINALS[1:]))
    + ")"
)
NUMBER = rf"(?:\d{{1,3}}|{_WORD_NUMBER})"
_ORD = (
    r"(?:\d{1,3}(?:st|nd|rd|th|d)|"
    + "|".join(rf"{ten}[-\s](?:{_NTHS})|{ten[:-1]}ieth" for ten in TENS)
    + "|".join(["", *ORDINALS[:19], "hundredth)"])
)
_SOFT = (
    r"(?:(?:about|nearly|almost|over|under|some|barely|hardly|scarcely|not\syet|not\squite|around|past|well\sover"
    r"|upwards\sof|more\sthan|less\sthan|at\sleast)\s)?(?:(?:only|just|then|the|exactly)\s)?"
)
_GIVEN = "given|stated|put|recorded|returned|entered|shown|reported"
_WHO = (
    "boy|girl|lad|lass|child|man|woman|youth|widow|widower|bachelor|spinster|bride|groom|infant|baby|labourer|laborer"
    r"|servant|apprentice|farmer|\w+man|\w+er"
)
_SOFTENER = re.compile(
    r"about|nearly|almost|over|under|some|barely|hardly|scarcely|not (?:yet|quite)|around|past|upwards of|more than"
    r"|less than|at least"
)
AGE = re.compile(
    rf"""
      (?P<lead>\b[Aa]ged\s|\b(?:[æÆ]t?|[Aa]et?)(?:at)?\.?\s|\b[Aa]t\sthe\s(?:[a-z]+,?\s){{0,2}}age\sof\s|\b[Aa]t\sage\s
        |\bage\s(?:(?:is|was|being)\s)?(?:(?:{_GIVEN})\s)?(?:(?:as|at|of)\s)?
        |\blived\sto\s(?:be\s|the\sage\sof\s)?|\breached\s(?:the\sage\sof\s)?|\bturned\s)
        {_SOFT}(?P<years>{NUMBER})\b(?!\s(?:and\sa\shalf|per|pounds|miles))(?:\s?years?|\s?yrs?\.?)?
        (?:,?\s(?:and\s)?(?P<months>{NUMBER})\s(?:months?|mos?\.))?(?:,?\s(?:and\s)?(?P<days>{NUMBER})\sdays?)?
        (?P<young>\s(?:months|weeks|days)|(?<=\sone)\s(?:month|week|day))?
      | (?P<lead_at>\b[Aa]t\s){_SOFT}(?P<at_years>{_WORD_NUMBER}|\d\d)
        (?=[,.;:)]|\s(?:he|she|to|and|in\s1|on\s\d|when)\b)
      | (?P<lead_was>(?:\b(?:he|she|who|[A-ZÀ-ÖØ-Þ][^\W\d_]+)|(?<=\d,))\s(?:was|is|had\sbeen|being)\s(?:then\s|now\s|still\s)?)
        {_SOFT}
        (?P<was_years>{NUMBER})(?:\syears\sold|\syears\sof\sage)?
        (?=[,.;:)]|\s(?:when|and\s(?!\w+\s(?:pounds|shillings|feet|miles|inches))
        |at\s(?:the|his|her)\s(?:time|death|marriage|wedding)|that|on|in)\b|$)
      | \b(?P<small>{NUMBER})(?P<small_unit>\s(?:months|weeks|days)|(?<=\sone)\s(?:month|week|day))\sold\b
      | \b{_SOFT}(?P<old_years>{NUMBER})(?:\syears?\sold|\syears\sof\sage|-year-old)\b
      | \b(?:{_GIVEN}|down|described|listed)\sas\s{_SOFT}(?P<as_years>{NUMBER})
        (?=[,.;:)]|\s(?:and|in|on|when|but|with|by)\b|$)
      | \b(?:[Ii]n|reached|entered|completed)\s(?:his|her|the)\s(?P<nth>{_ORD})\syear\b
      | \b(?:his|her)\s(?P<birthday>{_ORD})\sbirthday
      | \b(?:{_WHO})\sof\s{_SOFT}(?P<of_years>{_WORD_NUMBER}|\d\d)(?P<of_young>\s(?:months|weeks|days))?
        (?=[,.;:)]|\s(?:with|and|who|when|in|on|at|from|by)\b|$)
    """,
    re.VERBOSE,
)


# A sentence that has none of these has no age: it is asked first, since the pattern above is slow. Each begins with a
# letter, so that most places are passed over at once; only then it is asked whether a word begins there.
MAY_HAVE_AGE = re.compile(
    r"ages?\b|aged|Aged|æ|Æ|a(?<!\wa)et?\.|A(?<!\wA)et?\.|old(?<=\sold)\b|year|birthday|lived to|reached|turned|"
    + "|".join(
        rf"{word[0]}(?<!\w{word[0]}){word[1:]} (?:[a-z]+ )?{NUMBER}\b"
        for word in "at At was is been being of as".split()
    )
)


@dataclass(frozen=True, slots=True)
class Age:
    """A stated age as a range of days lived, from the first day that fits to the last; ``text`` as written."""

    low: int
    high: int
    text: str
    years: int | None  # whole years, where it is given in years
    soft: bool = False


def age_of(match: re.Match[str]) -> tuple[int, int, Age] | None:
    """Start, end and meaning of a stated age."""
    group = match.groupdict()
    name = next(
        (
            n
            for n in ("years", "at_years", "was_years", "old_years", "of_years", "as_years", "small", "nth", "birthday")
            if group.get(n)
        ),
        None,
    )
    if name is None:
        return None
    count = ordinal(group[name]) or _ordinal(group[name]) if name in ("nth", "birthday") else number(group[name])
    if count is None or not 0 < count < 130 or (name in ("at_years", "was_years") and count < 8):
        return None
    start = match.start(name) if name in ("was_years", "of_years") else match.start()
    text = match.group().strip()
    if name == "nth":
        return start, match.end(), _years(count - 1, text, "")
    if name == "birthday":
        return start, match.end(), Age(round(count * YEAR) - 1, round(count * YEAR) + 1, text, count)
    young = group.get("young") or group.get("of_young") or group.get("small_unit")
    if young:
        unit = {"m": 30.44, "w": 7, "d": 1}[young.strip()[0]]
        return start, match.end(), Age(round(count * unit) - 3, round((count + 1) * unit) + 3, text, None)
    found = _SOFTENER.findall(match.group()[: start - match.start()])
    soft = found[0] if found else ""
    if group.get("months") or group.get("days"):
        lived = count * YEAR + 30.44 * (number(group["months"] or "0") or 0) + (number(group["days"] or "0") or 0)
        give = 4 if group.get("days") else 31
        return start, match.end(), Age(round(lived) - 4, round(lived) + give, text, count, bool(soft))
    return start, match.end(), _years(count, text, soft)


def _ordinal(words: str) -> int | None:
    """'seventy-first', 'eightieth' as a number."""
    parts = re.split(r"[- ]", words.lower())
    if parts == ["hundredth"]:
        return 100
    tens = next((value for word, value in TENS.items() if parts[0] in (word, word[:-1] + "ieth")), None)
    units = ORDINALS.index(parts[1]) + 1 if len(parts) > 1 and parts[1] in ORDINALS else 0
    return None if tens is None else tens + units


def _years(count: int, text: str, soft: str) -> Age:
    """An age in years; a softened one a few years either way, or open on one side."""
    low, high = count, count + 1
    if soft in ("about", "some", "around"):
        low, high = count - max(2, count // 10), count + 1 + max(2, count // 10)
    elif soft in ("nearly", "almost", "not yet", "not quite", "barely", "hardly", "scarcely"):
        low, high = count - 2, count + 1
    elif soft in ("over", "past", "upwards of", "more than", "at least"):
        high = count + 15
    elif soft in ("under", "less than"):
        low, high = 0, count
    return Age(round(low * YEAR) - 1, round(high * YEAR), text, count, bool(soft))
