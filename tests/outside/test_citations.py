"""How notes are read and how they are laid out, checked against the style manuals that genealogists follow.

The specimen notes are those of the Chicago Manual of Style as university libraries reproduce them; each source is named
beside its notes.
"""

from __future__ import annotations

import pytest

from storylint.findings import Finding, Level
from storylint.study.cited import citations_in, short_form_end
from tests.conftest import read_text


def read(*notes: str) -> list[Finding]:
    """The findings of a draft that calls these live notes one after the other."""
    told = " ".join(f"He split {number} slates.[^{number}]" for number in range(1, len(notes) + 1))
    lines = "\n\n".join(f"[^{number}]: {note}" for number, note in enumerate(notes, 1))
    reading = read_text(f"# Owen Prydderch\n\n{told}\n\n{lines}\n", only=["marks", "sources"])
    assert reading.crashes == ()
    return [finding for _, finding in reading.every()]


# Full note and shortened note: Chicago style, in "Notes and Bibliography", library guide of the U.S. Naval War College
# (usnwc.libguides.com/chicago/notes-bibliography), and in "Short Form", library guide of the University of
# Northwestern,
# St. Paul (guide.unwsp.edu/chicago_style/short-form).
PAIRS = (
    ("Zadie Smith, *Swing Time* (New York: Penguin Press, 2016), 315.", "Smith, *Swing Time*, 320."),
    (
        "Doug Fine, *Farewell My Subaru: An Epic Adventure in Social Living* (Villard, 2008), 45.",
        "Fine, *Farewell My Subaru*, 46.",
    ),
)


@pytest.mark.parametrize(("full", "short"), PAIRS)
def test_a_shortened_note_of_the_manual_is_matched_to_its_full_form(full: str, short: str) -> None:
    assert read(full, short) == []
    assert [(f.details["problem"], f.level) for f in read(short, full)] == [("short before full", Level.WARNING)]
    assert [(f.details["problem"], f.level) for f in read(short)] == [("short without full", Level.NOTE)]


@pytest.mark.parametrize(("full", "short"), PAIRS)
def test_a_full_note_of_the_manual_tells_who_what_when_where_in_and_where_published(full: str, short: str) -> None:
    [citation] = citations_in(full.replace("*", ""))
    assert citation.missing == []
    assert citation.kind == "authored"


def test_the_manuals_run_of_shortened_notes_and_ibid_fits_throughout() -> None:
    """The specimen run for CMOS 18, 13.37, as the guide of the U.S. Naval War College prints it, after full notes."""
    run = read(
        "Toni Morrison, *Beloved* (New York: Knopf, 1987), 3.",
        "Ibid., 18.",
        "Ibid., 24–26.",
        "Toni Morrison, *Song of Solomon* (New York: Knopf, 1977), 401–2.",
        "Ibid., 433.",
        "Junot Díaz, *The Brief Wondrous Life of Oscar Wao* (New York: Riverhead, 2007), 37–38.",
        "Morrison, *Song of Solomon*, 403.",
        "Díaz, *Oscar Wao*, 152.",
        "Ibid., 201–2.",
    )
    assert {(f.details["problem"], f.level) for f in run} == {("ibid", Level.NOTE)}
    assert [f.details["number"] for f in run] == ["2", "3", "5", "9"]


SEVERAL = (
    "Sutton, “The Analysis of Free Verse Form, Illustrated by a Reading of Whitman,” Journal of Aesthetics and Art "
    "Criticism 18, no. 2 (December 1959): 241–54; Fussell, “Whitman’s Curious Warble: Reminiscence and "
    "Reconciliation,” in "
    "The Presence of Walt Whitman, ed. R. W. B. Lewis (New York: Columbia University Press, 1962), 28–51; Coffman, "
    "“‘Crossing Brooklyn Ferry’: A Note on the Catalog Technique in Whitman’s Poetry,” Modern Philology 51, no. 4 (May "
    "1954): 225–32."
)


def test_a_note_with_several_works_is_read_as_several() -> None:
    """'The sources are usually separated in the note by semicolons': the same guide, with this specimen."""
    assert len(citations_in(SEVERAL)) == 3


