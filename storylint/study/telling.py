"""What a sentence tells: events with their dates and ages, and whose they are.

No parser is used. A sentence is first cut into items (people, pronouns, words of kinship, events, verbs, dates, ages,
boundaries); then each event looks for its subject before it and each date and age for its event near it. Who cannot be told
for certain is left open: a wrong guess here would be a false alarm later.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

from storylint.study.calendars import Where
from storylint.study.dates import CARDINALS, ORDINALS, TENS, When, find, number, ordinal
from storylint.study.given_names import sex_of
from storylint.study.study import Sentence

# ------------------------------------------------------------------------------------------------------- the lexicon

# Words of the events of a life, after the individual and family events of the FamilySearch GEDCOM 7.0 specification;
# the turns of phrase are common practice, no source.
EVENTS = {
    "birth": r"(?:was |were )?born|(?-i:b\.)|came into the world|(?:first )?saw the light(?: of day)?|drew (?:his|her) first breath|entered the world|began (?:his |her )?life(?! as| with| in)",
    "bore": r"gave birth to|(?:was )?(?:safely )?delivered of|(?:was )?brought to bed of|bore(?: him| her husband| to him)?(?= (?:a|another|his|their|twins|\w+ (?:sons|daughters|children))\b)",
    "baptism": r"bapti[sz]ed|christened|(?-i:bp\.|bapt?\.)|carried (?:him |her )?to the font|(?:taken|took) (?:him |her )?to (?:the font|be (?:bapti[sz]ed|christened))|received baptism",
    "marriage": r"(?:re)?marries|weds|(?:re)?married(?! (?:couple|life|man|woman|women|men|name|quarters|state|sister|daughter|son)\b)|marrying|(?-i:m\.)|wedded|wed|took to wife|took (?:as|for) (?:his|her) (?:second |third )?(?:wife|husband)|became the (?:second |third )?wife of|(?:made|called) (?:her his wife|him her husband)|(?:stood|went) (?:before|to|at) the altar|led (?:her )?to the altar|joined (?:in (?:holy )?(?:matrimony|marriage|wedlock)|to(?= [A-Z]))|husband and wife|(?:joined as )?man and wife",
    "death": r"died|(?-i:d\.)|dies|dying|passed away|passed on|departed this life|perished|(?:was |were |been )(?:killed|drowned|murdered|hanged|executed|shot dead|found dead|carried off|lost (?:at sea|with|in|overboard|off))|drowned|killed(?= (?:by|in|at|on|when|him|her|[A-Z]))|fell (?:in action|in battle|at the battle)|breathed (?:his|her) last|met (?:his|her) (?:end|death)|lost (?:his|her) life|succumbed|expired|went down with|was dead|lay dead|closed (?:his|her) eyes|(?:his|her) (?:days|life|earthly \w+) (?:were |was )?(?:ended|closed|came to (?:an end|its close))",
    "burial": r"buried|(?:lay|laid) (?:him|her) in the ground|(?-i:bur\.)|interred|laid (?:him |her )?(?:to rest|in the (?:ground|grave|earth)|beside)|lowered into the (?:ground|grave)|laid (?:him |her )?in the (?:\w+ )?(?:churchyard|kirkyard|graveyard|cemetery|vault|plot)|cremated|burying",
    "enlist": r"enlisted|enlists|enlisting|volunteered(?= (?:at|in|for|on)\b)|joined up|join(?:ed|ing) [\w' ]{0,40}?(?:army|navy|marines?|militia|colou?rs|volunteers|fleet|air force|fusiliers|guards|rifles|highlanders|regiment|infantry|cavalry|artillery|hussars|dragoons|lancers|engineers|borderers|yeomanry|legion|corps)|was called up|conscripted|drafted|mustered in(?:to)?|took the (?:king|queen)['’]s shilling|went for a soldier|entered the (?:army|navy|service)",
    "discharge": r"(?:was |been )(?:honou?rably )?discharged|discharged from|mustered out|demobili[sz]ed|demobbed|invalided (?:out|home)|released from the (?:army|navy|service)",
    "arrival": r"landed|lands|landing|disembarked|stepped ashore|(?:came|coming|put) ashore|(?:came|come|coming) (?:over|out)(?= (?:on|in|to|from|by)\b)|set foot (?:in|on)|reached(?= (?:New York|America|Boston|Qu[eé]bec|Baltimore|Philadelphia|Galveston|San Francisco|Halifax|Montreal|Castle Garden|Ellis Island|Sydney|Melbourne|Adelaide|Port [A-Z])\b)|immigrated|emigrated|emigrating|arrived(?= (?:in|at|from|on)\b)|arriving(?= (?:in|at|from|on)\b)",
    "citizen": r"naturali[sz]ed|took the oath (?:of allegiance|as a citizen)|became (?:a|an) (?:\w+ )?citizen|admitted to citizenship|sworn in as a citizen|sworn (?:a|as a) citizen|made (?:him|her) (?:a|an) (?:\w+ )?citizen",
    "divorce": r"divorced",
    "retired": r"retired",
    "widowed": r"(?:was |been )widowed|(?:left|became) a widow(?:er)?|lost (?:his wife|her husband)",
    "probate": r"(?:was |been )?proved|proven|granted probate|admitted to probate|letters of administration",
}  # fmt: skip
NOUNS = {
    "jubilee": r"(?:golden|silver|diamond|ruby|pearl) (?:wedding|jubilee)(?: anniversary)?|(?:\w+ )?wedding anniversary",
    "obituary": r"obituar(?:y|ies)|death notice|notice of (?:his|her) death",
    "citizen": r"(?:certificate of |petition for )?naturali[sz]ation(?: papers?| certificate)?|citizenship(?: papers?)?|final papers|second papers",
    "birth": r"birth(?: date)?|date of birth|birthday",
    "baptism": r"baptism|christening",
    "marriage": r"marriage|wedding(?: service| ceremony)?(?! (?:dress|ring|cake|gift|present|party|guest|photograph))|nuptials",
    "death": r"death|demise|decease|date of death",
    "burial": r"burial(?: service)?|funeral(?: service)?|interment",
    "enlist": r"enlistment(?: papers?)?",
    "discharge": r"discharge(?: papers?| certificate)?",
    "arrival": r"passenger list|immigration|emigration",
    "census": r"census|enumeration|(?:population|militia|tax|tithable|communicant|size|rent|muster|voters?|rate|poll|electoral|crew|parish) (?:register|rolls?|list|book)|(?:city |town )?director(?:y|ies)",
    "act": r"residence|confirmation|ordination|graduation|apprenticeship|retirement",
    "inquest": r"inquest",
    "will": r"(?<=\bhis )will|(?<=\bher )will|(?<=\bthe )will(?=[,;.]| (?:of|was|is|which|that|in|and|dated|made|leaves|names)\b)|(?<=\ba )will(?! to\b)|(?<=['’]s )will|(?<=\blast )will|(?<=\bwhose )will|codicil|testament",
    "probate": r"probate|administration of (?:his|her) (?:estate|goods|effects|property)|inventory of (?:his|her) (?:goods|estate)|grant of administration",
    "divorce": r"divorce",
}
LIGHT = re.compile(r"^(?:dated|signed|sealed|took|held|celebrated|solemni[sz]ed|recorded|registered|entered|happened|occurred|followed|granted|issued|made|came|printed|published|appeared|read|filed|received|drawn|attested|witnessed|opened|kept|ran|carried|taken|written|sworn|fell|sat|met|lay|rested|arrived)$")
IRREGULAR = frozenset(
    """went came left took bought sold sailed saw met became began built brought bore broke chose cut drew drove fell felt
    fought found flew gave got grew had held heard kept knew laid led lent let lost made paid put ran rode rose said sat sent
    set shot slept sold spoke spent stood struck swore taught thought told threw understood wore wrote won was were is has did
    does went owns lives appears works keeps finds lists shows has gives describes records names enumerates""".split()
)  # fmt: skip
# Passives of the living: what is done to nobody after death. Others ('was honoured', 'was named') may be.
LIVING = frozenset(
    """elected appointed presented fined arrested tried convicted sentenced imprisoned jailed released hired employed promoted ordained
    confirmed apprenticed chosen sworn admitted licensed summoned examined wounded captured engaged dismissed discharged called
    taught articled bound commissioned taxed assessed enumerated counted""".split()
)
AUX = frozenset("was were is are be been being had has have did does having".split())
ADVERB = frozenset(
    """also then later afterwards afterward soon first again still probably perhaps possibly apparently duly finally never not
    n't ever already only just now there here twice once next secondly thirdly previously subsequently himself herself both
    all even himself together safely quietly suddenly at last legally""".split()
)
BOUNDARY = frozenset(", ; : ( ) [ ] — – -- - and but or who which whom whose that when while where after before until till because as if than though although since whereupon nor".split())
PREPOSITION = frozenset("in on at of to from near by for with into onto upon over under about between through against off within outside beside".split())
MAN = frozenset("he him his himself".split())
WOMAN = frozenset("she her hers herself".split())
PLURAL = frozenset("they them their theirs both".split())
TITLES = frozenset("Mr Mrs Miss Ms Dr Rev Revd Sir Lady Captain Capt Colonel Col Major Maj General Gen Lieutenant Lieut Lt Sergeant Sgt Judge Deacon Dea Elder Hon Esq Master Widow Squire Private Corporal Father Sister Brother Uncle Aunt Old Young Little Poor Big Cousin Grandfather Grandmother".split())
STATES = frozenset("widow widower bride bridegroom boy girl child infant baby".split())
SUFFIXES = frozenset("I II III IV Jr Sr Junior Senior Jun Sen Esq Esquire".split())
SPOUSE = {"wife": "f", "husband": "m", "widow": "f", "widower": "m", "relict": "f", "bride": "f", "spouse": "", "bridegroom": "m", "consort": "f"}
CHILD = {"son": "m", "daughter": "f", "child": "", "boy": "m", "girl": "f", "baby": "", "twins": "", "infant": "", "firstborn": "", "youngest": "", "eldest": "", "oldest": ""}
PARENT = {"father": "m", "mother": "f"}
SIBLING = {"brother": "m", "sister": "f", "twin": ""}
OTHER_KIN = frozenset(
    """cousin uncle aunt nephew niece grandfather grandmother grandson granddaughter grandchild stepson stepdaughter stepfather
    stepmother father-in-law mother-in-law son-in-law daughter-in-law brother-in-law sister-in-law half-brother half-sister
    godfather godmother great-grandfather great-grandmother great-grandson stepchild foster-son children sons daughters
    brothers sisters parents grandparents friend neighbour neighbor partner""".split()
)
# What makes a statement somebody's guess, or one that the writer weighs: no contradiction is certain then. The first
# kind clouds what follows it, the second the whole sentence.
HEARSAY = re.compile(
    r"\b(?:(?:cannot|can['’]t|(?:could|would|might|may|must|should)(?: not|n['’]t)?) (?:also )?(?:have|be)\b|had (?:he|she|they) (?:not )?(?:lived|been)|"
    r"if (?:he|she|they)|claim(?:s|ed|ing)?|tradition|legend|suppos\w+|alleged\w*|according to|(?:is|are|was|were|always|has been) said\b|sa(?:ys|id) that|"
    r"reckoned|believed|so-called|no record|as if|as though)\b"
)  # fmt: skip
WEIGHED = re.compile(
    r"\b(?:mistak\w+|wrongly|wrong (?:date|year|day|month)|(?:is|are|was|were|be) wrong|cannot be right|error|erroneous\w*|misread|misprint\w*|miscopied|instead of|rather than|impossible|contradict\w*|disagree\w*|doubt\w*|"
    r"conflict\w*|discrepan\w+|unless|whether|should read|sic|not the|in fact|in truth)\b|\?"
)
_COMPOUND = re.compile(r"\b(?:(?:[Gg]rand)?(?:father|mother|son|daughter|brother|sister)s?-in-law|(?:[Gg]reat|[Hh]alf|[Ff]oster|[Ss]tep)-(?:great-)*\w+)")

_WORD_NUMBER = (
    r"(?:(?:a\s|one\s)?hundred(?:\sand\s[a-z]+(?:-[a-z]+)?)?|(?:" + "|".join(TENS) + r")(?:[-\s](?:one|two|three|four|five|six|seven|eight|nine))?|"
    + "|".join(reversed(CARDINALS[1:])) + ")"
)  # fmt: skip
_N = rf"(?:\d{{1,3}}|{_WORD_NUMBER})"
_ORD = (
    r"(?:\d{1,3}(?:st|nd|rd|th|d)|(?:"
    + "|".join(rf"{ten}[-\s](?:first|second|third|fourth|fifth|sixth|seventh|eighth|ninth)|{ten[:-1]}ieth" for ten in TENS)
    + "|" + "|".join(ORDINALS[:19]) + "|hundredth))"
)  # fmt: skip
_SOFT = (
    r"(?:(?:about|nearly|almost|over|under|some|barely|hardly|scarcely|not\syet|not\squite|around|past|well\sover|upwards\sof|more\sthan|"
    r"less\sthan|at\sleast)\s)?(?:(?:only|just|then|the|exactly)\s)?"
)
AGE = re.compile(
    rf"""(?P<lead>\b[Aa]ged\s|\b[Aa]t\sthe\s(?:[a-z]+,?\s){{0,2}}age\sof\s|\b[Aa]t\sage\s|\bage\s(?:(?:is|was|being)\s)?(?:(?:given|stated|put|recorded|returned|entered|shown|reported)\s)?(?:(?:as|at|of)\s)?|\blived\sto\s(?:be\s|the\sage\sof\s)?|\breached\s(?:the\sage\sof\s)?|\bturned\s)
        {_SOFT}(?P<years>{_N})\b(?!\s(?:and\sa\shalf|per|pounds|miles))(?:\s?years?|\s?yrs?\.?)?(?:,?\s(?:and\s)?(?P<months>{_N})\s(?:months?|mos?\.))?(?:,?\s(?:and\s)?(?P<days>{_N})\sdays?)?(?P<young>\s(?:months|weeks|days)|(?<=\sone)\s(?:month|week|day))?
      | (?P<lead_at>\b[Aa]t\s){_SOFT}(?P<at_years>{_WORD_NUMBER}|\d\d)(?=[,.;:)]|\s(?:he|she|to|and|in\s1|on\s\d|when)\b)
      | (?P<lead_was>\b(?:he|she|who|[A-Z][a-z]+)\s(?:was|is|had\sbeen|being)\s(?:then\s|now\s|still\s)?){_SOFT}(?P<was_years>{_N})(?:\syears\sold|\syears\sof\sage)?(?=[,.;:)]|\s(?:when|and\s(?!\w+\s(?:pounds|shillings|feet|miles|inches))|at\s(?:the|his|her)\s(?:time|death|marriage|wedding)|that|on|in)\b|$)
      | {_SOFT}(?P<old_years>{_N})(?:\syears\sold|\syears\sof\sage|-year-old)\b
      | \b[Ii]n\s(?:his|her|the)\s(?P<nth>{_ORD})\syear\b
      | \b(?:his|her)\s(?P<birthday>{_ORD})\sbirthday
      | \b(?:boy|girl|lad|lass|child|man|woman|youth|widow|widower|bachelor|spinster|bride|groom|infant|baby|labourer|laborer|servant|apprentice|farmer|\w+man|\w+er)\sof\s{_SOFT}(?P<of_years>{_WORD_NUMBER}|\d\d)(?P<of_young>\s(?:months|weeks|days))?(?=[,.;:)]|\s(?:with|and|who|when|in|on|at|from|by)\b|$)
    """,
    re.VERBOSE,
)
CUES = re.compile(
    r"(?<![\w.’'-])(?:"
    + "|".join(f"(?P<v_{name}>{pattern})" for name, pattern in EVENTS.items())
    + "|"
    + "|".join(f"(?P<n_{name}>{pattern})" for name, pattern in NOUNS.items())
    + r")(?![\w’-])(?!['’]s\b)"
    , re.IGNORECASE,
)  # fmt: skip


# ----------------------------------------------------------------------------------------------------------- the items


@dataclass(slots=True)
class Item:
    """A piece of a sentence: ``kind`` is name, pron, kin, verb, noun (of an event), aux, adv, bound, prep, date, age, word.

    ``event`` is the event of a verb or noun ("act" for any other verb). A word of kinship has its ``owner`` (the item
    before "'s", or a pronoun) and the ``words`` of a name that stands with it. ``tells`` is the event noun of which a
    light verb ("is dated") speaks.
    """

    kind: str
    start: int
    end: int
    text: str
    event: str = ""
    owner: Item | None = None
    words: tuple[str, ...] = ()
    when: When | None = None
    age: Age | None = None
    tells: Item | None = None
    inner: Item | None = None  # the pronoun inside 'laid him to rest'
    given_to: bool = False  # 'to' stands before it
    vague: bool = False  # 'a Zwirn', 'another Gethin'
    borne: bool = False  # a word for a child after 'had', 'left', 'bore'

    @property
    def low(self) -> str:
        return self.text.lower()

    @property
    def person(self) -> bool:
        """True for what can name a person."""
        return self.kind in ("name", "pron", "kin")


@dataclass(frozen=True, slots=True)
class Age:
    """A stated age as a range of days lived, from the first day that fits to the last; ``text`` as written."""

    low: int
    high: int
    text: str
    years: int | None  # whole years, where it is given in years
    soft: bool = False


@dataclass(slots=True)
class Event:
    """One event that a sentence tells.

    ``subjects`` are the items of those it happened to, ``objects`` those named after it (a bride, a child). ``how`` says
    how the subject was found: said (it stands there), after (the verb), apposed, same (as the verb before), initial (a sentence without a
    subject), default (an event noun that names nobody), or unknown.
    """

    name: str
    item: Item
    subjects: list[Item] = field(default_factory=list)
    objects: list[Item] = field(default_factory=list)
    how: str = "unknown"
    when: When | None = None
    age: Age | None = None
    age_of: Item | None = None
    active: bool = True
    many: bool = False  # more than one date belongs to it
    direct: Item | None = None  # the name that stands next to the verb, dates apart: 'married, 3 May 1850, Ann Lee'


@dataclass(slots=True)
class Telling:
    """A sentence, read: its items, its events, and the ages that belong to none of them."""

    sentence: Sentence
    items: list[Item]
    events: list[Event]
    whens: list[When]
    ages: list[tuple[Item | None, Age]] = field(default_factory=list)
    loose: list[tuple[Item, When]] = field(default_factory=list)  # 'William Wells, one of the first settlers, 1650'
    hedged: int | None = None  # where hearsay or doubt begins; 0 for the whole sentence

    def sure(self, at: int) -> bool:
        """True when what stands at this offset is told as a fact."""
        return self.hedged is None or at < self.hedged


YEAR = 365.2425


def age_of(match: re.Match[str]) -> tuple[int, int, Age] | None:
    """Start, end and meaning of a stated age."""
    group = match.groupdict()
    name = next((n for n in ("years", "at_years", "was_years", "old_years", "of_years", "nth", "birthday") if group.get(n)), None)
    if name is None:
        return None
    count = ordinal(group[name]) or _ordinal(group[name]) if name in ("nth", "birthday") else number(group[name])
    if count is None or not 0 < count < 130 or (name in ("at_years", "was_years") and count < 8):
        return None
    start = match.start(name) if name in ("was_years", "of_years") else match.start()
    text = match.group().strip()
    if name == "nth":
        return start, match.end(), _years(count - 1, text, "")
    if name == "birthday":
        return start, match.end(), Age(round(count * YEAR) - 1, round(count * YEAR) + 1, text, count)
    young = group.get("young") or group.get("of_young")
    if young:
        unit = {"m": 30.44, "w": 7, "d": 1}[young.strip()[0]]
        return start, match.end(), Age(round(count * unit) - 3, round((count + 1) * unit) + 3, text, None)
    soft = next((m for m in re.findall(r"about|nearly|almost|over|under|some|barely|hardly|scarcely|not (?:yet|quite)|around|past|upwards of|more than|less than|at least", match.group()[: start - match.start()])), "")
    if group.get("months") or group.get("days"):
        lived = count * YEAR + 30.44 * (number(group["months"] or "0") or 0) + (number(group["days"] or "0") or 0)
        give = 4 if group.get("days") else 31
        return start, match.end(), Age(round(lived) - 4, round(lived) + give, text, count, bool(soft))
    return start, match.end(), _years(count, text, soft)


def _ordinal(words: str) -> int | None:
    """'seventy-first', 'eightieth' as a number."""
    parts = re.split(r"[- ]", words.lower())
    tens = next((value for word, value in TENS.items() if parts[0] in (word, word[:-1] + "ieth")), None)
    units = ORDINALS.index(parts[1]) + 1 if len(parts) > 1 and parts[1] in ORDINALS else 0
    return None if tens is None else tens + units


def _years(count: int, text: str, soft: str) -> Age:
    """An age in years; a softened one a few years either way, or open on one side."""
    low, high = count, count + 1
    if soft in ("about", "some", "around"):
        low, high = count - max(2, count // 10), count + 1 + max(2, count // 10)
    elif soft in ("nearly", "almost", "not yet", "not quite", "barely", "hardly", "scarcely"):
        low, high = count - 2, count + 1
    elif soft in ("over", "past", "upwards of", "more than", "at least"):
        high = count + 15
    elif soft in ("under", "less than"):
        low, high = 0, count
    return Age(round(low * YEAR) - 1, round(high * YEAR), text, count, bool(soft))


def items_of(sentence: Sentence, whens: Sequence[When]) -> list[Item]:
    """Cut a sentence into items."""
    text = sentence.text
    spans: list[Item] = [Item("date", when.start, when.end, when.words, when=when) for when in whens]
    for match in AGE.finditer(text):
        found = age_of(match)
        if found and not _overlaps(spans, found[0], found[1]):
            spans.append(Item("age", found[0], found[1], text[found[0] : found[1]], age=found[2]))
    for match in _COMPOUND.finditer(text):
        spans.append(Item("kin", match.start(), match.end(), match.group()))
    for match in CUES.finditer(text):
        group = match.lastgroup or ""
        if not _overlaps(spans, match.start(), match.end()):
            inner = _inside(group, match.group())
            spans.append(Item("verb" if group[0] == "v" else "noun", match.start(), match.end(), match.group(), event=group[2:]))
            if inner:
                at = match.start() + inner.start()
                spans[-1].inner = Item("pron", at, at + 3, inner.group())
    spans.sort(key=lambda item: item.start)
    return _with_states(_with_kin(list(_filled(sentence, spans))))


_PRESENT = re.compile(r"[a-z]{2,}[a-rt-z]s$")


def _inside(group: str, words: str) -> re.Match[str] | None:
    """The pronoun inside 'laid him to rest', 'his days were ended', 'the administration of her goods'."""
    if group in ("v_burial", "v_baptism", "v_citizen"):
        return re.search(r"\b(?:him|her)\b", words)
    if group in ("v_death", "n_probate", "n_obituary"):
        return re.search(r"\b(?:his|her)\b", words, re.IGNORECASE) if group[0] == "n" else re.match(r"(?:his|her)\b", words, re.IGNORECASE)
    return None


def _with_states(items: list[Item]) -> list[Item]:
    """'was president', 'had a shop', 'is sixteen': an auxiliary without a verb is one itself."""
    for i, item in enumerate(items):
        if item.kind == "word" and i and (items[i - 1].kind == "name" or items[i - 1].low in ("he", "she", "who")) and _PRESENT.match(item.text):
            item.kind = "verb"  # the historic present: 'in 1846 she buys the mill'
        if item.kind == "aux" and item.low not in ("being", "been", "having"):
            j = i + 1
            while j < len(items) and items[j].kind in ("aux", "adv"):
                j += 1
            if j == len(items) or items[j].kind != "verb":
                item.kind, item.event = "verb", "state"
    return items


def _overlaps(spans: Sequence[Item], start: int, end: int) -> bool:
    return any(span.start < end and start < span.end for span in spans)


def _filled(sentence: Sentence, spans: Sequence[Item]) -> Iterator[Item]:
    """The spans with the tokens between them."""
    at, done = 0, 0
    tokens, lower, tags, starts = sentence.tokens, sentence.lower, sentence.tags, sentence.at
    i = 0
    while i < len(tokens):
        while at < len(spans) and spans[at].end <= starts[i]:
            at += 1
        if at < len(spans) and spans[at].start <= starts[i]:
            if done <= at:
                yield spans[at]
                done = at + 1
            i += 1
            continue
        limit = spans[at].start if at < len(spans) else len(sentence.text) + 1
        size = _name_length(tokens, tags, starts, i, limit)
        if size:
            end = starts[i + size - 1] + len(tokens[i + size - 1])
            vague = i > 0 and lower[i - 1] in ("a", "an", "another", "no", "every", "some")
            yield Item("name", starts[i], end, sentence.text[starts[i] : end], words=_name_words(tokens[i : i + size]), vague=vague)
            i += size
            continue
        yield Item(_kind(lower[i], tokens[i], tags[i], i == 0), starts[i], starts[i] + len(tokens[i]), tokens[i], event="act")
        i += 1


_DIGITS = re.compile(r"[\d¹²³⁰-⁹^]+")


def _name_words(tokens: Sequence[str]) -> tuple[str, ...]:
    """A name as a reader says it: no titles, digits or points."""
    words = [_DIGITS.sub("", token).strip(".,'’\"") for token in tokens]
    if len(words) > 1 and re.fullmatch(r"[IVX]+", words[0]):  # the number of an entry: 'X. HENRY'
        words = words[1:]
    words = [word.title() if word.isupper() and len(word) > 2 else word for word in words]
    return tuple(word for word in words if word and word not in TITLES and word not in SUFFIXES and word[0].isupper())


def _name_length(tokens: Sequence[str], tags: str, starts: Sequence[int], i: int, limit: int) -> int:
    """How many tokens from ``i`` on are one name ('Rev. John van Dyke')."""
    if not (tags[i] == "N" or (tokens[i].rstrip(".") in TITLES and i + 1 < len(tokens) and tags[i + 1] == "N")):
        return 0
    end = i
    while end < len(tokens) and starts[end] < limit:
        if (tags[end] in "NK" and tokens[end][:1].isupper()) or (end > i and tokens[end] in ("May", "June", "April", "August") and tags[end + 1 : end + 2] == "N"):
            end += 1
        elif tokens[end] in ("van", "von", "de", "der", "den", "du", "la", "le", "ap", "ab", "y", "ten", "ter", ".") and end + 1 < len(tokens) and tags[end + 1] == "N" and starts[end + 1] < limit and (tokens[end] != "." or len(tokens[end - 1]) == 1 or tokens[end - 1] in TITLES):
            end += 1
        else:
            break
    return max(end - i, 1)


def _kind(low: str, token: str, tag: str, first: bool) -> str:
    """The kind of a token that is in no date, age, event or name."""
    if low in MAN or low in WOMAN or low in PLURAL:
        return "pron"
    if low in BOUNDARY:
        return "bound"
    if low in SPOUSE or low in CHILD or low in PARENT or low in SIBLING or low in OTHER_KIN:
        return "kin"
    if low in AUX:
        return "aux"
    if low in PREPOSITION:
        return "prep"
    if low in ADVERB or (low.endswith("ly") and len(low) > 4):
        return "adv"
    if (token[:1].islower() or first) and tag in "xVRLO" and (low in IRREGULAR or (low.endswith("ed") and len(low) > 3)):
        return "verb"
    return "word"


def _with_kin(items: list[Item]) -> list[Item]:
    """Join words of kinship with the name that stands with them and with their owner."""
    out: list[Item] = []
    skip = 0
    for i, item in enumerate(items):
        if skip:
            skip -= 1
            continue
        if item.kind == "kin":
            item.owner = _owner(out)
            if item.low in ("youngest", "eldest", "oldest") and (item.owner is None or items[i + 1 : i + 2] and items[i + 1].kind in ("kin", "word", "prep")):
                item.kind = "word"
                out.append(item)
                continue
            item.borne = item.low in CHILD and any(before.low in ("had", "have", "has", "left", "leaving", "bore") for before in out[-5:])
            after = items[i + 1 : i + 3]
            if after and after[0].kind == "name":
                item.words, item.end, skip = after[0].words, after[0].end, 1
            elif len(after) == 2 and after[0].text == "," and after[1].kind == "name" and item.owner is not None and item.low not in OTHER_KIN and _closed(items, i + 3):
                item.words, item.end, skip = after[1].words, after[1].end, 2
        out.append(item)
    return out


def _closed(items: Sequence[Item], at: int) -> bool:
    """True when what follows closes an apposition: a comma, a bracket or a full stop."""
    return at >= len(items) or items[at].text in (",", ".", ";", "(", ")") or items[at].kind in ("aux", "verb", "bound")


def _owner(before: Sequence[Item]) -> Item | None:
    """Whose kin: 'his eldest', 'their', 'John's second'."""
    for back, item in enumerate(reversed(before[-4:])):
        if item.kind == "pron" and item.low in ("his", "her", "their"):
            couple = before[-back - 3 : -back - 1]
            both = len(couple) == 2 and couple[1].low == "and" and couple[0].kind == "name"
            return couple[0] if both else item
        if item.low in ("'s", "’s", "'", "’") and len(before) > back + 1:
            holder = before[-back - 2]
            return holder if holder.person else None
        if item.text == "whose":
            return item
        if item.kind not in ("word", "adv", "age"):
            return None
    return None


