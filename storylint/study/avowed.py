"""What an author says of herself, of her book and of what she does not know: no claim about the family.

'Her surname is not known', 'my guess is that', 'he may be right', 'she has read this chapter and agreed to be named', 'the
will shows it': nothing is asserted that a note could answer for. The wording is ours, after the editor's distinction
between what is stated of the family and what is said of the search for it.
"""

from __future__ import annotations

from storylint.study.quick import Quick, may_fit

PIECES = {
    "left": r"(?:not (?:\w+ )?(?:known|recorded|given|stated|found|named)|unknown|unrecorded|uncertain|untraced|lost|nowhere (?:recorded"
    r"|given|stated|named)|(?:still )?an? (?:mystery|puzzle|blank)|anybody's guess)",
    "sought": r"(?:found|identified|traced|established|located|discovered|determined|settled|named)",
    "end": r"(?: (?:to (?:us|me|this day)|today|now|yet|either|at all|for certain|with certainty|so far|here))*[.;]?$",
    "tale": r"(?:stor(?:y|ies)|tales?|legends?|traditions?|claims?|versions?|belief|anecdote)",
    "judged": r"(?:dis|un|not )?(?:proved|proven|supported|contradicted|refuted|confirmed|true|untrue|false|possible|impossible|plausible|"
    r"probable|improbable|likely|unlikely|doubtful|mistaken|wrong|error|legend|invention|open|go)",
    "bare": r"(?!.*\b(?:register|census|certificate|record|list|will|deed|letter|newspaper|roll|inscription|stone|test)s?\b)",
    "book": r"(?:[Tt]his|[Tt]hese|[Tt]he) (?:chapter|book|page|section|history|draft|proof|note)s?",
}
# The whole sentence says that something is not known; what is said besides would be a claim.
NOT_KNOWN = Quick(
    r"^(?:[\w'’-]+ ){1,8}(?:is|are|was|were|remains?) (?:still |now |otherwise )?<left><end>",
    r"^(?:[\w'’-]+ ){1,8}(?:has|have) (?:not|never) (?:yet |so far )?been <sought><end>",
    r"^(?:[Nn]o one|[Nn]obody|[Nn]one of us|[Ww]e do not|[Ww]e don[’']t|I do not|I don[’']t)(?: \w+)? knows? (?:[\w'’-]+ ){0,6}[\w'’-]+[.;]?$",
    pieces=PIECES,
)
# A guess that is called one, or a judgement of what somebody said.
GUESS = Quick(
    r"\b[Mm]y (?:own |best |only )?(?:guess|belief|conjecture|reading|view|suspicion|hunch|impression|surmise) is\b",
    r"(?:^|[,;—–(] ?|\b(?:and|but|that|which|though|as) )I (?:would |should |can only |rather |now |still |half )?(?:guess|suppose|suspect|conjecture"
    r"|surmise|imagine|fancy|take it|incline|am inclined)\b",
    r"[,—–(] ?I (?:\w+ )?(?:think|believe|hope|am sure) ?[,—–).]",
    r"\b(?:[Hh]e|[Ss]he|[Tt]hey|[Ii]t|[Tt]hat) (?:may|might|could) (?:well |even )?(?:be|have been) (?:right|wrong|mistaken|true|so|both|he|she|him|her|they|them|it|the same)[.;]?$",
)
# The author and the book: what it owes, who agreed to stand in it, what she weighed herself, and that a source follows.
BOOK = Quick(
    r"\b[Tt]h(?:is|ese) (?:chapter|book|page|section|history)s? (?:owes?|would not|could not have|is (?:dedicated|theirs|hers|his))\b",
    r"\bread (?:and \w+ )?<book>\b[^.;]{0,40}\b(?:agree|approv|consent|allow|permit|content|happy)\w*",
    r"\b(?:of whom|see|more of (?:him|her|them)) (?:more |further )?(?:below|hereafter)[.;]?$",
    # How to use the book: 'the numbers before the names give the line', 'a reader will lose his way unless'.
    r"\b(?:numbers?|numerals?|figures?|letters|signs?|abbreviations?|brackets) (?:before|after|behind|beside|above|in front of) (?:the|each|every|a)"
    r" (?:\w+ )?names?\b",
    r"^(?:A|The|Any|No|Some|Most) readers? (?:[\w’'-]+ ){0,5}?(?:will|may|should|must|can|cannot|needs?|is|are) ",
    r"\b(?:agreed|consented) to (?:be|being) (?:named|printed|quoted)\b",
    r"[;,—–] (?:and )?I (?:have |myself )?(?:weighed|measured|counted|paced|handled|tried) (?:it|them)\b",
    r"\b(?:the|his|her|their) (?:will|letters?|diary|ledger|inventory|register|record|book|deed|inscription|stone)s? (?:shows? it|says? so"
    r"|proves? it|speaks? for itself|follows?|tells? it|bears? (?:it|this|him|her|them) out)[.;:]?$",
    pieces=PIECES,
)


# What the author makes of a story that she has told: the whole sentence judges and tells nothing new.
VERDICT = Quick(
    r"^<bare>(?:And |But |So |Yet )?(?:[Tt]he|[Tt]his|[Tt]hat|[Oo]ur|[Bb]oth|[Nn]either) (?:\w+ )?<tale> (?:itself |then |therefore |too )?"
    r"(?:is|are|was|were|can|cannot|can[’']t|could|may|must|seems?|looks?|remains?|stands?|falls?) (?:[\w'’-]+,? ){0,4}?<judged>"
    r"(?: [^\W\d][\w'’-]*){0,6}[.;]?$",
    r"^<bare>(?:And |But |So )?I (?:therefore |still |now |must |can only )?(?:count|regard|take|treat|hold|reckon|leave|reject|accept|mark|set)"
    r" (?:it|this|that|him|her|them|the <tale>)\b[^.;\d]{0,20}\b<judged>(?: [^\W\d][\w'’-]*){0,6}[.;]?$",
    pieces=PIECES,
)
# Whom the author has her papers from: 'A granddaughter, who asks not to be named, lent me the letters.'
LENT = Quick(
    r"\b(?:lent|showed|sent|gave|copied|scanned|found) (?:it |them )?(?:to |for )?(?:me|us) (?:the|his|her|their|these|those|this|all) (?:\w+ ){0,2}"
    r"(?:letters?|papers?|pictures?|photographs?|diary|diaries|notebooks?|ledger|book|bible|album|tin|box|cards?|copies|copy)[.;]?$",
)


def avows(text: str) -> bool:
    """True for a sentence that says what is not known, guesses aloud, judges a story, or speaks of the author and the book."""
    may = may_fit(text)
    return any(pattern in may and pattern.search(text, may) for pattern in (NOT_KNOWN, GUESS, BOOK, VERDICT, LENT))
