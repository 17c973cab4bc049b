"""A long book is judged by two processes at once, each with half of the rules.

The second process is a Python of its own, so that it works alike on every system; it gets the drafts as they were
read, studies them as the first does, and hands back what its rules say. What goes wrong with it costs time and nothing
else: the first process then does the other half too. On two cores a book of 100,000 words takes three fifths of the
time; below ``WORTH_IT`` the second start costs more than it saves.
"""

from __future__ import annotations

import gc
import os
import pickle
import subprocess
import sys
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from threading import Thread
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from storylint.draft.model import Draft
    from storylint.engine import Judged
    from storylint.settings import Settings

WORTH_IT = 25_000  # words
# These go by what the draft says of persons (``study.facts``), which takes as long as all that the others need:
# together, so that it is worked out once.
BY_FACTS = frozenset(("context", "dates", "living", "persons", "unbroken"))


def in_two(names: Iterable[str], words: int) -> tuple[list[str], list[str]]:
    """The rules of this process and of the second one; none for that where it is not worth it."""
    names = list(names)
    others = [name for name in names if name not in BY_FACTS]
    if words < WORTH_IT or cores() < 2 or not others or len(others) == len(names) or not sys.executable:
        return names, []
    return [name for name in names if name in BY_FACTS], others


def cores() -> int:
    """How many processor cores this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


class Second:
    """The second process; ``judged`` waits for what it says."""

    def __init__(self, drafts: Sequence[Draft], author: Settings, names: Sequence[str]) -> None:
        # -P and the path from here: no file beside the drafts may pass for a module of Python's
        code = f"import sys; sys.path[:] = {sys.path!r}; from storylint.halves import serve; serve()"
        self.job = pickle.dumps((drafts, author, names), pickle.HIGHEST_PROTOCOL)
        self.process = subprocess.Popen(
            [sys.executable, "-P", "-c", code],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
        )
        self.said = b""
        self.talk = Thread(target=self.speak, daemon=True)
        self.talk.start()

    def speak(self) -> None:
        """Give the job and take the answer, while the first process works."""
        try:
            self.said = self.process.communicate(self.job)[0]
        except (OSError, ValueError):
            self.said = b""

    def judged(self) -> Judged | None:
        """What its rules say; None if it failed."""
        self.talk.join()
        try:
            found: Judged | None = pickle.loads(self.said) if self.process.returncode == 0 else None
        except Exception:
            return None
        return found


@contextmanager
def second(drafts: Sequence[Draft], author: Settings, names: Sequence[str]) -> Iterator[Second | None]:
    """The second process at work on these rules; None where there are none or it can't be started."""
    try:
        other = Second(drafts, author, names) if names else None
    except OSError:
        other = None
    try:
        yield other
    finally:
        if other is not None:
            other.process.kill()
            other.talk.join()


def serve() -> None:
    """What the second process does."""
    from storylint.engine import Run, judged_by

    gc.set_threshold(200_000, 20, 50)  # as in ``cli.entry``
    drafts, author, names = pickle.load(sys.stdin.buffer)
    answer = pickle.dumps(judged_by(drafts, Run(author), names), pickle.HIGHEST_PROTOCOL)
    sys.stdout.buffer.write(answer)