# ---------------------------------------------------------------------------------------------------------- the events


def tell(sentence: Sentence, before: When | None = None, where: Where | None = None) -> Telling:
    """Read one sentence; ``before`` is the date that its yearless dates lean on."""
    whens = find(sentence.text, before, where) if where else find(sentence.text, before)
    items = items_of(sentence, whens)
    events = list(_events(items))
    _look_ahead(items, events)
    telling = Telling(sentence, items, events, whens, hedged=_hedged(sentence.text))
    by_item = {id(event.item): event for event in events}
    for i, item in enumerate(items):
        if item.kind == "date":
            _give_date(telling, i, by_item)
            events += _lifespan(items, i)
    _share_when(items, events)
    days = [when for when in whens if when.form == "day" and when.year]
    for event in events:
        if event.name == "obituary" and event.when is None and len(days) == 1:
            event.when = days[0]  # 'the Leader of 3 March has his obituary'
    for i, item in enumerate(items):
        if item.kind == "age" and item.age:
            _give_age(telling, i, by_item)
    return telling


def _look_ahead(items: list[Item], events: list[Event]) -> None:
    """'Born at Leith in 1801, she went out at twelve': the subject comes after the comma."""
    for at, event in enumerate(events):
        if event.how != "initial" or event.item.start > 0:
            continue
        later = next((other for other in events[at + 1 :] if other.how == "said" and other.name != "age"), None)
        if later is None or ";" in {item.text for item in items[: items.index(later.item)]}:
            return
        first = items.index(later.subjects[0]) if later.subjects[0] in items else 0
        if first and items[first - 1].text == ",":
            event.subjects, event.how = later.subjects, "said"
        return


