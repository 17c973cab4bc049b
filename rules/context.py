"""A life with no world around it.

A person who is born, marries and dies between parentheses could have lived anywhere. One sentence of what went on
around her, such as the price of slate, the cholera, the law that sent her boys to school, tells the reader what her
choices were. Good context is local, of those very years, and linked: it says what the event did to this person. A place
name, a census year or a regiment in passing is none.

How it is judged. A passage is a sentence that speaks of the world outside the family, or that names an event of
``context_events.csv`` which fits the person's years and places, or in which a price or a wage, a strike, armed men, a law
or the state does something to the person. The place of an event names it only where two words more tell of it (in a war
one of fighting). Neighbouring sentences are one passage, and a sentence in the machine's voice is none. What a letter or
a memoir that is quoted says of the world counts as well. Where a section has no passage, the rule offers events that fit:
years, age then, places at the time, trade, and what else the section tells of. They are offers. Look each one up before
you print it.

``context_events.csv`` names for each event a published work, statute or archive where its date can be confirmed. Where
the date was seen on a page, ``checked`` says ``page``; where it says ``memory``, it was written down from memory and
the offer says so. ``close_to`` names the places (capital letter), countries (code) and beginnings of words (small
letter; '$' ends a whole word) to which an event is close; the words are those of old records, to recognise and never to
print. ``only_close`` keeps an event for such lives.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import date
from functools import cache
from importlib.resources import files
from pathlib import Path

from storylint.complaints import Misuse
from storylint.findings import Finding, Level, Reason, Share
from storylint.rule import Card, Example, Option, Options, place, reason
from storylint.study.events import LASTING, RECORDS, Chronicle, Event, choose, public_event, read, years_there
from storylint.study.frame import Frame, book_words, frame_of
from storylint.study.outer import outer_force
from storylint.study.placenames import known
from storylint.study.study import Book, Sentence, StudiedSection
from storylint.study.voice import Voice, told_alone, voices_in, world_alone

OFFERS, NAMED = 8, 3
LIVING = 110  # years since the birth after which who is not said to be dead is taken to be; see the rule 'living'
TOLD_LIFE = 150  # told words from which an entry of a reference work is a life and not a record; ours, no source
MARGIN, LONG_MARGIN = 10, 50  # years for which an event, or a law, is still talked of

CARD = Card(
    name="context",
    version=4,
    summary="a section in which nothing of the world outside the family appears",
    measured="Passages about the world outside the family, of those wanted: one, and one more for every 25 adult years "
    "after the first 25, but no more than one for each 300 words of the section's prose.",
    scope="book",
    options=(
        Option("threshold", 0.6, "how sure the rule must be, from 0 to 1, that a sentence is about the world outside"),
        Option(
            "machine", 0.5, "from 0 to 1: a sentence that sounds more machine-made is no context, whatever it names"
        ),
        Option("adult", 18, "age in years from which adult years are counted"),
        Option("years_each", 25, "adult years that one passage carries (proposed for this tool, no source)"),
        Option("words_each", 300, "words of prose for which at most one passage is wanted (proposed, no source)"),
        Option("least_words", 40, "a section with less prose, in words, has no score"),
        Option(
            "reference_work", False, "true for a compiled genealogy: only told lives are asked for the world around"
        ),
        Option(
            "files", [], "your own event files: CSV with the columns of context_events.csv; they win over the tool's"
        ),
    ),
    bad=(
        Example(
            "# Owen Prydderch\n\nOwen Prydderch was born on 3 May 1841 at Llanllechid, Caernarfonshire. He was a slate "
            "quarryman at Bethesda. He married Ellen Thomas on 4 June 1866 at Bethesda.[^1] He had a brass watch and a "
            "loud voice, and he kept both until the day he died at Bethesda on 9 July 1899.[^1]\n\n[^1]: Parish "
            "register.",
            ("Owen Prydderch was born on 3 May 1841 at Llanllechid, Caernarfonshire.",),
            "a quarryman's life without the quarry's",
        ),
    ),
    good=(
        Example(
            "# Owen Prydderch\n\nOwen went up the incline at Penrhyn at ten, and for thirty years he split slate "
            "there.[^1] In the summer of 1874 the Penrhyn quarrymen were locked out and founded a union, and "
            "half the men "
            "of the village went to look for work in the coal pits of the south. Owen stayed, sold his pig, and "
            "learned "
            "to mend clocks.[^1]\n\n[^1]: Owen Prydderch, diary, 1901.",
            (),
            "the lock-out, and what it did to this man",
        ),
        Example(
            "# Ellen Thomas\n\nIn the slate valley of Vermont a quarryman's widow took boarders, because no "
            "company paid "
            "a pension and a house with six beds could be bought on credit.[^1] Ellen bought one in 1883, put "
            "eight men "
            "into the six beds, and was out of debt in four winters.[^1]\n\n[^1]: Ellen Thomas, account book, 1888.",
            (),
            "custom and price, without any famous event",
        ),
    ),
    sources=(
        "Common practice, no source: context should be local, of those years, and tied to the person by what it did",
        "For each event: the column 'source' of context_events.csv",
    ),
)


def get_ready() -> None:
    """Read the events and the places."""
    common_events()
    known()


def check(section: StudiedSection, book: Book, options: Options) -> Iterator[Finding | Share]:
    """Count the passages of context; offer events where there is none."""
    words = sum(sentence.words for sentence in section.sentences)
    if section.section.person is None or words < options["least_words"]:
        return
    frame = frame_of(section, book)  # first, because the voices may be heard by another process meanwhile
    heard = list(zip(section.sentences, voices_in(book, section), strict=True))
    if options["reference_work"]:
        told = sum(sentence.words for sentence, voice in heard if voice.machine < options["machine"])
        if told < TOLD_LIFE:
            return
    chronicle = chronicle_of(book, options)
    whys = [why(sentence, voice, frame, chronicle, options) for sentence, voice in heard]
    weighed = list(reasons([sentence for sentence, _ in heard], whys))
    for paragraph in section.quoted:
        weighed += reasons(paragraph, [why_quoted(sentence, frame, chronicle, options) for sentence in paragraph])
    found = sum(1 for each in weighed if each.weight)
    want = wanted(frame, words, options)
    yield Share(min(found, want), want, "passages", tuple(weighed))
    if found < want:
        yield finding(section, frame, chronicle, found, want, may_live(frame, options))


def reasons(sentences: Sequence[Sentence], whys: Sequence[str]) -> Iterator[Reason]:
    """Each sentence of context, the first of a passage with the passage's weight."""
    for i, (sentence, text) in enumerate(zip(sentences, whys, strict=True)):
        if text:
            yield reason(sentence, 0.0 if i and whys[i - 1] else 1.0, True, text)


