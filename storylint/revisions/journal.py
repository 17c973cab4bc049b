"""A file of JSON lines that only ever grows.

One line is written by one call, behind a lock, and forced to the disk. What a crash or a full disk leaves of a line is
never mended and never in the way: the next line begins below it, and readers pass over it. No line that was whole is
ever touched again.
"""

from __future__ import annotations

import json
import os
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from storylint.complaints import Complaint

Entry = dict[str, Any]
PATIENCE = 10.0  # seconds to wait for another run that is writing
STEP = 0.02  # seconds between two tries
CHUNK = 1 << 16  # bytes read at a time from the end


class Refused(Complaint):
    """A line could not be written; ``str()`` says why and what to do. The lines before it are as they were."""


def read(path: Path) -> tuple[list[Entry], int]:
    """All whole lines, oldest first, and how many were cut off or are no entry. A file that is not there has none."""
    lines = list(forwards(path))
    found = [entry for entry in lines if entry is not None]
    return found, len(lines) - len(found)


def forwards(path: Path) -> Iterator[Entry | None]:
    """The lines from the first one on, None for each that was cut off or is no entry; one is in memory at a time."""
    try:
        with path.open("rb") as stream:
            yield from (parsed(line) for line in stream if line.strip())
    except FileNotFoundError:
        return
    except OSError as fault:
        raise Refused(f"{path}: can't be read ({reason(fault)}); check that you may open it.") from None


def parsed(line: bytes) -> Entry | None:
    """One line as an entry; None where it is none."""
    try:
        entry = json.loads(line, parse_constant=no_number)
    except (ValueError, RecursionError):
        return None
    return entry if isinstance(entry, dict) else None


def no_number(name: str) -> float:
    """NaN and infinity, which JSON does not have (RFC 8259, 6) and Python reads."""
    raise ValueError(name)


def backwards(path: Path) -> Iterator[Entry]:
    """The whole lines from the last one on, reading no more of the file than is asked for."""
    try:
        stream = path.open("rb")
    except OSError:
        return
    with stream:
        at = stream.seek(0, os.SEEK_END)
        rest: list[bytes] = []  # the pieces of a line whose beginning has not been reached, last piece first
        while at > 0:
            size = min(CHUNK, at)
            at = stream.seek(at - size)
            pieces = stream.read(size).split(b"\n")
            rest.append(pieces.pop())
            if pieces:
                yield from entries([b"".join(reversed(rest)), *reversed(pieces[1:])])
                rest = [pieces[0]]
        yield from entries([b"".join(reversed(rest))])


def entries(lines: list[bytes]) -> Iterator[Entry]:
    """Those of the lines that are entries."""
    return (entry for line in lines if (entry := parsed(line)) is not None)


def append(path: Path, make: Callable[[], Entry | None]) -> bool:
    """Write the line that ``make`` gives, or nothing where it gives None; True when a line was written.

    ``make`` is called when no other run can write, so that it sees the file as it stays. Raises Refused.
    """
    with alone(path) as handle:
        entry = make()
        if entry is None:
            return False
        line = json.dumps(entry, ensure_ascii=False, separators=(",", ":")).encode("utf-8", "backslashreplace") + b"\n"
        if is_cut_off(handle):
            line = b"\n" + line
            tell(
                f"{path}: its last line was cut off, by a crash perhaps; it stays as it is, and all before it is whole."
            )
        grow(handle, path, line)
        return True


@contextmanager
def alone(path: Path) -> Iterator[int]:
    """The file, open for adding at its end, while no other run can write to it."""
    try:
        handle = os.open(path, os.O_RDWR | os.O_CREAT | os.O_APPEND | getattr(os, "O_BINARY", 0), 0o666)
    except OSError as fault:
        raise Refused(f"{path}: can't be written ({reason(fault)}); nothing in it was changed.") from None
    try:
        with locked(handle, path):
            yield handle
    finally:
        os.close(handle)


def grow(handle: int, path: Path, data: bytes) -> None:
    """Write at the end; what a full disk leaves of it is taken away again."""
    before = os.fstat(handle).st_size
    try:
        while data:
            data = data[os.write(handle, data) :]
        os.fsync(handle)
    except OSError as fault:
        shorten(handle, before)
        raise Refused(f"{path}: can't be written ({reason(fault)}); what was in it is still there.") from None


def is_cut_off(handle: int) -> bool:
    """True when the file does not end with the end of a line."""
    size = os.fstat(handle).st_size
    if not size:
        return False
    os.lseek(handle, size - 1, os.SEEK_SET)
    return os.read(handle, 1) != b"\n"


def shorten(handle: int, size: int) -> None:
    """Take away what we ourselves wrote behind ``size``; where that fails, the next run writes below it."""
    try:
        if os.fstat(handle).st_size > size:
            os.ftruncate(handle, size)
    except OSError:
        pass


def tell(what: str) -> None:
    """One line on standard error."""
    from storylint.cli import say

    say(what)


def reason(fault: OSError) -> str:
    """What the system says, in small letters."""
    return (fault.strerror or "the disk does not answer").lower()


@contextmanager
def locked(handle: int, path: Path) -> Iterator[None]:
    """Hold the file's lock. It goes with the process, however that ends. A disk that knows no locks is used without."""
    take, free = locks()
    until = time.monotonic() + PATIENCE
    held = False
    while not held:
        try:
            take(handle)
            held = True
        except (BlockingIOError, PermissionError):
            if time.monotonic() > until:
                raise Refused(f"{path}: another run of storylint is writing to it; run this one again.") from None
            time.sleep(STEP)
        except OSError:
            break
    try:
        yield
    finally:
        if held:
            free(handle)


def locks() -> tuple[Callable[[int], None], Callable[[int], None]]:
    """How this system takes a lock without waiting, and how it frees it."""
    try:
        import fcntl
    except ImportError:  # Windows
        return windows_locks()
    how = fcntl.LOCK_EX | fcntl.LOCK_NB
    return (lambda handle: fcntl.flock(handle, how), lambda handle: fcntl.flock(handle, fcntl.LOCK_UN))


def windows_locks() -> tuple[Callable[[int], None], Callable[[int], None]]:
    """The lock of one byte far behind the end of the file, where nothing is ever written."""
    import msvcrt

    def at(handle: int, how: str) -> None:
        os.lseek(handle, 1 << 40, os.SEEK_SET)
        msvcrt.locking(handle, getattr(msvcrt, how), 1)  # type: ignore[attr-defined]

    return (lambda handle: at(handle, "LK_NBLCK"), lambda handle: at(handle, "LK_UNLCK"))
