"""The rule ``legend``: what it takes for family tradition, what it lets pass as weighed, and what it leaves alone."""

from __future__ import annotations

from itertools import groupby

import pytest

from storylint.draft import markdown
from storylint.draft import sections as splitter
from storylint.findings import Finding, Level
from storylint.settings import Settings
from storylint.study.hearsay import normal, way_of
from storylint.study.study import study
from tests.conftest import read_text
from tests.judgement.labelled import load_all
from tests.rules.labelled import SETS, load, score


def legends(text: str, **options: object) -> list[Finding]:
    reading = read_text(text, settings=Settings(table={"legend": options}), only=["legend"])
    assert reading.crashes == ()
    return [finding for _, finding in reading.every()]


def told(body: str, notes: str = "") -> list[Finding]:
    """The findings in Owen's section."""
    return legends(
        f"# Owen Prydderch\n\nOwen Prydderch split slate at Gerlan.[^1]\n\n{body}\n\n# Ellen Thomas\n\nEllen Thomas kept "
        f"hens.[^1]\n\n[^1]: Wages book.\n{notes}\n"
    )


# What was measured in November 2026 is a little above; the halves "measure" were written before they were looked at.
# The sets later1 to later5 were written after the rule, one after the other, to find turns of phrase that it does not know, and
# stories that are told flatly: at first sight 0.46, 0.29, 0.47, 0.56 and 0.44 (precision 0.74 to 0.90, recall 0.2 to 0.4). Later2
# had 0.78 when later1 had been learnt from, before it was looked at. What shows it by its matter alone stays unknown.
@pytest.mark.parametrize(
    ("half", "least"),
    [
        ("tune", 0.95),
        ("measure", 0.9),
        ("measure2", 0.85),
        ("later1", 0.9),
        ("later2", 0.88),
        ("later3", 0.78),
        ("later4", 0.88),
        ("later5", 0.7),
    ],
)
def test_it_agrees_with_the_labels(half: str, least: float) -> None:
    result = score(load(f"legend_{half}"), "legend", "L")
    assert result.f1 >= least, str(result)


# Few stories stand in these drafts, and they were labelled for other rules: the bounds are what was measured, less a story.
@pytest.mark.parametrize(("part", "least"), [("tune", 0.8), ("measure", 0.6)])
def test_it_agrees_with_drafts_that_were_labelled_for_other_rules(part: str, least: float) -> None:
    from storylint.rule import rules

    rule = rules()["legend"]
    options = Settings().options(rule.CARD)
    hits = wrong = 0
    for draft in load_all(part):
        book = study(draft.sections)
        quotes = {
            place.quote
            for section in book.sections
            for finding in rule.check(section, book, options)
            if finding.details["problem"] == "unweighed"
            for place in finding.places
        }
        for each in draft.sentences:
            wanted, given = "L" in each.labels, each.text in quotes
            hits += wanted and given
            wrong += wanted != given
    assert 2 * hits / (2 * hits + wrong) >= least, (hits, wrong)


def test_single_sentences_are_known_for_stories_by_how_they_are_told() -> None:
    """Three batches of turns of phrase, each written without a look at the rule; at first sight it knew 32, 46 and 57
    of a hundred stories and took 1, 12 and 8 of a hundred plain sentences for one. Some stories show it by nothing
    but their matter ('The original Pascoe was a French prisoner'), and stay unknown."""
    lines = (SETS / "legend_lines.txt").read_text(encoding="utf-8").splitlines()
    batches = [list(batch) for new, batch in groupby(lines, key=lambda line: line.startswith("@family")) if not new]
    names = [line.removeprefix("@family ").split(", ") for line in lines if line.startswith("@family")]
    hits = stories = false = plain = 0
    for (name, place), batch in zip(names, batches, strict=True):
        body = "\n\n".join(line.partition("|")[2].strip() for line in batch)
        wife = f"Mary {name.split()[-1]}"
        text = f"# {name}\n\n{name} was born in 1850 at {place}.\n\n{body}\n\n# {wife}\n\n{wife} was born in 1860.\n"
        draft = markdown.read("book.md", text.encode(), "")
        book = study(splitter.split(draft))
        known = {
            sentence.block.text
            for sentence in book.sections[-2].sentences
            if way_of(sentence, normal(sentence, book)) is not None
        }
        for line in batch:
            label, _, sentence = line.partition("|")
            told_as_story = any(sentence.strip() in each for each in known)
            hits, stories = hits + (told_as_story and bool(label.strip())), stories + bool(label.strip())
            false, plain = false + (told_as_story and not label.strip()), plain + (not label.strip())
    assert hits / stories >= 0.8, (hits, stories)
    assert false / plain <= 0.04, (false, plain)


STORY = "They say in the family that he once carried a harmonium up the incline."
PROOF = "The account book has the carter's bill for the harmonium, and I think that Owen walked behind the cart."


def test_a_story_is_weighed_in_its_paragraph_in_the_next_or_in_its_note() -> None:
    assert told(STORY)[0].details["problem"] == "unweighed"
    assert told(f"{STORY} {PROOF}") == []
    assert told(f"{STORY}\n\n{PROOF}") == []
    note = (
        "\n[^2]: No harmonium is in the chapel's inventory or its account book, and the story is not told before 1950."
    )
    assert told(f"{STORY}[^2]", note) == []


def test_a_witness_named_in_the_note_is_no_hearsay() -> None:
    assert told(f"{STORY}[^2]", "\n[^2]: Interview with Jane Parry, who was there, Gerlan, 3 May 1961.") == []
    assert told(f"{STORY}[^2]", "\n[^2]: Letter of Jane Parry, who had it from her mother.") != []


