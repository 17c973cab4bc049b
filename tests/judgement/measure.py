"""Run the rules over the labelled drafts and count."""

from __future__ import annotations

import json
import random
from collections import defaultdict
from dataclasses import dataclass, field

from storylint.rule import rules
from storylint.settings import Settings
from storylint.study.study import Book, study
from tests.judgement.labelled import HERE, Labelled, LabelledDraft, load_all

RULES = ("boilerplate", "templates", "unsourced", "context")
PARTS = ("tune", "measure")
LEAST_WORDS = 40  # a shorter section is not asked for context (the rule's own option)
SNAPSHOT = HERE / "snapshot.json"


@dataclass(slots=True)
class Counts:
    """Outcomes of one rule, one entry a unit (a sentence, or a person for context)."""

    outcomes: list[tuple[bool, bool]] = field(default_factory=list)  # (wanted, given)
    wrong: list[str] = field(default_factory=list)

    def add(self, wanted: bool, given: bool, text: str) -> None:
        """One unit."""
        self.outcomes.append((wanted, given))
        if wanted != given:
            self.wrong.append(f"{'missed' if wanted else 'false'}: {text}")


def f1(outcomes: list[tuple[bool, bool]]) -> tuple[float, float, float]:
    """Precision, recall and F1; 1 where there was nothing to find and nothing was given."""
    hit = sum(wanted and given for wanted, given in outcomes)
    given_ = sum(given for _, given in outcomes)
    wanted_ = sum(wanted for wanted, _ in outcomes)
    precision = hit / given_ if given_ else 1.0
    recall = hit / wanted_ if wanted_ else 1.0
    return precision, recall, 2 * precision * recall / (precision + recall) if precision + recall else 0.0


def interval(outcomes: list[tuple[bool, bool]], rounds: int = 400) -> tuple[float, float]:
    """95 % interval of F1 by the percentile bootstrap (B. Efron, Annals of Statistics 7 (1979): 1–26)."""
    rng = random.Random(1)
    values = sorted(f1(rng.choices(outcomes, k=len(outcomes)))[2] for _ in range(rounds))
    return values[int(0.025 * rounds)], values[int(0.975 * rounds) - 1]


def count(drafts: list[LabelledDraft]) -> dict[str, Counts]:
    """Every rule's outcomes on these drafts."""
    counts: dict[str, Counts] = defaultdict(Counts)
    for draft in drafts:
        book = study(draft.sections)
        flagged = flags(book)
        for each in draft.sentences:
            sentence_outcomes(each, flagged, counts)
        for number, section in enumerate(book.sections):
            person, words = section.section.person, sum(sentence.words for sentence in section.sentences)
            if person and draft.context.get(person) != "social" and words >= LEAST_WORDS:
                counts["context"].add(
                    draft.context[person] == "none", ("context", number) in flagged, f"{draft.name}: {person}"
                )
    return counts


def sentence_outcomes(each: Labelled, flagged: set[tuple[str, object]], counts: dict[str, Counts]) -> None:
    """One labelled sentence against what was flagged."""
    if not each.child:
        counts["boilerplate"].add("B" in each.labels, ("boilerplate", each.text) in flagged, each.text)
        counts["templates"].add(each.family is not None, ("templates", each.text) in flagged, each.text)
    counts["unsourced"].add("U" in each.labels, ("unsourced", each.text) in flagged, each.text)


def flags(book: Book) -> set[tuple[str, object]]:
    """(rule, quote) of every finding; for context (rule, number of the section)."""
    found: set[tuple[str, object]] = set()
    settings = Settings()
    for name in RULES:
        module = rules().get(name)
        if module is None:
            continue
        for number, section in enumerate(book.sections):
            for result in module.check(section, book, settings.options(module.CARD)):
                if not hasattr(result, "places"):
                    continue
                if name == "context":
                    if str(result.level) != "note":
                        found.add((name, number))
                else:
                    found.update((name, place.quote) for place in result.places)
    return found


def figures() -> dict[str, dict[str, list[float]]]:
    """Part → rule → [precision, recall, F1], to three places."""
    return {
        part: {rule: [round(x, 3) for x in f1(counts.outcomes)] for rule, counts in count(load_all(part)).items()}
        for part in PARTS
    }


def show(misses: str | None = None) -> None:
    """Print the table, and one rule's wrong outcomes on the tuning half if asked for."""
    for part in PARTS:
        for rule, counts in count(load_all(part)).items():
            precision, recall, score = f1(counts.outcomes)
            low, high = interval(counts.outcomes)
            print(
                f"{part:8} {rule:12} P {precision:.3f}  R {recall:.3f}  F1 {score:.3f} [{low:.3f}, {high:.3f}]  n {len(counts.outcomes)}"
            )
            if misses == rule and part == "tune":
                print("\n".join(f"    {line[:180]}" for line in counts.wrong))


def write_snapshot() -> None:
    """Keep today's figures, so that a change that makes a rule worse is seen in review."""
    SNAPSHOT.write_text(json.dumps(figures(), indent=1, sort_keys=True) + "\n", encoding="utf-8")
