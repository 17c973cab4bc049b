"""The rule ``dates`` on invented drafts: what must be found, what must be left alone, how it is said.

In the case files ``== name`` opens a draft and ``[[ ]]`` stands around the statements that clash; a finding on either is right,
and a draft without brackets is in order. ``dates_tune`` was looked at while the rule was written, ``dates_measure`` and
``dates_drafts`` were written before it was tuned and measured first: F1 0.78 and, of the drafts' clashing statements, 49 of 68.
``dates_short`` and ``dates_short2`` hold some sixty short entries each in many styles, half of them odd but right, written without a
look at the rule. First measured: precision 0.77 and recall 0.53 (17 of 32 clashes), precision 0.88 and recall 0.37 (14 of 38; one
of them turned out to be no clash and was mended). ``dates_short3``, plainer and written after those two had been mended: 0.93 and
0.72 (26 of 36; one more was no clash). ``dates_short4``, written after those: 0.83 and 0.73 (24 of 33);
``dates_short5``, two thirds of it paragraphs that are true and full of people: 0.73 and 0.85 (11 of 13, four wrong). ``dates_short6``, thirty true paragraphs
after that: three were not left alone. ``dates_short7``, half and half: 0.92 and 0.79 (22 of 28). ``dates_short8``,
likewise and last: 0.86 and 0.79 (19 of 24). What is still missed is left in.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from storylint.findings import Finding, Level, Reading
from storylint.settings import Settings
from tests.conftest import read_text

HERE = Path(__file__).parent
TODAY = "2026-11-01"
BRACKETS = re.compile(r"\[\[(.*?)\]\]", re.DOTALL)


def cases(name: str) -> dict[str, str]:
    """The drafts of one case file by their names."""
    text = (HERE / f"dates_{name}.txt").read_text(encoding="utf-8")
    return {part.split("\n", 1)[0].strip(): part.split("\n", 1)[1] for part in re.split(r"^== ", text, flags=re.M)[1:]}


def judged(draft: str, **options: object) -> Reading:
    """A draft, read with this rule only."""
    settings = Settings(table={"dates": {"today": TODAY, **options}})
    reading = read_text(re.sub(r"\[\[|\]\]", "", draft), settings=settings, only=("dates",))
    assert not reading.crashes
    return reading


def findings(draft: str, **options: object) -> list[Finding]:
    return [finding for _, finding in judged(draft, **options).every()]


def plain(text: str) -> str:
    return re.sub(r"\W+", " ", text).strip()


def reached(draft: str, found: list[Finding]) -> tuple[int, int, list[str]]:
    """Bracketed statements that a finding touches, all of them, and the messages that touch none."""
    wanted = [plain(part) for part in BRACKETS.findall(draft)]
    hits, false = set(), []
    for finding in found:
        quotes = [plain(place.quote) for place in finding.places]
        mine = {i for i, part in enumerate(wanted) for quote in quotes if part in quote or quote in part}
        hits |= mine
        if not mine:
            false.append(finding.message)
    return len(hits), len(wanted), false


@pytest.mark.parametrize("name", cases("tune"))
def test_each_case(name: str) -> None:
    """Every clash is found and every lawful neighbour left alone."""
    draft = cases("tune")[name]
    hits, wanted, false = reached(draft, findings(draft))
    assert not false
    assert bool(hits) == bool(wanted)


@pytest.mark.parametrize(
    ("name", "least", "odd"),
    [
        ("measure", 0.97, 0),
        ("variants", 0.9, 0),
        ("short", 0.88, 0),
        ("short2", 0.83, 1),
        ("short3", 0.95, 0),
        ("short4", 0.91, 0),
        ("short5", 0.95, 0),
        ("short7", 0.95, 0),
        ("short8", 0.95, 0),
    ],
)
def test_unseen_wording(name: str, least: float, odd: int) -> None:
    """F1 over the cases of one file; a case is right when one of its clashing statements is reached. ``odd`` findings are
    wrong: a 30 February of 1712 in a place that the tool does not know for Swedish.
    """
    found = missed = false = 0
    for draft in cases(name).values():
        hits, wanted, wrong = reached(draft, findings(draft))
        found, missed, false = found + bool(hits), missed + (bool(wanted) and not hits), false + len(wrong)
    assert 2 * found / (2 * found + missed + false) >= least
    assert false <= odd


@pytest.mark.parametrize("name", TRUE := cases("true") | cases("short6"))
def test_what_is_true_is_left_alone(name: str) -> None:
    """Drafts without a contradiction, full of other people's dates, things with a past, reports and pronouns."""
    assert [finding.message for finding in findings(TRUE[name])] == []


