"""Context: what counts as a passage, what is offered, and the places and years behind the offers.

What happened when is not checked here but in the works that ``context_events.csv`` names; the well-known years used
below (Homestead Act 1862, Penrhyn lock-out 1900, South Australian gold 1851, ...) are those of the file."""

from __future__ import annotations

import csv
import re
from pathlib import Path
from typing import Any

import pytest

from storylint.complaints import Misuse
from storylint.findings import Finding, Level, SectionReading
from storylint.rule import rules
from storylint.settings import Settings
from storylint.study.events import Chronicle, Heads, read
from storylint.study.frame import frame_of
from storylint.study.outer import outer_force
from storylint.study.placenames import is_place
from storylint.study.places import Gazetteer, places_of
from storylint.study.study import Book, study
from storylint.study.words import tag_of_word
from tests.conftest import read_text

EVENTS = Path(__file__).parents[2] / "rules" / "context_events.csv"
HEAD = "start_year,end_year,regions,category,event,why_it_mattered_to_families,keywords,source\n"
QUARRYMAN = """\
    # Owen Prydderch

    Owen Prydderch was born on 3 May 1841 at Llanllechid, Caernarfonshire, the second of nine. He was a slate
    quarryman at Bethesda. He married Ellen Thomas on 4 June 1866 at Bethesda. He had a brass watch and a loud voice,
    and he kept both until the day he died at Bethesda on 9 July 1899.
    """
EMIGRANT = """\
    # William Prydderch

    William Prydderch was born on 3 May 1841 at Llanllechid, Caernarfonshire. He married Ann Parry at Bethesda in 1866.
    In 1870 he moved to Granville, New York, with Ann and a daughter. He was a slate splitter at Granville in 1880 and
    in 1900. He died at Granville on 9 July 1915, and his hammer is in the kitchen drawer of a great-grandson.
    """


def section(text: str, **options: Any) -> SectionReading:
    """The first person's section, read with these options of the rule and this rule alone."""
    reading = read_text(text, settings=Settings(table={"context": options}), only=["context"])
    assert reading.crashes == ()
    return next(each for each in reading.sections if each.person)


def finding(text: str, **options: Any) -> Finding:
    found = section(text, **options).findings
    assert [each.rule for each in found] == ["context"]
    return found[0]


def offers(text: str, **options: Any) -> list[str]:
    return list(finding(text, **options).details["suggestions"])


def parts(offer: str) -> tuple[str, int, int]:
    """The event's text and its first and last year, from an offer."""
    found = re.match(r"(.*) \((\d{4})(?:–(\d{4}))?\)(?:: [^;]+)?; ", offer)
    assert found, offer
    return found.group(1), int(found.group(2)), int(found.group(3) or found.group(2))


def table() -> list[dict[str, str]]:
    """The rows of the events file."""
    with EVENTS.open(encoding="utf-8", newline="") as handle:
        return list(csv.DictReader(handle))


def book(text: str, **settings: object) -> Book:
    """A Markdown text, studied."""
    import hashlib
    import textwrap

    from storylint.draft import markdown, sections

    data = textwrap.dedent(text).encode()
    draft = markdown.read("book.md", data, hashlib.sha256(data).hexdigest())
    return study(sections.split(draft), settings)


def gazetteer(text: str, **settings: object) -> Gazetteer:
    return places_of(book(text, **settings))


def regions(text: str, **settings: object) -> dict[str, tuple[str, ...]]:
    """Name → regions of every place of the last section of a text."""
    found = book(text, **settings)
    return {stay.name: stay.entry.regions for stay in places_of(found).stays(found.sections[-1])}


# What is flagged


def test_a_section_without_context_is_a_warning_at_its_first_sentence() -> None:
    flagged = finding(QUARRYMAN)
    assert flagged.level is Level.WARNING
    assert flagged.places[0].quote == (
        "Owen Prydderch was born on 3 May 1841 at Llanllechid, Caernarfonshire, the second of nine."
    )
    assert section(QUARRYMAN).scores["context"] == 0


