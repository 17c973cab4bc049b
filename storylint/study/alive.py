"""Whether the person of a section may be living, judged on the side of caution.

It decides what is kept out of the revision log; what must not be printed is for the rule ``living``.
"""

from __future__ import annotations

from datetime import date

from storylint.study.life import DEATH, LIFESPAN, life
from storylint.study.study import Book, Sentence, StudiedSection

# Without a stated death a person counts as living for 110 years from birth; one whose birth is not known for 95 years
# from the last year told of her, as from a marriage. Common practice of shared family trees, no standard.
FROM_BIRTH = 110
FROM_ADULT = 95
HERSELF = frozenset(("he", "she"))


def may_live(section: StudiedSection, book: Book, today: date | None = None) -> bool:
    """True unless the draft states the death or gives years too long ago. Without a year nobody can tell: True."""
    if section.section.person is None:
        return True
    year = (today or date.today()).year
    known = life(section, book)
    if known.birth is not None:
        return year - known.birth <= FROM_BIRTH and not death_stated(section)
    if known.last is not None and year - known.last > FROM_ADULT:
        return False
    return not death_stated(section)


def death_stated(section: StudiedSection) -> bool:
    """True where the title has a year of death, or a sentence opens with the person and tells of the death."""
    title = LIFESPAN.search(section.section.title)
    if title and title.group(2):
        return True
    forename = (section.section.person or "").split()[:1]
    return any(is_own_death(sentence, forename) for sentence in section.sentences)


def is_own_death(sentence: Sentence, forename: list[str]) -> bool:
    """True for 'Kim died …' and 'She died …', not for 'Kim's mother died …' or 'When his wife died …'."""
    if DEATH.isdisjoint(sentence.lower[:12]) or not sentence.tokens:
        return False
    opens = sentence.lower[0] in HERSELF or sentence.tokens[:1] == forename
    return opens and not {"'s", "’s"} & set(sentence.tokens[1:4])
