"""What the world outside does to a life, told inside a sentence about the person.

'When milk brought eighty-five cents a hundredweight he tipped a load of it into the ditch' has a name or a pronoun for its
subject and speaks of the family; the price in it is the world's all the same. Whatever sets a price or a wage, stops the
work, comes with bayonets or forbids by law is none of the family's doing. The kinds are those of the editor's question
'what was dear, forbidden, fought over there in those years'; the wording is ours, from memory.
"""

from __future__ import annotations

from storylint.study.people import People
from storylint.study.placenames import CAPITAL, known
from storylint.study.quick import Quick, may_fit
from storylint.study.study import Sentence
from storylint.study.words import KIN, PRONOUN, VITAL, WORK

PIECES = {
    "coin": r"(?:cents?|dollars?|\w*pence|\w*penny|shillings?|guineas?|crowns?|francs?|marks?|kroner|kronor|r?oubles?|lire|lira"
    r"|pesos?|guilders?|thalers?|groschen|florins?|pounds?|(?<=\d)[sd]\.)",
    "unit": r"(?:hour|day|week|fortnight|month|shift|hundredweight|cwt|ton|bushel|barrel|gallon|quart|peck|yard|acre|head|hundred"
    r"|thousand|dozen|crate|sack|bale|cord|load|foot|gross|box|basket|quarter|pair|piece|loaf|skin|pound|lb|mile|square)",
    "wares": r"(?:flour|bread|wheat|oats|corn|barley|rye|hops|hay|potatoes|rice|sugar|cotton|wool|flax|tobacco|milk|butter|cheese|eggs"
    r"|beef|pork|hogs|cattle|herring|cod|fish|oil|coal|iron|copper|lead|tin|slates?|granite|marble|timber|lumber|bark|land)",
    "payers": r"(?:buyers|masters|owners|packers|dealers|millers|growers|landlords|employers|merchants|bosses|operators|brokers"
    r"|jobbers|shippers|canners|compan(?:y|ies)|mills?|works)",
    "armed": r"(?:troops?|soldiers|militia(?:men)?|dragoons|hussars|lancers|[Cc]ossacks|[Rr]ed ?coats|regulars|[Gg]uardsmen"
    r"|[Nn]ational [Gg]uard|[Yy]eomanry|gendarmes|carabinieri|Black and Tans|press-?gangs?|patrollers|Klansmen|nightriders"
    r"|night riders|vigilantes|bushwhackers|guerr?illas|Pinkertons)",
    "did": r"(?:clear|fired|firing|charg|occup|burn|quarter|billet|march|search|seiz|drove|came|rode|stood|guard|watch|patrol"
    r"|broke|plunder|loot|forag|stripp|requisition|hunt|surround|lined|dragg|took|shot)\w*",
    "state": r"(?:Bureau|Congress|Parliament|[Gg]overnment|[Ll]egislature|Crown|Commissioners|Assembly|Senate|Ministry|Land Office"
    r"|Treasury|Reich|Tsar|Czar|Sultan|Emperor)",
    "decided": r"(?:asked|ordered|forb[ai]d\w*|requir\w+|offer\w+|opened|closed|shut|cut|paid|sold|took|gave|made|raised|banned"
    r"|refused|promised|passed|voted|let|want\w+|demand\w+|bought|tax\w+|abolish\w+|moved|drove|broke|stopped)",
    "pay": r"(?:prices?|wages?|rents|fares?|rates|scale|tariff)",
}
KINDS = (
    (
        "a price or a wage",
        Quick(
            # 'eighty-five cents a hundredweight', 'a dollar and a quarter a ton', '$1.45 a gallon', 'two shillings the quarter'
            r"\b<coin>(?: and (?:a )?\w+)? (?:an?|the|per|each|every) <unit>\b"
            r"(?! (?:later|before|after|ago|earlier|since|from|or))",
            r"[$£]\d[\d,.]* (?:an?|the|per|each|every) <unit>\b",
            # 'the price of wheat fell', 'wages were cut', 'cut the wages'
            r"\b<pay>(?: (?:of|for|in) (?:\w+ ){0,2}\w+)? (?:had |has |have |was |were |been )*(?:again )?(?:f[ae]ll\w*|r[oi]se\w*|dropp\w+|sank"
            r"|collaps\w+|doubl\w+|halv\w+|cut|lowered|raised|went (?:up|down|off)|gone (?:up|down|off)|broke|broken)\b",
            r"\b(?:cut|lowered|raised|doubled|halved|docked|reduced|named|fixed|set|refused) (?:\w+ ){0,2}(?:prices|wages|fares|rents)\b",
            # 'slate fell to thirty shillings', 'when oats went up'
            r"\b<wares>(?: had)? (?:f[ae]ll\w*|dropped|sank|sunk|rose|risen|went|gone) (?:(?:to|below|above|by) (?=[$£\d]|(?:\w+[ -]){1,3}<coin>)"
            r"|(?:up|down)(?=[,.;]| (?:and|that|in|again|he|she|they)\b))",
            # 'the buyers' price', 'the masters' terms', 'the buyers came in November and named one price'
            r"\b<payers>(?:['’]s?)? (?:pay|terms|<pay>)\b",
            r"\b<payers>\b[^.;]{0,50}\b(?:named|set|cut|fixed|offered|lowered|gave) (?:\w+ ){0,2}(?:<pay>|price)\b",
            r"\bfor (?:an?|one) (?:third|half|quarter|fourth|fifth|share) of (?:the|every|his|her|their) (?:crop|harvest|catch|cotton|rice|tobacco)\b"
            r"|\bon (?:shares|halves)\b|\bsharecrop\w*",
            pieces=PIECES,
        ),
    ),
    (
        "a strike or a boycott",
        Quick(
            r"\b(?:on|the|a|an|great|general|long|big|first|second|milk|rent|coal|railway|railroad|rail|dock|steel|textile|cotton|bread|school"
            r"|mill|mine|quarry|sit-down|wildcat|\w+(?:men|er|ers|men)['’]?s?['’]?) strikes?\b(?! (?:of|against) (?:gold|oil|silver|lightning|the clock"
            r"|midnight|noon|luck)|-)(?<!threw a strike)(?<!bowled a strike)",
            r"\bstruck for (?:higher|better|shorter|more|their|an?|the) (?:\w+ ){0,2}(?:pay|wages?|hours|day|scale|rates?|price)\b",
            r"\block(?:ed)?[- ]?outs?\b(?! of (?:the|his|her|their) (?:house|home|room|church|bed))|\bboycott\w*|\bstrike-?breakers?\b|\bstrikers\b"
            r"|\bblacklegs?\b|\bpicket lines?\b|\bpicket(?:ed|ing)\b|\bblack-?list(?:ed|s)?\b",
            pieces=PIECES,
        ),
    ),
    (
        "armed men",
        Quick(
            r"\b<armed>\b(?: (?:with|from|of|on|under|in) (?:\w+ ){0,3}\w+)?(?: (?!and\b|who\b)\w+){0,2} <did>\b",
            r"\b(?:with|fixed|the|by|of|their|at) bayonets?\b",
            r"\b(?:police(?:men)?|deputies|constables|constabulary|marshals|bailiffs)\b(?: (?:with|from|of|on) (?:\w+ ){0,3}\w+)?(?: \w+)? "
            r"(?:charged|cleared|fired|broke up|baton\w*|clubbed|evicted)\b",
            pieces=PIECES,
        ),
    ),
    (
        "a law",
        Quick(
            r"\b(?:no|the|a|new|old|poor|state|federal|game|[A-Z]\w+) (?<!in-)laws?\b(?! (?:school|office|partner|firm|practice|book|student|clerk))"
            r"(?: of \w+)?(?: \w+)? (?:oblig\w+|forb[ai]d\w*|requir\w+|compell\w*|allow\w*|let|kept|made|gave|punish\w*|barr\w+|exclud\w+|shut|could)\b",
            r"\b(?:[Bb]y|against the|[Uu]nder (?:the |\w+ ){0,3}) ?(?<!in-)(?:law|statute|ordinance|decree|black code)\b(?! (?:school|office|partner|firm))",
            pieces=PIECES,
        ),
    ),
    (
        "a harvest, a catch or a bank that failed",
        Quick(
            r"\b(?:[Tt]he|great|spring|winter|summer) <wares> (?:harvest |crop |fishery )?(?:had |have |has |again )?(?:failed|stayed away"
            r"|gave out|ran out|disappeared|vanished|rotted|withered|died out|blackened)\b",
            r"\b(?:herring|cod|mackerel|pilchards|salmon|whales) (?:had |have |has |again )?(?:came|come|stayed|left|ran)\b",
            r"\b(?:harvests?|crops?|rains?|monsoon|vintage|catch|fishery|fisheries|diggings|seam|vein) (?:had |have |has |all |again )?"
            r"(?:failed|rotted|withered|gave out|ran out|died out|fell short)\b",
            r"\b[Bb]anks? (?:had |have |all )?(?:failed|closed (?:its|their) doors|stopped payment|suspended payment|went under)\b",
            pieces=PIECES,
        ),
    ),
    (
        "what the state did",
        Quick(r"\bthe (?:\S+ ){0,2}?<state> (?:had |has |never |again |at last |\w+ly )?<decided>\b", pieces=PIECES),
    ),
)
# What is paid to or by one person, and not for work or wares, is her own affair.
OWN = Quick(
    r"\b(?:pensions?|annuit(?:y|ies)|alimony|bequeath\w*|legacy|allowance|contributions?|subscriptions?|dues)\b"
)


