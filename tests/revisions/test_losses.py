"""What compare calls lost: people by name, dates with what is left of them, notes and sources; and what it does not."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path

import pytest

from storylint.revisions import comparison
from tests.conftest import Ran, read_text

OLD = """# 1. Hugh Gethin

Hugh Gethin was baptised at Llanllechid on 25 March 1798 and split slate at Penrhyn until his chest gave out.[^1] \
He married at Bangor, 6 October 1822, MARGED PARRY, who was born at Aber about 1801.[^2]

Children of Hugh and Marged:

- 2 i. ELIS, b. 11 January 1824; d. 30 May 1890.
- ii. ANN, b. and d. 15 August 1855.
- iii. LOWRI, died young.
- iv. HUGH, b. 3 May 1831; d. 9 June 1833.

# 2. Elis Gethin

Elis Gethin was born at Gerlan on 11 January 1824, carried the powder for twenty years, and died on 30 May 1890.[^3]

[^1]: Llanllechid parish, Register 4 (1797–1814), p. 11; Gwynedd Archives, Caernarfon.

[^2]: Bangor parish, marriages 1822, no. 9; Gwynedd Archives, Caernarfon.

[^3]: Washington County, New York, Deaths 9, p. 402, Elis Gethin; County Clerk, Fort Edward.
"""


def change(new: str, person: str = "Hugh Gethin", old: str = OLD) -> comparison.Change:
    found = comparison.compare(read_text(old), read_text(new))
    [one] = [each for each in found.changes if each.passage.section.person == person]
    return one


def without(*gone: str, **put: str) -> str:
    text = OLD
    for words in gone:
        assert words in text
        text = text.replace(words, "")
    for place, words in put.items():
        text = text.replace({"told": "until his chest gave out", "list": "- iv. HUGH"}[place], words)
    return text


def lost(new: str, person: str = "Hugh Gethin", old: str = OLD) -> list[str]:
    return [" ".join(each.name) for each in change(new, person, old).people]


ANN, LOWRI = "- ii. ANN, b. and d. 15 August 1855.\n", "- iii. LOWRI, died young.\n"
HUGH, ELIS = "- iv. HUGH, b. 3 May 1831; d. 9 June 1833.\n", "- 2 i. ELIS, b. 11 January 1824; d. 30 May 1890.\n"


# -------------------------------------------------------------------------------------------------------------- people


@pytest.mark.parametrize(
    ("new", "people"),
    [
        (without(ANN), ["Ann"]),
        (without(LOWRI), ["Lowri"]),
        (without(ANN, LOWRI), ["Ann", "Lowri"]),
        (without(HUGH), ["Hugh"]),  # his father bears the name
        (without(", MARGED PARRY, who was born at Aber about 1801").replace("and Marged", ""), ["Marged Parry"]),
        (without(ELIS), []),  # he has a section of his own
        (OLD, []),
        (without(ANN, told="until little Ann was buried and his chest gave out"), []),
        (without(LOWRI, told="until he lost Lowri"), []),
        (without(HUGH, told="until the boy Hugh died in 1833"), []),
        (OLD.replace("ii. ANN, b. and d. 15 August 1855", "iii. ANN, d. an infant"), []),
        (OLD.replace("LOWRI", "LOWRY"), []),
        (OLD.replace("ANN, b. and d.", "NANCY, b. and d."), []),
        (without(HUGH, told="until his chest gave out in 1822"), ["Hugh"]),
    ],
)
def test_whoever_is_named_nowhere_is_lost_by_name(new: str, people: list[str]) -> None:
    assert lost(new) == people


def test_a_child_named_after_a_dead_one_does_not_stand_for_it() -> None:
    both = OLD.replace(HUGH, HUGH + "- v. ANN, b. 2 July 1857; d. 1 March 1931.\n")
    assert lost(both.replace(ANN, ""), old=both) == ["Ann"]
    assert lost(both.replace("- v. ANN, b. 2 July 1857; d. 1 March 1931.\n", ""), old=both) == ["Ann"]
    assert lost(both, old=both) == []


@pytest.mark.parametrize(
    ("told", "cut", "gone"),
    [
        ("They had three children: Ann, Lowri and Robert.", "They had three children.", ["Ann", "Lowri", "Robert"]),
        ("Their sons were Ellis and Robert.", "Their son was Ellis.", ["Robert"]),
        ("Their daughter Lowri went blind at six.", "A daughter went blind at six.", ["Lowri"]),
        ("A child, Robert, lived two days.", "A child lived two days.", ["Robert"]),
        ("When Marged Parry died he sold the cow.", "When his wife died he sold the cow.", ["Marged Parry"]),
        ("His brother Owen Gethin was buried beside him.", "His brother lies beside him.", ["Owen Gethin"]),
        ("They named the boy for the Reverend Jones.", "They named the boy for the minister.", []),
        ("Their daughter Lowri went blind at six.", "Lowri, their daughter, was blind.", []),
        ("He was born in Bangor. In Bangor he died.", "He was born and died there.", []),
        ("Their son Robert sailed from Bangor.", "Robert sailed from Bangor, the only son to go.", []),
    ],
)
def test_whom_the_prose_calls_a_child_or_gives_vitals_is_lost_too(told: str, cut: str, gone: list[str]) -> None:
    text = "# 1. Hugh Gethin\n\nHugh Gethin split slate at Penrhyn until his chest gave out. {}\n"
    assert lost(text.format(cut), old=text.format(told)) == gone


@pytest.mark.parametrize(
    ("told", "cut", "gone"),
    [
        ("He married Jane Rees at Bangor.", "He married at Bangor.", ["Jane Rees"]),
        ("He married on 1 May 1822 at Fair Haven, Vermont, Jane Rees.", "He married in Vermont.", ["Jane Rees"]),
        ("He was married, 1 May 1822, to Marged ferch Ifan.", "He was married.", ["Marged ferch Ifan"]),
        ("His wife, Jane, kept a pig.", "They kept a pig.", ["Jane"]),
        ("His widow was Jane Rees.", "", ["Jane Rees"]),
        ("He married Jane Rees at Bangor.", "Jane Rees took him at Bangor.", []),
        ("He married Jane Rees at Bangor.", "He married Jane at Bangor.", []),
        ("He married Jane Rees at Bangor.", "He married Siân Rees at Bangor.", []),  # put right
        ("He married Jane Rees at Bangor.", "He married Jane Prys at Bangor.", []),
        ("They were married by John Rees in Fair Haven.", "They were married.", []),
        ("He married again at Granville, New York.", "He married again.", []),
        (
            "Children of Hugh:\n\n- i. Ann, b. 1821; m. 1840 Owen Rees.",
            "Child of Hugh:\n\n- i. Ann, b. 1821.",
            ["Owen Rees"],
        ),
        ("Children of Hugh:\n\n- i. Ann, b. 1821; m. 1840 Owen Rees.", "", ["Ann"]),
        ("Child of Hugh:\n\n- i. Ann, b. 1821; m. Owen Rees.", "Child of Hugh:\n\n- i. Anna, m. Owen Rees.", []),
    ],
)
def test_a_wife_or_husband_who_is_named_nowhere_is_lost_too(told: str, cut: str, gone: list[str]) -> None:
    text = "# 1. Hugh Gethin\n\nHugh Gethin split slate at Penrhyn until his chest gave out. {}\n"
    if "Child" in told:
        text = text.replace("{}", "\n\n{}")
    assert lost(text.format(cut), old=text.format(told)) == gone


JUNIOR = "- v. HUGH GETHIN, b. 3 May 1833; d. 9 June 1845.\n"
ROBERT = "# 3. Robert Gethin\n\nRobert Gethin was born at Gerlan on 2 July 1803. He married {} on 9 June 1831.\n"


@pytest.mark.parametrize(
    ("line", "elsewhere", "gone"),
    [
        (JUNIOR, "", ["Hugh Gethin"]),  # what is left are the father's own mentions
        (JUNIOR, "Young Hugh Gethin, b. 1833, kept a jackdaw.", []),
        ("- v. MARGED PARRY, b. 3 May 1833; d. 9 June 1845.\n", "", ["Marged Parry"]),  # ... the mother's
        ("- v. ROBERT GETHIN, b. 3 May 1831; d. 9 June 1845.\n", ROBERT.format("Ann Lloyd"), ["Robert Gethin"]),
        ("- v. ROBERT GETHIN, b. 2 July 1803.\n", ROBERT.format("Ann Lloyd"), []),  # his own section
        (
            "- v. ANN GETHIN, b. 1826; d. 1860.\n",
            "# 3. Owen Gethin\n\nHe sang.\n\nChild of Owen:\n\n- i. ANN GETHIN, b. 1860.\n",
            ["Ann Gethin"],  # born in the year in which the other died
        ),
        ("- v. JANE GETHIN, b. 3 May 1835.\n", ROBERT.format("Jane Gethin"), ["Jane Gethin"]),  # she was not born
        ("- v. JANE GETHIN, b. 1812, d. 1819.\n", ROBERT.format("Jane Gethin"), ["Jane Gethin"]),  # she was dead
        ("- v. JANE GETHIN, b. 1812, d. 1849.\n", ROBERT.format("Jane Gethin"), []),
    ],
)
def test_a_namesake_of_another_time_does_not_stand_for_a_child(line: str, elsewhere: str, gone: list[str]) -> None:
    whole = OLD.replace(HUGH, HUGH + line).replace("\n[^1]:", f"\n{elsewhere}\n\n[^1]:", 1)
    assert lost(whole.replace(line, ""), old=whole) == gone
    assert lost(whole, old=whole) == []


def test_a_namesake_s_children_do_not_stand_for_those_of_a_section_that_is_gone() -> None:
    elis = "Child of Elis:\n\n- i. GWILYM, b. 1853.\n\n"
    other = "# 3. Owen Rees\n\nOwen dug coal.\n\nChildren of Owen:\n\n- i. ELIS GETHIN, b. 1871.\n- ii. GWILYM, b. 1873.\n\n"
    old = OLD.replace("[^1]:", elis + other + "[^1]:", 1)
    assert lost(old[: old.index("# 2.")] + old[old.index("# 3.") :], "Elis Gethin", old) == ["Gwilym"]


def test_a_child_without_a_name_is_nobody() -> None:
    old = OLD.replace("iii. LOWRI, died young", "iii. Infant son, died young")
    assert lost(old.replace("- iii. Infant son, died young.\n", ""), old=old) == []


def test_the_children_of_a_section_that_is_gone_are_told_unless_another_section_names_them() -> None:
    old = OLD.replace("[^1]:", "Child of Elis:\n\n- i. MORFYDD, b. 1851.\n- ii. GWILYM, b. 1853.\n\n[^1]:", 1)
    cut = old[: old.index("# 2.")] + old[old.index("[^1]:") :]
    assert lost(cut, "Elis Gethin", old) == ["Morfydd", "Gwilym"]
    told = cut.replace("Children of", "Elis Gethin's Gwilym read this page.\n\nChildren of")
    assert lost(told, "Elis Gethin", old) == ["Morfydd"]


def test_the_dates_of_whoever_is_lost_go_with_the_name() -> None:
    assert change(without(ANN)).facts == []


def test_the_command_and_its_page_tell_them_by_name(run: Callable[..., Ran], folder: Path) -> None:
    (folder / "old.md").write_text(OLD)
    (folder / "new.md").write_text(without(ANN, LOWRI))
    done = run("compare", "old.md", "new.md", "--write", "html:page.html", "--write", "json:page.json")
    out = " ".join(done.out.split())
    assert "Lost on the way 2 persons " in out
    assert "Ann is named nowhere any more: “ANN, b. and d. 15 August 1855.”" in out
    assert "<bdi>Lowri</bdi></b> is named nowhere any more" in Path("page.html").read_text(encoding="utf-8")
    data = json.loads(Path("page.json").read_text(encoding="utf-8"))
    assert data["lost"]["people"] == ["Ann", "Lowri"]
    [hugh] = [section for section in data["sections"] if section["person"] == "Hugh Gethin"]
    assert hugh["lost"]["people"][0]["line"] == 8


# --------------------------------------------------------------------------------------------------------------- dates


def left(old: str, new: str) -> list[tuple[str, str]]:
    text = "# 1. Hugh Gethin\n\nHe sang.{}\n\n[^1]: Llanllechid parish, Register 4 (1797–1814), p. 11, no. 23.\n"
    found = change(text.format(f" {new}[^1]"), old=text.format(f" {old}[^1]"))
    return [(fact.date, fact.left) for fact in found.facts]


@pytest.mark.parametrize(
    ("old", "new", "rest"),
    [
        ("He was christened on 25 March 1798.", "He was born on 14 March 1798 at Gerlan.", ""),
        ("He was christened on 25 March 1798.", "He was born in 1798 at Gerlan.", ""),
        ("He was christened on 25 March 1798.", "They christened him in 1798, when the roof was off.", "1798"),
        ("His will was proved on 4 October 1812.", "He died on 17 August 1812, and left a clock.", ""),
        ("His will was proved on 4 October 1812.", "His will, proved in 1812, named a clock.", "1812"),
        ("He appeared in the census on 3 August 1841.", "He bought a clock in 1841.", ""),
        ("He appeared in the census on 3 August 1841.", "The census of 1841 has him as a splitter.", "1841"),
        ("He was buried on 9 June 1803.", "He died in 1803.", ""),
        ("He was buried on 9 June 1803.", "He was buried in June 1803, in the rain.", "June 1803"),
        ("He bought the clock on 9 June 1803.", "The clock was bought in 1803 with a week's pay.", "1803"),
        ("He bought the clock on 9 June 1803.", "He never owned a clock.", ""),
    ],
)
def test_only_a_year_of_the_same_event_is_left_of_a_date(old: str, new: str, rest: str) -> None:
    assert [each[1] for each in left(old, new)] == [rest]


def test_a_date_in_the_childs_own_section_is_not_lost_from_the_list() -> None:
    assert change(without("; d. 30 May 1890.")).facts == []
    moved = OLD.replace(" on 11 January 1824", " one night").replace(" on 30 May 1890", " in May")
    assert change(moved, "Elis Gethin").facts == []  # his parents' list has them


def test_a_date_told_twice_in_a_line_is_lost_once() -> None:
    assert [fact.date for fact in change(OLD.replace("15 August 1855", "that summer")).facts] == ["15 August 1855"]


NOTED = """# 1. Hugh Gethin

