"""Notes read as citations: on drafts whose faults are known because they were put in, and case by case."""

from __future__ import annotations

import random
from dataclasses import dataclass, field

import pytest

from storylint.findings import Finding, Level, Reading
from storylint.settings import Settings
from tests.conftest import read_text
from tests.effort import calls
from tests.rules.marked import LIVES, PLACES

WEAK = (
    "Family records.",
    "Personal knowledge.",
    "Family tree of a cousin, no sources given.",
    "Online family tree.",
    "Website, seen 2017.",
    "Internet.",
    "Various sources.",
    "E-mail from a cousin.",
    "Index to Caernarfonshire marriages, 1866.",
    "www.example.org",
)
WAITING = ("TODO", "???", "[source]", "Check the certificate.", "DR HJB", "Citation needed.", "xxx")
VAGUE = ("Old letter.", "A receipt.", "Newspaper.", "Certificate.", "Photograph of the house.")
FULL = (
    "{place} parish, baptisms 18{n}–18{m}, p. {p}; Gwynedd Archives, Caernarfon.",
    "{place} rate book, 18{n}, p. {p}; Gwynedd Archives, Caernarfon.",
    "Penrhyn Quarry wages book, March 18{n}, p. {p}; Gwynedd Archives, Caernarfon.",
    "Ellen Thomas to Jane Roberts, {p} May 18{n}; family copy held by the author.",
    "{place} town meeting minutes, {p} April 18{n}; town clerk, {place}, Vermont.",
    "*North Wales Chronicle*, {p} June 18{n}, p. 3.",
    "1881 census of Wales, Caernarfonshire, {place}, folio {p}; RG 11/5581, The National Archives, Kew.",
    "Gravestone of Owen Prydderch, {place} cemetery, read by the author, {p} May 2019.",
    "Hugh Prydderch, interview by the author, {place}, {p} July 1989; notes in the author's collection.",
    "Will of Owen Prydderch, proved {p} August 18{n}; National Library of Wales, Aberystwyth.",
)
BOOKS = (
    (
        "R. H. Prydderch, *Annals of {place}* (Bangor: Jarvis, 18{n}), p. {p}.",
        "Prydderch, *Annals of {place}*, p. {q}.",
    ),
    (
        "Quarry stewards of {place}, letter book, 18{n}–18{m}, p. {p}; Bangor University.",
        "Quarry stewards of {place}, letter book, p. {q}.",
    ),
    (
        "Ellen Gethin, recollections of {place} (typescript, 1931), p. {p}; author's collection.",
        "Ellen Gethin, recollections of {place}, p. {q}.",
    ),
)


@dataclass
class Sourced:
    """A draft's notes in the order of its sentences, and what is wrong with which: (problem, text of the note)."""

    notes: list[str]
    truth: set[tuple[str, str]] = field(default_factory=set)


def good(chance: random.Random, number: int) -> str:
    n = chance.randrange(40, 90)
    return chance.choice(FULL).format(place=chance.choice(PLACES), n=n, m=n + 9, p=number + 1)


def spoilt(seed: int) -> Sourced:
    """Thirty notes that a stranger can follow, of which up to six are spoilt, and two books cited in full and in
    short."""
    chance = random.Random(seed)
    draft = Sourced([good(chance, number) for number in range(len(LIVES))])
    spots = chance.sample(range(len(LIVES)), 12)
    for place, (full, short) in zip(PLACES, chance.sample(BOOKS, 2), strict=False):
        early, late = sorted((spots.pop(), spots.pop()))
        n = chance.randrange(40, 90)
        words = {"place": place, "n": n, "m": n + 9, "p": chance.randrange(2, 99), "q": chance.randrange(100, 200)}
        pair = [full.format(**words), short.format(**words)]
        if chance.random() < 0.4:  # the paragraph with the full form was moved behind the other
            draft.truth.add(("short before full", pair[1]))
            pair.reverse()
        draft.notes[early], draft.notes[late] = pair
    kinds = [("weak source", WEAK), ("placeholder", WAITING), ("cannot follow", VAGUE)]
    for problem, texts in chance.sample(kinds * 2, chance.randrange(1, 6)):
        text = chance.choice(texts)
        draft.notes[spots.pop()] = text
        draft.truth.add((problem, text))
    if chance.random() < 0.5:  # the note that held the full form was struck out
        text = f"Minutes of the {chance.choice(PLACES)} burial club, cited above, p. {chance.randrange(9)}."
        draft.notes[spots.pop()] = text
        draft.truth.add(("short without full", text))
    return draft


