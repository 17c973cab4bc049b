"""Which lines of a draft open a person's entry.

Whether a line that opens with a name opens an entry is not decided line by line. Every block is first described by
its form (a numbered line, a heading of the second level, a paragraph that opens in capitals …); then the forms are
weighed over the whole draft, and only the forms that carry the draft's entries count. All thresholds are ours, set on
whole books and drafts.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Container, Iterable, Sequence
from dataclasses import dataclass, replace

from storylint.draft.forms import POSSIBLE, Form, Opening, read_openings
from storylint.draft.model import Block, Draft, Kind
from storylint.draft.names import SURE, read_name
from storylint.draft.numbering import in_order, printed, read_child_line, read_number


@dataclass(frozen=True, slots=True)
class Weight:
    """What speaks for a form, each a share from 0 to 1 of its likely names (``share``: of all blocks of the form)."""

    names: int
    share: float
    linked: float
    ordered: float
    told: float
    echoed: float
    filled: float
    full: float  # names of two words or more, each but once
    lives: int  # number of full names that birth or parents follow at once


def _weigh(group: Sequence[Opening], carried: dict[str, str]) -> Weight:
    likely = [opening for opening in group if opening.likeness >= SURE]
    count = max(len(likely), 1)
    within = _within(group, likely)

    def part(numbers: Iterable[bool]) -> float:
        return sum(numbers) / count

    return Weight(
        len(likely),
        sum(opening.likeness >= SURE for opening in within) / max(len(within), 1),
        part(_linked(opening, carried) for opening in likely),
        in_order([opening.number for opening in likely if opening.number]),
        part(opening.told for opening in likely),
        part(opening.echoed for opening in likely),
        part(opening.filled for opening in likely),
        len({o.name.text for o in likely if o.name and len(o.name.words) > 1}) / count,
        len({o.name.text for o in likely if o.name and o.life}),
    )


def _within(group: Sequence[Opening], likely: Sequence[Opening]) -> Sequence[Opening]:
    """The part of a group in which nine tenths of its likely names stand: entries may fill one part of a book."""
    if not likely:
        return group
    trim = len(likely) // 20
    first, last = likely[trim].at, likely[-1 - trim].at
    return [opening for opening in group if first <= opening.at <= last]


def _linked(opening: Opening, carried: dict[str, str]) -> bool:
    """True when a child list sends the reader here by number and forename, or a generation is printed."""
    if opening.lineage or opening.generation:
        return True
    if not opening.number or not opening.name:
        return False
    return carried.get(opening.number.text) in {word.casefold() for word in opening.name.words}


def _carries(form: Form, weight: Weight) -> bool:
    """True when a form carries entries."""
    if not weight.names:
        return False
    if weight.linked >= 0.34 and (form.titled or weight.told >= 0.5):
        return True
    if form.number not in ("", "inverted") and weight.share >= 0.5 and _numbers_hold(form, weight):
        return True
    if form.style == "heading" and form.level and min(weight.share, weight.full, weight.filled) >= 0.6:
        return True  # the author made the name a heading: the text below need not say it again
    if form.style.endswith("heading") or form.style in ("capitals line", "bold line"):
        enough = 0.35 if form.style == "heading" else 0.25
        return (weight.share >= enough and weight.echoed >= 0.5) or (weight.share >= 0.6 and weight.told >= 0.5)
    if form.style in ("line", "italic line"):
        return weight.names >= 2 and min(weight.share, weight.echoed, weight.filled) >= 0.6
    if form.style == "plain":
        return not form.number and _opens_lives(weight)
    return form.number in ("", "inverted") and weight.share >= 0.4 and weight.told >= 0.6


def _is_of_forebears(form: Form, group: Sequence[Opening], forms: set[Form]) -> bool:
    """True for the letters A, B, C before or after entries with figures: the forebears of number 1, one letter a
    generation back (the Register style's convention for those who stayed at home; R. Ullmann, New England Ancestors 8:3,
    2007, from memory)."""
    letters = [opening.number.text for opening in group if opening.number and opening.likeness >= SURE]
    if form.number != "letter" or not letters or replace(form, number="figures") not in forms:
        return False
    return sorted(letters) == [chr(ord("A") + at) for at in range(len(letters))] and all(
        opening.told for opening in group if opening.likeness >= SURE
    )


def _numbers_hold(form: Form, weight: Weight) -> bool:
    """True when the numbers of a form stand in order and vital facts, or the name again, follow them."""
    in_place = weight.ordered >= 0.7 or (weight.names == 1 and form.titled)
    return in_place and (weight.told >= 0.5 or (weight.echoed >= 0.5 and form.titled))


def _opens_lives(weight: Weight) -> bool:
    """The last resort, for drafts that mark their entries by nothing but the opening words: most paragraphs open with
    another full name, or three people are born at the start of a paragraph."""
    return weight.lives >= 3 or _most_open_lives(weight)


def _most_open_lives(weight: Weight) -> bool:
    return weight.names >= 5 and min(weight.share, weight.told, weight.full) >= 0.6


def find_entries(draft: Draft, children: set[int]) -> list[Opening]:
    """The blocks that open a person's entry, in reading order. ``children`` are the blocks of child lists."""
    carried = _carried(draft, children)
    openings = read_openings(draft, children)
    groups: dict[Form, list[Opening]] = defaultdict(list)
    for opening in openings:
        groups[opening.form].append(opening)
    weights = {form: _weigh(group, carried) for form, group in groups.items()}
    forms = {form for form, weight in weights.items() if _carries(form, weight)}
    forms |= {form for form in weights if _is_of_forebears(form, groups[form], forms)}
    forms = _without_last_resort(forms, weights)
    forms = _without_lists(forms, weights, groups)
    forms = _without_subheadings(forms - _within_numbered(forms, weights, groups, draft.blocks), weights)
    chosen = [
        opening
        for opening in openings
        if (opening.form in forms and _belongs(opening, weights[opening.form], carried)) or _twin(opening, forms)
    ]
    return _without_spouses(_without_echoes(_without_contents(chosen)), draft.blocks)