def test_a_passage_that_names_an_event_of_the_time_and_place_is_context() -> None:
    told = QUARRYMAN + (
        "\n    When the Penrhyn quarrymen founded the North Wales Quarrymen's Union in 1874, half the men of "
        "Bethesda were locked"
        "\n    out by the master, and the shops gave no more credit to anyone who wore the union's badge.\n"
    )
    assert section(told).findings == ()
    assert section(told).scores["context"] == 100


def test_the_name_of_an_event_of_another_time_is_no_context() -> None:
    found = book(QUARRYMAN)
    chronicle = rules()["context"].chronicle_of(found, {"files": []})
    frame = frame_of(found.sections[-1], found)
    by_text = {event.text: event for event in chronicle.events}
    of_her_time = rules()["context"].of_her_time
    assert of_her_time(by_text["Penrhyn lock-outs of 1896-97 and 1900-03"], frame)
    assert not of_her_time(by_text["Welsh religious revival"], frame)
    assert not of_her_time(by_text["Great Chicago Fire"], frame)
    assert not of_her_time(by_text["First census of Great Britain"], frame)


def test_a_census_in_a_record_sentence_is_no_context() -> None:
    text = (
        QUARRYMAN
        + "\n    He was enumerated in the 1871 census at Bethesda. He was enumerated in the 1881 census at Bethesda.\n"
    )
    assert finding(text).level is Level.WARNING


@pytest.mark.parametrize(
    "text",
    [
        "# Owen Prydderch\n\nOwen Prydderch was born in 1841 at Bethesda.",
        "# Preface\n\nThis book began with a drawer that would not shut, and with the forty letters that were "
        "the cause of it, "
        "and I have to thank everybody who let me read theirs, even those who asked me afterwards to forget what "
        "they said.",
    ],
    ids=["under forty words", "no person"],
)
def test_there_is_no_score_where_there_is_nothing_to_score(text: str) -> None:
    reading = read_text(text, only=["context"])
    assert [(each.scores["context"], each.findings) for each in reading.sections] == [(None, ())] * len(
        reading.sections
    )


def test_a_long_life_in_many_words_wants_a_second_passage_and_its_absence_is_a_note() -> None:
    mended = (
        "When the Penrhyn quarrymen founded the North Wales Quarrymen's Union in 1874 the men of Bethesda were "
        "locked out, and "
        "the shops of the village gave no more credit to anyone who wore the badge of it. "
    )
    quiet = "She set her clock by his boots, and he set his temper by her clock, and neither of them ever said so. "
    text = (
        "# Owen Prydderch\n\nOwen was born in 1825 at Bethesda, Caernarfonshire. "
        + mended
        + quiet * 32
        + "He died in 1899."
    )
    thin = finding(text)
    assert (thin.level, thin.details["problem"], thin.details["wanted"]) == (Level.NOTE, "thin", 2)
    assert section(text).scores["context"] == 50
    assert section(text, years_each=60).findings == ()


# What is offered


def test_the_offers_fit_trade_place_and_years_best_first() -> None:
    found = offers(QUARRYMAN)
    assert 3 <= len(found) <= 8
    assert "slate" in found[0].lower() or "quarry" in found[0].lower()
    assert all(start <= 1899 and end >= 1841 for _, start, end in map(parts, found))


def test_each_offer_has_years_age_why_and_source() -> None:
    for offer in offers(QUARRYMAN):
        _, start, end = parts(offer)
        assert re.search(r"\d{4}\): (age \d|from age \d|until age \d|a whole life long)", offer), offer
        assert "; source: " in offer
        if start == end:
            assert f"({start}): age {start - 1841};" in offer
    assert "seen at" not in " ".join(offers(QUARRYMAN))


