"""A long book is judged by two processes at once, each with half of the rules.

The second process is a copy of the first, made when the book has been studied, and hands back what its rules say. What
goes wrong with it costs time and nothing else: the first process then does the other half too. Systems that can't copy
a process at little cost (Windows, macOS) do without.
"""

from __future__ import annotations

import os
import pickle
import signal
import sys
import warnings
from collections.abc import Callable, Iterable, Iterator
from contextlib import contextmanager, suppress
from threading import Thread
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from storylint.engine import Judged

WORTH_IT = 5_000  # words; below, the copy costs more than it saves
CAN_COPY = sys.platform == "linux"
# These go by what the draft says of persons (``study.facts``), which takes as long as all that the others need:
# together, so that it is worked out once.
BY_FACTS = frozenset(("context", "dates", "living", "persons", "unbroken"))


def in_two(names: Iterable[str], words: int) -> tuple[list[str], list[str]]:
    """The rules of this process and of the second one; none for that where it is not worth it."""
    names = list(names)
    others = [name for name in names if name not in BY_FACTS]
    if not CAN_COPY or words < WORTH_IT or cores() < 2 or not others or len(others) == len(names):
        return names, []
    return [name for name in names if name in BY_FACTS], others


def cores() -> int:
    """How many processor cores this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


class Second:
    """The second process at work; ``judged`` waits for what it says."""

    def __init__(self, work: Callable[[], Judged]) -> None:
        out, into = os.pipe()
        try:
            self.process = copied()
        except OSError:
            os.close(out)
            raise
        else:
            if not self.process:
                answer(work, into)
        finally:
            os.close(into)
        self.said = b""
        self.talk = Thread(target=self.listen, args=(out,), daemon=True)
        self.talk.start()

    def listen(self, out: int) -> None:
        """Take the answer, while the first process works."""
        with os.fdopen(out, "rb") as stream:
            self.said = stream.read()

    def judged(self) -> Judged | None:
        """What its rules say; None if it failed."""
        self.talk.join()
        try:
            found: Judged = pickle.loads(self.said)
        except Exception:
            return None
        return found

    def end(self) -> None:
        """Leave no process behind."""
        with suppress(ProcessLookupError):
            os.kill(self.process, signal.SIGKILL)
        os.waitpid(self.process, 0)
        self.talk.join()


def copied() -> int:
    """Copy this process: gives 0 in the copy, its id in the first. Raises OSError."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)  # that threads are not copied: the work needs none
        return os.fork()


def answer(work: Callable[[], Judged], into: int) -> None:
    """What the second process does, and its end: nothing that the first had begun is written or tidied up twice."""
    try:
        data = pickle.dumps(work(), pickle.HIGHEST_PROTOCOL)
        with os.fdopen(into, "wb") as stream:
            stream.write(data)
    finally:
        os._exit(0)


@contextmanager
def second(work: Callable[[], Judged] | None) -> Iterator[Second | None]:
    """The second process at this work; None where there is none or it can't be started."""
    try:
        other = Second(work) if work else None
    except OSError:
        other = None
    try:
        yield other
    finally:
        if other is not None:
            other.end()
