"""Where a sentence ends, in the prose of family history.

A full stop ends a sentence unless it belongs to an abbreviation (b. 3 Mar. 1842, St. Just, Mrs. A. B. Ward, No. 4), an
initial, or is followed by a small letter. Closing quotation marks and brackets go with the sentence they close.
"""

from __future__ import annotations

import re

# Before a name or a number these never end a sentence.
BEFORE_NAME = frozenset(
    """mr mrs ms miss dr rev revd messrs st ste mt ft capt col gen lt maj sgt cpl pvt adm gov pres hon sen rep prof esq fr sr
    br bro wm jas jos chas geo thos robt saml danl benj edw eliz margt jno alex revs drs mss sts cllr supt insp the_hon
    comm brig""".split()
)
# Before a number or a lower-case word these never end a sentence.
BEFORE_NUMBER = frozenset(
    """no nos p pp vol vols ch chap fol fols f ff art sec sect par fig figs pl ca c cir circ abt bef aft bet b bp bapt bur d m
    dau daus unm mar marr div prob inv res est vs v cf ed eds trans comp jan feb mar apr jun jul aug sep sept oct nov dec
    co cos cty dist twp par reg rec qtr col lot bk liber lib item app acct sq ac acs a r lb lbs oz cwt s fl kr rs hhd bbl bu st""".split()
)
# These may end a sentence: they do when a capital follows that is no name of the same phrase.
MAY_END = frozenset("jr sr esq etc al bros inc ltd co corp ave rd u.s u.s.a n.y d.c a.m p.m b.c a.d ibid op cit viz".split())

CLOSERS = "\"'”’»)]"
ENDING = re.compile(r"[.!?…]+[\"'”’»)\]]*(?=\s+)|(?<=\w)[:;]?[”\"](?=\s+[A-Z])")
WORD_BEFORE = re.compile(r"(?:^|[\s(\[\"'“‘—–-])([^\s(\[\"'“‘—–-]+)$")
OPENERS = "\"'“‘«([¿¡"


def split(text: str) -> list[tuple[int, int]]:
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
    return [(a, b) for a, b in spans if b > a]


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
    if letter.islower():
        return False
    if mark in "\"”":  # a quotation that closes without a stop of its own
        return False
    if mark != "." or text[stop : stop + 2] == "..":
        return not (mark in "!?" and letter.islower())
    return not is_abbreviation(text, start, stop, at)


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
    if len(word) == 1 and word.isalpha() and word.isupper() and word != "I":
        return initial(text, start, stop, follow)
    if re.fullmatch(r"(?:[A-Za-z]\.)+[A-Za-z]", word):  # U.S. / A.B. / p.m.
        return digit_next or (word[0].isupper() and initial(text, start, stop, follow))
    if lower in BEFORE_NAME:
        return True
    if lower in BEFORE_NUMBER:
        return digit_next or not upper_next or (lower in {"b", "bp", "bapt", "bur", "d", "m", "mar", "unm", "dau", "ca", "c"} and len(word) <= 4)
    if lower in MAY_END:
        return not upper_next
    return False


def initial(text: str, start: int, stop: int, follow: int) -> bool:
    """True when a single capital with a stop is an initial of a name that goes on ('A. B. Ward', 'John T. Hale')."""
    rest = text[follow : follow + 24]
    if rest[:1].isdigit() or rest[:1] in "$£€":
        return True
    if not rest[:1].isupper():
        return False
    word = re.match(r"[^\s.,;:!?]+", rest)
    nxt = word.group(0) if word else ""
    return nxt.lower() not in SENTENCE_OPENERS


SENTENCE_OPENERS = frozenset(
    """the he she it they we i in on at by after before when his her their this that these those there a an and but then
    from with for as if so no not once one two while although though what who why how both all another some many""".split()
)
