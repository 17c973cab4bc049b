"""``storylint rulebook``: what each rule means. All of it stands in the rules themselves."""

from __future__ import annotations

import argparse
import sys
import textwrap
from collections.abc import Iterator
from types import ModuleType

from storylint.complaints import Exit, Misuse, stopped
from storylint.rule import Card, Example

WIDTH = 80


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """One rule, or all of them in a line each."""
    parser.add_argument("rule", nargs="?", metavar="RULE", help="the rule to explain; without it, all in a line each")


def run(args: argparse.Namespace) -> int:
    """Print the page."""
    from storylint.cli import printing
    from storylint.complaints import near
    from storylint.rule import RETIRED, rules

    known = rules()
    if args.rule in RETIRED:
        raise Misuse(f"the rule '{args.rule}' is gone; see 'storylint rulebook {RETIRED[args.rule]}'.")
    if args.rule and args.rule not in known:
        raise Misuse(f"there is no rule named '{args.rule}'.{near(args.rule, known)} 'storylint rulebook' lists them.")
    if hasattr(sys.stdout, "reconfigure"):
        sys.stdout.reconfigure(errors="replace")
    with printing():
        print("\n".join(page(known[args.rule]) if args.rule else contents(known)))
    return Exit.CLEAN


def contents(known: dict[str, ModuleType]) -> Iterator[str]:
    """All rules, and what the overall score is."""
    from storylint.engine import CAP_WITH_ERROR, WEIGHTS

    width = max(map(len, known))
    for name, module in known.items():
        yield f"{name:<{width}}  {module.CARD.summary}"
    parts = ", ".join(f"{name} {weight:g}" for name, weight in WEIGHTS.items())
    yield ""
    yield from paragraph(
        f"A section's overall score is the mean of the scores it has, weighed so: {parts}. While an error stands it is "
        f"at most {CAP_WITH_ERROR:g}. Every score runs from 0 to 100, and 100 is clean: 'unsourced 53' means that 53 of "
        "100 claims have their source. 'storylint lint DRAFT --why NAME' shows what a score is made of. One rule in "
        "full: storylint rulebook RULE."
    )


def page(module: ModuleType) -> Iterator[str]:
    """A rule's page: why it matters, how it is measured, examples, options, sources."""
    from storylint.settings import toml

    card: Card = module.CARD
    yield from heading(f"{card.name}: {card.summary}", "=")
    for block in (module.__doc__ or "").strip().split("\n\n"):
        yield from paragraph(block)
        yield ""
    if card.measured:
        yield from heading("How the score is computed")
        yield from paragraph(card.measured)
        yield ""
    for title, examples in (("To mend", card.bad), ("Left alone", card.good)):
        yield from heading(title) if examples else ()
        for example in examples:
            yield from shown(example)
    if card.options:
        yield from heading(f"Options, under [{card.name}] in storylint.toml")
        for option in card.options:
            yield from paragraph(f"{option.name} = {toml(option.default)}: {option.meaning}", "  ", "      ")
        yield ""
    yield from heading("Sources") if card.sources else ()
    for source in card.sources:
        yield from paragraph(source, "  ", "      ")


def shown(example: Example) -> Iterator[str]:
    """An example's draft, then what the rule says of it."""
    for line in example.draft.splitlines():
        yield from paragraph(line, "  | ", "  | ") or ["  |"]
    yield ""
    if example.today:
        yield f"  Read on {example.today}."
    if example.says:
        yield from paragraph(stopped(f"{example.says[0].upper()}{example.says[1:]}"), "  ", "  ")
    for quote in example.flags:
        yield from paragraph(f"“{quote}”", "  flagged: ", "           ")
    yield ""


def heading(text: str, rule: str = "-") -> Iterator[str]:
    """A line with a rule under it."""
    yield text
    yield rule * min(len(text), WIDTH)


def paragraph(text: str, first: str = "", later: str = "") -> list[str]:
    """Wrapped text."""
    return textwrap.wrap(" ".join(text.split()), WIDTH, initial_indent=first, subsequent_indent=later)
