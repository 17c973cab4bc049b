"""One state of a book: files or a folder on the disk, or what a commit holds. Git's files are read through a temporary
copy, so that every format goes the one way through the house."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path, PurePosixPath
from tempfile import TemporaryDirectory

from storylint.cache import Cache
from storylint.complaints import Misuse, Unreadable
from storylint.draft.model import Draft
from storylint.engine import Run, reading_of
from storylint.findings import Reading
from storylint.revisions import git

KEPT_ELSEWHERE = "is not in this copy of the repository; get it there first, as with 'git fetch' or 'git lfs pull'"


@dataclass(frozen=True, slots=True)
class Edition:
    """The drafts of one state, read. ``revision`` is the commit's name where it comes from git; ``new`` are those of
    the drafts asked for that it does not have; ``files`` the paths on the disk where it comes from there; ``beside`` are
    the paths that its drafts have now, or would have: there stand their stets."""

    name: str
    drafts: tuple[Draft, ...] = ()
    unreadable: tuple[tuple[str, str], ...] = ()
    revision: str = ""
    new: tuple[Path, ...] = ()
    files: tuple[Path, ...] = ()
    beside: tuple[Path, ...] = ()

    def reading(self, run: Run) -> Reading:
        """All rules on this state."""
        return reading_of(self.drafts, run, self.unreadable)


def edition(spec: str, beside: Sequence[Path] = (), cache: Cache | None = None) -> Edition:
    """What the user means by FILE, FOLDER, REV:PATH or REV; of a REV alone the drafts ``beside`` are taken.

    What is there on the disk goes first.
    """
    if is_there(spec):
        return on_disk(spec, cache)
    where = Path.cwd() if git.top(Path.cwd()) or not beside else beside[0]
    repository = git.top(where)
    revision, colon, path = spec.partition(":")
    if repository is None:
        raise Misuse(f"{spec}: there is no such file or folder{', and no git repository here' if colon else ''}.")
    commit = git.resolve(repository, revision)
    if commit is None and not colon and beside and git.is_unborn(repository, revision):
        return Edition(spec, revision=revision, new=tuple(beside))
    if commit is None or not (colon or beside):
        raise Misuse(f"{spec}: is no file, no folder and no revision of this repository{near(spec)}.")
    if colon:
        return of_path(spec, repository, commit, path, cache)
    return of_drafts(spec, repository, commit, beside, cache)


def is_there(spec: str) -> bool:
    """True for a file or folder on the disk."""
    try:
        return Path(spec).exists()
    except (OSError, ValueError):  # no name that a disk can have
        return False


def near(spec: str) -> str:
    """The nearest name in the same folder, as a question."""
    import difflib

    try:
        names = [entry.name for entry in Path(spec).parent.iterdir()]
    except (OSError, ValueError):
        return ""
    found = difflib.get_close_matches(Path(spec).name, names, 1, 0.7)
    return f"; did you mean '{found[0]}'?" if found else ""


def on_disk(spec: str, cache: Cache | None) -> Edition:
    """A file or a folder, read."""
    from storylint.draft import opening

    files = opening.drafts_in([Path(spec)])
    drafts, unreadable = [], []
    for file in files:
        try:
            drafts.append(opening.read(file, cache))
        except Unreadable as fault:
            unreadable.append((fault.path, fault.why))
    return Edition(
        spec, tuple(opening.without_twins(drafts)), tuple(unreadable), files=tuple(files), beside=tuple(files)
    )


def of_path(spec: str, repository: Path, commit: str, path: str, cache: Cache | None) -> Edition:
    """REV:PATH, the path from the top of the repository, or else from the folder we are in."""
    revision = spec.partition(":")[0]
    tries = (path.removeprefix("./").rstrip("/"), git.inside(Path.cwd() / path, repository))
    blobs = next((blobs for each in tries if (blobs := git.files(repository, commit, each))), None)
    if blobs is None:
        raise Misuse(
            f"{spec}: this revision has no such file or folder; 'git ls-tree -r {revision}' lists what it has."
        )
    drafts, unreadable = read(repository, blobs, lambda name: f"{revision}:{name}", cache)
    return Edition(spec, drafts, unreadable, revision, beside=tuple(repository / blob.path for blob in blobs))


def of_drafts(spec: str, repository: Path, commit: str, beside: Sequence[Path], cache: Cache | None) -> Edition:
    """What a commit has of these drafts, and of drafts in their folders that are no longer there: a draft may have been
    renamed since."""
    blobs: dict[str, git.Blob] = {}
    new: list[Path] = []
    for path in beside:
        own = git.files(repository, commit, git.inside(path, repository))
        blobs |= {blob.path: blob for blob in own}
        if not own:
            new.append(path)
    if new:
        folders = {git.inside(path.resolve().parent, repository) for path in new}
        gone = (blob for folder in folders for blob in git.files(repository, commit, folder))
        blobs |= {blob.path: blob for blob in gone if not (repository / blob.path).exists()}
    drafts, unreadable = read(repository, list(blobs.values()), lambda name: f"{spec}:{name}", cache)
    return Edition(spec, drafts, unreadable, spec, tuple(new))


def read(
    repository: Path, blobs: Sequence[git.Blob], shown: Callable[[str], str], cache: Cache | None = None
) -> tuple[tuple[Draft, ...], tuple[tuple[str, str], ...]]:
    """The drafts among files of a commit, and what can't be read with the reason. ``shown``: a file's path as told."""
    from storylint.draft import opening

    drafts: list[Draft] = []
    unreadable: list[tuple[str, str]] = []
    wanted = [blob for blob in blobs if suffix(blob.path) in opening.DRAFT_SUFFIXES] if len(blobs) > 1 else blobs
    with TemporaryDirectory(prefix="storylint-") as place:
        names: dict[Path, str] = {}
        for blob in wanted:
            data = git.content(repository, blob)
            if data is None:
                unreadable.append((shown(blob.path), KEPT_ELSEWHERE))
                continue
            copy = Path(place, *Path(blob.path).parts)
            copy.parent.mkdir(parents=True, exist_ok=True)
            copy.write_bytes(data)
            names[copy] = shown(blob.path)
        found = opening.drafts_in([Path(place)]) if len(names) > 1 else list(names)
        for copy in (copy for copy in found if copy in names):
            try:
                drafts.append(replace(opening.read(copy, cache), path=names[copy]))
            except Unreadable as fault:
                unreadable.append((names[copy], fault.why))
    return tuple(opening.without_twins(drafts)), tuple(unreadable)


def suffix(path: str) -> str:
    """The ending of a file's name, small."""
    return PurePosixPath(path).suffix.lower()