def _share_when(items: list[Item], events: list[Event]) -> None:
    """'When the railroad reached Blair in 1869 Tilda was there': the date holds for both."""
    if not items or items[0].low != "when" or not events or events[0].when is None:
        return
    at = next((event for event in events[1:] if event.how == "said" and event.subjects[0].kind in ("name", "pron")), None)
    if at is not None and at.when is None and at.name in ("act", "state"):
        at.when = events[0].when


def _hedged(text: str) -> int | None:
    """Where hearsay begins; 0 where the sentence weighs what it says."""
    if WEIGHED.search(text):
        return 0
    match = HEARSAY.search(text)
    return match.start() if match else None


def _lifespan(items: Sequence[Item], i: int) -> Iterator[Event]:
    """Birth and death in 'Helen Tsourakis (1920–2003)'."""
    when = items[i].when
    if when is None or when.last is None or when.year is None or i < 2 or not items[i - 2].person or not _in_brackets(items, i):
        return
    first = find(str(when.year))
    if first and when.last.year is not None and when.last.year - when.year > 3:
        yield Event("birth", items[i], [items[i - 2]], how="said", when=first[0])
        yield Event("death", items[i], [items[i - 2]], how="said", when=when.last)


@dataclass(slots=True)
class _Clause:
    """Whom the clause is about so far: the subject, one named in apposition, and whether a verb has been seen."""

    main: list[Item] = field(default_factory=list)
    apposed: list[Item] = field(default_factory=list)
    verb: bool = False
    under: bool = False  # in a subordinate clause
    who: list[Item] = field(default_factory=list)  # whom the last 'who' took up
    listed: bool = False  # after 'Children:' the subject of a bare participle is not the section's person