def test_a_fact_from_memory_says_so() -> None:
    checked = {row["event"]: row["checked"] for row in table()}
    found = offers(QUARRYMAN)
    assert [("from memory" in offer) for offer in found] == [checked[parts(offer)[0]] == "memory" for offer in found]


def test_the_fix_names_the_three_best() -> None:
    flagged = finding(QUARRYMAN)
    events = [parts(offer)[0] for offer in flagged.details["suggestions"]]
    assert all(event in flagged.fix for event in events[:3])
    assert not any(event in flagged.fix for event in events[3:])


def test_a_move_shifts_what_is_offered() -> None:
    countries = {row["event"]: {code[:2] for code in row["regions"].split(";")} for row in table()}
    found = list(map(parts, offers(EMIGRANT)))
    assert any(countries[event] == {"US"} for event, _, _ in found)
    assert not [event for event, start, _ in found if countries[event] == {"GB"} and start > 1873]
    assert not [event for event, _, end in found if countries[event] == {"US"} and end < 1840]


def test_the_first_offers_are_of_more_than_one_kind_and_time() -> None:
    kinds = {row["event"]: row["category"] for row in table()}
    found = list(map(parts, offers(EMIGRANT)))
    assert len({kinds[event] for event, _, _ in found[:4]}) >= 2
    assert max(start for _, start, _ in found) - min(start for _, start, _ in found) >= 20


def test_what_touched_one_people_or_trade_is_not_offered_to_others() -> None:
    events = " ".join(parts(offer)[0] for offer in offers(EMIGRANT) + offers(QUARRYMAN))
    assert not re.search(r"Chinese|Jewish|Mennonite|Irish|[Cc]olliery|[Pp]otter|slavery|Cornish|Norwegian", events)


def test_what_the_section_tells_already_is_not_offered_again() -> None:
    event = "Bethesda split between strikers and blacklegs"
    before = offers(QUARRYMAN)
    assert any(event in offer for offer in before)
    told = QUARRYMAN.replace("the second of nine", "the second of nine, and the Penrhyn lock-out killed him")
    found = section(told).findings
    assert not any(event in offer for each in found for offer in each.details["suggestions"])


def test_offers_do_not_depend_on_the_other_rules_or_on_a_second_run() -> None:
    assert offers(QUARRYMAN) == offers(QUARRYMAN)
    every = read_text(QUARRYMAN)
    assert [each.details["suggestions"] for _, each in every.every() if each.rule == "context"] == [offers(QUARRYMAN)]


# Living persons

LIVING = """\
    # Mair Prydderch

    Mair Prydderch was born on 3 May 1950 at Bangor, Caernarfonshire. She went to school at Bethesda and to college at
    Aberystwyth, and she was a teacher at Llanberis from 1973. She married Huw Parry at Bangor in 1975. She has a brass
    watch, a loud voice and two sons, and takes all three to chapel.
    """


def test_the_age_of_one_who_may_be_living_is_never_printed() -> None:
    flagged = finding(LIVING, today="2025-06-01")
    assert all(parts(offer) for offer in flagged.details["suggestions"])
    assert not re.search(r"\bage \d", flagged.fix + " ".join(flagged.details["suggestions"]))


def test_an_open_lifespan_in_the_title_is_no_death() -> None:
    text = LIVING.replace("# Mair Prydderch", "# Mair Prydderch (1950– )")
    assert not re.search(r"\bage \d", " ".join(offers(text, today="2025-06-01")))


def test_the_age_of_the_dead_and_of_the_long_born_is_printed() -> None:
    dead = LIVING.replace("takes all three to chapel.", "took all three to chapel. She died on 2 March 2019 at Bangor.")
    assert re.search(r"\bage \d", " ".join(offers(dead, today="2025-06-01")))
    assert re.search(r"\bage \d", " ".join(offers(LIVING, today="2061-06-01")))


# The author's own events


