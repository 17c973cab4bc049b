"""The shapes in which dates are written, as one compiled pattern, and a reader of a few lines for each."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache

from storylint.study.calendars import FEASTS

MONTHS = "January February March April May June July August September October November December".split()
WEEKDAYS = "Monday Tuesday Wednesday Thursday Friday Saturday Sunday".split()
SEASONS = ("spring", "summer", "autumn", "winter")
ORDINALS = """first second third fourth fifth sixth seventh eighth ninth tenth eleventh twelfth thirteenth fourteenth
    fifteenth sixteenth seventeenth eighteenth nineteenth twentieth twenty-first twenty-second twenty-third
    twenty-fourth twenty-fifth twenty-sixth twenty-seventh twenty-eighth twenty-ninth thirtieth thirty-first""".split()
CARDINALS = """zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen
    seventeen eighteen nineteen""".split()
TENS = {word: 10 * n for n, word in enumerate("twenty thirty forty fifty sixty seventy eighty ninety".split(), 2)}
ROMAN = {word: n for n, word in enumerate("i ii iii iv v vi vii viii ix x xi xii".split(), 1)}
_MONTH = (
    r"(?:Jan(?:uary|['’]?y)?|Feb(?:ruary|['’]?y)?|Mar(?:ch)?|Apr(?:il|l)?|Apl|May|June?|July?|Aug(?:ust)?|"
    r"Sept?(?:ember|r)?|Oct(?:ober|r)?|Nov(?:ember|r)?|Dec(?:ember|r)?|JAN(?:UARY)?|FEB(?:RUARY)?|MAR(?:CH)?|APR(?:IL)?|"
    r"MAY|JUNE?|JULY?|AUG(?:UST)?|SEPT?(?:EMBER)?|OCT(?:OBER)?|NOV(?:EMBER)?|DEC(?:EMBER)?|(?:[789]|10|[Xx])[bB]e?r)(?!\w)\.?"
)
_FULL = "(?:" + "|".join(MONTHS) + ")"
_YEAR = r"(?:1[0-9]\d\d|20\d\d)(?!\d|,\d\d\d(?!\d)|\.\d)"
_DAY_NEXT = rf"\s?(?:st|nd|rd|th)\b|\s(?:day\s)?(?:of\s)?{_MONTH}"  # 12 March 1871–14 May 1872
_TAIL = rf"(?:\s?[/–-]\s?(?:['’]\d\d|\d{{4}}|\d{{1,2}}(?!{_DAY_NEXT}))(?!\d|[/–-]\d))?"
_WORDED = "(?:" + "|".join(sorted((o.replace("-", "[- ]") for o in ORDINALS), key=len, reverse=True)) + ")"
_DAY = rf"(?:\d{{1,2}}(?:\s?(?:st|nd|rd|th|d)\b)?|{_WORDED}|{_WORDED.title()})"
_WEEKDAY = r"(?:(?:Mon|Tues|Wednes|Thurs|Fri|Satur|Sun)day|(?:Mon|Tues?|Wed|Thurs?|Fri|Sat|Sun)\.)"
_SEASON = r"(?:[Ss]pring|[Ss]ummer|[Aa]utumn|[Ff]all|[Ww]inter)"
_FEAST = (
    "(?:St\\.?\\s)?(?:"
    + "|".join(
        re.escape(name).replace("'", "['’]").replace(r"\ ", r"\s")
        for name in sorted({n.removeprefix("st ").title().replace("'S", "'s") for n in FEASTS}, key=len, reverse=True)
    )
    + ")"
)
_COUNT = (
    r"(?:\d{1,3}|[Aa]n?|(?:[Tt]wenty|[Tt]hirty|[Ff]orty|[Ff]ifty|[Ss]ixty|[Ss]eventy|[Ee]ighty|[Nn]inety)(?:-[a-z]+)?|"
    + "|".join(f"[{word[0].upper()}{word[0]}]{word[1:]}" for word in reversed(CARDINALS[1:]))
    + ")"
)
_MARK_STYLE = r"(?:,?\s\(?(?P<style>[OoNn]\.\s?[Ss]\.|[OoNn](?:ld|ew)\s[Ss]tyle|[ON]S\b)\)?)?"
_THEN_YEAR = rf"""(?:{_MARK_STYLE}[,.]?\s(?:of\s|in\s)?
    (?:the\syear\s(?:of\s(?:our|the)\s[Ll]ord,?\s)?|[Aa]nno\s(?:[Dd]omini\s|[Dd]om\.\s)?|A\.\s?D\.\s)?
    (?P<year>{_YEAR}{_TAIL}))?"""
_FIRST = r"(?:(?P<first>\d{1,2})(?:st|nd|rd|th)?\s?(?:[–-]|and|or|to|&)\s?)?"
_NTH = r"(?:st|nd|rd|th|d)?"
_TWELVE = "|".join(f"[{o[0].upper()}{o[0]}]{o[1:]}" for o in list(ORDINALS)[:12])
_NUMBERED = rf"(?:\d{{1,2}}{_NTH}|{_TWELVE})"
_MO = r"\s?[Mm]o(?:nth)?\.?,?\s(?:\(?called\s[A-Z][a-z]+\)?,?\s)?(?:in\sthe\syear\s)?"
_GO_ON = (
    "and the by from to at in a an was were with after before for on when where who which he she it his her their of "
    "beside near under aboard there here but so as amid among aged without within still"
)
# Each kind of date, as a verbose regular expression. The groups inside are named alike; ``_compiled`` makes the names
# unique.
SHAPES = {
    "iso": r"(?P<year>\d{4})-(?P<month>\d\d)-(?P<day>\d\d)(?![\d-])",
    "numeric": r"(?P<a>\d{1,2})(?:/|\.|\.\s)(?P<b>\d{1,2})(?:/|\.|\.\s)(?P<year>(?:1[0-9]|20)\d\d)(?!\d)",
    "quaker": rf"""(?P<day>{_DAY})\s?(?:d[ay]{{0,2}}\.?)?,?\s(?:of\s(?:the\s|ye\s)?)?
        (?P<month>{_NUMBERED}){_MO}(?P<year>{_YEAR}{_TAIL})""",
    "quaker_month": rf"""(?P<month>{_NUMBERED}){_MO}
        (?:(?:the\s)?(?P<day>\d{{1,2}}){_NTH}\s?(?:d[ay]{{0,2}}\.?)?,?\s)?(?P<year>{_YEAR}{_TAIL})""",
    "roman": rf"(?P<day>\d{{1,2}})\s(?P<month>i{{1,3}}|i?vi{{0,3}}|i?xi{{0,2}})\s(?P<year>{_YEAR}{_TAIL})",
    "day_month": rf"""(?:(?P<weekday>{_WEEKDAY}),?\s(?:the\s)?)?{_FIRST}(?P<day>{_DAY})\s?(?:day\s)?(?:of\s)?
        (?P<month>{_MONTH})(?!\.?\s\d{{1,2}}(?:st|nd|rd|th)?[,.]?\s\d{{4}}){_THEN_YEAR}""",
    "month_day": rf"""(?:(?P<weekday>{_WEEKDAY}),?\s)?(?P<month>{_MONTH})\s(?:the\s)?{_FIRST}
        (?P<day>\d{{1,2}}{_NTH}|(?<=the\s){_WORDED})(?!\w){_THEN_YEAR}""",
    "part": rf"""(?:(?P<week>first|second|third|fourth|last)\s(?:week|days)
        |(?P<part>[Ee]arly|[Ll]ate|[Mm]id(?:dle)?|[Bb]eginning|[Ss]tart|[Ee]nd|[Cc]lose|[Ll]atter\s(?:part|half)
        |[Ff]irst\shalf))
        [\s-](?:(?:of|in)\s)?(?:the\s)?(?:(?P<month>{_MONTH})|(?P<season>{_SEASON})\sof)?,?\s?
        (?:the\syear\s)?(?P<year>{_YEAR}(?!s))""",
    "month": rf"(?P<month>{_MONTH}),?\s(?:of\s|in\s)?(?:the\syear\s)?(?P<year>{_YEAR}{_TAIL})",
    "season": rf"(?P<season>{_SEASON}),?\s(?:of\s|in\s)?(?:the\syear\s)?(?P<year>{_YEAR}{_TAIL})",
    "feast": rf"""(?P<feast>{_FEAST})
        (?!\w|\s(?:cards?|trees?|pudding|dinner|presents?|box|cake|carols?|[Rr]ising|eggs?|[Ii]sland)\b)
        (?:\s(?:Day|Sunday))?(?:,?\s(?:Day\s)?(?:of\s|in\s)?(?P<year>{_YEAR}))?(?!['’]\w)""",
    "decade": r"(?P<year>(?:1[0-9]|20)\d0)['’]?s(?!\w)",
    "century": r"""(?P<century>[Ss]ixteenth|[Ss]eventeenth|[Ee]ighteenth|[Nn]ineteenth|[Tt]wentieth|1[6-9]th|20th)
        [\s-]century""",
    "year": rf"(?P<year>{_YEAR}{_TAIL})(?![\w%°]|['’]\w)",
    "short": r"['’](?P<short>\d\d)(?!\w|['’])",
    "ordinal": rf"""the\s(?P<day>\d{{1,2}}(?:st|nd|rd|th|d)|{_WORDED}(?=\s(?:of\s(?:the\ssame|that)|inst)))
        (?:\s(?:day\s)?(?:of\s(?:the\s(?:same\s)?month|that\smonth)|(?P<inst>inst|ult|prox)(?:ant|imo|\.)?))?
        (?!\w|-|\s(?!(?:{_GO_ON.replace(" ", "|")})\b)\w)(?!\s(?:day\s)?of\s)""",
    "next": rf"""(?:[Tt]he\s(?P<which>same|next|following)|(?P<that>[Tt]hat(?:\ssame)?))\s
        (?P<unit>day|week|month|year|{_SEASON}|{_FULL})(?!\w|-)""",
    "after": r"[Tt]he\s(?P<unit>day|week|month|year)\s(?P<way>after|before)(?=[,.;:)]|\sthat\b|$)",
    "later": rf"""(?P<count>{_COUNT}|[Aa]\sfew)\s(?P<unit>day|week|month|year)s?\s
        (?P<way>later|afterwards?|earlier|previously)(?!\w|-)""",
    "bare_month": rf"(?P<month>{_FULL})(?!\w|\s[A-Z\d]|['’]s)",
}
# Before a four-figure number these say that it is no year.
_NO_YEAR = re.compile(
    r"(?:\b(?:nos?|pp?|vol|fols?|lot|box|piece|page|number|room|flat|code|telephone|schedule|licen[cs]e|certificate"
    r"|entry|grant|policy|bond|file|image|frame|reel|roll|film|claim|patent|section|tract|form)\.?|[£$€#])\s?$",
    re.IGNORECASE,
)
_BY_A_PREPOSITION = re.compile(
    r"(?:\b(?:in|of|since|until|till|by|before|after|about|from|to|and|year|c\.|ca\.|circa|between"
    r"|around)|[(–-])\s?$",
    re.IGNORECASE,
)
_UNIT = re.compile(
    r"\s?(?:acres?|feet|foot|ft|miles?|yards?|men|women|people|persons|souls|inhabitants|pounds|dollars|marks|guilders"
    r"|francs|kroner|tons?|tonnes?|bushels?|sheep|cattle|slaves|soldiers|troops|copies|votes|members|volumes|pages"
    r"|houses|families|passengers|miners|workers|lb|lbs|cwt|hectares|metres|meters|km|kilometres|bricks|slates"
    r"|head of|or so\b"
    r"|(?:[A-Z][a-z]+ )?(?:Street|Road|Avenue|Drive|Lane|Court|Way|Boulevard|Place|Terrace))\b"
)
_IN_MONTH = re.compile(
    r"(?:\b(?:in|of|since|until|till|by|from|that|during|early|late|last|next|this|through|every)|,)\s$", re.IGNORECASE
)


def _begins() -> str:
    """A look at the first letters: no shape is tried where none can begin, above all not at every 'the' and 'a'."""
    counts = {*(word.partition("-")[0] for word in ORDINALS), *CARDINALS[1:], *TENS}
    words = {*counts, *SEASONS, *"fall early late latter mid beginning start end close last".split()}
    feasts = {name.removeprefix("st ").title()[:3] for name in FEASTS} | {"St.", "St ", "Apl"}
    months = {month[:3] for month in MONTHS} | {month[:3].upper() for month in MONTHS}
    starts = feasts | months | {day[:3] for day in WEEKDAYS} | words | {word.title() for word in words}
    by_letter: dict[str, set[str]] = {}
    for start in starts:
        by_letter.setdefault(start[0], set()).add(re.escape(start[1:]))
    groups = (f"{letter}(?:{'|'.join(sorted(ends))})" for letter, ends in sorted(by_letter.items()))
    after_the = "|".join(sorted({word[:3] for word in (*ORDINALS, *"same next following day week month year".split())}))
    return rf"(?=\d|['’]\d|[Xx][bB]|[Aa]n?\s[fdwmy]|[Tt]hat\s|[Tt]he\s(?:\d|{after_the})|{'|'.join(groups)})"


def _compiled() -> re.Pattern[str]:
    """All shapes as one pattern. A group ``x`` of the shape ``s`` is called ``s__x``."""
    parts = [f"(?P<{name}>{pattern.replace('(?P<', f'(?P<{name}__')})" for name, pattern in SHAPES.items()]
    # A dash stands before no date, but between two: 1871–May 1872, 3 May–4 June 1871.
    free = r"(?:(?<![–-])|(?<=\d\d\d\d[–-])(?=[A-Z])|(?=\d{1,2}(?:st|nd|rd|th)?\s(?:day\s)?(?:of\s)?[A-Z]))"
    return re.compile(rf"(?<![\w£$€\#.,/]){free}{_begins()}(?:" + "|".join(parts) + ")", re.VERBOSE)


SCAN = _compiled()
_FIELDS: dict[str, list[tuple[str, int]]] = {name: [] for name in SHAPES}  # of each shape its groups, by their numbers
for _group, _number in SCAN.groupindex.items():
    if "__" in _group:
        _FIELDS[_group.partition("__")[0]].append((_group.partition("__")[2], _number))


@dataclass(slots=True)
class Raw:
    """A date as the pattern found it, before its year and calendar are settled."""

    start: int
    end: int
    form: str
    year: int | None = None
    month: int | None = None
    day: int | None = None
    first: int | None = None  # the earlier of two days ("3 or 4 May")
    tail: int | None = None  # the second year of 1731/2 or 1850-55
    joint: str = ""  # how the second year is joined: "/" or "-"
    weekday: int | None = None
    style: str = ""
    season: str = ""
    part: str = ""
    shift: tuple[str, int] | None = None  # days, weeks, months or years from the date before
    feast: tuple[int, int] | int | None = None
    given: bool = True
    fault: str = ""
    ambiguous: tuple[int, int] | None = None  # day and month the other way round
    quaker: bool = False


Fields = dict[str, str]


def number(words: str) -> int | None:
    """A number in figures or words up to 999: '44', 'forty-four', 'a hundred and three', 'threescore'."""
    text = words.lower().replace(",", "").replace("threescore", "sixty").strip()
    if text.isdigit():
        return int(text)
    total, found = 0, False
    for word in re.split(r"[\s-]+", text):
        if word in CARDINALS:
            total += CARDINALS.index(word)
        elif word in TENS:
            total += TENS[word]
        elif word == "hundred":
            total = (total or 1) * 100
        elif word == "dozen":
            total = (total or 1) * 12
        elif word in ("a", "an") and not found:
            total = 1 if word == text else 0
        elif word != "and":
            return None
        found = True
    return total if found else None


@lru_cache(maxsize=500)
def ordinal(words: str) -> int | None:
    """'3d', '21st', 'twenty-first' as a number."""
    figures = re.match(r"\d{1,3}", words)
    if figures:
        return int(figures.group())
    word = words.lower().replace(" ", "-")
    return ORDINALS.index(word) + 1 if word in ORDINALS else None


@lru_cache(maxsize=500)
def month_of(word: str) -> int | None:
    """A month's number from its name, its abbreviation or the clerks' 7ber (September, not July)."""
    latin = re.match(r"([789]|10|[xX])b", word, re.IGNORECASE)
    if latin:
        return {"7": 9, "8": 10, "9": 11, "10": 12, "x": 12}[latin.group(1).lower()]
    short = "apr" if word.lower().startswith("apl") else word[:3].lower()
    return next((n for n, name in enumerate(MONTHS, 1) if name[:3].lower() == short), None)


def _weekday(word: str | None) -> int | None:
    return None if not word else next(n for n, name in enumerate(WEEKDAYS) if name[:3] == word[:3])


def _years(raw: Raw, written: str | None) -> Raw:
    """Take in '1842', '1731/2', '1731-2', '1899-1904' or '1920–03'."""
    if not written:
        raw.given = False
        return raw
    raw.year = int(written[:4])
    if len(written) > 4:
        rest = re.sub(r"[\s'’]", "", written[4:])
        raw.joint = "/" if rest[0] == "/" else "-"
        digits = rest[1:]
        base = raw.year - raw.year % 10 ** len(digits)
        raw.tail = int(digits) if len(digits) == 4 else base + int(digits)
        if raw.tail < raw.year and raw.year - raw.tail > 10 ** len(digits) - 3:
            raw.tail += 10 ** len(digits)  # 1699/00, 1749/0
    return raw


def _dated(raw: Raw, field: Fields) -> Raw:
    """Day, month, year, weekday and style of the two common shapes."""
    raw.month, raw.day = month_of(field["month"]), ordinal(field["day"])
    raw.first = int(field["first"]) if field.get("first") else None
    raw.weekday = _weekday(field.get("weekday"))
    raw.style = (field.get("style") or "")[:1].lower()
    return _years(raw, field.get("year"))


def _iso(raw: Raw, field: Fields) -> Raw:
    raw.year, raw.month, raw.day = int(field["year"]), int(field["month"]), int(field["day"])
    return raw


def _numeric(raw: Raw, field: Fields) -> Raw:
    """03/04/1850: either way round, unless one of the two can only be a day."""
    a, b = int(field["a"]), int(field["b"])
    raw.year, raw.day, raw.month = int(field["year"]), a, b
    if b > 12 >= a:
        raw.day, raw.month = b, a
    elif a <= 12 and b <= 12 and a != b:
        raw.ambiguous = (b, a)
    return raw


def _quaker(raw: Raw, field: Fields) -> Raw:
    """First Month was March before 1752 (Quaker Family History Society's guide), January from then on."""
    _years(raw, field["year"])
    numeral = field["month"]
    raw.month = ROMAN.get(numeral) or ordinal(numeral)
    raw.day = ordinal(field["day"]) if field.get("day") else None
    raw.form = "day" if raw.day else "month"
    raw.quaker = True
    if raw.month is not None and raw.month <= 12 and raw.year is not None and raw.year < 1752:
        late = raw.month > 10
        raw.month = (raw.month + 1) % 12 + 1
        if late and raw.tail is None:  # Eleventh and Twelfth Month of 1690 were January and February 1690/1
            raw.tail, raw.joint = raw.year + 1, "/"
    return raw


def _month(raw: Raw, field: Fields) -> Raw:
    raw.month = month_of(field["month"])
    return _years(raw, field.get("year"))


def _part(raw: Raw, field: Fields) -> Raw:
    raw.month = month_of(field["month"]) if field.get("month") else None
    raw.season = field.get("season", "")
    raw.part = (field.get("part") or field.get("week") or "").lower() + (" week" if field.get("week") else "")
    return _years(raw, field["year"])


def _season(raw: Raw, field: Fields) -> Raw:
    raw.season = field["season"].lower().replace("fall", "autumn")
    return _years(raw, field["year"])


def _feast(raw: Raw, field: Fields) -> Raw:
    name = field["feast"].lower().replace("’", "'").replace(".", "")
    raw.feast = FEASTS[name if name in FEASTS else f"st {name}"]
    return _years(raw, field.get("year"))


def _decade(raw: Raw, field: Fields) -> Raw:
    raw.year = int(field["year"])
    return raw


def _century(raw: Raw, field: Fields) -> Raw:
    raw.year = 100 * (ordinal(field["century"]) or 0) - 100
    return raw


def _year(raw: Raw, field: Fields) -> Raw:
    return _years(raw, field["year"])


def _short(raw: Raw, field: Fields) -> Raw:
    raw.year, raw.given = int(field["short"]), False
    return raw


def _ordinal_day(raw: Raw, field: Fields) -> Raw:
    raw.day, raw.given = ordinal(field["day"]), False
    raw.shift = ("month", {"ult": -1, "prox": 1}.get(field.get("inst", ""), 0))
    return raw


def _next(raw: Raw, field: Fields) -> Raw:
    unit = field["unit"].lower().replace("fall", "autumn")
    raw.shift, raw.given = (unit, 0 if field.get("that") or field["which"] == "same" else 1), False
    return raw


def _after(raw: Raw, field: Fields) -> Raw:
    raw.shift, raw.given = (field["unit"], 1 if field["way"] == "after" else -1), False
    return raw


def _later(raw: Raw, field: Fields) -> Raw:
    count = 0 if "few" in field["count"] else number(field["count"]) or 0
    raw.shift = (field["unit"] + "s", count if field["way"][0] in "la" else -count)
    raw.given = False
    raw.fault = "" if count else "no count"
    return raw


READERS: dict[str, tuple[str, Callable[[Raw, Fields], Raw]]] = {
    "iso": ("day", _iso), "numeric": ("day", _numeric), "quaker": ("day", _quaker), "quaker_month": ("day", _quaker),
    "roman": ("day", _quaker), "day_month": ("day", _dated), "month_day": ("day", _dated), "part": ("part", _part),
    "month": ("month", _month), "season": ("season", _season), "feast": ("day", _feast), "decade": ("decade", _decade),
    "century": ("century", _century), "year": ("year", _year), "short": ("year", _short),
    "ordinal": ("day", _ordinal_day),
    "next": ("next", _next), "after": ("next", _after), "later": ("next", _later), "bare_month": ("month", _month),
}  # fmt: skip


def read(match: re.Match[str], text: str) -> Raw | None:
    """One hit of the pattern; None where the words around it say that it is no date."""
    shape = match.lastgroup or ""
    start, end = match.span()
    while text[end - 1] in ".,":
        end -= 1
    before = text[max(0, start - 14) : start]
    if shape == "bare_month" and not _IN_MONTH.search(before):
        return None
    if shape == "year" and (_NO_YEAR.search(before) or _UNIT.match(text, end)):
        return None
    if shape == "year" and match.group() < "1500" and not _BY_A_PREPOSITION.search(before):
        return None
    form, reader = READERS[shape]
    field = {name: match[number] for name, number in _FIELDS[shape] if match[number]}
    return reader(Raw(start, end, form), field)