SUBORDINATE = frozenset("who which when where while after before until till because as if than though although since whom whose that whereupon".split())


def _events(items: list[Item]) -> Iterator[Event]:
    """The events of a sentence in order, each with its subject."""
    clause = _Clause()
    outside: list[_Clause] = []  # what the sentence was about before a bracket
    noun: Item | None = None
    head: list[Item] = []  # whom the sentence is about
    dead: set[int] = set()
    for k, item in enumerate(items):
        low = item.low
        if low == "(":
            outside.append(replace(clause))
        elif low == ")" and outside:
            clause = outside.pop()
        if item.kind == "bound":
            if low in (";", ":"):
                clause.apposed, clause.under = [], False
                clause.listed = clause.listed or low == ":"
            elif low in ("and", "but", "or", ","):
                clause.under = clause.under and low != ","
            elif low in SUBORDINATE:
                clause.under = True
        elif item.person and not clause.verb and not clause.main and not _governed(items, k) and not _owns(items, k):
            clause.main = _coordinated(items, k)
        elif item.kind == "aux":
            subjects, how = _subject(items, k, clause)
            if how == "said":
                _take(clause, subjects)
        elif item.person and items[k - 1].text == "," and k > 1 and item.kind == "kin" and item.low in CHILD and items[k - 2].kind == "name":
            clause.apposed = [items[k - 2]]
        elif item.kind == "noun" and not _of_place(items, k) and not _compound(items, k) and not (item.event == "act" and k and items[k - 1].kind == "prep"):
            noun = item
            yield Event(item.event, item, *_of_noun(items, k, clause))
        elif item.kind == "verb":
            subjects, objects, how, active = _of_verb(items, k, clause)
            clause.verb = True
            head = head or clause.main
            if item.event == "death":
                dead |= {id(subject) for subject in subjects}
            elif item.event == "marriage" and how == "same" and subjects and id(subjects[0]) in dead and head:
                subjects = head  # 'she died in 1843; married second': he did
            light = item.event == "act" and (LIGHT.match(low) or (not active and noun is not None and not any(i.kind == "verb" for i in items[items.index(noun) : k])))
            if noun is not None and how != "said" and (light or (item.event == "state" and _stands_before(items, k) is noun)):
                item.tells = noun
                continue
            if item.event == "probate" and noun is not None and noun.event == "will":
                subjects, objects, how = _of_noun(items, items.index(noun), clause)
            yield Event(item.event, item, subjects, objects, how, active=active, direct=_direct(items, k))