def markdown(draft: Sourced) -> str:
    told = [f"{sentence}[^{number}]" for number, sentence in enumerate(LIVES, 1)]
    parts = [" ".join(told[at : at + 3]) for at in range(0, len(told), 3)]
    notes = [f"[^{number}]: {text}" for number, text in enumerate(draft.notes, 1)]
    return "\n\n".join(["# Owen Prydderch", *parts, *notes]) + "\n"


def sources(reading: Reading) -> list[Finding]:
    assert reading.crashes == ()
    return [finding for _, finding in reading.every() if finding.rule == "sources"]


DRAFTS = [spoilt(seed) for seed in range(50)]
QUIET = ("full twice", "incomplete")  # notes that say what would be better, not what is wrong


def judged(draft: Sourced) -> set[tuple[str, str]]:
    found = sources(read_text(markdown(draft), only=["sources"]))
    return {(f.details["problem"], f.details["note"]) for f in found if f.details["problem"] not in QUIET}


def plain(pairs: set[tuple[str, str]]) -> set[tuple[str, str]]:
    return {(problem, text.replace("*", "")) for problem, text in pairs}


def test_fifty_spoilt_drafts_hold_every_fault_many_times() -> None:
    every = [problem for draft in DRAFTS for problem, _ in draft.truth]
    for problem in ("weak source", "placeholder", "cannot follow", "short without full", "short before full"):
        assert every.count(problem) >= 10, problem


def test_precision_and_recall_over_fifty_spoilt_drafts() -> None:
    hits = misses = alarms = 0
    for draft in DRAFTS:
        found, truth = plain(judged(draft)), plain(draft.truth)
        hits += len(found & truth)
        misses += len(truth - found)
        alarms += len(found - truth)
    assert hits / (hits + misses) >= 0.98, f"{misses} of {hits + misses} missed"
    assert hits / (hits + alarms) >= 0.98, f"{alarms} of {hits + alarms} false"


@pytest.mark.parametrize("seed", range(10))
def test_a_clean_draft_has_no_finding_at_all(seed: int) -> None:
    chance = random.Random(seed)
    draft = Sourced([good(chance, number) for number in range(len(LIVES))])
    assert sources(read_text(markdown(draft), only=["sources"])) == []


# --- case by case -------------------------------------------------------------------------------------------------


def told(*notes: str, options: dict[str, object] | None = None) -> list[Finding]:
    text = " ".join(f"He split {number} slates.[^{number}]" for number in range(1, len(notes) + 1))
    lines = "\n\n".join(f"[^{number}]: {note}" for number, note in enumerate(notes, 1))
    settings = Settings(table={"sources": options} if options else {})
    return sources(read_text(f"# Owen Prydderch\n\n{text}\n\n{lines}\n", settings=settings))


def test_what_rests_on_a_weak_note_alone_is_quoted_and_a_second_note_at_the_spot_supports_it() -> None:
    weak, strong = "Family records.", "Penrhyn Quarry wages book, 1866, p. 2; Gwynedd Archives."
    text = f"# Owen Prydderch\n\nHe split slate.[^1] He read.[^1][^2] He sang.[^2]\n\n[^1]: {weak}\n\n[^2]: {strong}\n"
    [found] = sources(read_text(text))
    assert [place.quote for place in found.places] == ["He split slate."]
    assert found.level is Level.WARNING


def test_a_weak_source_beside_a_strong_one_in_the_same_note_is_no_fault() -> None:
    assert told("Bangor register of births, 1871, no. 41; General Register Office index.") == []


