"""A claim with nothing to stand on.

A reader who wants to go on from here needs to know where each particular comes from: the date, the place, the kinship, the
work, the words somebody said. In revision citation marks get lost: a sentence is moved and its mark stays behind. This rule
finds the claims that no mark answers for. A mark on a paragraph's last sentence answers for the whole paragraph; a mark
inside it for its own sentence only. General history, opinion and the author's signposts need none.

The rule sees marks, not truth: it cannot tell whether a source says what the sentence says.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from storylint.findings import Finding, Level, Reason, Share
from storylint.rule import Card, Example, Option, Options, place, reason
from storylint.study.avowed import avows
from storylint.study.citations import Offer, offers
from storylint.study.dates import find
from storylint.study.dateshapes import MONTHS, WEEKDAYS
from storylint.study.hearsay import normal, way_of
from storylint.study.life import YEAR
from storylint.study.outer import general_history
from storylint.study.quick import Quick
from storylint.study.recorded import recorded_in
from storylint.study.study import Book, Sentence, StudiedSection
from storylint.study.unfinished import is_reminder
from storylint.study.voice import Voice, group, hollow, voices_in
from storylint.study.words import DATE, KIN, NAME, NUMBER, PLACE, PRONOUN, TOLD, VITAL, WORK

CARD = Card(
    name="unsourced",
    version=4,
    summary="a claim that no citation mark answers for",
    measured="Claims with a mark of their own or at the end of their paragraph, of all claims of the section; a dated entry of "
    "the list of children counts as one.",
    scope="book",
    options=(
        Option(
            "notes",
            "paragraph",
            "'paragraph': a mark at a paragraph's end covers it; 'sentence': each claim needs its own",
            ("paragraph", "sentence"),
        ),
        Option("threshold", 0.5, "how sure the rule must be, from 0 to 1, that a sentence is a claim"),
    ),
    bad=(
        Example(
            "# Owen Prydderch\n\nHe walked to Caernarfon in 1863 and signed on with the barque *Hannah*.[^1] He was back within the "
            "year, with a parrot.\n\n[^1]: Crew list.",
            ("He was back within the year, with a parrot.",),
            "the mark in the middle covers its own sentence only",
        ),
    ),
    good=(
        Example(
            "# Owen Prydderch\n\nHe walked to Caernarfon in 1863 and signed on with the barque *Hannah*. He was back within the "
            "year, with a parrot.[^1]\n\n[^1]: Crew list; letter of Ellen Thomas.",
            (),
            "the mark at the paragraph's end covers both",
        ),
        Example(
            "# Owen Prydderch\n\nSlate is split with a broad chisel, along the grain, while it is still wet from the hill.",
            (),
            "general knowledge of a trade",
        ),
    ),
    sources=(
        "E. S. Mills: any statement of fact that is not common knowledge needs its own statement of source",
        "Chicago Manual of Style, 17th ed., questions and answers: one note at a paragraph's end may cover the paragraph",
    ),
)
CARRIED = re.compile(r"^\s*\+")
CHILD_NUMBER = re.compile(r"^\s*\+?\s*(\d[\w()-]{0,9}(?:\.\d{1,3}){0,12})(?![\w(])")


def check(section: StudiedSection, book: Book, options: Options) -> Iterator[Finding | Share]:
    """Flag claims and dated children without a mark."""
    reasons: list[Reason] = []
    findings: list[Finding] = []
    per_sentence = options["notes"] == "sentence"
    sure = options["threshold"] if section.section.person else max(options["threshold"], FRONT_MATTER)
    for sentence, voice in zip(section.sentences, voices_in(book, section), strict=True):
        if not is_claim(sentence, voice, sure, book):
            continue
        sourced = bool(sentence.marks) if per_sentence else sentence.covered
        if sourced:
            reasons.append(reason(sentence, 1, True, "has its mark"))
            continue
        what, at_hand = particulars(sentence), offers(book, section, sentence)
        reasons.append(reason(sentence, 1, False, f"a claim: {what}"))
        findings.append(finding(section, sentence, what, look_for(sentence), at_hand))
    for child in section.children:
        if not YEAR.search(child.text) or carried_forward(child, book):
            continue
        reasons.append(reason(child, 1, child.covered, "has its mark" if child.covered else "a dated child"))
        if not child.covered:
            what, fix = "a dated child with no entry of its own", "Cite the register or certificate."
            findings.append(finding(section, child, what, fix, offers(book, section, child)))
    if reasons:
        yield Share(sum(r.clean for r in reasons), len(reasons), "claims", tuple(reasons))
    yield from findings


def is_claim(sentence: Sentence, voice: Voice, threshold: float, book: Book) -> bool:
    """A sentence with a mark of its own is one by its author's word; of others ``study.voice`` judges, and a family story
    is one however it is told. Questions are none, and no more are the machine's sentences that assert nothing, what the
    author says of herself and of what is not known, and what happened to everybody."""
    if sentence.marks:
        return True
    if sentence.text.rstrip("\"'”’)").endswith("?") or asserts_nothing(sentence, voice) or speaks_of_book(sentence):
        return False
    if is_reminder(sentence.text):  # see rule 'leftovers'
        return False
    if voice.claim < (threshold if names_any(sentence) else max(threshold, NO_PARTICULAR)):
        return not sentence.covered and hearsay_of_family(sentence, book)
    return not avows(sentence.text) and not general_history(sentence, book.people)


def hearsay_of_family(sentence: Sentence, book: Book) -> bool:
    """True for a story that the family tells of itself: it is the story that wants its teller named. See rule 'legend'."""
    return not group("hearsay").isdisjoint(sentence.lower) and way_of(sentence, normal(sentence, book)) is not None


def asserts_nothing(sentence: Sentence, voice: Voice) -> bool:
    """'Jane was born in .' and 'No further facts are known of her': the machine had no fact to put into its sentence."""
    return hollow(voice) and voice.machine >= 0.5 and DATE not in sentence.tags and sentence.tags.count(TOLD) <= 2


PARTICULARS = NAME + DATE + KIN + WORK + PLACE + PRONOUN + VITAL
NO_PARTICULAR = 0.6  # how sure the rule must be of a claim that names none of them; ours, no source
FRONT_MATTER = 0.6  # a preface tells more of the world and of the book; ours, no source
CAPTION = 8  # words up to which a paragraph without a full stop and without a date is a heading; ours, no source
# The author thanks or introduces: 'we are indebted to', 'I quote'; or names the work that the following is taken from.
AUTHOR = Quick(
    r"\b(?:I|[Ww]e) (?:\w+ ){0,2}(?:indebted|obliged|glean|quote|append|subjoin|reprint|under (?:\w+ )?obligations?)\b"
    r"|\b[Tt]hanks are due\b|\bpp?\. ?\d+\.? ?(?:--|—)"
    r"|\b(?:says|said|writes|wrote|gives|gave|tells|told|relates|related|states|stated)\b[^.;]{0,60}"
    r"\bin (?:his|her|their|the|an?) (?:\w+ ){0,3}[\"“‘*_]"
)


# The key to a picture: 'Third, left-hand side, is Ann Rowe.', 'At the head of the picture, Jane Rowe, the eldest.'
KEY = re.compile(
    r"(?:(?:The )?(?:[Ff]irst|[Ss]econd|[Tt]hird|[Ff]ourth|[Ff]ifth|[Ss]ixth|[Ss]eventh|[Ee]ighth|[Nn]ext|[Ll]ast), "
    r"|(?:At|On|In|To) the [^,.]{0,30}\b(?:left|right|head|top|bottom|cent(?:re|er)|middle|corner|front|back|row|picture)\b)"
)


def names_any(sentence: Sentence) -> bool:
    """True when a sentence has a name, a date, a figure, kinship, work, a place, an event of life, a pronoun for somebody
    or somebody's words. 'The resemblance was not all on one side' has none: it may be a claim, and more often leads over."""
    return bool(sentence.count(PARTICULARS)) or counts(sentence) or bool(SPOKEN.search(sentence.text))