@pytest.mark.parametrize("name", cases("drafts"))
def test_told_drafts(name: str) -> None:
    """Nine in ten of the clashing statements of a longer draft are reached, and nothing else."""
    draft = cases("drafts")[name]
    hits, wanted, false = reached(draft, findings(draft))
    assert not false
    assert hits >= 0.9 * wanted


def test_a_draft_without_its_faults_is_quiet() -> None:
    """The same drafts with the clashing statements cut out."""
    for draft in cases("drafts").values():
        cut = "\n".join(line for line in BRACKETS.sub("", draft).splitlines() if line.strip() != "-")
        assert findings(cut) == []


LATER = """
    # Hugh Gethin

    Hugh Gethin was born at Gerlan on 12 June 1864. He was christened on 3 June 1864.
"""


def test_the_wrong_or_later_statement_comes_first_and_the_sum_is_written_out() -> None:
    (finding,) = findings(LATER)
    assert [place.quote[:12] for place in finding.places] == ["He was chris", "Hugh Gethin "]
    assert finding.level is Level.ERROR
    assert "3 June 1864" in finding.message
    assert "12 June 1864" in finding.message
    assert "9 days" in finding.message
    assert set(finding.details) >= {"problem", "why"}


def test_a_clash_across_the_book_stands_in_the_section_of_the_later_statement() -> None:
    draft = """
        # Ellis Gethin

        Ellis Gethin married Margaret Pugh on 9 May 1846.

        Children of Ellis Gethin and Margaret Pugh:

        - Owen, born 21 February 1847.

        # Owen Gethin

        Owen Gethin was born on 21 February 1874 and was a rockman all his life.
    """
    (section,) = [section for section in judged(draft).sections if section.findings]
    assert section.person == "Owen Gethin"
    assert len(section.findings[0].places) == 2


@pytest.mark.parametrize("wife", ["GWEN PARRY", "GWEN HUGHES PARRY", "GWEN ANN HUGHES PARRY"])
def test_the_wife_in_the_header_of_a_child_list_is_known_by_the_name_that_she_was_born_with(wife: str) -> None:
    draft = f"""# Huw Trefnant

Huw Trefnant was born on 11 January 1824 and married, 3 March 1851, {wife}. She died on 7 February 1861.

Children of Huw and Gwen (Parry) Trefnant:

- i. IFAN TREFNANT, b. 12 December 1852.
- ii. SARAH TREFNANT, b. 20 October 1862.
"""
    assert [finding.message.split(":")[0] for finding in findings(draft)] == ["Sarah Trefnant"]


def test_a_century_slip_offers_the_year_that_was_meant() -> None:
    draft = """
        # Jane Gethin

        Jane Gethin was born on 3 May 1842. She died at Poultney on 8 June 1984, in a hard winter.
    """
    (finding,) = findings(draft)
    assert finding.details["likely"] == "1884 or 1894"
    assert "1894" in finding.fix


def test_several_clashes_of_one_wrong_date_are_one_finding() -> None:
    draft = """
        # Robert Gethin

        Robert Gethin was born at Gerlan on 8 November 1951. He married Ann Parry on 3 May 1876. He landed at New York on
        4 June 1881. He died on 9 July 1930.
    """
    (finding,) = findings(draft)
    assert "1951" in finding.places[0].quote
    assert len(finding.places) == 4


def test_what_is_unlikely_is_a_note_and_what_cannot_be_an_error() -> None:
    old = "# Ann Parry\n\nAnn Parry was born on 1 May 18{}.\n\nHer children were:\n\n- John, born 3 May 1871.\n"
    assert [f.level for f in findings(old.format(18))] == [Level.NOTE]
    assert [f.level for f in findings(old.format("06"))] == [Level.ERROR]
    assert findings(old.format(30)) == []


def test_limits_can_be_set() -> None:
    draft = "# Ann Parry\n\nAnn Parry was born on 1 May 1825.\n\nHer children were:\n\n- John, born 3 May 1871.\n"
    assert findings(draft) == []
    assert len(findings(draft, mother_to=44)) == 1


def test_inexact_dates_are_ranges() -> None:
    draft = "# Ann Parry\n\nAnn Parry was born {}. She was baptised on 3 May 1825.\n"
    assert findings(draft.format("about 1827")) == []
    assert findings(draft.format("in 1825")) == []
    assert findings(draft.format("by 1830")) == []
    assert [f.level for f in findings(draft.format("about 1833"))] == [Level.NOTE]
    assert [f.level for f in findings(draft.format("in 1826"))] == [Level.ERROR]


def test_the_future_depends_on_the_day_of_reading() -> None:
    draft = "# Ann Parry\n\nAnn Parry opened the shop on 3 May 2031.\n"
    assert [f.details["problem"] for f in findings(draft)] == ["future"]
    assert findings(draft, today="2032-01-01") == []