_PLACES = frozenset("place country county parish land town village house home farm city".split())


def _of_place(items: Sequence[Item], k: int) -> bool:
    """'the place of his birth' is no event."""
    return any(item.low in _PLACES for item in items[max(0, k - 4) : k]) and any(item.low == "of" for item in items[max(0, k - 3) : k])


_HEADS = frozenset(
    """society ground place plot register registers bond bonds licence license settlement duty bed taker book books entry index rate roll
    day vow vows portion site mask toll march mound fees fees club fund insurance rites customs parish benefit row party certificate
    certificates record records stone money feast breakfast""".split()
)


def _compound(items: Sequence[Item], k: int) -> bool:
    """'the burial society', 'a marriage bond' are no events."""
    return k + 1 < len(items) and items[k + 1].low in _HEADS


def _stands_before(items: Sequence[Item], k: int) -> Item:
    """What a verb follows, dates apart: 'the census of 1920 has'."""
    j = k - 1
    while j > 0 and items[j].kind in ("date", "prep", "adv"):
        j -= 1
    return items[max(j, 0)]


def _take(clause: _Clause, subjects: list[Item]) -> None:
    """A subject with its verb: the clause is about it."""
    clause.verb = True
    if not clause.under:
        clause.main, clause.apposed = subjects, []
    elif not clause.main:
        clause.apposed = []


