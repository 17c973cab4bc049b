"""What two processes do at once.

A copy of this process imports spaCy while the draft is read, and cuts it into tokens while the rules are read in; a
long book is then judged by two, each with half of the rules: this one and a copy made when the book has been studied.
That one hears the voices first and tells this one, which works out the facts meanwhile. What goes wrong with a copy
costs time and nothing else: this process then does its work too. Systems that can't copy a process at little cost
(Windows, macOS) do without.
"""

from __future__ import annotations

import atexit
import marshal
import os
import select
import signal
import sys
import warnings
from collections import deque
from collections.abc import Callable, Iterable, Iterator, Sequence
from contextlib import contextmanager, suppress
from queue import SimpleQueue
from threading import Lock, RLock, Thread
from typing import IO, Any, NoReturn

from storylint import cache

Work = Callable[[], Iterator[object]]  # gives, one after another, what the first process is told
AT_ONCE = 100  # texts that are cut before the first process is told: of a long book it never holds all
SIZE = 8  # bytes in which the length of an answer is told
WORTH_IT = 5_000  # words; below, the copy costs more than it saves
CAN_COPY = sys.platform == "linux"
# These go by what the draft says of persons (``study.facts``), which takes as long as all that the others need:
# together, so that it is worked out once.
BY_FACTS = frozenset(("context", "dates", "living", "persons", "unbroken"))
FIRST = BY_FACTS | {"leftovers", "openings"}  # so both processes are done at about the same time
# These go by whose voice a sentence has (``study.voice``): that of the first process is told it by the second.
BY_VOICES = frozenset(("boilerplate", "context", "templates", "unsourced"))


def in_two(names: Iterable[str], words: int) -> tuple[list[str], list[str]]:
    """The rules of this process and of the second one; none for that where it is not worth it."""
    names = list(names)
    others = [name for name in names if name not in FIRST]
    if not CAN_COPY or words < WORTH_IT or cores() < 2 or not others or BY_FACTS.isdisjoint(names):
        return names, []
    return [name for name in names if name in FIRST], others


def cores() -> int:
    """How many processor cores this process may use."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1


class Second:
    """The second process at work; ``answer`` waits for the next thing that it says."""

    def __init__(self, work: Work) -> None:
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
        self.said: SimpleQueue[bytes] = SimpleQueue()
        self.talk = Thread(target=self.listen, args=(out,), daemon=True)
        self.talk.start()

    def listen(self, out: int) -> None:
        """Take the answers, while the first process works; an empty one where there is no further."""
        with os.fdopen(out, "rb") as stream:
            while size := stream.read(SIZE):
                self.said.put(stream.read(int.from_bytes(size, "big")))
        self.said.put(b"")

    def answer(self) -> Any:
        """What it has worked out next; None if it failed."""
        try:
            return cache.read(self.said.get())
        except Exception:
            self.said.put(b"")  # nothing will come after what could not be read
            return None

    def end(self) -> None:
        """Leave no process behind."""
        end(self.process)
        self.talk.join()


def end(process: int) -> None:
    """End a copy, and forget it."""
    with suppress(ChildProcessError):  # it is forgotten already
        if os.waitpid(process, os.WNOHANG) == (0, 0):
            os.kill(process, signal.SIGKILL)
            os.waitpid(process, 0)


def copied() -> int:
    """Copy this process: gives 0 in the copy, its id in the first. Raises OSError."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)  # that threads are not copied: the work needs none
        return os.fork()


