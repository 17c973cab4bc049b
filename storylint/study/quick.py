"""Patterns that look before they search.

Most sentences have nothing of what a rule looks for, and a regular expression takes long to find that out. Every
pattern here knows letters without which it can't fit ('born in' or 'died in'); it is tried only where these stand, which
is seen many times faster. The letters are taken from the pattern itself, so that the matches stay the same.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cache, lru_cache
from types import MappingProxyType

MOST = 200  # letter groups of one pattern; of more it is not asked
SPELT = 48  # spellings of one piece of a pattern that are followed up
# Words that stand in nearly every sentence: to look for one of them alone saves nothing.
COMMON = frozenset(
    "a an and are as at be been by for from had has he her him his in is it of on or she that the to was were with".split()
)
EDGE = "\b"  # in a group of letters: here a word begins or ends

Groups = frozenset[str]
Pieces = Mapping[str, str]  # what <name> stands for in a pattern: one group, or what needs no brackets around it
May = Mapping[object, Sequence[int]]  # by each pattern that may fit in a text, which of its parts
NO_PIECES: Pieces = MappingProxyType({})


class Quick:
    """One or more patterns as one: what fits first in the text, and of what fits at one place the earlier pattern.

    It gives the matches of ``re.compile("p|q|r")``, save that a match knows only the groups of its own part. The letters
    are compared folded to small ones; of those whose case Unicode folds in no plain way (the Turkish i without its dot)
    a pattern that tells no case apart may be missed.
    """

    __slots__ = ("flags", "parts", "pieces", "ready")

    def __init__(self, *patterns: str, flags: int = 0, pieces: Pieces = NO_PIECES) -> None:
        self.flags, self.pieces = flags, pieces
        self.parts = [part for pattern in patterns for part in split(pattern)]
        self.ready: dict[int, re.Pattern[str]] = {}  # those that were tried; most never are
        for number, part in enumerate(self.parts):
            learn(self, number, needed(part, flags, pieces))

    def search(self, text: str, may: May | None = None) -> re.Match[str] | None:
        """The first match; ``may`` is what ``may_fit`` gives for the text, where that is at hand."""
        if may is None:
            may = may_fit(text)
        best: re.Match[str] | None = None
        for number in may.get(self, ()):
            found = (self.ready.get(number) or self.first_tried(number)).search(text)
            if found and (best is None or found.start() < best.start()):
                best = found
        return best

    def first_tried(self, number: int) -> re.Pattern[str]:
        """A part, compiled."""
        self.ready[number] = pattern = compiled(filled(self.parts[number], self.pieces), self.flags)
        return pattern


@cache
def compiled(pattern: str, flags: int = 0) -> re.Pattern[str]:
    """Compiled when it is first tried, which many expressions never are."""
    return re.compile(pattern, flags)


NAMED = re.compile(r"(?<!\(\?P)<(\w+)>")


def filled(pattern: str, pieces: Pieces) -> str:
    """The pattern with what its <names> stand for; pieces may be made of pieces."""
    if not pieces:
        return pattern
    return NAMED.sub(lambda name: filled(pieces[name[1]], pieces) if name[1] in pieces else name[0], pattern)


# ---------------------------------------------------------------------------------------------------- which are there

Needing = list[tuple[object, int]]  # patterns, and which of their parts

ALWAYS: Needing = []  # what is tried everywhere, for want of letters
NEEDING: dict[str, Needing] = {}  # by a group of letters
BY_WORD: dict[str, set[str]] = {}  # groups by a whole word that stands in them, or by a sign
# Those that have only part of a word, with that part, by its first three letters.
BY_PART: dict[str, set[tuple[str, str]]] = {}

SPACE = re.compile(r"\s+")
WORD = re.compile(r"[^\W_]+|[^\w\s]|_")


def learn(pattern: object, number: int, groups: Iterable[str]) -> None:
    """Let the groups that a part of a pattern needs be looked for in every text."""
    for letters in groups:
        _, whole, word = key_of(letters)
        bare, first = letters.strip(EDGE), word.strip(EDGE)[:3]
        if not word or not (whole or len(first) == 3):
            ALWAYS.append((pattern, number))
            continue
        NEEDING.setdefault(bare, []).append((pattern, number))
        if whole:
            BY_WORD.setdefault(word, set()).add(bare)
        else:
            BY_PART.setdefault(first, set()).add((word, bare))
    may_fit.cache_clear()
    with_word.cache_clear()


@lru_cache(maxsize=2000)
def may_fit(text: str) -> May:
    """The patterns whose letters stand in the text, folded, and which of their parts, in order. Rule after rule asks
    this of the same sentences."""
    folded = text.casefold()
    if "  " in folded or not folded.isprintable():  # white space of any kind and length is sought as one plain space
        folded = SPACE.sub(" ", folded)
    found: dict[object, list[int]] = {}
    for pattern, number in ALWAYS:
        found.setdefault(pattern, []).append(number)
    for word in set(WORD.findall(folded)):
        for letters, needing in with_word(word):
            if letters in folded:
                for pattern, number in needing:
                    numbers = found.setdefault(pattern, [])
                    if number not in numbers:
                        numbers.append(number)
    for numbers in found.values():
        numbers.sort()
    return found


@lru_cache(maxsize=5000)
def with_word(word: str) -> Sequence[tuple[str, Needing]]:
    """The groups of letters that may stand where this word does, and who needs them: a book says few words often."""
    groups = set(BY_WORD.get(word, ()))
    for first in {word[at : at + 3] for at in range(len(word) - 2)} & BY_PART.keys():
        groups.update(letters for part, letters in BY_PART[first] if part in EDGE + word + EDGE)
    return [(letters, NEEDING[letters]) for letters in groups]


def split(pattern: str) -> list[str]:
    """A pattern's alternatives: what stands between the '|' outside all brackets.

    A pattern that begins with flags or refers back to what it found stays whole.
    """
    if re.match(r"\(\?[aiLmsux]+\)", pattern) or re.search(r"\\[1-9]|\(\?P=|\(\?\(", pattern):
        return [pattern]
    parts, depth, start, in_class = [], 0, 0, False
    for match in re.finditer(r"\\.|\[\^?\]?|\]|[()|]", pattern, re.DOTALL):
        token = match.group()
        if in_class:
            in_class = token != "]"
        elif token[0] == "[":
            in_class = True
        elif token == "(":
            depth += 1
        elif token == ")":
            depth -= 1
        elif token == "|" and not depth:
            parts.append(pattern[start : match.start()])
            start = match.end()
    return [*parts, pattern[start:]]


def needed(pattern: str, flags: int = 0, pieces: Pieces = NO_PIECES) -> Groups:
    """Groups of letters, folded to small ones, one of which stands in whatever the pattern fits; "" if none is known.

    >>> sorted(needed(r"\\b(?:born|died) (?:in|at)\\b")) == ["\\bborn at\\b", "\\bborn in\\b", "\\bdied at\\b", "\\bdied in\\b"]
    True
    """
    if flags & (re.VERBOSE | re.ASCII | re.LOCALE):
        return NOTHING
    try:
        return groups_in([group(alternatives(iter(TOKEN.findall(pattern)), pieces))]) or NOTHING
    except Unread:
        return NOTHING


NOTHING: Groups = frozenset([""])
BLANK: Groups = frozenset([" "])
EDGES: Groups = frozenset([EDGE])


class Node:
    """A piece of a pattern: ``spelt`` is all that it can stand for, if that is spelt out and little, ``inside`` its
    alternatives, if it has any. A condition on what stands ``beside`` stands for nothing, or for a word's edge."""

    __slots__ = ("beside", "inside", "spelt")

    def __init__(self, spelt: Groups | None = None, inside: Sequence[Nodes] = (), beside: bool = False) -> None:
        self.spelt, self.inside, self.beside = spelt, inside, beside


