"""Verdicts that printed books taught: what a good book prints as it is, and in whose words a finding may speak."""

from __future__ import annotations

from typing import Any

import pytest

from storylint.findings import Finding
from storylint.rule import rules
from storylint.settings import Settings
from storylint.study.patterns import Family
from tests.conftest import read_text


def findings(rule: str, text: str, **tables: dict[str, Any]) -> list[Finding]:
    """What one rule finds in a draft, with these tables of settings."""
    reading = read_text(text, settings=Settings(table=tables), only=[rule])
    assert reading.crashes == ()
    return [each for section in reading.sections for each in section.findings if each.rule == rule]


def quotes(rule: str, text: str, **tables: dict[str, Any]) -> list[str]:
    return [place.quote for each in findings(rule, text, **tables) for place in each.places]


TOLD = (
    "She was a pupil at the British School, at the expense of a Captain Rowe, and obtained the post of teacher in 1838, "
    "which was owing to the appearance of her first hymn, that has gone through several editions."
)


def test_a_told_sentence_is_not_outvoted_by_two_bare_ones() -> None:
    text = f"# Of one who wrote\n\nJane Prydderch was born of an old family at Gerlan in 1820. {TOLD} Her death took place in 1880."
    others = "\n\n".join(
        f"# Of {name} and others\n\nHis death took place in 185{i}." for i, name in enumerate(("Ann", "Hugh", "Ellis"))
    )
    found = quotes("boilerplate", f"{text}\n\n{others}")
    assert len(found) == 3
    assert TOLD not in found


GENEALOGY = "\n\n".join(
    f"# {name} Prydderch\n\n{name} Prydderch was born on {day} May 18{day} at Gerlan. {name} Prydderch was married on "
    f"{day} June 18{day + 20} at Bethesda. {name} Prydderch was buried on {day} July 18{day + 50} at Gerlan."
    for day, name in enumerate(("Owen", "Ellen", "Hugh", "Ann", "John"), 11)
)


def test_a_source_in_brackets_and_the_head_of_the_children_are_no_bare_facts() -> None:
    more = """

# Jane Prydderch

Jane Prydderch was born on 20 May 1820 at Gerlan. (See Rowe's History of Llanllechid, p. 9.) Children, all born at Gerlan.

i. Ann Rowe, born 1868.
ii. Jane Rowe, born 1870.
"""
    found = quotes("boilerplate", GENEALOGY + more)
    assert "Jane Prydderch was born on 20 May 1820 at Gerlan." in found
    assert not any(quote.startswith(("(See", "Children")) for quote in found)


def test_in_a_long_book_it_takes_more_sentences_alike() -> None:
    assert findings("templates", GENEALOGY)
    assert not findings("templates", GENEALOGY, templates={"words_each": 10})


def test_a_reference_work_may_state_its_facts_by_a_formula() -> None:
    for rule in ("boilerplate", "templates"):
        assert findings(rule, GENEALOGY)
        assert not findings(rule, GENEALOGY, **{rule: {"reference_work": True}}), rule


def test_in_a_reference_work_an_empty_slot_is_still_one() -> None:
    text = GENEALOGY.replace("at Gerlan. Owen", "at . Owen")
    assert len(quotes("boilerplate", text, boilerplate={"reference_work": True})) == 1


def test_a_pattern_shows_no_word_that_few_of_its_sentences_have() -> None:
    family = Family(("NAME", "was", "then", "living", "at", "NAME"), [0, 1, 2])
    family.exact.update({("NAME", "was", "then", "living", "at", "NAME"): 1})
    family.exact.update({("NAME", "was", "living", "at", "NAME", "as", "WORK", end): 1 for end in ("alone", "again")})
    shared = rules()["templates"].shared
    assert shared(family) == ("NAME", "was", "living", "at", "NAME")


