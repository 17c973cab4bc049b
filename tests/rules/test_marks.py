"""Marks and notes in step: on drafts whose faults are known because they were put in, and case by case."""

from __future__ import annotations

import itertools
import random
from collections.abc import Iterable

import pytest

from storylint.findings import Finding, Level, Reading
from storylint.rule import rules
from storylint.settings import Settings
from storylint.study.apparatus import astray
from tests.conftest import read_text
from tests.effort import calls, no_hang
from tests.rules.marked import FAULTS, FORMS, Marked, clean, delete_sentence, distinct_spots, markdown

JUDGED = ("order", "missing note", "unused note", "duplicate note")


def marks(reading: Reading) -> list[Finding]:
    assert reading.crashes == ()
    return [finding for _, finding in reading.every() if finding.rule == "marks"]


def problems(text: str, *names: str) -> set[tuple[str, str]]:
    found = marks(read_text(text, only=["marks"]))
    return {(f.details["problem"], f.details["number"]) for f in found if not names or f.details["problem"] in names}


def spoilt(seed: int) -> Marked:
    """A clean draft with up to four faults, each far from the next."""
    chance = random.Random(seed)
    draft = clean(seed)
    draft.form = FORMS[seed % (len(FORMS) - 1)]
    for at in sorted(distinct_spots(chance, chance.randrange(5) or 1), reverse=True):
        chance.choice(FAULTS)(draft, at)
    return draft


DRAFTS = [spoilt(seed) for seed in range(60)]


def test_sixty_spoilt_drafts_hold_every_fault_many_times() -> None:
    counts = {problem: sum(p == problem for draft in DRAFTS for p, _ in draft.truth) for problem in JUDGED}
    assert min(counts.values()) >= 10
    assert len({markdown(draft) for draft in DRAFTS}) == 60


def test_precision_and_recall_over_sixty_spoilt_drafts() -> None:
    hits = misses = alarms = 0
    for draft in DRAFTS:
        found = problems(markdown(draft), *JUDGED)
        hits += len(found & draft.truth)
        misses += len(draft.truth - found)
        alarms += len(found - draft.truth)
    assert hits / (hits + misses) >= 0.98, f"{misses} of {hits + misses} missed"
    assert hits / (hits + alarms) >= 0.98, f"{alarms} of {hits + alarms} false"


@pytest.mark.parametrize("form", FORMS)
@pytest.mark.parametrize("seed", [1, 2])
def test_a_clean_draft_has_no_fault_in_any_form(form: str, seed: int) -> None:
    draft = clean(seed)
    draft.form = form
    assert problems(markdown(draft)) <= {("not linked", "1"), ("not linked", "16")}


@pytest.mark.parametrize("seed", range(8))
def test_live_notes_number_themselves_so_a_moved_sentence_is_no_fault_but_a_deleted_one_is(seed: int) -> None:
    chance = random.Random(seed)
    draft = clean(seed)
    draft.form = "live"
    at, to = distinct_spots(chance, 2)
    draft.told.insert(to, draft.told.pop(at))
    assert problems(markdown(draft)) == set()
    lost = draft.notes[[number for number, _ in draft.notes].index(draft.told[8][1])][1]
    delete_sentence(draft, 8)
    found = [f for f in marks(read_text(markdown(draft))) if f.details["problem"] == "unused note"]
    assert [f.details["note"] for f in found] == [lost]


# --- the fewest marks that moved ----------------------------------------------------------------------------------


def fewest(numbers: list[int]) -> int:
    """By trying every subset: how many must go so that the rest rises."""
    for count in range(len(numbers) + 1):
        for gone in itertools.combinations(range(len(numbers)), count):
            rest = [number for at, number in enumerate(numbers) if at not in gone]
            if rest == sorted(rest):
                return count
    raise AssertionError


@pytest.mark.parametrize("seed", range(40))
def test_as_few_marks_are_named_as_trying_every_subset_finds(seed: int) -> None:
    chance = random.Random(seed)
    numbers = [chance.randrange(1, 9) for _ in range(chance.randrange(1, 10))]
    gone = astray(numbers)
    rest = [number for at, number in enumerate(numbers) if at not in gone]
    assert rest == sorted(rest)
    assert len(gone) == fewest(numbers)