def own_events(folder: Path, rows: str, head: str = HEAD) -> str:
    path = folder / "own.csv"
    path.write_text(head + rows, encoding="utf-8")
    return str(path)


def test_the_authors_own_events_win(tmp_path: Path) -> None:
    row = (
        "1877,1877,GB-WLS,disaster,The bridge at Gerlan falls,Nobody could reach the quarry.,bridge at "
        "Gerlan,Diary of Ellen\n"
    )
    found = offers(QUARRYMAN, files=[own_events(tmp_path, "# a remark\n" + row)])
    assert found[0] == (
        "The bridge at Gerlan falls (1877): age 36; Nobody could reach the quarry; source: Diary of Ellen"
    )


def test_an_own_event_with_the_id_of_a_common_one_takes_its_place(tmp_path: Path) -> None:
    lock_out = next(row for row in table() if row["event"].startswith("Penrhyn lock-outs"))
    row = f"{lock_out['id']},1900,1900,GB-WLS,economy,The gates shut,Bread ran out.,gates shut,Diary of Ellen\n"
    found = offers(QUARRYMAN, files=[own_events(tmp_path, row, "id," + HEAD)])
    assert not any("Penrhyn lock-outs" in offer for offer in found)


@pytest.mark.parametrize(
    ("head", "row", "says"),
    [
        ("year,event\n", "1877,Bridge\n", "no column 'start_year'"),
        (HEAD, "about 1877,1877,GB-WLS,disaster,Bridge,Why,Bridge,Diary\n", "'about 1877' is no year"),
        (HEAD, "1877,1870,GB-WLS,disaster,Bridge,Why,Bridge,Diary\n", "ends in 1870, before it starts"),
        (HEAD, "1877,1877,Wales,disaster,Bridge,Why,Bridge,Diary\n", "'Wales' is no region"),
        (HEAD, "1877,1877,GB-WLS,disaster,,Why,Bridge,Diary\n", "no event text"),
    ],
)
def test_a_faulty_event_file_is_told_in_one_line(tmp_path: Path, head: str, row: str, says: str) -> None:
    with pytest.raises(Misuse, match=re.escape(says)) as fault:
        read(head + row, "own.csv", own=True)
    assert str(fault.value).startswith("own.csv")
    assert "\n" not in str(fault.value)


def test_an_event_file_that_is_not_there_or_not_utf8_is_told_in_one_line(tmp_path: Path) -> None:
    own_file = rules()["context"].own_file
    with pytest.raises(Misuse, match="can't be opened"):
        own_file(str(tmp_path / "none.csv"))
    (tmp_path / "latin.csv").write_bytes("Brač".encode("cp1250"))
    with pytest.raises(Misuse, match="not UTF-8"):
        own_file(str(tmp_path / "latin.csv"))


# The file of events


def test_the_events_file_is_whole() -> None:
    rows = table()
    events = read(EVENTS.read_text(encoding="utf-8"), "context_events.csv")
    assert len(events) == len(rows) == len({event.id for event in events}) > 1000
    assert all(event.source and event.why and event.keywords for event in events)
    assert {row["checked"] for row in rows} == {"page", "memory"}
    assert {row["only_close"] for row in rows} == {"", "yes"}
    assert all(1600 <= event.start <= event.end <= 2030 for event in events)
    facets = {facet for event in events for facet in event.facets}
    assert facets == {"work", "move", "army", "faith", "health", "law", "land", "school", "money", "home", "record"}
    assert [
        event.text for event in events if event.only_close and not (event.places | event.origins | set(event.words))
    ] == []


def test_no_event_is_recognised_by_a_word_of_every_day() -> None:
    """Words of one of the commonest kinds would make context of a bare record: 'a census', 'his farm', 'the church'."""
    events = read(EVENTS.read_text(encoding="utf-8"), "context_events.csv")
    single = {k for e in events for k in e.keywords if k.isascii() and k.islower() and k.isalpha()}
    assert single.isdisjoint(tag_of_word())