Nodes = list[Node]
REST = Node()  # what nothing is known of
LETTER = Node()  # any character of a word
SIGN, SIGNS = Node(), Node()  # a character that belongs to no word; any number of them, or none
SPACES, BORDER, HERE = Node(BLANK), Node(EDGES), Node(NOTHING)
ESCAPED = dict.fromkeys("bAZ", BORDER) | dict.fromkeys("sntrfv", SPACES) | dict.fromkeys("dDS123456789", REST)
ESCAPED |= {"w": LETTER, "W": SIGN, "B": HERE}


class Unread(Exception):
    """A pattern has something that is not understood here, and so is tried everywhere."""


TOKEN = re.compile(
    r"\\(?:\d+|.)"  # one character, or a class of them
    r"|\[\^?\]?(?:\\.|[^\]\\])*\]"
    r"|\(\?(?:[:=!>]|<[=!]|P<\w+>|P=\w+\)|[imsu-]+[:)])?"  # an opening bracket
    r"|(?:[*+?]|\{(?:\d+,?\d*|,\d+)\})[?+]?"  # how often
    r"|<\w+>"
    r"|[^][\\(){|^$.*+?<]+(?![*+?{])|.",  # letters
    re.DOTALL,
)


def alternatives(tokens: Iterator[str], pieces: Pieces) -> list[Nodes]:
    """What the '|' part, up to the closing bracket or the end."""
    found: list[Nodes] = [[]]
    for token in tokens:
        if token == ")":
            break
        if token == "|":
            found.append([])
        elif token[0] in "*+?" or (token[0] == "{" and token != "{"):
            found[-1] += repeated(found[-1].pop(), token)
        else:
            found[-1].append(node_of(token, tokens, pieces))
    return found


