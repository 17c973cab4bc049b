"""How the draft spells its people's names: with their particles, and with a capital inside."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from storylint.draft.names import PARTICLES, inner_capitals, said
from storylint.study.people import PARTICLE

_GIVEN = r"[A-ZÀ-Þ][\w’'-]+(?: [A-ZÀ-Þ][\w’'.-]*){0,3}?"
_WITH_PARTICLES = re.compile(
    rf"\b({_GIVEN}) ((?:{PARTICLE} ){{1,3}}[A-ZÀ-Þ][\w’'-]+|(?:{PARTICLE.upper()} ){{1,3}}[A-ZÀ-Þ][A-ZÀ-Þ’'-]+)"
)


@dataclass(frozen=True, slots=True)
class Spelling:
    """``inner``: MacDonald by its folded form. ``whole``: de la Cruz by forename and last word, both folded."""

    inner: dict[str, str]
    whole: dict[tuple[str, str], str]

    @classmethod
    def of(cls, texts: Iterable[str]) -> Spelling:
        """The spellings of running text, lists and headings."""
        texts = list(texts)
        whole = {}
        for text in texts:
            for given, surname in _WITH_PARTICLES.findall(text):
                words = said([given.split()[0], *surname.split()])
                if not words[1][0].isupper():
                    whole[words[0].casefold(), words[-1].casefold()] = " ".join(words[1:])
        return cls(inner_capitals(texts), whole)

    def name(self, words: tuple[str, ...]) -> str:
        """A name of these words as the draft spells it."""
        surname = self.whole.get((words[0].casefold(), words[-1].casefold())) if len(words) > 1 else None
        rest = [word for word in words[:-1] if word.casefold() not in PARTICLES] if surname else words
        return " ".join([*(self.inner.get(word.casefold(), word) for word in rest), *([surname] if surname else [])])