@pytest.mark.parametrize(
    ("numbers", "named"),
    [
        ([4, 7, 5, 6], {7}),
        ([8, 2, 9], {2}),
        ([4, 5, 5, 6], set()),
        ([], set()),
        ([3], set()),
        ([1, 2, 9, 3, 4, 5], {9}),
    ],
)
def test_the_mark_that_moved_is_named_and_a_repeat_at_once_is_not(numbers: list[int], named: set[int]) -> None:
    assert {numbers[at] for at in astray(numbers)} == named


def test_ten_thousand_marks_are_sorted_out() -> None:
    with no_hang():
        assert len(astray([*range(5000, 10_000), *range(5000)])) == 5000


# --- case by case -------------------------------------------------------------------------------------------------

HEAD = "# Owen Prydderch\n\n"


def test_the_finding_quotes_the_sentence_and_says_between_which_marks_it_stands() -> None:
    text = HEAD + "He split.¹ He read.⁴ He sang.² He wrote.³ He died.⁵\n\n# Notes\n\n" + entries("12345")
    [found] = [f for f in marks(read_text(text)) if f.details["problem"] == "order"]
    assert found.places[0].quote == "He read."
    assert "between 1 and 2" in found.message
    assert found.level is Level.WARNING


@pytest.mark.parametrize(
    ("told", "strays"),
    [
        ("He split.¹ He read.² He sang.¹ He wrote.³", set()),
        ("He split.¹ He read.² He sang.³ He wrote.¹ He wept.² He died.⁴", set()),
        ("He split.¹ He read.² He sang.¹ He wrote.¹ He wept.¹ He died.¹", set()),
        ("He split.¹ He read.⁴ He sang.² He wrote.³ He wept.⁴ He died.⁵", {"4"}),  # the first of the two has moved
        ("He sang.³ He split.¹ He read.² He wrote.¹ He wept.³ He died.⁴", {"3"}),
        ("He split.¹ He read.² He sang.⁵ He wrote.³ He wept.⁴ He died.⁵ He lay.²", {"5"}),
        ("He split.¹ He read.² He sang.³ He split.¹ He wrote.⁴", {"1"}),  # the sentence was copied
    ],
)
def test_a_number_used_again_for_its_note_is_no_fault_and_a_mark_that_moved_is(told: str, strays: set[str]) -> None:
    numbers = "12345" if "⁵" in told else "1234" if "⁴" in told else "123"
    assert problems(HEAD + told + "\n\n# Notes\n\n" + entries(numbers), "order") == {("order", n) for n in strays}


def test_one_number_a_source_through_several_lives_is_no_fault() -> None:
    """As programs write: the sentence and its source come again with each of those who sailed."""
    lives = "\n\n".join(
        f"## {at}. {name} Prydderch\n\n{name} was born at Gerlan.{own} He sailed on 2 May 1849.³ He landed at New York.³"
        for at, (name, own) in enumerate((("Owen", "¹"), ("Hugh", "²"), ("Robert", "¹")), 1)
    )
    text = "# The Prydderchs\n\n" + lives.replace("²", "⁴").replace("³", "²").replace("⁴", "³") + "\n\n# Notes\n\n"
    assert problems(text + entries("123"), "order") == set()


def test_a_real_note_that_is_called_again_is_no_fault() -> None:
    notes = "[^1]: Wages book, 1871, p. 2.\n\n[^2]: Chapel book, 1872, p. 4.\n"
    assert problems(HEAD + "He split.[^1] He read.[^2] He sang.[^1]\n\n" + notes) == set()


def test_a_digit_typed_beside_live_notes_is_no_use_of_their_numbers() -> None:
    notes = "[^1]: Wages book, 1871, p. 2.\n\n[^2]: Chapel book, 1872, p. 4.\n"
    text = HEAD + "He split.[^1] He read.[^2] He sang.<sup>1</sup>\n\n" + notes
    assert problems(text, "order", "missing note") != set()


def entries(numbers: Iterable[str]) -> str:
    return (
        "\n\n".join(f"{number}. Chapel book, 187{number}, p. {number}; Gwynedd Archives." for number in numbers) + "\n"
    )


def test_numbers_that_begin_again_at_a_new_list_of_notes_are_no_fault() -> None:
    chapter = "# {title}\n\n## {person}\n\nHe split.¹ He read.² He sang.³\n\n## Notes\n\n" + entries("123")
    text = (
        chapter.format(title="The Quarry", person="Owen Prydderch")
        + "\n"
        + chapter.format(title="The Valley", person="Hugh Prydderch")
    )
    assert problems(text) == {("not linked", "1")}