@pytest.mark.parametrize(
    ("sentences", "heard"),
    [
        ("He went up before light. He came down after dark. He saw his house on Sundays.", True),
        ("At the left, Mrs. Prydderch. At the right, her sister. At the back, the minister.", False),
    ],
)
def test_what_explains_a_picture_is_no_beat(sentences: str, heard: bool) -> None:
    assert bool(findings("openings", f"# Owen Prydderch\n\n{sentences}")) is heard


def test_three_long_sentences_are_not_heard_as_a_beat_and_four_are() -> None:
    long = "He went up the hill before it was light with his father's hammer and a can of cold tea, and was the last of all his brothers to come down from it again on most nights of that winter."
    assert not findings("openings", f"# Owen Prydderch\n\n{long} {long} {long}")
    assert findings("openings", f"# Owen Prydderch\n\n{long} {long} {long} {long}")


@pytest.mark.parametrize(
    "sentence",
    [
        "Third, left-hand side, is Ann Rowe, president of the chapel's tea committee.",
        "We are indebted to Mrs. Ann Rowe, his granddaughter, for the loan of the portrait.",
        'William Rowe, then a clerk at the quarry, gives in his "Recollections" the following account of the day.',
    ],
)
def test_a_key_thanks_and_a_named_work_are_no_claims(sentence: str) -> None:
    text = f"# Ann Rowe\n\nAnn Rowe was born at Gerlan on 3 May 1841. {sentence}"
    assert quotes("unsourced", text) == ["Ann Rowe was born at Gerlan on 3 May 1841."]


@pytest.mark.parametrize(
    ("sentence", "kinds"),
    [
        ("Owen was one of the first men at the quarry to write “Songs of the Valley,” and kept it.", "number quoted"),
        ("Owen looked up to the agent as a child looks up to a loving parent in 1863.", "kinship"),
    ],
)
def test_a_claim_is_said_to_hold_only_what_it_holds(sentence: str, kinds: str) -> None:
    said = [each.details["particulars"] for each in findings("unsourced", f"# Owen Prydderch\n\n{sentence}")]
    assert said
    assert not any(kind in said[0] for kind in kinds.split())


@pytest.mark.parametrize(
    ("sentence", "record"),
    [
        ("He never married, and kept two clocks.", ""),
        ("The meeting house stood on his father's land.", ""),
        ("He met the agent at the court house in Bangor.", ""),
        ("He served his father for nine years on the hill.", ""),
        ("Owen buried the money under the hearth of the cottage.", ""),
        ("She was born to trouble, and Owen with her.", ""),
        ("It gave his wife the will to go on without Owen.", ""),
        ("He was married to his work at the quarry.", ""),
        ("Owen christened the boat after his sister in a storm.", ""),
        ("The engine died on the hill above Gerlan.", ""),
        ("Owen arrived late at chapel for forty years.", ""),
        ("Owen kept house for his brother Hugh.", ""),
        ("Owen learned the New Testament by heart in 1850.", ""),
        ("He was married at Bangor on 3 May 1850.", "marriage register"),
        ("On 7 July a daughter was born to them at Gerlan.", "baptismal register"),
        ("Died at Gerlan, 4 January 1852.", "burial register"),
        ("His wife died at Gerlan in 1850.", "burial register"),
        ("Owen and Ann buried a daughter at sea.", "burial register"),
        ("Owen was born to Hugh and Jane at Gerlan.", "baptismal register"),
        ("Ann had a child in 1850.", "baptismal register"),
        ("He left the cottage to his son Hugh.", "probate file"),
        ("In the census of 1851 Owen is a splitter.", "census page"),
        ("Owen landed at New York on 3 May 1850.", "passenger list"),
        ("Owen sailed from Caernarfon in 1850.", "passenger list"),
        ("He served in the army for six years.", "service record"),
        ("Owen was drafted in 1917.", "service record"),
        ("In 1850 he bought forty acres above Gerlan.", "deed"),
    ],
)
def test_the_record_to_look_for_goes_by_what_happened(sentence: str, record: str) -> None:
    [found] = findings("unsourced", f"# Owen Prydderch\n\n{sentence}")
    assert record in found.fix
    assert ("look for" in found.fix) == bool(record)


