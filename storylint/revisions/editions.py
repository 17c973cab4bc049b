"""One state of a book: files or a folder on the disk, or what a commit holds. Git's files are read through a temporary
copy, so that every format goes the one way through the house."""

from __future__ import annotations

import os
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
    """The drafts of one state, read. ``files`` are the paths on the disk where it comes from there; ``beside`` those that
    its drafts have now, or would have: there stand their stets.

    Of one that comes from git ``revision`` is the commit's name. Of the drafts asked for it does not have the ``new``
    and can't read the ``unread``; of its own those in ``gone`` are no longer on the disk under that path.
    """

    name: str
    drafts: tuple[Draft, ...] = ()
    unreadable: tuple[tuple[str, str], ...] = ()
    revision: str = ""
    new: tuple[Path, ...] = ()
    files: tuple[Path, ...] = ()
    beside: tuple[Path, ...] = ()
    unread: tuple[Path, ...] = ()
    gone: frozenset[str] = frozenset()

    def joined(self, other: Edition) -> Edition:
        """Both, of the same revision in two repositories."""
        names = ("drafts", "unreadable", "new", "unread")
        both = {name: getattr(self, name) + getattr(other, name) for name in names}
        return replace(self, gone=self.gone | other.gone, **both)

    def reading(self, run: Run) -> Reading:
        """All rules on this state."""
        return reading_of(self.drafts, run, self.unreadable)


def edition(spec: str, beside: Sequence[Path] = (), cache: Cache | None = None) -> Edition:
    """What the user means by FILE, FOLDER, REV:PATH or REV; of a REV alone the drafts ``beside`` are taken.

    What is there on the disk goes first. A draft's own repository is asked, wherever we are.
    """
    if is_there(spec):
        return on_disk(spec, cache)
    return of_path(spec, beside, cache) if ":" in spec else of_revision(spec, beside, cache)


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


def of_path(spec: str, beside: Sequence[Path], cache: Cache | None) -> Edition:
    """REV:PATH, the path from the top of the repository, or else from the folder we are in."""
    revision, _, path = spec.partition(":")
    here = Path.cwd() / path
    repositories = dict.fromkeys(filter(None, map(git.top, (Path.cwd(), here, *beside[:1]))))
    if not repositories:
        raise Misuse(f"{spec}: there is no such file or folder, and as a revision: {git.why_none(here)}.")
    commits = {each: commit for each in repositories if (commit := git.resolve(each, revision))}
    if not commits:
        raise Misuse(f"{spec}: is no file, no folder and no revision of this repository{near(spec)}.")
    for repository, commit in commits.items():
        for name in (name_in(repository, repository / path), name_in(repository, here)):
            if name is not None and (blobs := git.files(repository, commit, name)):
                drafts, unreadable = read(repository, blobs, lambda each: f"{revision}:{each}", (name,), cache)
                places = tuple(repository / blob.path for blob in blobs)
                return Edition(spec, drafts, unreadable, revision, beside=places)
    raise Misuse(f"{spec}: this revision has no such file or folder; 'git ls-tree -r {revision}' lists what it has.")


def name_in(repository: Path, path: Path) -> str | None:
    """The path as git writes it; None where it lies outside, or is a link that leads there."""
    try:
        return git.inside(path, repository)
    except Misuse:
        return None


def of_revision(spec: str, beside: Sequence[Path], cache: Cache | None) -> Edition:
    """What a revision has of the drafts, each repository asked for its own."""
    found = Edition(spec, revision=spec)
    for repository, paths in by_repository(spec, beside).items():
        commit = git.resolve(repository, spec)
        if commit:
            found = found.joined(of_drafts(spec, repository, commit, paths, cache))
        elif git.is_unborn(repository, spec):
            found = found.joined(Edition(spec, new=tuple(paths)))
        else:
            raise Misuse(f"{spec}: is no file, no folder and no revision of this repository{near(spec)}.")
    return found


def by_repository(spec: str, beside: Sequence[Path]) -> dict[Path, list[Path]]:
    """The drafts by the repository in which they lie; a complaint where there is none, or no draft."""
    if not beside:
        here = git.top(Path.cwd())
        if here and git.resolve(here, spec):
            raise Misuse(f"{spec}: is a revision, and nothing says of which draft; write {spec}:PATH.")
        raise Misuse(f"{spec}: is no file, no folder and no revision of a repository here{near(spec)}.")
    tops = {folder: git.top(folder) for folder in {path.absolute().parent for path in beside}}
    found: dict[Path, list[Path]] = {}
    for path in beside:
        repository = tops[path.absolute().parent] or git.top(path)
        if repository is None:
            raise Misuse(f"{spec}: there is no such file or folder, and as a revision: {path}: {git.why_none(path)}.")
        found.setdefault(repository, []).append(path)
    return found


def of_drafts(spec: str, repository: Path, commit: str, beside: Sequence[Path], cache: Cache | None) -> Edition:
    """What a commit has of these drafts. Where it lacks some, also the drafts that are no longer there: they may have
    been renamed, or moved, and what became of whom is seen by the persons."""
    known = {blob.path: blob for blob in git.files(repository, commit, "")}
    own = {path: blob for path in beside if (blob := known.get(name_in(repository, path) or ""))}
    own = {path: blob for path, blob in own.items() if (git.content(repository, blob) or b"?").strip()}
    new = [path for path in beside if path not in own]
    gone = [blob for blob in known.values() if not os.path.lexists(repository / blob.path)] if new else []
    roots = (*(blob.path for blob in own.values()), *([""] if gone else []))
    drafts, unreadable = read(repository, [*own.values(), *gone], lambda name: f"{spec}:{name}", roots, cache)
    theirs = {f"{spec}:{blob.path}": path for path, blob in own.items()}
    return Edition(
        spec,
        drafts,
        tuple((name, why) for name, why in unreadable if name in theirs),
        spec,
        new=tuple(new),
        unread=tuple(theirs[name] for name, _ in unreadable if name in theirs),
        gone=frozenset(draft.path for draft in drafts if draft.path not in theirs),
    )


def read(
    repository: Path,
    blobs: Sequence[git.Blob],
    shown: Callable[[str], str],
    roots: Sequence[str],
    cache: Cache | None = None,
) -> tuple[tuple[Draft, ...], tuple[tuple[str, str], ...]]:
    """The drafts among files of a commit, and what can't be read with the reason. ``shown``: a file's path as told;
    ``roots``: the files and folders that are asked for, in which drafts are looked for as on the disk."""
    from storylint.draft import opening

    drafts: list[Draft] = []
    unreadable: list[tuple[str, str]] = []
    wanted = [blob for blob in blobs if blob.path in roots or suffix(blob.path) in opening.DRAFT_SUFFIXES]
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
        found = opening.drafts_in([Path(place, *PurePosixPath(root).parts) for root in roots])
        for copy in (copy for copy in found if copy in names):
            try:
                drafts.append(replace(opening.read(copy, cache), path=names[copy]))
            except Unreadable as fault:
                unreadable.append((names[copy], fault.why))
    return tuple(opening.without_twins(drafts)), tuple(unreadable)


def suffix(path: str) -> str:
    """The ending of a file's name, small."""
    return PurePosixPath(path).suffix.lower()