def test_ibid_after_a_note_with_several_works_is_an_error() -> None:
    """'It must never be used if the preceding note contains more than one citation': CMOS 16.47, quoted in the manual's
    own questions and answers (chicagomanualofstyle.org, Documentation 69)."""
    [found] = [f for f in read(SEVERAL, "Ibid., 30.") if f.details["problem"] == "ibid"]
    assert found.level is Level.ERROR


@pytest.mark.parametrize(
    ("text", "problem"),
    [
        ("He split slate[^1].", "before punctuation"),
        ("He split slate.[^1]", None),
        ("He split slate[^1]—and read.", None),
        ("He split slate (and read).[^1]", None),
        ("He split slate (and read[^1]).", None),
        ("“He split slate,”[^1] she wrote.", None),
    ],
)
def test_the_mark_stands_where_the_manual_puts_it(text: str, problem: str | None) -> None:
    """After all punctuation but the dash; inside a bracket if it belongs to what stands there: CMOS 17, §14.26 (from
    memory)."""
    reading = read_text(
        f"# Owen Prydderch\n\n{text}\n\n[^1]: Penrhyn Quarry wages book, 1871, p. 2; Gwynedd Archives.\n"
    )
    found = [f.details["problem"] for _, f in reading.every() if f.rule == "marks"]
    assert found == ([problem] if problem else [])


@pytest.mark.parametrize(
    ("full", "short"),
    [
        (
            "Llanllechid parish, baptisms 1813–1840, p. 87, no. 694; Gwynedd Archives, Caernarfon.",
            "Llanllechid parish, baptisms 1813–1840",
        ),
        (
            "Zadie Smith, Swing Time (New York: Penguin Press, 2016), 315.",
            "Zadie Smith, Swing Time (New York: Penguin Press, 2016)",
        ),
        ("Ellen Gethin to Jane Gethin, 8 July 1901; family copy.", "Ellen Gethin to Jane Gethin, 8 July 1901"),
    ],
)
def test_ibid_with_a_page_of_its_own_is_spelt_out_without_the_old_page_and_keeper(full: str, short: str) -> None:
    assert full[: short_form_end(full, keep_locator=False)] == short


# --- the five questions -------------------------------------------------------------------------------------------


# T. W. Jones, Mastering Genealogical Documentation (2017), asks who, what, when, where in and where is; the notes are
# our
# own, each with what it leaves open.
@pytest.mark.parametrize(
    ("note", "missing"),
    [
        ("Llanllechid parish, burials 1813–1841, p. 47, no. 374, Owen Prydderch; Gwynedd Archives, Caernarfon.", []),
        ("1881 census of Wales, Llanllechid, folio 51, schedule 104; RG 11/5581, The National Archives, Kew.", []),
        ("Ellen Thomas to Jane Roberts, 3 May 1862; family copy held by the author.", []),
        ("Llanllechid parish, burials, 1829.", ["where in", "where is"]),
        ("1850 census.", ["who", "where in", "where is"]),
        ("Penrhyn Quarry wages book, p. 4; Gwynedd Archives.", ["when"]),
    ],
)
def test_the_five_questions(note: str, missing: list[str]) -> None:
    assert citations_in(note)[0].missing == missing


@pytest.mark.parametrize(
    ("note", "kind"),
    [
        ("Llanllechid parish register, baptisms, 1841.", "original"),
        ("Transcript of the Llanllechid parish register, 1931, Bangor library.", "derivative"),
        ("Index to the marriages of Caernarfonshire, 1866.", "derivative"),
        ("R. Prydderch, Annals of Gerlan (Bangor: Jarvis, 1899), 7.", "authored"),
        ("Family tree of a cousin.", "authored"),
    ],
)
def test_the_wording_tells_original_derivative_and_authored_sources_apart(note: str, kind: str) -> None:
    """The division of E. S. Mills, Evidence Explained (from memory); 'primary' is said of information, never of
    these."""
    assert citations_in(note)[0].kind == kind