@pytest.mark.parametrize(
    ("sentence", "kinds"),
    [
        ("He lived at 1180 Ridge Road in Granville with his brother.", "kinship, a number"),
        ("Every Christmas his brother Hugh sent a goose to Gerlan.", "kinship"),
        ("His brother Hugh came home in May 1850.", "a date, kinship"),
    ],
)
def test_a_house_number_and_a_feast_are_no_dates(sentence: str, kinds: str) -> None:
    [found] = findings("unsourced", f"# Owen Prydderch\n\n{sentence}")
    assert found.details["particulars"] == kinds


VITAL = (
    "OWEN PRYDDERCH, son of William Prydderch and Jane Roberts, was born at Gerlan, Caernarfonshire, 3 May 1841; "
    "married first at Bethesda, 4 June 1866, Ellen Thomas, daughter of Hugh Thomas and Ann Parry; married secondly at "
    "Bangor, 9 July 1880, Mary Rowe, widow of John Rowe; died at Gerlan, 9 July 1899."
)


def test_a_vital_line_ends_its_facts_with_semicolons() -> None:
    assert not findings("unbroken", f"# Owen Prydderch\n\n{VITAL}")
    assert findings("unbroken", f"# Owen Prydderch\n\nHe was late. {VITAL.replace(';', ',')}")


def test_a_sentence_is_as_long_as_its_authors_own_words() -> None:
    said = " ".join(["and the snow lay on the galleries until the men went home"] * 5)
    assert not findings("unbroken", f'# Owen Prydderch\n\nHis widow said to the reporter of it: "The snow came{said}."')
    assert findings("unbroken", f"# Owen Prydderch\n\nThe snow came {said}.")


def test_a_heading_is_not_taken_from_the_life_of_somebody_else() -> None:
    hers = "She kept the shop and the books and the chapel's keys, and she was never known to lose one of the three. "
    his = "He went to sea in 1890 and he came back in 1893 with a parrot that swore at him in two tongues. "
    text = f"# Ellen Prydderch\n\nEllen Prydderch was born in 1841. {hers * 7}{his}{his * 8}\n\n{hers * 18}"
    headings = [each.details["heading"] for each in findings("unbroken", text)]
    assert "1890–1893" in headings
    assert not any("Middle years" in each for each in headings)


MEMOIR = """\
    # Ellen Thomas

    Ellen Thomas was born at Bethesda in 1841. She wrote her memories down in a school exercise book for her daughters,
    who have it still, and she spelt as she spoke. This is from its second page, where she has come to her own childhood.

    "{}"
    """


def test_what_a_memoir_tells_of_the_world_counts() -> None:
    bare = "I was a small child then and I slept with my sisters in the back bedroom, and the eldest of us told stories in the dark until our mother knocked on the wall with her shoe."
    event = " In the summer of 1874 the Penrhyn quarrymen were locked out and founded a union, and no shop gave credit."
    assert findings("context", MEMOIR.format(bare))
    assert not findings("context", MEMOIR.format(bare + event))


SAILOR = """\
    # Samuel Prydderch

    Samuel Prydderch was born in 1750. He was a cooper all his working life and made casks for
    anybody who paid in coin. He slept one night on board the "Liverpool" for a wager, and he was sick. He died in
    Boston, Massachusetts, in 1805 with all his teeth.
    """


def test_a_ship_is_no_place_and_a_childs_years_are_not_offered() -> None:
    offered = findings("context", SAILOR)[0].details["suggestions"]
    assert offered
    assert any("Stamp Act" in each for each in offered)
    assert not any("Dear bread" in each or "age 4" in each for each in offered)