He split slate at Penrhyn. {}[^1]

[^1]: Death certificate of Hugh Gethin, 9 June 1883, Bangor district; census of 1861, Carneddi, RG 9/4372.
"""


@pytest.mark.parametrize(
    ("old", "new", "gone"),
    [
        ("Hugh was deceased on 9 June 1883.", "Hugh was deceased.", [("9 June 1883", "in note 1")]),
        ("Hugh was deceased on 9 June 1883.", "Hugh died in June 1883.", [("9 June 1883", "June 1883")]),
        ("Hugh died on 9 June 1883.", "Hugh died on the 9th of June in 1883.", []),
        (
            "The census of 1851 has him at Gerlan, that of 1861 in Carneddi.",
            "The census of 1851 has him at Gerlan.",
            [("1861", "in note 1")],
        ),
        ("He had a clock.", "He had no clock.", []),  # the note's dates are the note's matter
    ],
)
def test_a_date_that_only_a_note_has_is_lost_from_the_prose(old: str, new: str, gone: list[tuple[str, str]]) -> None:
    facts = change(NOTED.format(new), old=NOTED.format(old)).facts
    assert [(fact.date, fact.left) for fact in facts] == gone


def test_a_wedding_that_another_section_tells_is_kept() -> None:
    moved = OLD.replace(" at Bangor, 6 October 1822,", "").replace(
        "carried the powder", "whose parents had been married at Bangor on 6 October 1822, carried the powder"
    )
    assert change(moved).facts == []
    other = moved.replace("whose parents had been married at Bangor", "who read of a wedding")
    assert [fact.date for fact in change(other).facts] == ["6 October 1822"]


@pytest.mark.parametrize(
    ("told", "kept"),
    [
        ("Ann Gethin was born at Gerlan on 11 January 1824.", False),
        ("The Gethins sang. Mary Gethin was born at Gerlan on 11 January 1824.", False),
        ("His boy Elis was born at Gerlan on 11 January 1824.", True),
        ("Their first, a boy, was born at Gerlan on 11 January 1824.", True),
    ],
)
def test_somebody_else_s_birth_does_not_stand_for_hers(told: str, kept: bool) -> None:
    old = OLD.replace(ELIS, "").replace("[^1]:", f"# 3. Owen Rees\n\nOwen dug coal. {told}\n\n[^1]:", 1)
    found = change(old.replace("born at Gerlan on 11 January 1824", "the eldest", 1), "Elis Gethin", old)
    assert [fact.date for fact in found.facts] == ([] if kept else ["11 January 1824"])


@pytest.mark.parametrize(
    ("cut", "date", "beside", "kept"),
    [
        ("In the census of 1891 he was counted at Bangor.", "1891", "He married at Bangor on 25 March 1891.", False),
        (
            "In the census of 1891 he was counted at Bangor.",
            "1891",
            "By 1891 he was counted among Bangor's poor.",
            True,
        ),
        ("He split slate at Bangor until 1891.", "until 1891", "In 1891 his mother came to Bangor.", False),
        ("He split slate at Bangor until 1891.", "until 1891", "He split his last slate at Bangor in 1891.", True),
    ],
)
def test_what_stood_beside_a_year_tells_it_only_of_the_same_matter(
    cut: str, date: str, beside: str, kept: bool
) -> None:
    assert left(f"{beside} {cut}", beside) == ([] if kept else [(date, "")])
    assert left(cut, "In 1891, newly married, he lived at Bangor.") == []  # it may be what became of it


def test_a_slip_in_a_day_is_told_whatever_the_list_of_children_says() -> None:
    wrong = OLD.replace("born at Gerlan on 11 January 1824", "born at Gerlan on 11 January 1842")
    [fact] = change(wrong, "Elis Gethin").facts
    assert (fact.date, fact.left) == ("11 January 1824", "11 January 1842")
    other = OLD.replace("born at Gerlan on 11 January 1824", "born at Gerlan").replace(
        "1890.[^3]", "1890, at home.[^3]"
    )
    assert change(other, "Elis Gethin").facts == []  # his parents' list has it


@pytest.mark.parametrize(
    ("year", "left"), [("1980", "1980"), ("1809", "1809"), ("1891", "1891"), ("1890", ""), ("1855", "")]
)
def test_a_slip_in_a_year_is_told_whatever_the_section_says(year: str, left: str) -> None:
    old = OLD.replace("d. 30 May 1890", "d. 1890 at Gerlan")
    found = change(old.replace("d. 1890 at Gerlan", f"d. {year} at Gerlan"), old=old).facts
    assert [(fact.date, fact.left) for fact in found] == ([("1890", left)] if left else [])


def test_a_caption_that_became_its_pictures_description_is_kept() -> None:
    text = "# 1. Hugh Gethin\n\nHe split slate.\n\n{}\n"
    old = text.format("The green door at Gerlan, photographed in 2011.")
    new = text.format("![The green door at Gerlan, photographed in 2011.](images/door.png)")
    assert change(new, old=old).facts == []
    [fact] = change(new.replace("2011", "the rain"), old=old).facts
    assert fact.date == "2011"


# --------------------------------------------------------------------------------------------------------------- notes


@pytest.mark.parametrize(
    ("note", "notes", "sources"),
    [
        (
            "Salem chapel, baptisms 1852–66; Washington County, New York, Deaths 9, p. 402, and Marriages 4, p. 57.",
            0,
            0,
        ),
        ("Washington County, New York, Marriages 4, p. 57, and Deaths 9, p. 402; County Clerk, Fort Edward.", 0, 0),
        ("County Clerk, Fort Edward: Washington County, New York, Deaths 9, p. 402.", 0, 0),
        ("Washington County, New York, Deaths 7, p. 16, Owen Parry; County Clerk, Fort Edward.", 1, 0),
        ("Washington County, New York, Marriages 4, p. 57; County Clerk, Fort Edward.", 1, 1),
        ("Rutland County, Vermont, Deaths 9, p. 402.", 1, 1),
        ("Elis Gethin, gravestone, Coetmor.", 1, 1),
    ],
)
def test_a_note_that_became_part_of_another_is_kept(note: str, notes: int, sources: int) -> None:
    new = OLD.replace("Washington County, New York, Deaths 9, p. 402, Elis Gethin; County Clerk, Fort Edward.", note)
    found = comparison.compare(read_text(OLD), read_text(new))
    [elis] = [each for each in found.changes if each.passage.section.person == "Elis Gethin"]
    assert (len(elis.notes), len(found.sources)) == (notes, sources)


def test_a_note_is_told_from_the_next_by_its_call_number() -> None:
    kept = "Letter G534, Elis Gethin to his mother, papers of L. Rowlands, box 59, folder 2."
    gone = "Letter E421, Elis Gethin to his mother, papers of L. Rowlands, box 2, folder 2."
    new = OLD.replace("for twenty years,", "for twenty years,[^4]") + f"\n[^4]: {kept}\n"
    old = new.replace("twenty years,[^4]", "twenty years,[^4] [^5]") + f"\n[^5]: {gone}\n"
    assert [note.text for note in change(new, "Elis Gethin", old).notes] == [gone]
    spaced = old.replace("box 2, folder 2", "f. 2, box 2")
    assert change(spaced, "Elis Gethin", old).notes == []


def test_a_source_that_is_now_cited_more_exactly_is_kept() -> None:
    old = OLD.replace("Register 4 (1797–1814), p. 11;", "Register 6, baptisms and burials, by date; digital images,")
    new = OLD.replace("Register 4 (1797–1814), p. 11;", "Register 6, baptisms 1798, no. 23, and burials 1799, no. 2;")
    found = comparison.compare(read_text(old), read_text(new))
    assert ([each.notes for each in found.changes if each.notes], found.sources) == ([], ())


def test_the_same_source_is_a_pointer_like_ibid() -> None:
    old = OLD.replace(
        "Bangor parish, marriages 1822, no. 9; Gwynedd Archives, Caernarfon.", "The same register, p. 12."
    )
    new = old.replace("The same register, p. 12.", "Ibid., p. 12.")
    assert change(new, old=old).notes == []


BOOK = """# 1. Hugh Gethin