def _owns(items: Sequence[Item], k: int) -> bool:
    """True for 'his', 'their', and for 'her' where something of hers follows."""
    if items[k].low != "her" or items[k].kind != "pron":
        return items[k].low in ("his", "their")
    after = items[k + 1] if k + 1 < len(items) else None
    return after is not None and after.kind in ("word", "kin", "noun", "adv", "name", "age") and after.text not in (".", "!", "?")


def _governed(items: Sequence[Item], k: int) -> bool:
    """True when a preposition governs the item, or it is only the owner of something."""
    j = k - 1
    while j >= 0 and (items[j].kind in ("word", "adv", "age") or items[j].low in ("his", "her", "their")):
        j -= 1
    before = items[j] if j >= 0 else None
    after = items[k + 1] if k + 1 < len(items) else None
    return bool((before and before.kind == "prep") or (after and after.low in ("'s", "’s", "'", "’")))


def _coordinated(items: Sequence[Item], k: int) -> list[Item]:
    """'Peter and Lori Stamas', 'he and Helen Tsourakis (1920–2003)': all that stand before the verb."""
    found = [items[k]]
    j = _before_brackets(items, k - 1)
    while j > 0 and items[j].low in ("and", "&") and (i := _before_apposition(items, j - 1)) >= 0 and items[i].person:
        found.append(items[i])
        j = _before_brackets(items, i - 1)
    return found[::-1]


def _before_apposition(items: Sequence[Item], j: int) -> int:
    """Step back over a bracket, or over ', born 6 July 1831,'."""
    if j > 1 and items[j].text == ",":
        i = j - 1
        while i > 0 and items[i].text != "," and not items[i].person:
            i -= 1
        if items[i].text == "," and items[i - 1].person:
            return i - 1
    return _before_brackets(items, j)


def _before_brackets(items: Sequence[Item], j: int) -> int:
    """Step back over a bracket that closes at ``j``."""
    if j >= 0 and items[j].text == ")":
        while j >= 0 and items[j].text != "(":
            j -= 1
        return j - 1
    return j


APPOSED = frozenset(("birth", "baptism", "death", "burial", "marriage", "act"))


def _subject(items: Sequence[Item], k: int, clause: _Clause) -> tuple[list[Item], str]:
    """Who does or suffers the verb at ``k``: what stands before it, or whom the clause is about."""
    j, finite = k - 1, items[k].kind == "aux" or items[k].low.split()[0] in AUX
    while j >= 0 and items[j].kind in ("aux", "adv"):
        finite = finite or items[j].kind == "aux"
        j -= 1
    j = _before_brackets(items, j)
    if j < 0:
        return _after(items, k) if finite else ([], "initial")
    item = items[j]
    if item.person:
        return _head(items, j, clause)
    if item.low in ("who", "whom"):
        i = j - 2 if j and items[j - 1].text == "," else j - 1
        i = _before_brackets(items, i)
        clause.who = _head(items, i, clause)[0] if i >= 0 and items[i].person else []
        return clause.who, "said" if clause.who else "unknown"
    if item.text in (",", "(", "—", "–", "--") and j and not finite and items[k].event in APPOSED and not items[k].low.endswith("ing"):
        i = j - 2 if item.text == "(" and items[j - 1].text == "," else j - 1
        i = _before_brackets(items, i)
        if i >= 0 and items[i].person and items[i].kind != "pron":
            if not (i and items[i - 1].kind == "prep" and items[i - 1].low != "to") and not _ends_parentage(items, i):
                clause.apposed = [items[i]]
                return [items[i]], "apposed"
            head = _past_parentage(items, i)
            if head is not None:
                clause.apposed = [head]
                return [head], "apposed"
            if _ends_parentage(items, i):
                return [], "unknown"
    if item.text == "," and finite and clause.who:  # 'her first child, George, who died young, was born in 1850'
        subjects, clause.who = clause.who, []
        return subjects, "said"
    if item.kind == "bound" and item.low not in ("which", "that", "whose"):
        found = _same(items, j, clause)
        return _after(items, k) if found[1] == "initial" and finite else found
    return [], "unknown"


def _after(items: Sequence[Item], k: int) -> tuple[list[Item], str]:
    """'Here, in 1850, was born Zina': the subject comes after the verb."""
    return ([items[k + 1]], "after") if k + 1 < len(items) and items[k + 1].kind in ("name", "kin") else ([], "unknown")


def _ends_parentage(items: Sequence[Item], i: int) -> bool:
    """True when the name at ``i`` is a parent's: 'son of Joseph Horton and Jane Budd'."""
    j = i - 1
    if j > 1 and items[j].low in ("and", "&") and items[j - 1].person:
        j -= 2
    while j >= 0 and items[j].kind in ("word", "adv"):
        j -= 1
    return j > 0 and items[j].low == "of" and items[j - 1].kind == "kin"


def _past_parentage(items: Sequence[Item], i: int) -> Item | None:
    """Whose parents they are, where her name stands before: 'Ann Lunn, the second daughter of Amos Lunn, born 1731'."""
    j = i
    while j >= 0 and items[j].kind != "kin":
        j -= 1
    j -= 1
    while j >= 0 and items[j].kind in ("word", "adv"):
        j -= 1
    j = _before_brackets(items, j - 1) if j >= 0 and items[j].text == "," else -1
    return items[j] if j >= 0 and items[j].kind == "name" else None