def node_of(token: str, tokens: Iterator[str], pieces: Pieces) -> Node:
    """What a token, or what it opens, stands for."""
    if token[0] == "(":
        return bracket(token, tokens, pieces)
    if token[0] == "[":
        return class_of(token)
    if token[0] == "\\":
        if token[1].isalnum() and token[1] not in ESCAPED:
            raise Unread(token)
        return ESCAPED.get(token[1]) or letters(token[1:])
    if token in ("^", "$", "."):
        return REST if token == "." else BORDER
    if token[0] == "<" and token[1:-1] in pieces:
        return piece_of(token[1:-1], pieces)
    return letters(token)


def letters(text: str) -> Node:
    """Letters as they are looked for."""
    return Node(frozenset([SPACE.sub(" ", text.casefold())]))


PIECES: dict[str, Node] = {}  # those that were read, written out


def piece_of(name: str, pieces: Pieces) -> Node:
    """A piece, which stands in many patterns and is read once."""
    whole = filled(pieces[name], pieces)
    if whole not in PIECES:
        PIECES[whole] = group(alternatives(iter(TOKEN.findall(pieces[name])), pieces))
    return PIECES[whole]


def bracket(token: str, tokens: Iterator[str], pieces: Pieces) -> Node:
    """A group, or a condition on what stands beside it."""
    if token == "(?":
        raise Unread(token)
    if token[-1] == ")":  # flags; what a group has found before
        return REST if token[2] == "P" else HERE
    inside = alternatives(tokens, pieces)
    if token in ("(?!", "(?<!"):  # by (?![\w-]) no word goes on
        return BORDER if inside == [[LETTER]] else HERE
    if token in ("(?=", "(?<="):
        return Node(edge(group(inside).spelt, -1 if "<" in token else 0), inside, beside=True)
    return group(inside)


def group(inside: Sequence[Nodes]) -> Node:
    """A choice between sequences, or one alone."""
    spelt = [spelt_out(each) for each in inside]
    return Node(frozenset().union(*spelt) if None not in spelt else None, inside)  # type: ignore[arg-type]


def repeated(node: Node, often: str) -> Nodes:
    """What must stand several times, up to three of them; white space once."""
    bounds = {"*": "0,", "+": "1,", "?": "0,1"}.get(often[0]) or often.strip("{}?+")
    least, comma, _ = bounds.partition(",")
    times = int(least or 0)
    if node.spelt == BLANK or bounds == "0,1":
        return [node] if times else [Node(node.spelt | NOTHING if node.spelt else None)]
    if node is SIGN:
        return [SIGN if times else SIGNS]
    return [*[node] * min(times, 3), *([REST] if comma or times > 3 else [])]


def class_of(token: str) -> Node:
    """The characters of a class, if it lists them; white space stands for itself."""
    listed = re.findall(r"\\.|[^\\]", token[1:-1], re.DOTALL)
    if listed[0] != "^" and "\\w" in listed:
        return LETTER
    if listed[0] == "^" or "-" in listed[1:-1] or any(each[1:].isalnum() and each != "\\s" for each in listed):
        return REST
    return Node(frozenset(" " if each == "\\s" or each.isspace() else each[-1].casefold() for each in listed))


def spelt_out(sequence: Nodes) -> Groups | None:
    """The spellings of a whole sequence."""
    run = NOTHING
    for node in sequence:
        if node.spelt is None or len(run) * len(node.spelt) > SPELT:
            return None
        run = joined(run, node.spelt)
    return run