def test_hearsay_and_weighed_evidence_are_no_contradiction() -> None:
    draft = """
        # Ann Parry

        Ann Parry was born on 3 May 1825. According to her granddaughter she had danced at Waterloo in 1815. The stone says
        that she was born in 1829, which is wrong.
    """
    assert findings(draft) == []


def test_a_pronoun_that_can_mean_two_people_proves_nothing() -> None:
    draft = """
        # Owen Parry

        Owen Parry was born on 3 May 1855. His grandfather John had been at Trafalgar. He died in 1841.
    """
    assert findings(draft) == []


@pytest.mark.parametrize(
    "told",
    [
        "[[Ann, born in Rutland, Vermont, on 3 May 1850, kept the shop.]] [[She was baptised on 1 May 1849.]]",
        "[[Ann, born at Granville, Washington County, New York, in 1850, kept the shop and married Owen Parry in 1849.]]",
        "[[Ann was buried at Savannah, Georgia, on 1 June 1880, left four sons and was mourned.]] She died on 4 June 1880.",
        "Ann, born in Rutland, Vermont, in 1850, was baptised on 3 May 1850 and kept the shop.",
        "Ann was born at Rutland, Vermont, and on 3 May 1850 left it. She was born in 1831.",
        "Born in Wales, Ann, in 1850, sailed to Boston. She was baptised in 1840.",
    ],
)
def test_a_date_after_town_and_state_belongs_to_what_happened_there(told: str) -> None:
    draft = f"# Ann Parry\n\n{told}\n"
    hits, wanted, false = reached(draft, findings(draft))
    assert not false
    assert bool(hits) == bool(wanted)


@pytest.mark.parametrize(
    "told",
    [
        "Owen was born about 1734. [[He enlisted under Captain Hughes at the age of fourteen in June 1780.]]",
        "Owen was born about 1734. [[He was bound to Hugh Parry at the age of fourteen in June 1780.]]",
        "Owen was born on 3 May 1834. He died on 8 January 1913. [[He was eighty-two.]]",
        "Owen was born on 3 May 1834. He died on 8 January 1913. He was seventy-eight years old.",
        "Owen was born on 3 May 1834. He buried his father on 8 January 1883. He was eighty-two.",
        "Owen was born on 3 May 1834. He died on 8 January 1913. He was eighty-two when he last climbed.",
        "Owen was born on 3 May 1834. He buried his son Huw, aged six, on 8 January 1883.",
    ],
)
def test_an_age_is_of_whom_it_is_said(told: str) -> None:
    draft = f"# Owen Prydderch\n\n{told}\n"
    hits, wanted, false = reached(draft, findings(draft))
    assert not false
    assert bool(hits) == bool(wanted)


@pytest.mark.parametrize("called", ["James", "Long James", "Old James", "Black James", "Big James"])
def test_a_byname_makes_nobody_else(called: str) -> None:
    draft = (
        "# James Prydderch\n\nJames Prydderch was born about 1739 and married Elizabeth Lloyd in 1766.\n\n"
        f"{called} was seven feet tall. His son Andrew was born on 8 March 1767, and his daughter Jane on 19 July 1767.\n\n"
        "Children of James and Elizabeth Prydderch:\n\n- i. Andrew, bp. 8 March 1767.\n- ii. Jane, b. 19 July 1767.\n"
    )
    assert len(findings(draft)) == 1


def test_no_score_comes_with_it() -> None:
    assert all(section.scores["overall"] is None for section in judged(LATER).sections)


def test_every_limit_names_its_source_or_says_that_it_has_none() -> None:
    from storylint.rule import rules

    for option in rules()["dates"].CARD.options:
        if option.name not in ("today", "census_give"):
            assert re.search(r"common practice, no source|from memory|Act|Code|law", option.meaning), option.name


@pytest.mark.parametrize(
    "dates", ["", ".", "-", "1850", "1850, 1851", "31 31 1850", "the the same", "'76", "((((", "b. d. m."]
)
def test_odd_lines_do_no_harm(dates: str) -> None:
    judged(
        f"# Ann Parry\n\nAnn Parry was born {dates}, and {dates} died {dates}.\n\nChildren:\n\n- {dates}\n- John {dates}\n"
    )


@pytest.mark.parametrize(
    "name", ["Anne-Marie Prydderch", "Jean-Pierre Prydderch", "Owen Lloyd-Prydderch", "Lau Wah-kit", "Kim Sung-ho"]
)
def test_a_hyphenated_name_is_one_name(name: str) -> None:
    draft = f"# {name}\n\n{name} was born on 11 July 1895. {name} was baptized on 4 March 1895.\n"
    assert len(findings(draft)) == 1
    assert findings(draft.replace("4 March 1895", "4 March 1896")) == []