def speaks_of_book(sentence: Sentence) -> bool:
    """True for a heading that stands as a paragraph, the key to a picture, the author's thanks, and where the text itself
    names the work."""
    if KEY.match(sentence.text) and DATE not in sentence.tags and sentence.tags.count(TOLD) <= 8:
        return True
    ends = sentence.text.rstrip()[-1:]
    heading = sentence.first and sentence.last and ends.isalnum() and sentence.words <= CAPTION
    return (heading and DATE not in sentence.tags) or bool(AUTHOR.search(sentence.text))


def finding(section: StudiedSection, sentence: Sentence, what: str, fix: str, at_hand: list[Offer]) -> Finding:
    """One uncited claim, with the notes of the book that may answer it; the first is proposed if it is a near one."""
    if at_hand and at_hand[0].sure:
        fix = f"See whether it rests on {at_hand[0].text.rstrip('.')}. {fix}"
    return Finding(
        "unsourced",
        Level.WARNING,
        f"No mark answers for this claim ({what}).",
        fix,
        (place(section.section, sentence),),
        {"particulars": what, "notes at hand": [offer.text for offer in at_hand]},
        mends=1,
    )


def particulars(sentence: Sentence) -> str:
    """What in the sentence a reader could check."""
    has = set(sentence.lower)
    dated = is_dated(sentence)
    kinds = [
        ("a date", dated),
        ("kinship", kinship(sentence)),
        ("an occupation", WORK in sentence.tags),
        ("a number", not dated and (counts(sentence) or any(word.isdigit() for word in sentence.tokens))),
        ("words quoted", bool(SPOKEN.search(sentence.text))),
        ("a cause", not has.isdisjoint(("because", "since", "therefore"))),
    ]
    found = [name for name, there in kinds if there]
    return ", ".join(found[:3]) if found else "a particular of the family"


