"""Where a sentence ends, in the prose of family history.

A full stop ends a sentence unless it belongs to an abbreviation (b. 3 Mar. 1842, St. Just, Mrs. A. B. Ward, No. 4), an
initial, or is followed by a small letter. Closing quotation marks and brackets go with the sentence they close. Dots
that stand for words left out are read as the Chicago Manual of Style sets them: three go on, four end a sentence.

Checked against sentences that others divided: see ``tests/outside/test_sentences.py``.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import lru_cache

# Before a name or a number these never end a sentence.
BEFORE_NAME = frozenset(
    """mr mrs ms miss dr rev revd messrs st ste mt ft capt col gen lt maj sgt cpl pvt adm gov pres hon sen rep
    prof fr br bro wm jas jos chas geo thos robt saml danl benj edw eliz margt jno alex revs drs mss sts
    cllr supt insp lieut ens cmdr the_hon comm brig pfc atty mmes v vs cf e.g i.e""".split()
)
# Before a number or a lower-case word these never end a sentence.
BEFORE_NUMBER = frozenset(
    """n° nº no nos p pp vol vols ch chap fol fols f ff art sec sect par fig figs pl ca c cir circ abt bef aft bet
    b bp bapt bur d m dau daus unm mar marr div prob inv res est ed eds trans comp jan feb mar apr jun jul aug sep
    sept oct nov dec co cos cty dist twp par reg rec qtr col lot bk liber lib item app acct sq ac acs a r lb lbs
    oz cwt s fl kr rs hhd bbl bu st""".split()
)
BEFORE_BOTH = frozenset("b bp bapt bur d m mar unm dau ca c".split())  # these of them stand before a name too
# These may end a sentence: they do when a capital follows that is no name of the same phrase.
MAY_END = frozenset(
    """jr sr esq etc al bros inc ltd co corp ave rd u.s u.s.a n.y d.c a.m p.m b.c a.d ibid op cit viz""".split()
)

CLOSERS = "\"'”’»)]"
# A run of stops is taken whole, from its beginning: part of one never ends a sentence.
# Its first character is named first, so that all others are passed over at once.
ENDING = re.compile(
    r"[.!?…:;”\"](?:"
    r"(?<=[.!?…])(?<![.!?…]{2})[.!?…]*+(?:\s[.!?…]++)*[\"'”’»)\]]*+(?=\s)"
    r"|(?:(?<=\w[:;])[”\"]|(?<=\w[”\"]))(?=\s+[A-Z]))"
)
MARKER = re.compile(r"[\W_]*(?:\d{1,3}|[A-Za-z]|[ivxl]{1,6}|[IVXLC]{1,6})$")  # of an item: '1.', 'a.', 'iv.', 'VII.'
WORD_BEFORE = re.compile(r"(?:^|[\s(\[\"'“‘—–-])([^\s(\[\"'“‘—–-]+)$")
WHICH_MARRIAGE = re.compile(r"\b(?:married|mar\.|m\.|md\.),? \(?[1-4]$", re.IGNORECASE)  # 'he married, 2. Huldah Penn'
INITIAL = re.compile(r"[A-Z]\. [A-Z]")
YEAR = re.compile(r"(?:1[5-9]|20)\d\d\b")
MONTHS = frozenset("january february march april may june july august september october november december".split())
PENCE = re.compile(r"\d+[sd]\b")  # of '£45. 10s. 6d.'
OPENERS = "\"'“‘«([¿¡"


@lru_cache(maxsize=5000)  # paragraphs: the study and the rules ask for the same ones
def split(text: str) -> tuple[tuple[int, int], ...]:
    """Spans (start, end) of the sentences of one paragraph; every non-space character lies in exactly one."""
    spans: list[tuple[int, int]] = []
    start = 0
    for match in ENDING.finditer(text):
        if ends_here(text, start, match.start(), match.end()):
            spans.append((start, match.end()))
            start = match.end()
            while start < len(text) and text[start].isspace():
                start += 1
    if start < len(text):
        spans.append((start, len(text.rstrip())))
    return tuple(part for a, b in spans if b > a for part in (shorter(text, a, b) if b - a > LONGEST else [(a, b)]))


# Characters, some 900 words: what goes on for longer without a stop is a register or a list, and what is told of one
# part of it is not told of another. Proposed for this tool, no source.
LONGEST = 5_000


def shorter(text: str, start: int, end: int) -> Iterator[tuple[int, int]]:
    """The parts of a sentence without end, each up to a semicolon, a comma or at least a space."""
    while end - start > LONGEST:
        signs = (text.rfind(sign, start, start + LONGEST) for sign in (";", ",", " "))
        stop = next((at + 1 for at in signs if at > start), start + LONGEST)
        yield start, stop - text[stop - 1].isspace()
        start = next_visible(text, stop) or end
    if start < end:
        yield start, end


def ends_here(text: str, start: int, stop: int, end: int) -> bool:
    """True when the stop at ``text[stop:end]`` ends the sentence that began at ``start``."""
    follow = next_visible(text, end)
    if follow is None:
        return True
    letter = text[follow]
    at = follow
    while letter in OPENERS and at + 1 < len(text):
        at += 1
        letter = text[at]
    mark = text[stop]
    if letter.islower() or letter in "&/":
        return False
    if mark in '"”' or text[stop - 1 : stop] == "[":  # a quotation closes without a stop of its own; '[...]'
        return False
    stops = text[stop:end].rstrip(CLOSERS)
    if len(stops.split()) > 1:  # '. . .'
        return stops.count(".") != 3
    if mark != "." or len(stops) > 1:
        return True
    return not (MARKER.match(text, start, stop) or is_abbreviation(text, start, stop, at))


def next_visible(text: str, at: int) -> int | None:
    """The next character that is no white space."""
    while at < len(text) and text[at].isspace():
        at += 1
    return at if at < len(text) else None


def is_abbreviation(text: str, start: int, stop: int, follow: int) -> bool:
    """True when the full stop at ``stop`` belongs to the word before it and the sentence goes on at ``follow``."""
    before = WORD_BEFORE.search(text[max(start, stop - 24) : stop])
    if not before:
        return False
    word = before.group(1)
    lower = word.lower().strip(CLOSERS).lstrip("0123456789,.") or word.lower()
    upper_next = text[follow].isupper()
    digit_next = text[follow].isdigit()
    if len(word) == 1 and word.isalpha() and word.isupper() and (word != "I" or after_name(text, start, stop)):
        return initial(text, start, stop, follow)
    if text[stop - 1].isdigit() and PENCE.match(text, follow):
        return True
    if lower in BEFORE_NAME or (lower == "co" and county(text, start, stop)):
        return True
    if re.fullmatch(r"(?:[A-Za-z]\.)+[A-Za-z]", word):  # U.S. / A.B. / p.m.
        return digit_next or (word[0].isupper() and initial(text, start, stop, follow))
    if (lower == "ed" and INITIAL.match(text, follow)) or (lower in MONTHS and YEAR.match(text, follow)):
        return True  # 'Ed. F. Hale'; '9 September. 1850'
    if lower in BEFORE_NUMBER:
        return digit_next or not upper_next or (lower in BEFORE_BOTH and len(word) <= 4)
    if lower == "esq" and upper_next and before_title(text, start, stop):
        return True
    if lower in MAY_END:
        return not upper_next
    return bool(WHICH_MARRIAGE.search(text[max(start, stop - 24) : stop]))


def before_title(text: str, start: int, stop: int) -> bool:
    """True for the Esq. of 'married by Esq. Lockwood', which stands before its name."""
    words = text[max(start, stop - 40) : stop].split()
    return len(words) > 1 and words[-2].islower()


def initial(text: str, start: int, stop: int, follow: int) -> bool:
    """True when a single capital with a stop is an initial of a name that goes on ('A. B. Ward', 'John T. Hale')."""
    rest = text[follow : follow + 24]
    if rest[:1].isdigit() or rest[:1] in "$£€":
        return True
    if not rest[:1].isupper():
        return False
    word = re.match(r"[^\s.,;:!?]+", rest)
    nxt = word.group(0) if word else ""
    return nxt.lower() not in SENTENCE_OPENERS or rest[1:2] == "."


def county(text: str, start: int, stop: int) -> bool:
    """True for the Co. of 'in Co. Down' and 'Newry, Co. Down', not for that of a firm."""
    words = text[max(start, stop - 40) : stop].split()
    return len(words) < 2 or words[-2].endswith(",") or (words[-2].islower() and words[-2] != "and")


def after_name(text: str, start: int, stop: int) -> bool:
    """True when the capital I before ``stop`` follows a capitalised word: 'Albert I. Jones', but 'you and I.'"""
    words = text[max(start, stop - 40) : stop].split()
    return len(words) > 1 and words[-2][0].isupper()


SENTENCE_OPENERS = frozenset(
    """the he she it they we i in on at by after before when his her their this that these those there a an and
    but then from with for as if so no not once one two while although though what who why how both all another
    some many""".split()
)
