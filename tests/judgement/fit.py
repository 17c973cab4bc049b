"""Fit the weights of ``storylint.study.voice`` on the tuning half of the labelled drafts.

Plain logistic regression with a ridge penalty, by Newton's method. The half that is only measured on is never read here.
"""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import numpy as np

from storylint.study import voice
from storylint.study.study import Book, study
from tests.judgement.labelled import LabelledDraft, load_all

RIDGE = {"machine alone": 3.0, "world alone": 3.0, "claim alone": 3.0, "machine": 2.0, "claim": 4.0, "world": 2.0}
NEIGHBOURS = (
    "section",
    "paragraph",
    "before",
    "after",
    "alone",
    "pronoun after",
    "world around",
    "thing",
    "it after",
    "nothing,",
)
OUT = Path(voice.__file__).with_name("weights.toml")


def truth(draft: LabelledDraft, book: Book) -> list[frozenset[str]]:
    """The labels of each of the book's sentences, in order."""
    by_text: dict[str, list[frozenset[str]]] = {}
    for each in draft.sentences:
        if not each.child:
            by_text.setdefault(each.text, []).append(each.labels)
    out = []
    for sentence in book.sentences:
        found = by_text.get(sentence.text)
        out.append(found.pop(0) if found and len(found) > 1 else found[0] if found else frozenset())
    return out


def wants(name: str, labels: frozenset[str]) -> bool:
    """What each judgement should say of a sentence with these labels."""
    if name.startswith("machine"):
        return "B" in labels
    if name.startswith("claim"):
        return "C" in labels
    return "K" in labels


def solve(rows: np.ndarray, want: np.ndarray, ridge: float) -> np.ndarray:
    """Weights of a logistic regression; the last column of ``rows`` is the constant and not penalised."""
    weights = np.zeros(rows.shape[1])
    penalty = np.full(rows.shape[1], ridge)
    penalty[-1] = 1e-6
    for _ in range(50):
        p = 1 / (1 + np.exp(-rows @ weights))
        gradient = rows.T @ (want - p) - penalty * weights
        hessian = (rows * (p * (1 - p))[:, None]).T @ rows + np.diag(penalty)
        step = np.linalg.solve(hessian, gradient)
        weights = weights + step
        if np.abs(step).max() < 1e-8:
            break
    return weights


def train(name: str, features: Sequence[dict[str, float]], want: Sequence[bool]) -> dict[str, float]:
    """One judgement's weights by feature, the constant as 'base'."""
    keys = sorted({key for each in features for key in each})
    rows = np.array([[each.get(key, 0.0) for key in keys] + [1.0] for each in features])
    solved = solve(rows, np.array(want, dtype=float), RIDGE[name])
    return dict(zip([*keys, "base"], (round(float(w), 3) for w in solved), strict=True))


def fit(drafts: Sequence[LabelledDraft]) -> dict[str, dict[str, float]]:
    """First the judgements of a sentence by itself, then those that hear its neighbours."""
    books = [study(draft.sections) for draft in drafts]
    labels = [label for draft, book in zip(drafts, books, strict=True) for label in truth(draft, book)]
    marked = [bool(sentence.marks) for book in books for sentence in book.sentences]
    table: voice.Table = {}
    for stage in (voice.ALONE, voice.JUDGEMENTS):
        heard = [each for book in books for each in voice.features_in(book, table)]
        features = heard
        if stage is voice.ALONE:
            features = [{k: x for k, x in f.items() if not k.startswith(NEIGHBOURS)} for f in heard]
        for name in stage:
            # A sentence with a mark of its own is a claim by its author's word: only the others have to be judged.
            rows = [i for i, mark in enumerate(marked) if not (mark and name.startswith("claim"))]
            table[name] = train(name, [features[i] for i in rows], [wants(name, labels[i]) for i in rows])
    return table


def as_toml(table: dict[str, dict[str, float]]) -> str:
    """The table with its provenance."""
    lines = [
        "# Fitted by `python -m tests.judgement fit` on the tuning half of the labelled drafts (tests/judgement/tune).",
        "# Logistic regression; a positive weight speaks for the judgement, a negative one against it. Features: study/voice.py.",
    ]
    for name, weights in table.items():
        lines += ["", f'["{name}"]', *(f'"{key}" = {value}' for key, value in weights.items())]
    return "\n".join(lines) + "\n"


def main() -> None:
    """Refit and write ``weights.toml``."""
    OUT.write_text(as_toml(fit(load_all("tune"))), encoding="utf-8")
