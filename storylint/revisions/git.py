"""Reading from a git repository, and never anything but reading: no lock is taken, no network touched, no file written.

Only git's own plumbing is asked, through its command; where git is not installed, nothing here works and says so.
"""

from __future__ import annotations

import os
import re
import subprocess
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import cache
from pathlib import Path

from storylint.complaints import Misuse

LARGE_FILE = b"version https://git-lfs"  # what a repository holds in place of a file that is kept elsewhere


@dataclass(frozen=True, slots=True)
class Commit:
    """One commit: its full hash, when it was made, and the first line of what was said of it."""

    id: str
    when: datetime
    subject: str


@dataclass(frozen=True, slots=True)
class Blob:
    """A file in a commit: its path from the top of the repository, and git's hash of its content."""

    path: str
    id: str


@cache
def environment() -> dict[str, str]:
    """The environment for git. What a hook sets for its own commit must not steer us, hence no GIT_ variable is kept.

    No optional lock: git must not refresh the index. No protocol: a repository that fetches missing files on demand
    must not do so. No question: nobody is there to answer.
    """
    kept = {name: value for name, value in os.environ.items() if not name.startswith("GIT_")}
    return kept | {
        "GIT_OPTIONAL_LOCKS": "0",
        "GIT_ALLOW_PROTOCOL": "none",
        "GIT_NO_LAZY_FETCH": "1",
        "GIT_TERMINAL_PROMPT": "0",
        "GIT_LITERAL_PATHSPECS": "1",  # a file name with a star is a file name
        "LC_ALL": "C",
    }


def call(folder: Path, *words: str) -> subprocess.CompletedProcess[bytes]:
    """Run ``git words…`` in the folder; OSError where there is no git."""
    command = ["git", "-c", "core.fsmonitor=false", "-c", "core.quotePath=false", "--no-pager", *words]
    return subprocess.run(command, cwd=folder, env=environment(), input=b"", capture_output=True, check=False)


def ask(folder: Path, *words: str) -> bytes | None:
    """What ``git words…`` prints when run in the folder; None where it fails."""
    try:
        done = call(folder, *words)
    except OSError:
        return None
    return done.stdout if done.returncode == 0 else None


def line(folder: Path, *words: str) -> str | None:
    """The one line that git prints."""
    out = ask(folder, *words)
    return None if out is None else out.decode("utf-8", "surrogateescape").strip()


def folder_of(path: Path) -> Path:
    """The nearest folder that is there, from which git can be asked about the path."""
    path = path.absolute()
    return next((folder for folder in (path, *path.parents) if folder.is_dir()), Path.cwd())


def top(path: Path) -> Path | None:
    """The top folder of the repository in which the path lies, or else what it links to; None outside of any."""
    found = line(folder_of(path), "rev-parse", "--show-toplevel")
    if not found and path.is_symlink():
        found = line(folder_of(path.resolve()), "rev-parse", "--show-toplevel")
    return Path(found) if found else None


def need(path: Path) -> Path:
    """The top folder, or a complaint."""
    found = top(path)
    if found is None:
        raise Misuse(f"{path}: {why_none(path)}; name a file or folder instead.")
    return found


def why_none(path: Path) -> str:
    """Why git knows no repository in which the path lies, as git tells it with the cure where it minds anything else."""
    try:
        told = " ".join(call(folder_of(path), "rev-parse", "--show-toplevel").stderr.decode("utf-8", "replace").split())
    except OSError:
        return "git is not installed"
    if "not a git repository" in told:
        return "lies in no git repository"
    if "must be run in a work tree" in told:
        return "lies in a bare repository, which holds no drafts to work on; clone it, and work in the clone"
    return f"git says: {told.removeprefix('fatal: ')}"


def inside(path: Path, repository: Path) -> str:
    """The path as git writes it: from the top, with slashes; '' for the top itself."""
    try:
        name = path.resolve().relative_to(repository.resolve()).as_posix()
        return "" if name == "." else name
    except ValueError:
        raise Misuse(f"{path}: does not lie in the repository {repository}; name a draft that does.") from None


def head(path: Path) -> str | None:
    """The hash of the commit that is checked out where the path lies; None where there is none."""
    return resolve(folder_of(path), "HEAD")


def resolve(folder: Path, revision: str) -> str | None:
    """The full hash of the commit that a revision names; None where it names none."""
    if revision.startswith("-"):
        return None
    return line(folder, "rev-parse", "--verify", "--quiet", "--end-of-options", f"{revision}^{{commit}}")


def is_unborn(folder: Path, revision: str) -> bool:
    """True for HEAD in a repository that has no commit yet."""
    return revision in ("HEAD", "@") and top(folder) is not None and resolve(folder, "HEAD") is None


def files(repository: Path, commit: str, path: str) -> list[Blob]:
    """All files of a commit at the path: the file itself, or what lies below the folder; none where it has neither."""
    where = [path] if path else []
    out = ask(repository, "ls-tree", "-r", "-z", "--full-tree", commit, "--", *where) or b""
    entries = (entry.decode("utf-8", "surrogateescape").split("\t", 1) for entry in out.split(b"\0") if entry)
    blobs = [(about.split(), name) for about, name in entries]
    return [Blob(name, about[2]) for about, name in blobs if about[1] == "blob" and about[0] != "120000"]


def content(repository: Path, blob: Blob) -> bytes | None:
    """The bytes of a file; None where this copy of the repository does not hold them."""
    data = ask(repository, "cat-file", "blob", blob.id)
    return large_file(repository, data) if data and data.startswith(LARGE_FILE) else data


def large_file(repository: Path, pointer: bytes) -> bytes | None:
    """The bytes of a large file, which Git LFS keeps in a folder of its own once it has been fetched (its specification,
    docs/spec.md, from memory); None where it is not there."""
    name = re.search(r"(?m)^oid sha256:([0-9a-f]{64})$", pointer.decode("ascii", "replace"))
    own = line(repository, "rev-parse", "--git-common-dir")
    try:
        id_ = name[1] if name else ""
        return Path(repository, own or ".git", "lfs", "objects", id_[:2], id_[2:4], id_).read_bytes()
    except OSError:
        return None


def commits(repository: Path, path: str) -> Iterator[tuple[Commit, str]]:
    """The commits that changed the path, oldest first, each with the path as it was then: a file's renames are
    followed. Those of the checked-out line alone, without its side branches."""
    out = history(repository, [] if is_folder(repository, path) else ["--follow", "--name-only"], path)
    for each in reversed(out.decode("utf-8", "surrogateescape").split("\x1e")[1:]):
        head, _, name = each.partition("\0")
        id_, seconds, subject = head.split("\x1f", 2)
        yield Commit(id_, datetime.fromtimestamp(int(seconds), UTC), subject), name.strip("\n\0") or path


def history(repository: Path, options: Sequence[str], path: str) -> bytes:
    """What git logs of the path, each commit behind a record separator."""
    form = "--format=%x1e%H%x1f%ct%x1f%s"
    words = ["-c", "log.showSignature=false", "log", "-z", "--first-parent", form, *options, "HEAD", "--"]
    return ask(repository, *words, *([path] if path else [])) or b""


def is_folder(repository: Path, path: str) -> bool:
    """True where the path is a folder in the commit that is checked out."""
    return not path or line(repository, "cat-file", "-t", f"HEAD:{path}") == "tree"