def test_the_name_of_a_place_in_passing_is_no_context() -> None:
    text = QUARRYMAN.replace("at Llanllechid", "in sight of Porthmadog, at Llanllechid")
    text = text.replace(
        "He had a brass", "He landed at Castle Garden in 1872 and was home by Christmas. He had a brass"
    )
    assert finding(text).level is Level.WARNING
    chronicle = Chronicle(read(EVENTS.read_text(encoding="utf-8"), "context_events.csv"))
    assert not [
        e.text
        for e in chronicle.events
        if e.category != "war" and any(is_place(" ".join(words).title()) for words in e.phrases)
    ]


# What a place or a move tells, and what the world does inside a sentence about the person

BRASS = "He had a brass"


def named(text: str) -> list[str]:
    """The events that a sentence names, whoever it is of."""
    chronicle = Chronicle(read(EVENTS.read_text(encoding="utf-8"), "context_events.csv"))
    sentences = book(f"# Owen Prydderch\n\n{text}").sections[-1].sentences
    return [event.text for sentence in sentences for event in chronicle.named_in(sentence)]


@pytest.mark.parametrize(
    "bare",
    [
        "Owen married at Koshkonong, Dane County, on 3 March 1851.",
        "Owen lived at Koshkonong.",
        "Owen left Caernarfon for Koshkonong in 1868 and came home.",
        "Owen emigrated to Wisconsin in 1868 and came home.",
        "Owen sailed from Bremen in 1868 and came home.",
        "Owen was born near Vimy and moved from there in 1868.",
    ],
)
def test_a_fact_with_a_place_names_no_event(bare: str) -> None:
    assert named(bare) == []


@pytest.mark.parametrize(
    "told",
    [
        "Owen was at Koshkonong when the log churches and the synods of the valley split.",
        "Owen was wounded near Vimy and came home with a wooden spoon.",
        "The Norwegian settlement at Koshkonong lent Owen a plough.",
    ],
)
def test_an_event_is_named_by_its_place_where_the_sentence_tells_of_it(told: str) -> None:
    assert len(named(told)) == 1


def test_a_move_alone_leaves_a_life_without_context() -> None:
    text = QUARRYMAN.replace(BRASS, f"He emigrated to Wisconsin in 1881. {BRASS}")
    text = text.replace("at Llanllechid, Caernarfonshire", "at Bergen, Norway")
    assert section(text).scores["context"] == 0


@pytest.mark.parametrize(
    "told",
    [
        "When slates fell to thirty shillings the thousand he sold the pig.",
        "He split for four dollars a thousand until the dust took his breath.",
        "He joined the quarrymen's strike and came back thinner.",
        "He was blacklisted that winter and mended clocks for his bread.",
        "With forty neighbours he refused the masters' terms and took his hammer home.",
        "He stood in the lane while dragoons cleared the road to the mill.",
        "He went to work between soldiers with fixed bayonets.",
        "No law obliged him to send the boys to school, and he did not.",
        "When the Government opened the mountain he was there with a stake in his hand.",
        "The buyers came to the wharf in March and named one price to everybody, and he turned round.",
    ],
)
def test_what_the_world_does_to_a_person_is_context(told: str) -> None:
    assert section(QUARRYMAN.replace(BRASS, f"{told} {BRASS}")).scores["context"] == 100


@pytest.mark.parametrize(
    "own",
    [
        "He paid fifty shillings for the pony and regretted it.",
        "A pension of eight shillings a week was his whole fortune.",
        "He served two years in the militia and came back with a cough.",
        "His son-in-law made him a chair of slate.",
        "He struck the anvil once a week to hear it ring.",
        "He gave his mother every penny a week later.",
        "He was in the Yeomanry and took no pay.",
        "He refused the farmer's price for the pig and ate it himself.",
        "The will left his sister ten pounds a year.",
    ],
)
def test_what_is_the_familys_own_affair_is_none(own: str) -> None:
    assert section(QUARRYMAN.replace(BRASS, f"{own} {BRASS}")).scores["context"] == 0