def test_a_note_that_answers_two_questions_is_a_note_and_the_author_may_ask_for_more_or_less() -> None:
    [found] = told("Register of the war dead, Pinellas.")
    assert (found.level, found.details["problem"]) == (Level.NOTE, "incomplete")
    assert "where it is kept" in found.fix
    assert told("Register of the war dead, Pinellas.", options={"answers": 2}) == []
    assert told("Llanllechid parish, baptisms, 1841.", options={"answers": 5})


def test_a_note_that_talks_is_no_citation() -> None:
    assert (
        told(
            "He was a cousin of the chapel's first deacon, and is thought to have died at sea.", "See chapter 3, above."
        )
        == []
    )


def test_a_full_note_that_comes_again_is_told_and_can_be_left_alone() -> None:
    full = "1881 census of Wales, Caernarfonshire, Llanllechid, folio 51, page 22, schedule 104; RG 11/5581, Kew."
    [found] = told(full, full)
    assert (found.level, found.details["problem"], found.details["number"]) == (Level.NOTE, "full twice", "2")
    assert told(full, full, options={"full_twice": False}) == []


@pytest.mark.parametrize(
    "note", ["The same manifest, line 6.", "The same.", "Same, line 9.", "The same list, lines 7–9.", "Ditto, line 9."]
)
def test_the_same_behind_a_full_note_is_a_short_form(note: str) -> None:
    manifest = (
        "Manifest, brig *Elen*, Caernarfon to New York, 2 May 1849, list 4, line 3; National Archives, Washington."
    )
    assert told(manifest, note) == []
    [vague] = told(manifest, "The old manifest.")  # which?
    assert vague.details["problem"] == "cannot follow"


def test_a_pointer_to_a_numbered_note_must_lead_to_its_source() -> None:
    first = "Llanllechid parish, baptisms, 9 June 1841; Gwynedd Archives, Caernarfon."
    assert told(first, "Llanllechid parish, baptisms, 9 June 1841 (note 1).") == []
    [found] = told("Bangor rate book, 1871, p. 3; Gwynedd Archives.", "Llanllechid parish, baptisms (note 1).")
    assert found.details["problem"] == "short without full"


def test_no_text_of_the_rule_calls_a_source_primary() -> None:
    found = [f for draft in DRAFTS for f in sources(read_text(markdown(draft), only=["sources"]))]
    assert found
    assert not [f for f in found if "primary" in f"{f.message} {f.fix} {f.details}".lower()]


# --- the table of sources, and notes offered to uncited claims ------------------------------------------------------

BOOK = """\
# The Prydderchs of Gerlan

## 1. Owen Prydderch

Owen split slate at Gerlan for nine winters.[^1] He was fined for singing on 4 June 1871.

## 2. Ellen Thomas

Ellen sold butter at Bangor, by the wages clerk's own book.[^2] She kept a diary.[^3]

## 3. Hugh Prydderch

Hugh was killed by a derrick on 11 August 1891 at Granville.

[^1]: Penrhyn Quarry wages book, 1866–75, p. 2; Gwynedd Archives, Caernarfon.

[^2]: Penrhyn Quarry wages book, p. 31.

[^3]: Ellen Thomas, diary, 1871; family copy held by the author.

[^4]: Granville death register, 11 August 1891, no. 41, Hugh Prydderch; village clerk, Granville.

[^5]: Bangor petty sessions, court register, 4 June 1871, p. 90; Gwynedd Archives, Caernarfon.
"""


def test_the_table_of_sources_counts_short_forms_with_their_full_form_and_names_who_has_none() -> None:
    from storylint.reporters.json import reading_as_data

    table = reading_as_data(read_text(BOOK))["summary"]["sources"]
    rows = {row["source"]: row for row in table["rows"]}
    wages = rows["Penrhyn Quarry wages book, 1866–75"]
    assert (wages["times"], wages["kind"], wages["missing"]) == (2, "original", [])
    assert wages["persons"] == ["Owen Prydderch", "Ellen Thomas"]
    assert rows["Ellen Thomas, diary, 1871"]["persons"] == ["Ellen Thomas"]
    assert table["without"] == ["Hugh Prydderch"]
    assert table["rows"][0] is wages