def test_lists_gathered_at_the_end_of_the_book_answer_their_chapters() -> None:
    body = "".join(f"# {title}\n\nHe split.¹ He read.² He sang.³\n\n" for title in ("The Quarry", "The Valley"))
    lists = "# Notes\n\n" + "".join(f"## {title}\n\n{entries('123')}\n" for title in ("The Quarry", "The Valley"))
    assert problems(body + lists, *JUDGED, "restart") == set()


def test_numbers_that_begin_again_in_the_middle_of_a_chapter_are_a_fault() -> None:
    told = "He split.¹ He read.²\n\nHe sang.¹ He wrote.² He died.³\n\n"
    text = HEAD + told + "# Notes\n\n" + entries("12") + "\n" + entries("123")
    assert ("restart", "1") in problems(text)


def test_no_list_at_all_is_told_once_and_not_for_every_mark() -> None:
    found = [f for f in marks(read_text(HEAD + "He split.¹ He read.² He sang.³ He died.⁴\n")) if f.level is Level.ERROR]
    assert [f.details["problem"] for f in found] == ["missing note"]
    assert found[0].details["numbers"] == ["1", "2", "3", "4"]


def test_a_list_without_one_mark_is_told_once() -> None:
    text = HEAD + "He split slate.\n\n# Notes\n\n" + entries("123")
    found = [f for f in marks(read_text(text)) if f.details["problem"] == "unused note"]
    assert len(found) == 1
    assert found[0].details["numbers"] == ["1", "2", "3"]


def test_a_missing_note_is_an_error_and_the_rest_are_warnings() -> None:
    text = HEAD + "He split.¹ He read.² He sang.⁹\n\n# Notes\n\n" + entries("112") + "\n\n4. Rate book, 1871, p. 3.\n"
    levels = {f.details["problem"]: f.level for f in marks(read_text(text))}
    assert levels["missing note"] is Level.ERROR
    assert {levels["duplicate note"], levels["unused note"]} == {Level.WARNING}


def test_typed_digits_are_one_finding_a_section_a_note_alone_and_a_warning_beside_live_notes() -> None:
    typed = HEAD + "He split.¹ He read.² He sang.³\n\n# Notes\n\n" + entries("123")
    [found] = [f for f in marks(read_text(typed)) if f.details["problem"] == "not linked"]
    assert (found.level, found.details["count"], len(found.places)) == (Level.NOTE, 3, 3)
    mixed = typed.replace("He sang.³", "He sang.³ He died.[^a]") + "\n[^a]: Stone, Coetmor, read 2019.\n"
    [found] = [f for f in marks(read_text(mixed)) if f.details["problem"] == "not linked"]
    assert found.level is Level.WARNING
    assert "two systems" in found.message


def test_a_mark_in_a_heading_and_one_before_the_comma_are_notes() -> None:
    text = "# Owen Prydderch[^1]\n\nHe split[^2], and read.\n\n[^1]: Stone, 1903.\n\n[^2]: Wages book, 1871, p. 2.\n"
    found = {f.details["problem"]: f.level for f in marks(read_text(text))}
    assert found == {"in heading": Level.NOTE, "before punctuation": Level.NOTE}


def test_a_mark_before_a_dash_or_inside_a_bracket_stands_right() -> None:
    text = HEAD + "He split[^1]—and read (badly[^2]).\n\n[^1]: Wages book, 1871, p. 2.\n\n[^2]: Letter, 1871.\n"
    assert problems(text) == set()


def test_footnotes_and_endnotes_side_by_side_are_told_once() -> None:
    from dataclasses import replace

    from storylint import engine
    from storylint.draft import markdown as reader

    draft = reader.read(
        "book.md", b"# Owen\n\nHe split.[^1] He read.[^2]\n\n[^1]: Book, 1871.\n[^2]: Census, 1881.\n", ""
    )
    draft = replace(draft, notes=(draft.notes[0], replace(draft.notes[1], kind="endnote", number="i")))
    found = marks(engine.reading_of([draft], engine.Run(Settings(), only=["marks"])))
    assert [f.details["problem"] for f in found] == ["two systems"]


# --- ibid. --------------------------------------------------------------------------------------------------------


