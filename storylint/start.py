"""``storylint start``: a settings file to begin with."""

from __future__ import annotations

import argparse
from pathlib import Path

from storylint.complaints import Exit, Misuse
from storylint.settings import FILE, starter


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Where to write it."""
    parser.add_argument("folder", nargs="?", type=Path, default=Path(), help="where your drafts are (default: here)")
    parser.add_argument("--force", action="store_true", help="replace a settings file that is there")


def run(args: argparse.Namespace) -> int:
    """Write the file; an old one stays unless the author insists."""
    path = args.folder / FILE
    if path.exists() and not args.force:
        raise Misuse(f"{path}: is there already; open it, or replace it with --force.")
    try:
        path.write_text(starter(), encoding="utf-8")
    except OSError as fault:
        raise Misuse(f"{path}: can't be written ({fault.strerror}); name another folder.") from None
    print(f"{path} is written. Nothing in it is set yet: take away '# ' before what you want to change.")
    return Exit.CLEAN