def test_an_uncited_claim_is_offered_the_notes_that_name_its_day_and_person_best_first() -> None:
    found = {f.places[0].quote: f for _, f in read_text(BOOK).every() if f.rule == "unsourced"}
    death = found["Hugh was killed by a derrick on 11 August 1891 at Granville."]
    assert death.details["notes at hand"][0].startswith("note 4: Granville death register")
    assert "note 4" in death.fix
    fine = found["He was fined for singing on 4 June 1871."]
    assert fine.details["notes at hand"][0].startswith("note 5: Bangor petty sessions")


def test_notes_are_offered_without_comparing_all_with_all() -> None:
    from storylint.draft import markdown as reader
    from storylint.draft.sections import split
    from storylint.study.citations import notes_of, offers
    from storylint.study.study import study

    def work(times: int) -> int:
        told = "\n\n".join(f"He split {n} slates at Gerlan on 4 June 18{n % 90 + 10}." for n in range(200 * times))
        notes = "\n\n".join(
            f"[^{n}]: Gerlan rate book {n}, {n % 28 + 1} June 18{n % 90 + 10}, p. {n}; Bangor."
            for n in range(200 * times)
        )
        book = study(split(reader.read("b.md", f"# Owen Prydderch\n\n{told}\n\n{notes}\n".encode(), "")))

        def offer() -> None:
            notes_of(book)
            for section in book.sections:
                for sentence in section.sentences:
                    offers(book, section, sentence)

        return calls(offer)

    assert work(4) < 10 * work(1)  # all with all would be sixteenfold


def test_weak_notes_are_told_without_comparing_all_with_all() -> None:
    from storylint.rules import sources

    from storylint.draft import markdown as reader
    from storylint.draft.sections import split
    from storylint.study.study import study

    def work(times: int) -> int:
        told = "\n\n".join(f"He split slates at Gerlan.[^{n}]" for n in range(50 * times))
        notes = "\n\n".join(f"[^{n}]: Family records." for n in range(50 * times))
        book = study(split(reader.read("b.md", f"# Owen Prydderch\n\n{told}\n\n{notes}\n".encode(), "")))
        options = {option.name: option.default for option in sources.CARD.options}
        (section,) = book.sections
        found = list(sources.check(section, book, options))
        assert {finding.details["problem"] for finding in found} == {"weak source"}
        return calls(lambda: list(sources.check(section, book, options)))

    assert work(4) < 8 * work(1)


LEDGER = "Owen Gethin, store ledger 1863–1911, fol. 1; in the author's possession."
TAPE = "Doris Gethin, interview by the author, Granville, 11 July 1981, tape 1; in the author's possession."


@pytest.mark.parametrize(
    ("full", "short"),
    [
        (LEDGER, "Ledger, fols. 14–15."),
        (TAPE, "Interview, tape 2."),
        ("Owen Becker, “Recollections,” manuscript, 1902, p. 3; National Library of Wales, MS 118.", "Becker, p. 9."),
        ("1851 census, Llanllechid, fol. 31, HO 107/2519; The National Archives, Kew.", "Census, fol. 33."),
    ],
)
def test_one_word_and_a_page_are_a_short_form_of_the_only_source_that_has_the_word(full: str, short: str) -> None:
    assert told(full, short) == []


@pytest.mark.parametrize(
    "notes",
    [
        ("Llanllechid parish, baptisms 1841, p. 3; Gwynedd Archives, Caernarfon.", "Ledger, fol. 3."),
        (LEDGER, LEDGER.replace("Owen Gethin, store", "Ifor Rees, coal"), "Ledger, fol. 3."),
        (LEDGER, "Ledger."),
    ],
)
def test_one_word_that_could_mean_another_or_leads_nowhere_is_none(notes: tuple[str, ...]) -> None:
    assert [found.details["problem"] for found in told(*notes)] == ["cannot follow"]
