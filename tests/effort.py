"""What a piece of work costs, counted and not timed, so that a busy machine fails no test."""

from __future__ import annotations

import signal
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from types import FrameType

HANG = 10  # seconds of processor time after which a reader hangs; ours: a hundred times what the longest takes


def calls(work: Callable[[], object]) -> int:
    """How many functions the work calls, Python's own among them."""
    count = 0

    def tick(_frame: FrameType, event: str, _argument: object) -> None:
        nonlocal count
        count += event in ("call", "c_call")

    sys.setprofile(tick)
    try:
        work()
    finally:
        sys.setprofile(None)
    return count


@contextmanager
def no_hang() -> Iterator[None]:
    """Fail what has not ended after ``HANG`` seconds of processor time, where the system can tell."""

    def stop(_number: int, _frame: FrameType | None) -> None:
        raise AssertionError(f"hangs: more than {HANG} s")

    if not hasattr(signal, "setitimer"):
        yield
        return
    before = signal.signal(signal.SIGVTALRM, stop)
    signal.setitimer(signal.ITIMER_VIRTUAL, HANG)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_VIRTUAL, 0)
        signal.signal(signal.SIGVTALRM, before)