def outer_force(text: str) -> str:
    """What in a sentence is the world's doing: 'a price or a wage', 'a strike or a boycott', 'armed men', 'a law',
    'a harvest, a catch or a bank that failed', 'what the state did'; empty where nothing is."""
    may = may_fit(text)
    for name, pattern in KINDS:
        if pattern in may and pattern.search(text, may) and not (name.startswith("a price") and OWN.search(text, may)):
            return name
    return ""


# What happened to everybody: the first of these words, or a country, is the subject of what public history tells.
PUBLIC_SUBJECT = frozenset(
    """slavery emancipation abolition freedom prohibition conscription rationing suffrage independence partition secession
    parliament congress war peace armistice treaty act statute republic empire monarchy cholera influenza typhus plague
    famine potato blight railway railroad canal telegraph depression panic strike lock-out rebellion revolution reformation
    restoration""".split()
)
OPENING = 4  # tokens in which the subject stands


def general_history(sentence: Sentence, people: People) -> bool:
    """True for what any reader accepts: 'Slavery ended in the British colonies on 1 August 1838.' Nobody of the family is
    in it, no kin, no trade, no 'we', and its subject is a law, a war, an epidemic or a country."""
    if not OURS.isdisjoint(sentence.lower) or not set(sentence.tags).isdisjoint(FAMILY):
        return False
    if any(map(people.__contains__, sentence.tokens)):
        return False
    head = sentence.lower[:OPENING]
    return not PUBLIC_SUBJECT.isdisjoint(head) or opens_with_country(sentence.text)


def opens_with_country(text: str) -> bool:
    """True where the first word is the name of a country or a state."""
    match = CAPITAL.match(text)
    found = known().longest(text, match) if match else None
    return found is not None and any(entry.kind in ("country", "state") and not entry.weak for entry in found[1])


FAMILY = frozenset((PRONOUN, KIN, WORK, VITAL))
OURS = frozenset("i we me us my our mine ours".split())