@pytest.mark.parametrize(
    "told",
    [
        "He was twelve when his father died, and in 1894 he built the chapel.",
        "He was thirty-two when he bought the quarry, and sold it again in 1894.",
        "He was twelve when he went underground, which he left for good in 1894.",
        "He was twelve when the strike began and the deed that he signed in 1894 shows it.",
        "He was twelve when his mother died, a year of which he still spoke in 1894.",
        "She was nine when the family left Bethesda; in 1894 she went back.",
        "He was fifty-one and had buried two wives, and in 1894 he took a third.",
        "He was twelve at the time of the fire, of which he wrote in 1894.",
    ],
)
def test_what_is_dated_after_the_turn_of_a_sentence_says_nothing_of_the_age_before_it(told: str) -> None:
    assert findings(f"# Owen Prydderch (1838–1911)\n\nOwen Prydderch was born at Bethesda. {told}\n") == []


@pytest.mark.parametrize(
    "told",
    [
        "He was twelve when he came to Granville in 1894.",
        "He was twelve when, in 1894, the quarry closed.",
        "He was sixty when he came to Granville, New York, in 1868 with his sons.",
        "He was twelve, the census of 1894 says.",
        "He married Ann Lloyd on 4 June 1861. He married Ann at the age of 40.",
        "He died on 4 June 1911. He died at the age of 54.",
        "He died at the age of 54. He was buried on 4 June 1911.",
    ],
)
def test_an_age_is_held_against_the_date_of_its_event_wherever_that_stands(told: str) -> None:
    assert len(findings(f"# Owen Prydderch\n\nOwen Prydderch was born on 3 May 1838. {told}\n")) == 1


@pytest.mark.parametrize(
    "told",
    [
        "In 1861 he married Ann Lloyd. He married again at the age of 40.",
        "He married Ann Lloyd in 1861 and Jane Rees in 1878. He married Jane at the age of 40.",
        "His father died in 1861. He died at the age of 54.",
    ],
)
def test_an_age_at_another_event_of_that_kind_is_left_alone(told: str) -> None:
    assert findings(f"# Owen Prydderch\n\nOwen Prydderch was born on 3 May 1838. {told}\n") == []


@pytest.mark.parametrize(
    "told",
    [
        "He married first Ida Parry, who died in 1866; and second, on 5 September 1872, Ann Lloyd, born at Holyhead in 1843.",
        "On 5 September 1872 Ann Lloyd, born at Holyhead in 1843, married Owen.",
        "On 5 September 1872 Ann Lloyd, born at Holyhead, sailed from Liverpool. Ann Lloyd was born in 1843.",
    ],
)
def test_a_date_before_somebody_born_somewhere_is_not_her_birth(told: str) -> None:
    assert findings(f"# Owen Prydderch\n\nOwen Prydderch was born on 3 May 1838. {told}\n") == []


@pytest.mark.parametrize("name", ["Milly", "Molly", "Polly", "Sally", "Lily"])
def test_a_forename_that_ends_like_an_adverb_is_a_name(name: str) -> None:
    draft = f"# Phillis Prydderch\n\nPhillis kept hens.\n\n## Children\n\nOwen Prydderch, born 1849\n\n{name} Prydderch, born 1855\n"
    assert findings(draft) == []


@pytest.mark.parametrize(
    "told",
    [
        "She married at Boston, 8 June 1881, Hector Rees, a carpenter, born at Bala about 1853, died at Utica, 11 May 1909.",
        "She married Hector Rees, carpenter, of Granville, born 1853, died 11 May 1909.",
        "She married Hector Rees, the carpenter of the quarry, died 11 May 1909.",
        "She married Hector Rees, a carpenter, died 11 May 1909.",
    ],
)
def test_what_stands_behind_a_husbands_calling_is_told_of_him(told: str) -> None:
    vital = "Effie Prydderch was born at Bethesda 19 January 1851 and died at Granville 2 December 1936."
    assert findings(f"# Effie Prydderch\n\n{vital} {told}\n") == []


@pytest.mark.parametrize(
    "told",
    [
        "He was buried on 6 January 1912, six days after he died on New Year's Eve.",
        "Owen died in 1911. His daughter Mair was fifteen at the time of the explosion of 1883; John was born first, on "
        "30 April, and Mair on 1 May. Mair was born in 1868.",
        "His wife, Gwen Parry, was born in 1860; she said in 1900 that she was born in 1864.",
        "He married first, in 1861, Ann Lloyd, who died 9 August 1865; and third Ellen Parry, who outlived him by forty "
        "years. He died on 31 December 1911.",
        "He was baptised on 11 May 1838 and buried on 24 September 1911, eleven days later than it looks.",
    ],
)
def test_a_year_that_is_only_borrowed_and_words_of_somebody_else_contradict_nothing(told: str) -> None:
    assert findings(f"# Owen Prydderch\n\nOwen Prydderch was born on 3 May 1838. {told}\n") == []
