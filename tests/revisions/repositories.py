"""A git repository for the tests, and proof that nothing in it was touched."""

from __future__ import annotations

import hashlib
import os
import subprocess
from pathlib import Path


def git(folder: Path, *words: str, day: int = 0) -> str:
    """Run git as an author would; the commit's day is a day of March 2026."""
    when = f"2026-03-{day + 1:02}T10:00:00+00:00"
    env = {k: v for k, v in os.environ.items() if not k.startswith("GIT_")}
    env |= {"GIT_AUTHOR_DATE": when, "GIT_COMMITTER_DATE": when, "GIT_CONFIG_GLOBAL": os.devnull}
    who = ["-c", "user.name=Nerys", "-c", "user.email=n@example.org", "-c", "init.defaultBranch=main"]
    done = subprocess.run(["git", *who, *words], cwd=folder, env=env, check=True, capture_output=True, text=True)
    return done.stdout.strip()


def commit(folder: Path, day: int, **texts: str | None) -> str:
    """Write the files named as ``name`` says (None takes one away), commit, give the hash."""
    if not (folder / ".git").exists():
        git(folder, "init", "-q")
    for key, text in texts.items():
        file = folder / name(key)
        if text is None:
            file.unlink()
            continue
        file.parent.mkdir(parents=True, exist_ok=True)
        file.write_text(text, encoding="utf-8")
    git(folder, "add", "-A", day=day)
    git(folder, "commit", "-qm", f"day {day}", day=day)
    return git(folder, "rev-parse", "HEAD")


def name(key: str) -> str:
    """The file that a keyword means: 'part___a__md' is part/a.md."""
    return key.replace("___", "/").replace("__", ".")


def state(folder: Path) -> dict[str, str]:
    """Every file of the repository with a hash of what is in it, git's own files among them."""
    return {
        str(file.relative_to(folder)): hashlib.sha256(file.read_bytes()).hexdigest()
        for file in sorted(folder.rglob("*"))
        if file.is_file() and file.name != "storylint-log.jsonl"
    }