# Offers keep to the years in which the person was there


LEAVER = """\
    # William Prydderch

    William Prydderch was born on 3 May 1841 at Llanllechid, Caernarfonshire. He emigrated on 9 April 1860 from
    Caernarfon. He was a slate splitter at Granville, New York, on 4 June 1870, and his hammer hung over the door of
    every house that he lived in. He died at Granville, New York, on 9 July 1915, and was carried up the hill.
    """


def test_what_lasted_a_life_lasted_for_who_left_until_he_left(tmp_path: Path) -> None:
    files = [own_events(tmp_path, "1800,1950,GB-WLS,land,Rents rule the valley,Rent days.,rent day,Herald\n")]
    assert any("(1800–1950): until age 19;" in offer for offer in offers(LEAVER, files=files))
    stayed = LEAVER.replace("emigrated on 9 April 1860 from", "settled on 9 April 1860 at")
    stayed = stayed.replace("Granville, New York", "Bethesda, Caernarfonshire")
    assert any("(1800–1950): a whole life long;" in offer for offer in offers(stayed, files=files))


def test_nothing_is_offered_of_a_country_after_who_left_it(tmp_path: Path) -> None:
    files = [own_events(tmp_path, "1880,1890,GB-WLS,economy,Bargains are let by the rood,Bargains.,bargain,Herald\n")]
    assert not any("Bargains" in offer for offer in offers(LEAVER, files=files))


def test_a_place_has_the_year_of_its_own_fact() -> None:
    opening = """\
        # William Prydderch

        William Prydderch was born at Llanllechid, Caernarfonshire, on 3 May 1841, and died at Granville, New York, on 9
        July 1915. He had a brass watch and a loud voice.
        """
    stays = stays_of(opening)
    assert [year for name, year in stays if name in ("New York", "Granville")] == [1915, 1915]


def stays_of(text: str) -> list[tuple[str, int | None]]:
    """Name and year of each place of the last section of a text."""
    found = book(text)
    return [(stay.name, stay.year) for stay in places_of(found).stays(found.sections[-1])]


def test_who_was_born_where_a_migration_led_to_is_not_offered_it(tmp_path: Path) -> None:
    files = [
        own_events(tmp_path, "1840,1900,GB-WLS;US-NY,migration,Slate ships carry families,Slates.,slate ship,Herald\n")
    ]
    native = """\
    # Owen Prydderch

    Owen Prydderch was born on 3 May 1871 at Granville, New York. He was a slate splitter there, and his father's hammer
    hung over the door of every house that he lived in. He died at Granville, New York, on 9 July 1935, and was carried up
    the hill with it in the box, under the good hat.
    """
    assert any("Slate ships" in offer for offer in offers(LEAVER, files=files))
    assert not any("Slate ships" in offer for offer in offers(native + "\n" + LEAVER, files=files))


# Places


def test_a_place_named_once_with_its_county_is_known_in_the_whole_book() -> None:
    text = """\
        # The Kestles

        ## Thomas Kestle

        Thomas was baptised at Carnkie, Cornwall, in 1820.

        ## John Kestle

        John was baptised at Carnkie in 1825 and buried at Carnkie.
        """
    assert regions(text) == {"Carnkie": ("GB-ENG",)}