def _without_last_resort(forms: set[Form], weights: dict[Form, Weight]) -> set[Form]:
    """Drop plain unnumbered paragraphs where any other form carries entries."""
    loose = {form for form in forms if form.style == "plain" and not form.number and weights[form].linked < 0.34}
    return forms - loose or forms


def _twin(opening: Opening, forms: set[Form]) -> bool:
    """True for a likely name whose form differs by little from one that carries the entries: a line of plain text
    that was not taken for a heading, a heading without a number among numbered ones."""
    if opening.likeness < 1.0 or opening.form.number:
        return False
    form = opening.form
    if form.style == "heading" and form.level:
        return any(other.style == "heading" and other.level == form.level for other in forms)
    heading = replace(form, style=form.style.replace("line", "heading"))
    return form.style.endswith("line") and heading in forms and opening.echoed and opening.filled


def _without_subheadings(forms: set[Form], weights: dict[Form, Weight]) -> set[Form]:
    """Drop forms that only stand inside the entries of another: names in sub-headings, spouses set in bold."""
    numbered = {form for form in forms if form.number not in ("", "inverted")}
    strict = any(_counts_everybody(form, weights[form]) for form in numbered)
    titled = {form for form in forms if form.style.endswith("heading")}
    level = max(titled & numbered or titled, key=lambda form: weights[form].names, default=Form("")).level
    most = max((weights[form].names for form in forms), default=0)
    kept = set(forms)
    for form in forms - numbered:
        loose = weights[form].linked < 0.34
        if form.style.startswith("story"):  # 'The Family of Jane Lloyd' in the entry of her husband
            inside = any(weights[other].names >= weights[form].names for other in forms - {form})
        elif form in titled:
            inside = bool(level) and form.level > level
        elif form.style in ("capitals", "bold", "italic"):
            inside = loose and (strict or _outnumbered(form, titled, weights, 3))
        else:
            inside = loose and bool(titled or numbered)
        rare = loose and 12 * weights[form].names < most
        if inside or rare or (form.style in ("italic", "bold") and loose and numbered):
            kept.discard(form)
    return kept


def _within_numbered(
    forms: set[Form], weights: dict[Form, Weight], groups: dict[Form, list[Opening]], blocks: Sequence[Block]
) -> set[Form]:
    """The forms of headings without number that stand inside entries which a numbered line or paragraph opens: deeper
    than the headings above those entries, and not over the entry itself ('Owen Trefnant' over '1. OWEN TREFNANT')."""
    strict = [form for form in forms if not form.level and _counts_everybody(form, weights[form])]
    counted = {opening.at: opening for form in strict for opening in groups[form] if opening.likeness >= SURE}
    if not counted:
        return set()
    outer = min(_level_above(blocks, counted))
    inner = {form for form in forms if form.style == "heading" and not form.number and form.level > outer}
    return {form for form in inner if not any(opening.at + 1 in counted for opening in groups[form])}


def _level_above(blocks: Sequence[Block], places: Container[int]) -> list[int]:
    """For each place the level of the last heading before it, 0 where there is none."""
    level, levels = 0, []
    for at, block in enumerate(blocks):
        level = block.level if block.kind is Kind.HEADING else level
        levels += [level] if at in places else []
    return levels


def _counts_everybody(form: Form, weight: Weight) -> bool:
    """True for arabic numbers that run on through the draft: who has no number there has no entry."""
    runs_on = weight.ordered >= 0.9 and weight.names >= 5
    return form.number in ("figures", "behind") and (weight.linked >= 0.34 or runs_on)