Hugh Gethin was baptised at Llanllechid on 25 March 1798.[^1] He was a constant chapelgoer.[^2] The wages \
book has him from 1809.[^3] He died on 12 July 1841.[^4]

# 2. Elis Gethin

Elis Gethin was fond of dogs.[^5]
{more}
[^1]: Llanllechid parish, Register 4 (1797–1814), p. 11; Gwynedd Archives, Caernarfon.

[^2]: Family records.

[^3]: Dinorwig Quarry wages book 1809–1812, page 61, Hugh Gethin; Gwynedd Archives, Caernarfon.

[^4]: Certified copy of death, Hugh Gethin, 12 July 1841, Bangor district, no. 9; General Register Office, Southport.

[^5]: Family records.
"""
NOTES = dict(re.findall(r"(?m)^\[\^(\d)\]: (.*)$", BOOK))
MARKLESS = re.sub(r"\[\^\d\]", "", re.sub(r"(?m)^\[\^\d\]: .*\n", "", BOOK))
OWEN, JONES = "- Owen, Bob, papers, NLW MS 19163.", "- Gethin, Emyr, Canrif y Chwarelwr (Denbigh: Gee)."


def shelves(new: str, old: str) -> tuple[list[str], list[str], int]:
    found = comparison.compare(read_text(old.replace("{more}", "")), read_text(new.replace("{more}", "")))
    notes = dict.fromkeys([*(note for each in found.changes for note in each.notes), *found.loose_notes])
    facts = sum(len(each.facts) for each in found.changes)
    return [note.number for note in notes], [note.text for note in found.sources], facts


def listed(title: str, *entries: str) -> str:
    return BOOK.replace("{more}", f"\n## {title}\n\n" + "\n".join(entries) + "\n")


def named() -> list[str]:
    return [f"- {text}" for text in NOTES.values()]


@pytest.mark.parametrize("title", ["Sources", "Bibliography", "Sources consulted", "List of Sources", "Works Cited"])
def test_sources_that_moved_into_a_list_are_still_named(title: str) -> None:
    moved = MARKLESS.replace("{more}", f"\n## {title}\n\n" + "\n".join(named()) + "\n")
    assert shelves(moved, BOOK) == ([], [], 0)


def test_notes_that_were_shortened_lean_on_the_bibliography() -> None:
    short = re.sub(r"(?m)^(\[\^\d\]: [^,;.]*)[,;].*$", r"\1.", listed("Bibliography", *named()))
    assert shelves(short, BOOK) == ([], [], 0)
    assert shelves(short, listed("Bibliography", *named())) == ([], [], 0)
    gone = listed("Bibliography", *named()).replace("1841.[^4]", "1841, in bed.").replace(f"[^4]: {NOTES['4']}\n", "")
    assert shelves(gone, listed("Bibliography", *named())) == (["4"], [], 0)


def test_notes_that_were_put_into_the_text_in_brackets_are_kept() -> None:
    put = re.sub(r"\[\^(\d)\]", lambda mark: f" ({NOTES[mark[1]].rstrip('.')})", BOOK[: BOOK.index("[^1]:")])
    assert shelves(put, BOOK) == ([], [], 0)


def test_a_bibliography_that_is_dropped_is_no_loss_of_dates_but_of_what_no_note_names() -> None:
    assert shelves(BOOK, listed("Bibliography", *named())) == ([], [], 0)
    assert shelves(BOOK, listed("Sources consulted", *named(), OWEN, JONES)) == ([], [OWEN[2:], JONES[2:]], 0)


@pytest.mark.parametrize(
    "day", ["the 12th of July in 1841", "1841-07-12", "the twelfth of July, 1841", "July 12, 1841"]
)
def test_a_day_of_a_note_may_be_written_otherwise(day: str) -> None:
    assert shelves(BOOK.replace("12 July 1841", day), BOOK) == ([], [], 0)


@pytest.mark.parametrize(
    ("note", "new", "lost"),
    [
        ("Dinorwig Quarry wages book 1899–1903, page 44; Gwynedd Archives.", "Ibid., 1809–1812, p. 61.", []),
        ("Dinorwig Quarry wages book 1899–1903, page 44; Gwynedd Archives.", "The same wages book, p. 61.", ["3"]),
        ("Bangor parish, marriages 1822, no. 9; Gwynedd Archives.", "Ibid., 1809–1812, p. 61.", ["3"]),
        ("Bangor parish, marriages 1822, no. 9; Gwynedd Archives.", "Ibid.", ["3"]),
    ],
)
def test_a_pointer_stands_for_the_source_of_the_note_before(note: str, new: str, lost: list[str]) -> None:
    old = BOOK.replace("[^2]: Family records.", f"[^2]: {note}")
    assert shelves(old.replace(NOTES["3"], new), old)[0] == lost


def test_a_short_note_that_is_no_pointer_is_kept_only_where_it_stood() -> None:
    cut = BOOK.replace("He was a constant chapelgoer.[^2]", "He went to chapel.").replace("[^2]: Family records.\n", "")
    assert shelves(cut, BOOK)[0] == ["2"]
    joined = BOOK.replace("[^2]: Family records.", "[^2]: Family records, 1841, p. 3.")
    assert shelves(joined, BOOK)[0] == []


def test_a_list_of_sources_at_the_end_of_a_section_tells_no_dates() -> None:
    text = "# 1. Hugh Gethin\n\nHe split slate. {}\n\n## Sources\n\n- Bangor, death certificates, 9 June 1883, no. 4.\n"
    [fact] = change(text.format("Hugh died."), old=text.format("Hugh died on 9 June 1883.")).facts
    assert (fact.date, fact.left) == ("9 June 1883", "")