def groups_in(sequence: Nodes, before: Groups = NOTHING, after: Groups = NOTHING) -> Groups | None:
    """The best groups of a sequence: of all that must stand in it the most telling; None without any.

    ``before`` and ``after`` are EDGES where no word goes on beyond the sequence.
    """
    best: Groups | None = None
    run = before
    for node, following in zip(sequence, [*(each.spelt for each in sequence[1:]), after], strict=True):
        if node.beside:
            best = better(best, groups_inside(node, NOTHING, NOTHING))
        if node.spelt is None:
            best = better(better(best, tidied(run)), groups_inside(node, edge(run, -1), edge(following, 0)))
            run = EDGES if node is SIGN or (node is SIGNS and edge(run, -1) is EDGES) else NOTHING
        elif len(run) * len(node.spelt) > SPELT:
            best = better(best, tidied(joined(run, edge(node.spelt, 0))))
            run = joined(edge(run, -1), node.spelt)
        else:
            run = joined(run, node.spelt)
    return better(best, tidied(joined(run, after)))


@lru_cache(maxsize=200)  # pieces come often
def groups_inside(node: Node, before: Groups, after: Groups) -> Groups | None:
    """All groups of its alternatives; None where one needs none."""
    each = [groups_in(sequence, before, after) for sequence in node.inside]
    if not each or None in each:
        return None
    every: Groups = frozenset().union(*each)  # type: ignore[arg-type]
    return every if len(every) <= MOST else None


def joined(run: Groups, spelt: Groups) -> Groups:
    """Each of the one followed by each of the other."""
    return frozenset([a + b for a in run for b in spelt])


def edge(spelt: Groups | None, at: int) -> Groups:
    """EDGES if all spellings have the edge of a word, or no word, at their beginning (0) or end (-1)."""
    if spelt is None or not all(each and not WORDY.match(each[at]) for each in spelt):
        return NOTHING
    return EDGES


WORDY = re.compile(r"\w")


def tidied(run: Groups) -> Groups:
    """The spellings with an edge only where else a word might go on, and a single blank between words."""
    return frozenset([tidy(each) if EDGE in each or "  " in each else each for each in run])


def tidy(letters: str) -> str:
    """One of them."""
    bare = letters.replace(EDGE, "")
    if "  " in bare:
        bare = SPACE.sub(" ", bare)
    before = EDGE if letters[:1] == EDGE and WORDY.match(bare) else ""
    after = EDGE if letters[-1:] == EDGE and WORDY.match(bare[-1:]) else ""
    return before + bare + after


def better(best: Groups | None, other: Groups | None) -> Groups | None:
    """Of two sets of groups the one that is seldomer found in a text; None if both are of no use."""
    if not other or not worth(other)[0]:
        return best
    return other if best is None or worth(other) > worth(best) else best


@cache
def worth(groups: Groups) -> tuple[int, int]:
    """How telling the least telling group is, and how few groups there are."""
    return min([key_of(letters)[0] for letters in groups]), -len(groups)


@cache
def key_of(letters: str) -> tuple[int, bool, str]:
    """How telling a group of letters is, by its letters outside common words; whether the most telling of its words and
    signs is whole; and that word, or the part of one, which may stand in many, with the edges that are known of it."""
    words = WORD.findall(letters.strip(EDGE))
    keys = [(telling(word), True, word) for word in words]
    if keys and letters[0].isalnum():
        keys[0] = part_of(words[0] + EDGE * (len(words) > 1 or not letters[-1].isalnum()))
    if keys and letters[-1].isalnum() and keys[-1][1]:
        keys[-1] = part_of(EDGE + words[-1])
    _, whole, word = max(keys, default=(0, True, ""))
    return sum([key[0] for key in keys]) or (2 if len(keys) > 1 else 0), whole, word


@cache
def telling(word: str) -> int:
    """How much a whole word or a sign tells."""
    if word.isalnum():
        return 0 if word in COMMON else 3 * len(word)
    return 1 if word in ".," else 3


def part_of(edged: str) -> tuple[int, bool, str]:
    """The key for a part of a word, which may stand in many: how much it tells, that it is not whole, itself."""
    word = edged.strip(EDGE)
    return 3 * (len(edged) - 2) if len(word) > 2 and word not in COMMON else 0, False, edged