def _outnumbered(form: Form, others: set[Form], weights: dict[Form, Weight], factor: int) -> bool:
    """True when a form has fewer than ``factor`` times the names of the most frequent of the others."""
    return bool(others) and weights[form].names < factor * max(weights[other].names for other in others)


def _without_lists(forms: set[Form], weights: dict[Form, Weight], groups: dict[Form, list[Opening]]) -> set[Form]:
    """Drop numbered paragraphs that are lists, of children for the most part: plain ones that begin anew at 1 again
    and again, or where another form carries the entries; any, where the entries bear their numbers behind the name."""
    kept = set(forms)
    behind = max((weights[form].names for form in forms if form.number == "behind"), default=0)
    for form in forms:
        if form.number == "figures" and not form.titled and weights[form].names < 4 * behind:
            kept.discard(form)
        if form.style != "plain" or weights[form].linked >= 0.34:
            continue
        begun = sum(bool(opening.number and opening.number.value == 1) for opening in groups[form])
        others = max((weights[other].names for other in forms - {form}), default=0)
        if begun > 1 + weights[form].names // 10 or 2 * others > weights[form].names:
            kept.discard(form)
    return kept


def _belongs(opening: Opening, weight: Weight, carried: dict[str, str]) -> bool:
    """True when this opening of a form that carries entries is one itself."""
    if opening.name is None:
        return False
    if _linked(opening, carried):
        return True
    if opening.likeness < SURE:
        return _backed(opening, weight)
    if opening.form.style == "plain" and not opening.number:
        return opening.likeness >= 1.0 and (opening.life or (opening.told and _most_open_lives(weight)))
    if opening.form.style.endswith("line") and not opening.number and weight.filled >= 0.8:
        return opening.filled  # not the name under a letter or a preface
    return opening.form.titled or opening.told or weight.share >= 0.7


def _backed(opening: Opening, weight: Weight) -> bool:
    """True when the form makes up for a name that we do not know: its other members are names, the text takes the
    name up."""
    if opening.number and opening.number.closed:
        return opening.likeness >= 0.2 and weight.share >= 0.6
    if opening.form.titled:
        return opening.likeness >= POSSIBLE and (opening.borne > 0 or (opening.number is not None and opening.echoed))
    return opening.told and opening.likeness >= 0.2 and weight.share >= (0.5 if opening.likeness >= POSSIBLE else 0.8)


def _without_contents(chosen: list[Opening]) -> list[Opening]:
    """Drop runs of three or more titles with no text between them that all come again: a table of contents."""
    later = Counter(opening.name.text for opening in chosen if opening.name)
    kept: list[Opening] = []
    run: list[Opening] = []
    for opening in [*chosen, None]:
        if opening is not None and opening.form.titled and not opening.filled:
            run.append(opening)
            continue
        repeated = sum(later[item.name.text] > 1 for item in run if item.name)
        kept += [] if len(run) >= 3 and 2 * repeated >= len(run) else run
        run = []
        kept += [opening] if opening is not None else []
    return kept


def _without_echoes(chosen: list[Opening]) -> list[Opening]:
    """Where a title and the paragraph under it both open with the person's name, the title alone opens the entry."""
    kept: list[Opening] = []
    for opening in chosen:
        before = kept[-1] if kept else None
        if before and before.form.titled and opening.at == before.at + 1 and before.name and opening.name:
            shared = before.name.keys & opening.name.keys
            if shared and (shared == opening.name.keys or shared == before.name.keys):
                continue
        kept.append(opening)
    return kept


def _without_spouses(chosen: list[Opening], blocks: Sequence[Block]) -> list[Opening]:
    """Drop unnumbered paragraphs that open with someone whom the entry before names in full, among numbered entries."""
    if not any(opening.number for opening in chosen):
        return chosen
    kept: list[Opening] = []
    for opening in chosen:
        if kept and opening.name and not opening.number and not opening.form.titled and len(opening.name.words) > 1:
            said = opening.name.text.casefold()
            near = blocks[max(kept[-1].at, opening.at - 60) : opening.at]
            if any(said in block.text.casefold() for block in near):
                continue
        kept.append(opening)
    return kept


def _carried(draft: Draft, children: set[int]) -> dict[str, str]:
    """Numbers in child lists with the child's forename, folded: the entries that the reader is sent on to.

    Numbers that come again in every list are the order of birth and lead nowhere.
    """
    carried: dict[str, str] = {}
    again = 0
    for at in sorted(children):
        text = printed(draft.blocks[at])
        line = read_child_line(text)
        found = None if line else read_number(text)
        number = line.number if line else found.text if found else None
        name = read_name(text, line.end if line else found.end if found else 0)
        if number and name:
            again += number in carried
            carried[number] = name.words[0].casefold()
    return carried if 4 * again <= len(carried) else {}