def test_evidence_for_something_else_weighs_nothing() -> None:
    assert told(f"{STORY} The census of 1871 has him at Gerlan, a rockman.")
    assert told(f"{STORY}\n\nEllen is in the chapel register, but her father is not.")


def test_one_finding_for_one_story_with_all_its_sentences() -> None:
    (found,) = told(f"{STORY} Then he played it until the lamps went out.")
    assert [place.quote for place in found.places] == [STORY, "Then he played it until the lamps went out."]
    assert found.level is Level.WARNING


@pytest.mark.parametrize(
    ("story", "plot"),
    [
        ("Three brothers came over together, and one went west.", "the brothers who parted"),
        ("The family has it that he came over as a stowaway.", "the stowaway"),
        ("The Prydderchs descend from a prince of Gwynedd.", "the great forefather"),
        ("He is said to have shaken hands with Napoleon.", "the brush with the great"),
        (
            "It is said in the family that the surname was changed by a clerk at Ellis Island.",
            "the name changed on arrival",
        ),
        ("He is supposed to have lost the estate at cards.", "the lost fortune"),
    ],
)
def test_a_classic_plot_is_named_with_the_record_that_would_test_it(story: str, plot: str) -> None:
    (found,) = told(story)
    assert found.details["plot"] == plot
    assert plot in found.fix


@pytest.mark.parametrize(
    "sentence",
    [
        "It was said in the valley that the quarry would close.",
        "The manager was said to be a hard man.",
        "A best man was supposed to carry the ring.",
        "The legend on the medal is in Welsh.",
        "The house has two stories and a loft.",
        "The story of the quarry is told in the next chapter.",
        "Owen told the coroner that the rope had been wet.",
        "The census says that he was born at Gerlan.",
        "Owen always said his prayers in Welsh.",
        "Owen believed that the price would rise.",
    ],
)
def test_rumour_custom_records_and_plain_speech_are_left_alone(sentence: str) -> None:
    assert told(sentence) == []


def test_a_guess_at_a_feeling_is_a_note_unless_it_has_a_ground() -> None:
    (found,) = told("He must have felt lonely in the barracks.")
    assert (found.level, found.details["problem"]) == (Level.NOTE, "speculation")
    assert told("He must have felt lonely in the barracks, because he wrote home every week.") == []
    assert told("He must have been at home, for the register has his name.") == []
    assert legends("# Owen Prydderch\n\nHe must have felt lonely.\n", speculation=False) == []


QUARRY = "# Owen Prydderch\n\nOwen Prydderch split slate at Gerlan for forty years.[^1] {}\n\n[^1]: Wages books, Gwynedd Archives."


def flagged(text: str) -> list[list[str]]:
    """The quotes of each finding of a draft."""
    reading = read_text(QUARRY.format(text), only=["legend"])
    return [
        [place.quote for place in each.places]
        for section in reading.sections
        for each in section.findings
        if each.rule == "legend"
    ]


@pytest.mark.parametrize(
    "tale",
    [
        "The family descends from King Harald Fairhair.",
        "The Prydderchs come down from Prince Madog.",
        "At Ellis Island an officer who could not spell changed Prydderch to Prothero.",
        "Prydderch was changed to Prothero by a clerk at Castle Garden.",
        "He became Prothero at Ellis Island.",
        "His father had been the Tsar's own tailor, and sewed a letter into the lining of the coat.",
        "The clerk on the wharf could not spell the name and wrote down Prothero, which the western branch kept.",
        "The officer at Castle Garden misheard the name and wrote Prothero.",
        "His grandfather had been cheated out of a slate claim worth a million dollars by a partner named Murphy.",
        "The agent tricked the family out of the farm at Gerlan.",
        "My grandfather's account of the strike has him on the bridge.",
    ],
)
def test_a_story_of_many_families_is_heard_however_it_is_told(tale: str) -> None:
    assert flagged(tale) == [[tale]]


@pytest.mark.parametrize(
    "fact",
    [
        "At Ellis Island he changed his boots and went on to Granville.",
        "King Street runs down from the chapel to the family's old door.",
        "He drank to King George with the rest of the vestry.",
        "He landed at Castle Garden with a hammer and a clock.",
        "My great-grandfather kept accounts for people who wished that he would not.",
        "My grandmother wrote stories for the chapel paper.",
        "The registrar wrote the name as Gethyn, and so it stands in the certificate.",
        "He was cheated of his wages by the bargain system, like every man on the gallery.",
    ],
)
def test_a_fact_beside_them_is_none(fact: str) -> None:
    assert flagged(fact) == []


def test_who_used_to_say_so_belongs_to_the_story_before() -> None:
    tale, teller = (
        "Owen carried a harmonium up the incline.",
        "His granddaughter always used to say so to the children.",
    )
    assert flagged(f"{tale} {teller}") == [[tale, teller]]
    tale = "The Prydderchs descend from a prince of Gwynedd."
    assert flagged(f"{tale} {teller}") == [[tale, teller]]


def test_what_follows_the_word_on_a_story_weighs_it() -> None:
    tale = (
        "It is told in the family that he meant to go to New York and was put off at Hull, which was called Brooklyn."
    )
    word, list_ = (
        "The tale is told of half the valley.",
        "His name is on a list of the agent's with the word “Hull” beside it.",
    )
    assert flagged(f"{tale} {word} {list_}") == []
    assert flagged(f"{tale} {word} He had four sons.") == [[tale]]