@pytest.mark.parametrize(
    ("beside", "name", "region"),
    [
        ("He was born at Dunkeld and died at Crieff.", "Perth", "GB-SCT"),
        ("He landed at Fremantle and dug at Coolgardie.", "Perth", "AU-WA"),
        ("He was born at Brockville and died at Kingston, Ontario.", "Perth", "CA-ON"),
        ("He was born at Horncastle and died at Spalding.", "Boston", "GB-ENG"),
        ("He was born at Salem, Massachusetts, and died at Lynn.", "Boston", "US-MA"),
        ("He was born at Macon and died at Savannah.", "Georgia", "US-GA"),
        ("He was born at Ely and schooled at Wisbech.", "Cambridge", "GB-ENG"),
    ],
)
def test_a_name_of_several_places_is_told_by_its_neighbours(beside: str, name: str, region: str) -> None:
    text = f"# John Kestle\n\nHe was at {name} in 1840 and liked it there. {beside}"
    assert regions(text)[name] == (region,)


def test_the_region_that_stands_beside_a_name_settles_it() -> None:
    text = (
        "# John Kestle\n\nHe was born at Perth, Scotland, and died at Perth, Ontario, and was never in Boston, "
        "Lincolnshire."
    )
    found = gazetteer(text).stays_of
    assert [stay.entry.regions for stays in found.values() for stay in stays if stay.name in ("Perth", "Boston")] == [
        ("GB-SCT",),
        ("CA-ON",),
        ("GB-ENG",),
    ]


def test_a_province_is_told_from_the_town_that_was_called_after_it() -> None:
    text = "# Jan Kuiper\n\nJan was born at Nisse, which is in the province of Zeeland, and lived in Zeeland, Michigan."
    assert regions(text)["Nisse"] == ("NL",)


@pytest.mark.parametrize(
    "text",
    [
        "He lodged in London Road and drank at the Derby Arms.",
        "He heard Mr Lincoln speak and saw Lord Durham pass.",
        "He married Charlotte Kestle, and Victoria Kestle was their child.",
        "He enlisted in the Ohio Infantry and read the York Herald.",
        "He had a bath, a nice bow and a cork.",
    ],
)
def test_what_only_sounds_like_a_place_is_none(text: str) -> None:
    draft = (
        f"# The Kestles\n\n## 1. Charlotte Kestle\n\nShe lived.\n\n## 2. Victoria Kestle\n\nShe lived.\n\n## 3. "
        f"John Kestle\n\n{text}"
    )
    assert regions(draft) == {}


def test_abbreviated_states_count_after_a_comma() -> None:
    text = "# John Kestle\n\nHe was born at Corry, Pa., lived at Delhi, Ont., and said to me: Pa, Ill is no name."
    assert regions(text) == {
        "Corry": ("US-PA",),
        "Pa": ("US-PA",),
        "Delhi": ("CA-ON",),
        "Ont": ("CA-ON",),
    }


def test_historic_names_lie_where_they_lie_today() -> None:
    text = (
        "# Jan Kuiper\n\nHis people came from Bohemia, Galicia, Prussia, Pomerania, Upper Canada, Canada West, "
        "New Netherland, "
        "Dakota Territory, Indian Territory, Van Diemen's Land, Munster, Transylvania, Schleswig, Piedmont and "
        "Kalymnos."
    )
    found = {name: set(codes) for name, codes in regions(text).items()}
    assert found["Bohemia"] == {"CZ"}
    assert found["Galicia"] == {"PL", "UA-46", "UA-26", "UA-61"}
    assert {"DE", "PL"} <= found["Prussia"]
    assert found["Canada West"] == found["Upper Canada"] == {"CA-ON"}
    assert found["New Netherland"] == {"US-NY", "US-NJ"}
    assert found["Dakota Territory"] == {"US-ND", "US-SD"}
    assert found["Indian Territory"] == {"US-OK"}
    assert found["Van Diemen's Land"] == {"AU-TAS"}
    assert found["Munster"] == {"IE"}
    assert found["Schleswig"] == {"DE", "DK"}
    assert (found["Piedmont"], found["Kalymnos"]) == ({"IT"}, {"GR"})