def wanted(frame: Frame, words: int, options: Options) -> int:
    """How many passages a life of that length in that many words wants."""
    adult: int = frame.span.end - frame.span.start - options["adult"]
    return max(1, min(adult // int(options["years_each"]), words // int(options["words_each"])))


def why(sentence: Sentence, voice: Voice, frame: Frame, chronicle: Chronicle, options: Options) -> str:
    """Why the sentence is context; empty where it is none."""
    if voice.world >= options["threshold"]:
        return f"speaks of the world outside the family: {voice.world:.0%}"
    if voice.machine >= options["machine"] and not told_alone(voice):
        return ""
    return names_event(sentence, frame, chronicle)


def why_quoted(sentence: Sentence, frame: Frame, chronicle: Chronicle, options: Options) -> str:
    """The same for a sentence of a letter or a memoir, which is heard by itself: the reader has it before her too."""
    world = world_alone(sentence)
    if world >= options["threshold"]:
        return f"quoted, and speaks of the world outside the family: {world:.0%}"
    return names_event(sentence, frame, chronicle)


def names_event(sentence: Sentence, frame: Frame, chronicle: Chronicle) -> str:
    """What the sentence names of the time's events or of public history; empty where it names nothing."""
    named = [event for event in chronicle.named_in(sentence) if of_her_time(event, frame)]
    if named:
        return f"names an event of the time: {named[0].text}"
    public = public_event(sentence.text)
    if public:
        return f"names a public event: {public}"
    force = outer_force(sentence.text)
    return f"tells what the world outside did: {force}" if force else ""


def of_her_time(event: Event, frame: Frame) -> bool:
    """True when the event reaches the person's regions, in her years or a little after it; a mere record never does."""
    if event.category in RECORDS:
        return False
    margin = LONG_MARGIN if event.category in LASTING else MARGIN
    timely = event.start - 1 <= frame.span.end and frame.span.start <= event.end + margin
    return timely and any(event.reaches(region, event.start) for region in frame.regions)


def finding(
    section: StudiedSection, frame: Frame, chronicle: Chronicle, found: int, want: int, living: bool
) -> Finding:
    """What is missing, with the events that would fit."""
    told = {event.id for sentence in section.sentences for event in chronicle.named_in(sentence)}
    events = choose(chronicle, frame, told, OFFERS)
    details: dict[str, object] = {
        "suggestions": [offer(event, frame, living) for event in events],
        "found": found,
        "wanted": want,
    }
    if found:
        details["problem"] = "thin"
    return Finding(
        "context",
        Level.NOTE if found else Level.WARNING,
        message(found, want),
        fix(events, frame, living),
        (place(section.section, next(section.sentences)),),
        details,
        mends=want - found,
    )


def message(found: int, want: int) -> str:
    """What is wrong."""
    if not found:
        return "Nothing of the world outside the family: no event, custom, law, price or journey of the time."
    passages = "One passage" if found == 1 else f"{found} passages"
    return f"{passages} about the world outside the family, for a life that would carry {want}."


def fix(events: Sequence[Event], frame: Frame, living: bool) -> str:
    """The best three offers, and what to do with them."""
    if not events:
        return (
            "Ask what was new, dear, forbidden or feared there in those years, and tell what it meant for this person."
        )
    ages = ["" if living else age_then(event, frame, ", ") for event in events]
    best = [f"{event.text} ({event.years}{age})" for event, age in zip(events, ages, strict=True)]
    return f"Say what one of these meant for this person, after looking it up: {'; '.join(best[:NAMED])}."


def offer(event: Event, frame: Frame, living: bool) -> str:
    """One offer with its years, the person's age then and its source."""
    age = "" if living else age_then(event, frame, ": ")
    source = event.source if event.seen else f"{event.source} (from memory; look it up)"
    return f"{event.text} ({event.years}){age}; {event.why.rstrip('.')}; source: {source}"


def age_then(event: Event, frame: Frame, lead: str) -> str:
    """', age 18–19' of the person during the event, as far as she was there; give or take one, as years without days
    allow."""
    birth, end = frame.span.birth, frame.span.end
    if birth is None:
        return ""
    first, last = years_there(event, frame)
    young, old, outlasts = first - birth, last - birth, event.end > end and last == end > first
    if event.start < birth and young <= 0:
        return f"{lead}{'a whole life long' if outlasts else f'until age {old}'}"
    if outlasts:
        return f"{lead}from age {young}"
    return f"{lead}age {young}" if old <= young else f"{lead}age {young}–{old}"


def may_live(frame: Frame, options: Options) -> bool:
    """True when the person is not said to be dead and was born within 110 years of today: no age is printed then."""
    today = date.fromisoformat(str(options["today"])) if options.get("today") else date.today()
    return not frame.span.dead and frame.span.start >= today.year - LIVING


def chronicle_of(book: Book, options: Options) -> Chronicle:
    """The tool's events and the author's, read once a run. Raises Misuse for a file that can't be read."""

    def work_out() -> Chronicle:
        own = [event for path in options["files"] for event in read(own_file(path), path, own=True)]
        return Chronicle([*common_events(), *own], book_words(book))

    return book.once(f"chronicle {options['files']}", work_out)


@cache
def common_events() -> tuple[Event, ...]:
    """``context_events.csv``."""
    return tuple(read((files(__package__) / "context_events.csv").read_text(encoding="utf-8"), "context_events.csv"))


def own_file(path: str) -> str:
    """The text of an author's event file. Raises Misuse."""
    try:
        return Path(path).expanduser().read_text(encoding="utf-8")
    except OSError as fault:
        why = f"can't be opened ({fault.strerror}). Mend 'files' under [context] in storylint.toml."
        raise Misuse(f"{path}: the events file {why}") from fault
    except UnicodeDecodeError as fault:
        raise Misuse(f"{path}: the events file is not UTF-8. Save it again as 'CSV UTF-8'.") from fault