def ibid_level(*notes: str) -> dict[str, Level]:
    """The levels of the ibid. findings of a draft with these live notes, by note number."""
    told = " ".join(f"He split {number} slates.[^{number}]" for number in range(1, len(notes) + 1))
    text = HEAD + told + "\n\n" + "\n\n".join(f"[^{n}]: {note}" for n, note in enumerate(notes, 1)) + "\n"
    return {f.details["number"]: f.level for f in marks(read_text(text)) if f.details["problem"] == "ibid"}


@pytest.mark.parametrize(
    ("notes", "level"),
    [
        (("Penrhyn wages book, 1871, p. 7; Gwynedd Archives.", "Ibid., p. 9."), Level.NOTE),
        (("Penrhyn wages book, 1871, p. 7; Gwynedd Archives.", "Ibid.; Bangor rate book, 1872, p. 2."), Level.NOTE),
        (("Ellen Thomas to Jane Roberts, 3 May 1862.", "Ibid."), Level.NOTE),
        (("Penrhyn wages book, 1871, p. 7; Bangor rate book, 1872, p. 2.", "Ibid., p. 9."), Level.ERROR),
        (("Gravestone, Coetmor cemetery.", "Ibid., p. 9."), Level.ERROR),
        (("Ibid., p. 9.",), Level.ERROR),
        (("Penrhyn wages book, 1871, p. 7; Gwynedd Archives.", "The same, p. 9."), Level.NOTE),
        (("Manifest, brig *Elen*, 2 May 1849, list 4, lines 3–6.", "The same manifest, line 9."), Level.NOTE),
        (("Manifest, brig *Elen*, 2 May 1849, list 4, lines 3–6.", "The same list, lines 7–9."), Level.NOTE),
        (("1851 census, Llanllechid, schedule 14; National Archives.", "Same return, schedule 15."), Level.NOTE),
        (("Ellen Thomas to Jane Roberts, 3 May 1862.", "The same letter (copy held by the author)."), Level.NOTE),
        (("Penrhyn wages book, 1871, p. 7; Bangor rate book, 1872, p. 2.", "The same rate book, p. 3."), Level.NOTE),
        (("Penrhyn wages book, 1871, p. 7; Bangor rate book, 1872, p. 2.", "The same book, p. 9."), Level.ERROR),
        (("Penrhyn wages book, 1871, p. 7; Bangor rate book, 1872, p. 2.", "The same, p. 9."), Level.ERROR),
        (("Gravestone, Coetmor cemetery.", "The same, p. 9."), Level.ERROR),
        (("The same register, p. 9.",), Level.ERROR),
        (("He was thought to be a cousin.", "Ibid."), Level.ERROR),
        (("Penrhyn wages book, 1871, p. 7.", "Op. cit., p. 9."), Level.ERROR),
        (
            ("R. Prydderch, Annals of Gerlan (Bangor, 1899), p. 7.", "Rate book, 1871.", "Prydderch, op. cit., p. 9."),
            Level.NOTE,
        ),
    ],
)
def test_ibid_is_a_note_where_it_fits_and_an_error_where_it_does_not(notes: tuple[str, ...], level: Level) -> None:
    assert list(ibid_level(*notes).values()) == [level]


def test_the_same_manifest_after_another_kind_of_note_is_an_error() -> None:
    manifest, letter = "Manifest, brig *Elen*, 2 May 1849, list 4.", "Ellen Thomas to Jane Roberts, 3 May 1862."
    assert ibid_level(manifest, "The same manifest, line 9.", letter) == {"2": Level.NOTE}
    assert ibid_level(manifest, letter, "The same manifest, line 9.") == {"3": Level.ERROR}
    assert ibid_level(manifest, "Ibid.", "The same manifest, line 9.") == {"2": Level.NOTE, "3": Level.NOTE}


@pytest.mark.parametrize(
    "note",
    [
        "The same to Jane Roberts, 6 June 1871; family copy.",
        "Same to same, 4 May 1871; family copy.",
        "The Same Old Hill (Bangor, 1899), p. 7.",
        "The same Owen Prydderch stands in the census of 1881, folio 3.",
        "Sameuel Prydderch to Jane Roberts, 6 June 1871; family copy.",
    ],
)
def test_words_that_only_look_like_a_pointer_point_nowhere(note: str) -> None:
    assert ibid_level("Penrhyn wages book, 1871, p. 7; Gwynedd Archives.", note) == {}


def test_ibid_follows_ibid_to_the_source_of_both() -> None:
    levels = ibid_level("Penrhyn wages book, 1871, p. 7; Gwynedd Archives.", "Ibid., p. 9.", "Ibid., p. 11.")
    assert levels == {"2": Level.NOTE, "3": Level.NOTE}