def test_a_mark_in_a_quoted_letter_is_shown_with_its_sentence() -> None:
    text = """\
        # Ellen Thomas

        Dear Mother,

        We landed on Tuesday and I was never so glad of a Tuesday. The boy has a cough, and eats. The trunk came after us
        on a cart[^1], and nothing in it was broken.

        Your loving daughter, Ellen

        [^1]: Ellen Thomas to Jane Roberts, 4 June 1871; family copy.
        """
    early = [each for each in findings("marks", text) if each.details["problem"] == "before punctuation"]
    assert [each.places[0].quote for each in early] == [
        "The trunk came after us on a cart, and nothing in it was broken."
    ]


def whys(rule: str, text: str) -> dict[str, str]:
    """Quote → what one rule says of it under --why."""
    reading = read_text(text, only=[rule])
    blocks = {block.index: block.text for draft in reading.drafts for block in draft.blocks}
    reasons = [reason for section in reading.sections if section.person for reason in section.shares[rule].reasons]
    return {blocks[each.block][each.start : each.end]: each.why for each in reasons}


PAIR = (
    "# Owen Prydderch\n\nOwen was seen on the incline at Gerlan in 1841 with a parrot.[^1] He would not part with it for "
    "money, or for his mother.[^1] Lowri was seen on the incline at Gerlan in 1843 with a parrot.[^1]\n\n[^1]: Diary of Owen "
    "Prydderch, in the author's keeping."
)


def test_boilerplate_and_templates_say_one_thing_of_a_pattern_that_returns_too_seldom() -> None:
    quote = "Lowri was seen on the incline at Gerlan in 1843 with a parrot."
    assert "its pattern comes again" in whys("boilerplate", PAIR)[quote]
    assert whys("templates", PAIR)[quote] == "one of 2 alike, too few to be heard"
    assert whys("templates", PAIR)["He would not part with it for money, or for his mother."] == "a wording of its own"


RAW = (
    "Lowri Prydderch was baptised on 9 June 1850 at Llandegai, Caernarfonshire. She was a servant in 1871 at Bangor, "
    "Caernarfonshire. Lowri died of typhus on 2 March 1880 at Bangor, at the age of 29. She never married."
)


def test_a_short_draft_in_which_nobody_tells_is_flagged_whole_and_a_told_one_keeps_its_bare_facts() -> None:
    assert len(quotes("boilerplate", f"# Lowri Prydderch\n\n{RAW}")) == 4
    told = (
        "She sang on the stairs of the big house until the housekeeper forbade it, and then she sang in the yard, where "
        "the carters threw her pennies and the cook threw her out."
    )
    assert "She never married." not in quotes("boilerplate", f"# Lowri Prydderch\n\n{told} {told} {RAW}")


def test_a_sentence_that_sounds_like_the_machine_and_stands_says_why() -> None:
    told = " ".join(
        ["She sang on the stairs of the big house until the housekeeper forbade it, and nobody minded."] * 5
    )
    others = "\n\n".join(f"{i}\\. {name} {RAW.replace('Lowri', 'Mali')[15:]}" for i, name in enumerate(OTHERS, 2))
    text = f"# Book\n\n## First Generation\n\n1\\. LOWRI¹ PRYDDERCH {RAW[16:]}\n\n{told}\n\n{told}\n\n{others}"
    standing = next(why for quote, why in whys("boilerplate", text).items() if quote.startswith("Lowri died"))
    assert "left alone: in the vital paragraph that opens a told life" in standing


OTHERS = ("ANN² PRYDDERCH", "MALI² PRYDDERCH", "HUGH² PRYDDERCH", "ELLIS² PRYDDERCH")


def test_a_reminder_is_left_to_the_rule_that_names_it() -> None:
    text = "# Owen Prydderch\n\nOwen Prydderch was born on 3 May 1841. Find out who Ann Prydderch was."
    reading = read_text(text, only=["boilerplate"])
    quotes = [place.quote for section in reading.sections for each in section.findings for place in each.places]
    assert "Find out who Ann Prydderch was." not in quotes