def is_dated(sentence: Sentence) -> bool:
    """True when it has a date: not 'every Christmas', and not the number of a house."""
    if DATE not in sentence.tags:
        return False
    dates = [at for at, tag in enumerate(sentence.tags) if tag == DATE]
    plain = any(sentence.lower[at] in DAYS or in_a_year(sentence.lower[max(0, at - 1) : at + 1]) for at in dates)
    return plain or bool(find(sentence.text))


def in_a_year(words: list[str]) -> bool:
    """True for 'in 1871'."""
    return words[0] in IN and len(words[-1]) == 4 and words[-1].isdecimal()


# More than a title or a byword: of its first words one after the first begins small, and so do most.
SPOKEN = re.compile(r"[\"“](?<![^\s(].)(?=\w)(?!(?:[A-Z][\w'’-]*,? |of |the |and |in |or |to |a |an ){2})[^\"“”]{16,}")
IN = frozenset("in of by from since until about before after".split())
DAYS = frozenset(name.lower() for name in (*MONTHS, *WEEKDAYS))  # 'in June of the same year'
ANY = frozenset(("a", "an", "no", "any", "every"))
WHOSE = frozenset(("his", "her", "their", "my", "our", "'s", "’s"))
NO_COUNT = frozenset(("one", "first", "once", "second", "half", "couple", "pair"))


def kinship(sentence: Sentence) -> bool:
    """True when it says whose kin somebody is: not 'as a child looks up to a loving parent'."""
    words = sentence.lower
    for i in [i for i, tag in enumerate(sentence.tags) if tag == KIN]:
        before = words[max(0, i - 3) : i]
        if ANY.isdisjoint(before) or not WHOSE.isdisjoint(before) or "of" in words[i + 1 : i + 2]:
            return True
    return False


def counts(sentence: Sentence) -> bool:
    """True when it has a figure or a number in words: not 'one of', 'the first of'."""
    return NUMBER in sentence.tags and any(
        tag == NUMBER and word not in NO_COUNT for word, tag in zip(sentence.lower, sentence.tags, strict=True)
    )


def look_for(sentence: Sentence) -> str:
    """Where such a claim is usually recorded."""
    if record := recorded_in(sentence):
        return f"Put back the lost mark, or look for {record}; if there is none, say how you know."
    if SPOKEN.search(sentence.text):
        return "Say where these words are written down, or who heard them and when."
    return "Put back the lost mark, cite who told it and when, or say that it is your guess."


def carried_forward(child: Sentence, book: Book) -> bool:
    """True when the child has a section of her own: by plus sign, by number, or by name in a book without numbers."""
    label = child.block.label or child.block.text
    numbers, names = with_sections(book)
    if CARRIED.match(label):
        return True
    if numbers:
        number = CHILD_NUMBER.match(label)
        return bool(number and number.group(1) in numbers)
    name = re.match(r"[^,;:\d(]+", child.text)
    return bool(name and names_match(name.group(0), names))


def names_match(name: str, names: set[str]) -> bool:
    """True when one of the names has all words of this one (a section's heading may add a married name or an epithet)."""
    words = set(name.split())
    return len(words) > 1 and any(words <= set(other.split()) for other in names)


def with_sections(book: Book) -> tuple[set[str], set[str]]:
    """Numbers and names of all persons who have a section, worked out once."""

    def work_out() -> tuple[set[str], set[str]]:
        own = [each.section for each in book.sections]
        return {s.number for s in own if s.number}, {s.person for s in own if s.person}

    return book.once("with sections", work_out)