def test_ibid_whose_note_was_struck_from_the_list_is_an_error() -> None:
    text = HEAD + "He split.¹ He sang.³\n\n# Notes\n\n1. Penrhyn wages book, 1871, p. 7.\n\n3. Ibid., p. 9.\n"
    assert [f.level for f in marks(read_text(text)) if f.details["problem"] == "ibid"] == [Level.ERROR]


def test_ibid_that_a_moved_paragraph_has_parted_from_its_note_is_an_error() -> None:
    notes = "[^1]: Wages book, 1871, p. 7.\n\n[^2]: Ibid., p. 9.\n\n[^3]: Rate book, 1872, p. 2.\n"
    right = HEAD + "He split.[^1] He read.[^2]\n\nHe sang.[^3]\n\n" + notes
    moved = HEAD + "He split.[^1]\n\nHe sang.[^3]\n\nHe read.[^2]\n\n" + notes
    assert [f.level for f in marks(read_text(right)) if f.details["problem"] == "ibid"] == [Level.NOTE]
    assert [f.level for f in marks(read_text(moved)) if f.details["problem"] == "ibid"] == [Level.ERROR]


def test_ibid_that_opens_a_persons_section_is_a_warning() -> None:
    notes = "[^1]: Wages book, 1871, p. 7.\n\n[^2]: Ibid., p. 9.\n"
    text = (
        "# The Prydderchs\n\n## 1. Owen Prydderch\n\nHe split.[^1]\n\n## 2. Ellen Thomas\n\nShe read.[^2]\n\n" + notes
    )
    assert [f.level for f in marks(read_text(text)) if f.details["problem"] == "ibid"] == [Level.WARNING]


def test_ibid_that_fits_can_be_switched_off_and_one_that_does_not_cannot() -> None:
    settings = Settings(table={"marks": {"ibid": "off"}})
    text = HEAD + "He split.[^1] He read.[^2]\n\n[^1]: Wages book, 1871, p. 7.\n\n[^2]: Ibid., p. 9.\n"
    assert marks(read_text(text, settings=settings)) == []
    stray = text.replace("Wages book, 1871, p. 7.", "Gravestone, Coetmor.")
    assert [f.level for f in marks(read_text(stray, settings=settings))] == [Level.ERROR]


# --- several files ------------------------------------------------------------------------------------------------


def book_of(*texts: str) -> list[Finding]:
    from storylint import engine
    from storylint.draft import markdown as reader

    drafts = [reader.read(f"{number}.md", text.encode(), str(number)) for number, text in enumerate(texts)]
    return marks(engine.reading_of(drafts, engine.Run(Settings(), only=["marks"])))


def test_a_list_in_a_file_of_its_own_answers_the_other_files() -> None:
    chapters = [
        f"# Chapter {n}\n\nHe split.{a} He read.{b} He sang.{c}\n" for n, (a, b, c) in enumerate(("¹²³", "⁴⁵⁶"), 1)
    ]
    found = {f.details["problem"] for f in book_of(*chapters, "# Notes\n\n" + entries("123456"))}
    assert found == {"not linked"}
    found_less = {
        (f.details["problem"], f.details["number"]) for f in book_of(*chapters, "# Notes\n\n" + entries("123457"))
    }
    assert {("missing note", "6"), ("unused note", "7")} <= found_less


def test_the_work_grows_with_the_words() -> None:
    def work(times: int) -> int:
        sentences = " ".join(f"He split {n} slates on the gallery at Penrhyn.[{n}]" for n in range(1, 300 * times))
        notes = "\n\n".join(f"{n}. Wages book, 1871, p. {n}; Gwynedd Archives." for n in range(1, 300 * times))
        paragraphs = sentences.replace("] He split 5", "]\n\nHe split 5")
        from storylint.draft import markdown as reader
        from storylint.draft.sections import split
        from storylint.study.study import study

        draft = reader.read("b.md", f"# Owen\n\n{paragraphs}\n\n# Notes\n\n{notes}\n".encode(), "")
        book = study(split(draft))
        rule = rules()["marks"]

        def judge() -> None:
            for section in book.sections:
                list(rule.check(section, book, {"ibid": "note"}))
            list(rule.check_book(book, {"ibid": "note"}))

        return calls(judge)

    few = work(1)
    assert work(4) < 6 * few  # all with all would be sixteenfold
