"""The command line. Nothing heavy is imported before it is known which command is meant."""

from __future__ import annotations

import argparse
import gc
import importlib
import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from importlib.util import find_spec
from pathlib import Path
from typing import Any, NoReturn

from storylint import __version__
from storylint.complaints import Complaint, Exit, Misuse, Unreadable

# command → (module with ``add_arguments(parser)`` and ``run(args) -> int``, what it does)
COMMANDS = {
    "lint": ("storylint.lint", "read drafts, score every person, list what to mend first"),
    "compare": ("storylint.revisions.compare", "two revisions side by side: what got better, what was lost"),
    "progress": ("storylint.revisions.progress", "scores and readability over all recorded revisions"),
    "markup": ("storylint.repair.markup", "a review copy of a .docx or .odt with the findings as comments"),
    "redact": ("storylint.repair.redact", "a copy without the particulars of people who may be living"),
    "relink": ("storylint.repair.relink", "a copy in which typed note digits have become real notes"),
    "stet": ("storylint.revisions.stet", "let a finding stand"),
    "start": ("storylint.start", "write a settings file with every setting explained"),
    "rulebook": ("storylint.rulebook", "what each rule means, with examples"),
}


def entry() -> None:
    """The ``storylint`` command."""
    # A book is millions of small objects that are all needed to the end: looking for garbage among them more seldom
    # than Python does saves a tenth of the time and costs no memory (measured on 400,000 words).
    gc.set_threshold(1_000_000, 20, 50)
    leave(main(sys.argv[1:]))


def leave(code: int) -> NoReturn:
    """End at once: to take a book apart in memory, object by object, takes as long as to show its report."""
    for stream in (sys.stdout, sys.stderr):
        with suppress(OSError, ValueError):  # whoever read it has gone, or it is closed
            stream.flush()
    with suppress(KeyboardInterrupt):  # all that was asked for is done
        if halves := sys.modules.get("storylint.halves"):
            halves.forget()
    os._exit(code)


def main(argv: list[str]) -> int:
    """Run one command; whatever happens, the user meets one line and an exit code, never a traceback."""
    try:
        if argv and argv[0] not in COMMANDS and not argv[0].startswith("-"):
            raise Misuse(no_command(argv[0]))
        args = parser_for(argv).parse_args(argv or ["--help"])
        code = int(importlib.import_module(COMMANDS[args.command][0]).run(args))
        with printing():
            return code
    except Complaint as complaint:
        say(complaint)
        return Exit.UNREADABLE if isinstance(complaint, Unreadable) else Exit.USAGE
    except KeyboardInterrupt:
        say("stopped; nothing was changed.")
        return 130
    except BrokenPipeError:
        nobody_reads()
        return Exit.CLEAN
    except OSError as fault:  # a folder that may not be entered, a disk that does not answer
        say(f"{fault.filename or 'a file'}: can't be used ({fault.strerror or fault}); check that you may open it.")
        return Exit.UNREADABLE
    except Exception as fault:
        say(f"a fault of storylint's own ({type(fault).__name__}: {fault}); your draft is unchanged. Please report it.")
        return Exit.RULE_CRASHED


@contextmanager
def printing() -> Iterator[None]:
    """Around what prints the result: a reader who has gone, such as a pager, changes neither what else is to be done nor
    the exit code, and a full disk is told as such."""
    try:
        yield
        sys.stdout.flush()
    except BrokenPipeError:
        nobody_reads()
    except OSError as fault:
        nobody_reads()
        why = (fault.strerror or "the disk does not answer").lower()
        raise Misuse(f"what is printed can't be written ({why}); make room for it, or send it elsewhere.") from None


def nobody_reads() -> None:
    """What is still printed goes nowhere."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())


def no_command(word: str) -> str:
    """What to tell who left the command out or misspelt it."""
    from storylint.complaints import near

    if Path(word).exists():
        return f"say what to do with '{word}': storylint lint {word}"
    return f"there is no command '{word}'.{near(word, COMMANDS)} 'storylint --help' lists them."


def say(what: object) -> None:
    """One line on standard error."""
    print("storylint:", " ".join(str(what).split()), file=sys.stderr)


class Parser(argparse.ArgumentParser):
    """Wrong usage is one line too."""

    def error(self, message: str) -> None:  # type: ignore[override]
        say(f"{message}; '{self.prog} --help' shows what there is.")
        sys.exit(Exit.USAGE)


class Command(Parser):
    """A command's own parser: what it is about may stand before, between and behind the options."""

    mixing = False

    def parse_known_args(self, args: Any = None, namespace: Any = None) -> tuple[Any, list[str]]:
        """As it is, but for the order."""
        if self.mixing or "--" in (args or ()):  # parse_known_intermixed_args comes back here; of '--' it knows nothing
            return super().parse_known_args(args, namespace)
        self.mixing = True
        return self.parse_known_intermixed_args(args, namespace)


def parser_for(argv: list[str]) -> argparse.ArgumentParser:
    """The parser, with the arguments of the one command that is asked for."""
    parser = Parser("storylint", description="A second reader for family-history drafts.")
    parser.add_argument("--version", action="version", version=f"storylint {__version__}")
    commands = parser.add_subparsers(dest="command", required=True, metavar="COMMAND", parser_class=Command)
    for name, (module, what) in COMMANDS.items():
        if not find_spec(module):
            continue
        command = commands.add_parser(name, help=what, description=f"{what[0].upper()}{what[1:]}.")
        if name in argv:
            importlib.import_module(module).add_arguments(command)
    return parser