def _same(items: Sequence[Item], j: int, clause: _Clause) -> tuple[list[Item], str]:
    """A verb without a subject of its own goes on about the same person."""
    if clause.apposed and items[j].text in (",", "and"):
        same = items[j].text == "," or clause.apposed[-1] in clause.main
        return clause.apposed, "same" if same else "unknown"
    if clause.listed and items[j].text == ";":
        return [], "unknown"
    if clause.main:
        return clause.main, "same"
    return [], "initial" if not clause.verb and not any(item.person for item in items[:j]) else "unknown"


def _head(items: Sequence[Item], j: int, clause: _Clause) -> tuple[list[Item], str]:
    """The person of a phrase that ends at ``j``: 'John Lee', 'the widow of John Lee', 'John Lee of Bath'."""
    if j and items[j - 1].kind == "prep":
        head = items[j - 2] if j > 1 else None
        if items[j - 1].low == "of" and head is not None and head.person:
            if head.kind == "kin" and head.owner is None:
                head.owner = items[j]
            return [head], "said"
        return [], "unknown"
    return _coordinated(items, j), "said"


def _of_verb(items: Sequence[Item], k: int, clause: _Clause) -> tuple[list[Item], list[Item], str, bool]:
    """Subjects and objects of a verb. The buried and the baptised are the objects of an active verb."""
    item = items[k]
    passive = item.low.split()[0] in AUX or any(before.kind == "aux" and before.low not in ("had", "has", "have", "did") for before in items[max(0, k - 3) : k] if before.kind in ("aux", "adv"))
    subjects, how = _subject(items, k, clause)
    if how == "said":
        _take(clause, subjects)
    objects = list(_objects(items, k))
    if item.inner is not None:
        return [item.inner], [], "said", False
    if not passive and how in ("said", "same", "unknown") and item.low in ("buried", "christened", "burying", "baptised", "baptized", "killed"):
        near = items[k + 1] if k + 1 < len(items) else None
        if near is not None and near.person and near.low != "them" and near.low not in ("his", "their"):
            return [near], [], "said", False
        if how == "said" and not (k > 1 and items[k - 2].low in ("has", "had", "have", "finds", "shows", "records")):
            return [], [], "unknown", True
    if item.event == "birth" and any(before.low in ("had", "has") for before in items[max(0, k - 2) : k]) and not item.low.startswith(("was", "were")) and not any(before.low == "been" for before in items[max(0, k - 2) : k]):
        return [], [], "unknown", True
    if item.event == "discharge" and how == "said" and not passive and item.low == "discharged":
        return [], [], "unknown", True
    return subjects, objects, how, not passive or item.low in LIVING


def _objects(items: Sequence[Item], k: int) -> Iterator[Item]:
    """Persons named after a verb in its clause, but those whom a preposition other than 'to' governs."""
    for j in range(k + 1, len(items)):
        item = items[j]
        if item.kind in ("verb", "noun") or item.low in (";", ":", "who", "which", "when", "where", "while", "that", "but", "as"):
            return
        if item.person and not _owns(items, j):
            before = items[j - 1]
            item.given_to = before.low == "to"
            if (before.kind != "prep" or before.low == "to") and not (j + 1 < len(items) and items[j + 1].low in ("'s", "’s")):
                yield item


def _direct(items: Sequence[Item], k: int) -> Item | None:
    j = k + 1
    while j < len(items) and (items[j].kind in ("date", "adv", "age") or items[j].text == "," or items[j].low in ("to", "on", "in") and items[j + 1 : j + 2] and (items[j].low == "to" or items[j + 1].kind == "date")):
        j += 1
    return items[j] if j < len(items) and items[j].kind == "name" else None


def _of_noun(items: Sequence[Item], k: int, clause: _Clause) -> tuple[list[Item], list[Item], str]:
    """Whose birth, death or will: 'his', 'John's', 'of John'; else whom the clause is about."""
    inner = items[k].inner
    owner = inner if inner is not None else _owner(items[:k])
    if owner is not None:
        return [owner], list(_objects(items, k)) if items[k].event == "marriage" else [], "said"
    found = _governed_by(items, k)
    if found is not None:
        return found, [], "said" if found else "unknown"
    if items[k].event == "census":
        listed = _listed(items, k)
        return (listed, [], "said") if listed else (clause.main, [], "default")
    return ([] if items[k].event in ("obituary", "inquest", "probate") else clause.main), [], "default"


def _governed_by(items: Sequence[Item], k: int) -> list[Item] | None:
    """'death of Amos', 'death came to Amos', 'marriage between Ann and Amos', 'was reported for Amos'; None for nobody."""
    for j in range(k + 1, min(k + 14, len(items))):
        item = items[j]
        if item.low in (";", "who", "which", "when", "and", "but") or (item.kind == "verb" and item.event not in ("act", "state")):
            return None
        if item.low not in ("of", "between", "for", "to", "by") or item.kind != "prep":
            continue
        i = j + 1
        while i < len(items) and i < j + 4 and (items[i].kind in ("word", "adv") or (items[i].low in ("his", "her", "their") and items[i].kind == "pron")):
            i += 1
        if i < len(items) and items[i].person:
            pair = i + 2 < len(items) and items[i + 1].low in ("and", "to", "with") and items[i + 2].person
            return [items[i], items[i + 2]] if pair else [items[i]]
        if item.low == "of" and j == k + 1:
            return [] if i < len(items) and items[i].kind == "word" else None
    return None


def _listed(items: Sequence[Item], k: int) -> list[Item]:
    """Whom a census lists: 'finds Ann and her mother', 'has him as a lodger', 'in 1851 she was'."""
    verb = next((j for j in range(k + 1, len(items)) if items[j].kind == "verb" or items[j].text == ";"), len(items))
    before = [items[j] for j in range(k + 1, verb) if items[j].person and not _governed(items, j) and not _owns(items, j)]
    return before[:1] or list(_objects(items, verb))[:2]


# ---------------------------------------------------------------------------------------------------- dates and ages


def _nearest(items: Sequence[Item], i: int, step: int) -> int | None:
    """The nearest event before (-1) or after (1) item ``i``."""
    j = i + step
    while 0 <= j < len(items):
        if items[j].text == (")" if step < 0 else "("):
            j = _past_brackets(items, j, step)
            continue
        if items[j].kind in ("verb", "noun"):
            return j
        if items[j].text == ";":
            return None
        j += step
    return None


def _past_brackets(items: Sequence[Item], j: int, step: int) -> int:
    """The first item beyond the bracket that begins at ``j``."""
    other = "(" if step < 0 else ")"
    while 0 <= j < len(items) and items[j].text != other:
        j += step
    return j + step