class Tokens:
    """A copy of this process that imports spaCy and cuts texts into tokens, while this one gets ready to judge them.

    It lives as long as this process: it waits for texts, and ends when there is nobody left to send any.
    """

    def __init__(self) -> None:
        texts, ask = (os.fdopen(end, mode) for end, mode in zip(os.pipe(), ("rb", "wb"), strict=True))
        answers, say = (os.fdopen(end, mode) for end, mode in zip(os.pipe(), ("rb", "wb"), strict=True))
        with texts, say:
            self.process = copied()
            if not self.process:
                ask.close()
                answers.close()
                tokens_for(texts, say)
        self.to, self.back = ask, answers
        self.known: dict[str, bytes] = {}  # by a text, where its tokens are
        self.asked: deque[list[str]] = deque()  # what the copy has been sent, as it gives it back
        self.one_at_a_time = RLock()

    def ask(self, texts: list[str]) -> None:
        """Have these texts cut, and do not wait for it."""
        with self.one_at_a_time:
            while self.asked:  # else both might wait for the other to read
                self.take()
            marshal.dump(texts, self.to)
            self.to.flush()
            self.asked += [texts[at : at + AT_ONCE] for at in range(0, len(texts), AT_ONCE)]

    def take(self) -> None:
        """Take the next of what was asked for."""
        self.known.update(zip(self.asked.popleft(), marshal.load(self.back), strict=True))

    def of(self, text: str) -> bytes:
        """Where the tokens of a text are; nothing where the copy has failed."""
        try:
            with self.one_at_a_time:
                if text not in self.known and not any(text in texts for texts in self.asked):
                    self.ask([text])
                while text not in self.known:
                    self.take()
                return self.known.pop(text)
        except BROKEN:
            forget()
            return b""

    def end(self) -> None:
        """Leave neither a process nor an open file behind."""
        end(self.process)
        for file in (self.to, self.back):
            with suppress(OSError):
                file.close()


BROKEN = (OSError, EOFError, ValueError, TypeError)  # what comes of asking a copy that has failed
cutters: list[Tokens] = []  # the copy that cuts texts, if there is one
first_of_all = Lock()  # so that threads make one


def get_ready() -> None:
    """Let a copy of this process import spaCy, because texts will have to be cut; nothing where that saves nothing."""
    if not CAN_COPY or cores() < 2 or "spacy" in sys.modules:
        return
    with suppress(OSError), first_of_all:
        if not cutters:
            cutters.append(Tokens())


def cut_ahead(texts: Sequence[str]) -> None:
    """Let the copy begin to cut these texts into tokens."""
    get_ready()
    try:
        for cutter in cutters[:1]:
            cutter.ask(list(texts))
    except BROKEN:
        forget()


@atexit.register
def forget() -> None:
    """End the copy that cuts texts, and wait for what is done aside."""
    while cutters:
        cutters.pop().end()
    settle()


aside_now: list[int] = []  # the copies that do something aside


def aside(work: Callable[[], None]) -> None:
    """Have a copy do this, which nothing in this process waits for before its end; where there is none, do it here."""
    try:
        process = copied() if CAN_COPY and cores() > 1 else None
    except OSError:
        process = None
    if process is None:
        work()
    elif process:
        aside_now.append(process)
    else:
        try:
            work()
        finally:
            os._exit(0)


def settle() -> None:
    """Wait until all that was left to copies is done."""
    while aside_now:
        with suppress(ChildProcessError):
            os.waitpid(aside_now.pop(), 0)


def still_cutting() -> bool:
    """True as long as the copy has not cut the first texts."""
    return any(not select.select([cutter.back], [], [], 0)[0] for cutter in tuple(cutters))


def places_of(text: str) -> bytes:
    """Where the tokens of a text are, by the copy that cuts texts (see ``study.places_of``); nothing where there is no
    copy."""
    return next((cutter.of(text) for cutter in tuple(cutters)), b"")


def tokens_for(texts: IO[bytes], say: IO[bytes]) -> NoReturn:
    """Cut what the first process sends, until it is gone."""
    try:
        from storylint.study import study

        sent: SimpleQueue[list[str] | None] = SimpleQueue()
        Thread(target=take_all, args=(texts, sent), daemon=True).start()  # so that the first process need not wait
        study.english()
        while (asked := sent.get()) is not None:
            for at in range(0, len(asked), AT_ONCE):
                marshal.dump([study.places_of(text) for text in asked[at : at + AT_ONCE]], say)
                say.flush()
    finally:
        os._exit(0)


def take_all(texts: IO[bytes], sent: SimpleQueue[list[str] | None]) -> None:
    """Take what the first process sends as it comes; None at its end."""
    with suppress(Exception):
        while True:
            sent.put(marshal.load(texts))
    sent.put(None)


def answer(work: Work, into: int) -> NoReturn:
    """What the second process does, and its end: nothing that the first had begun is written or tidied up twice."""
    cutters.clear()
    aside_now.clear()
    try:
        with os.fdopen(into, "wb") as stream:
            for found in work():
                data = cache.written(found)
                stream.write(len(data).to_bytes(SIZE, "big") + data)
                stream.flush()
    finally:
        os._exit(0)


@contextmanager
def second(work: Work | None) -> Iterator[Second | None]:
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