def test_a_move_with_its_year_parts_the_life() -> None:
    found = book(EMIGRANT)
    at = places_of(found).regions_at
    before, after = at(found.sections[-1], 1850), at(found.sections[-1], 1890)
    assert before["GB-WLS"] == 1 > before.get("US-NY", 0)
    assert after["US-NY"] == 1 > after.get("GB-WLS", 0)


def test_the_home_of_the_settings_stands_in_where_a_section_names_no_place() -> None:
    text = "# Owen Prydderch\n\nOwen was a splitter in 1860 and died in 1899."
    at_home = book(text, book={"home": ["Bethesda, Caernarfonshire"]})
    assert set(places_of(at_home).regions_at(at_home.sections[-1], 1870)) == {"GB-WLS"}
    nowhere = book(text)
    assert places_of(nowhere).regions_at(nowhere.sections[-1], 1870) == {}


def test_the_commonest_region_of_the_book_stands_in_where_nothing_else_does() -> None:
    found = book(
        "# William Prydderch\n\nWilliam was born at Bangor, Caernarfonshire, in 1830.\n\n# Owen "
        "Prydderch\n\nOwen died in 1899."
    )
    assert set(places_of(found).regions_at(found.sections[-1], 1890)) == {"GB-WLS"}


def test_beginnings_of_words() -> None:
    heads = Heads(["miner", "war$", "warm$", "slate"])
    assert heads.of(["miners", "war", "warmth"]) == {"miner", "war$"}


@pytest.mark.parametrize(
    ("told", "place", "region"),
    [
        ("He was buried in Holy Cross Cemetery, Malden, Middlesex, Massachusetts.", "Malden", "US-MA"),
        ("He was listed in 1850 in Boston, Suffolk, Massachusetts.", "Suffolk", "US-MA"),
        ("He was listed in 1860 in Dover, Kent, Delaware.", "Kent", "US-DE"),
        ("He lived in Perth, Lanark, Ontario, in 1851.", "Lanark", "CA-ON"),
        ("He lived in Ipswich, Suffolk, and left for Massachusetts.", "Suffolk", "GB-ENG"),
        ("He left Suffolk, England, for Massachusetts in 1635.", "Suffolk", "GB-ENG"),
        ("Men of Suffolk, Essex and Kent came to Massachusetts.", "Essex", "GB-ENG"),
    ],
)
def test_a_county_overseas_may_bear_the_name_of_one_in_britain(told: str, place: str, region: str) -> None:
    assert regions(f"# Owen Prydderch\n\n{told}")[place] == (region,)


LEAVERS = (
    "# Heinrich Penner\n\nHeinrich Penner was born on 22 May 1838 in Ostrog, Volhynia, Russia. He settled in 1875 in Canton, "
    "McPherson County, Kansas. He farmed there and died in 1899 in Canton, McPherson County, Kansas. His people were "
    "Mennonites, and the meeting house of the Mennonites stood on his land, with the graves beside it, for sixty years more."
)


def test_volhynia_is_neither_galicia_nor_hungary_and_kansas_is_not_manitoba() -> None:
    told = " ".join(offers(LEAVERS))
    assert "Mennonites leave Russia for the plains" in told
    for elsewhere in ("Austrian Galicia", "Hungary", "Reserves of Manitoba"):
        assert elsewhere not in told


@pytest.mark.parametrize(
    ("told", "force"),
    [
        ("When the great herring came in he followed it south, and lost the money when it stayed away.", True),
        ("He gave up the farm when the potatoes failed for the second year.", True),
        ("The banks had failed, and she kept what she had in a teapot.", True),
        ("She planted by the moon, and the crop failed.", True),
        ("The slate came in by the door and went out by the window.", False),
        ("His heart failed when he saw the bank.", False),
        ("He ran out of luck before he ran out of slate.", False),
    ],
)
def test_a_harvest_a_catch_or_a_bank_that_failed_is_the_worlds_doing(told: str, force: bool) -> None:
    assert bool(outer_force(told)) is force