def _opens_clause(items: Sequence[Item], i: int) -> str | None:
    """What opens the clause, where only a preposition or adverb stands between that and the item; '' for the sentence."""
    j = i - 1
    while j >= 0 and (items[j].kind in ("prep", "adv") or items[j].low in ("the", "early", "late", "sometime", "once", "some")):
        j -= 1
    if j < 0 or items[j].text in ('"', "“", "*"):
        return ""
    return items[j].low if items[j].kind == "bound" else None


def _runs_on(items: Sequence[Item], i: int, n: int) -> bool:
    """True when no boundary but one comma at once stands between item ``i`` and the event at ``n``."""
    between = items[i + 1 : n]
    if between and between[0].text == ",":
        between = between[1:]
    return not any(item.kind == "bound" for item in between)


_PARTS_OF_TIME = frozenset("morning night evening afternoon day days eve dawn spring summer autumn fall winter month week weeks end course hours".split())


_GOVERNS = frozenset("till until to before after since at from upon following by on".split())


def _led(items: Sequence[Item], n: int) -> bool:
    """True for an event noun after a preposition: 'till his death', 'after the wedding'."""
    return any(item.low in _GOVERNS for item in items[max(0, n - 4) : n])


def _event_for(items: Sequence[Item], i: int) -> Item | None:
    """The event to which the date or age at ``i`` belongs."""
    before, after = _nearest(items, i, -1), _nearest(items, i, 1)
    if i + 1 < len(items) and items[i + 1].kind == "noun" and items[i].kind == "date":
        return items[i + 1]
    if i > 1 and items[i].kind == "date" and items[i - 1].low == "of" and items[i - 2].low not in _PARTS_OF_TIME:
        return items[i - 2] if items[i - 2].kind == "noun" else None
    opening = _opens_clause(items, i)
    if after is not None and items[after].kind == "noun" and items[after - 1].low in _GOVERNS | {"his", "her", "their"} and _led(items, after):
        after = None
    if opening is not None and not (before is not None and _beside(items, before, i)):
        if after is not None and _runs_on(items, i, after):
            return items[after]
        if opening in ("and", "but", "or", ";", "while"):
            return None
    if before is not None and after is not None and items[before].event == "state" and before and items[before - 1].low == "it":
        if any(item.low == "that" for item in items[i:after]):  # 'it was in 1869 that she won'
            return items[after]
    if before is not None and items[before].event in ("act", "state"):
        main = _around(items, before, i)
        before = main if main is not None else before
    if before is not None and items[before].kind == "noun" and _led(items, before) and not _beside(items, before, i):
        earlier = _nearest(items, before, -1)
        before = earlier if earlier is not None else before
    if before is not None:
        return items[before]
    return items[after] if after is not None else None


def _around(items: Sequence[Item], inner: int, i: int) -> int | None:
    """The vital event of which a verb between commas says something on the way: 'she died, as she had lived, on 9 June'."""
    if not any(item.text == "," for item in items[inner + 1 : i]):
        return None
    start = next((j for j in range(inner - 1, -1, -1) if items[j].text in (",", ";")), None)
    if start is None or items[start].text == ";" or items[start + 1].low in ("and", "but"):
        return None
    main = _nearest(items, start, -1)
    if main is None or items[main].event not in ("birth", "baptism", "death", "burial", "marriage") or items[main].kind != "verb":
        return None
    return main if not any(item.kind == "date" for item in items[main:inner]) else None


def _beside(items: Sequence[Item], before: int, i: int) -> bool:
    """True when nothing but points and prepositions stands between an event and its date ('died, 3 May 1850, and left')."""
    return all(item.kind in ("prep", "adv") or item.text in (",", "(") for item in items[before + 1 : i])


def _in_brackets(items: Sequence[Item], i: int) -> bool:
    """True for a date that stands alone in brackets."""
    return 0 < i < len(items) - 1 and items[i - 1].text in ("(", "[") and items[i + 1].text in (")", "]")


def _vital_before(items: Sequence[Item], i: int, by_item: dict[int, Event]) -> bool:
    """A year in brackets dates a birth, marriage or death that has no other date; a book, a ship and the like otherwise."""
    target = _event_for(items, i)
    event = by_item.get(id(target)) if target is not None else None
    return event is not None and event.name in ("birth", "baptism", "marriage", "death", "burial") and event.when is None


def _give_date(telling: Telling, i: int, by_item: dict[int, Event]) -> None:
    """Hand a date to its event; the first one counts."""
    items, when = telling.items, telling.items[i].when
    assert when is not None
    if _in_brackets(items, i) and (items[i - 2].person or not _vital_before(items, i, by_item)):
        return
    target = _event_for(items, i)
    if target is not None and target.tells is not None:
        target = target.tells
    event = by_item.get(id(target)) if target is not None else None
    if event is None:
        return
    if event.when is None:
        event.when = when
        return
    named = next((item for item in reversed(items[:i]) if item.kind == "date" or _is_full_name(item)), None)
    if named is not None and named.kind == "name":
        telling.loose.append((named, when))
    else:
        event.many = True


def _is_full_name(item: Item) -> bool:
    return item.kind == "name" and len(item.words) > 1


def _give_age(telling: Telling, i: int, by_item: dict[int, Event]) -> None:
    """Hand an age to its person and, where it goes with one, to its event."""
    items, age = telling.items, telling.items[i].age
    assert age is not None
    owner = None
    whose = re.match(r"(?:in )?(his|her)\b", age.text, re.IGNORECASE)
    if whose and "birthday" in age.text:
        telling.ages.append((Item("pron", items[i].start, items[i].start + 3, whose.group(1)), age))
        return
    if i and items[i - 1].low in ("from", "since", "until", "till", "by", "before", "after", "between", "to"):
        return
    named = i - 2
    while named > 1 and items[named + 1].text == "," and items[named].kind == "word" and items[named - 1].kind in ("word", "bound"):
        named -= 1 if items[named - 1].kind == "word" else 2
    if i > 1 and items[i - 1].text == "," and items[named].person:
        owner = items[named]
    elif i and (items[i - 1].kind == "aux" or items[i - 1].event == "state"):
        j = i - 2
        while j >= 0 and items[j].kind in ("aux", "adv"):
            j -= 1
        if j >= 0 and items[j].low == "who":
            j -= 2 if j > 1 and items[j - 1].text == "," else 1
        owner = items[j] if j >= 0 and items[j].person else None
        telling.ages.append((owner, age))
        return
    target = _event_for(items, i) if not age.text.lower().startswith(("lived", "reached", "turned")) else None
    if target is not None and target.tells is not None:
        target = target.tells
    event = by_item.get(id(target)) if target is not None else None
    if owner is None and event is not None:
        behind = items[: i - 2] if items[i - 1].low == "of" and items[i - 2].low in STATES else items[:i]
        owner = next((item for item in reversed(behind) if item.kind in ("name", "kin") or item is event.item or item.low in (";", "and", "but")), None)
        owner = owner if owner is not None and owner.person and not any(owner is subject for subject in event.subjects) else None
    if event is not None and event.age is None and event.name != "state":
        event.age, event.age_of = age, owner
    else:
        telling.ages.append((owner, age))
