"""The small words of English: what denies, what parts a sentence, what tells of time or of nothing.

Words of the trade are no concern of this module: they stand in the book (`terms`, `said`).
"""

from __future__ import annotations

import re

_SPLIT = re.compile(r"[0-9]+(?:[.,][0-9]+)+|[a-z0-9]+|[,.;:!?()\n–—]| - ")
_DASH = re.compile(r"\s-+\s")
_NOT = re.compile(r"\b(do|does|did|is|are|was|were|has|have|had|would|could|should|wo|ca)n'?t\b")
_REFUSE = re.compile(
    r"\b(?:refus(?:e|es|ed|ing)|fail(?:s|ed|ing)?|unable|struggl(?:es|ed|ing)) to\b"
)
_FILLS = re.compile(
    r"\ba (?:little )?bit(?: of)?(?: an?)?\b|\b(?:kind|sort|a lot|lots|plenty) of\b"
)
_SPEED = re.compile(
    r"\b(above|over|at|around|past|from|about|beyond|doing) (?:about )?\d{2,3}\b(?![.,]?\d)"
    r"(?:\s*(?:mph|kmh|km/h|kph|miles (?:an|per) hour))?(?!\s*(?:miles|km|k\b|kilo|%|mm|deg))"
)
"""'above 50' on the road is a speed."""
_SPECIAL = re.compile(
    r"['’‘_]|\d|\bn[o']?t\b|n't|\bbit\b| of\b|refus|fail|unable|on and off|\bpark"
    r"|\b(?:do|wo|ca|is)nt\b|\b[pbcu] (?:zero|oh?|nought|one|two|three)\b"
)
"""What must be there for a text to need any of the rules here."""
_PARK = re.compile(
    r"\b(?:car|lorry|truck|van|coach|bus|trailer|caravan|holiday|national|business|retail) parks?\b"
    r"|\bparking (?:lot|space|place|bay|area|spot)s?\b"
    r"|\b(?:in|at|to|from|through|round|past|by) the park\b(?! (?:position|gear|pawl|lamp|lock))"
)
"""A park that is a place, and nothing that holds a vehicle."""
_ASKED = re.compile(
    r"(?:^|(?<=[,.;:!?])|(?<=\band)|(?<=\bbut))(?P<led> *)"
    r"(?P<verb>is|are|was|were|wo|would|could|ca)n't "
    r"(?=(?:it|she|he|they|there|we|you|i)\b|(?:the|my|that|this)\b[^.!?]*\?)"
    r"|\b(?P<so>is|are|was|were)(?:n't| not) "
    r"(?=(?:\w+ ){0,3}(?:about|going|likely|due) to\b[^.!?]*\?)"
    r"|\b(?P<tagged>is|are|was|were)n't (?=[^.!?]* (?:is|are|was|were) (?:it|she|he|they|there)\?)"
)
"""What is asked denies nothing: 'isn't it about to burst?', 'it isn't loose, is it?'."""
WONDERS = re.compile(
    r"(?:^|[,.;:!?]|\band|\bbut) *(?:do|does|did|has|have|had|should)n['’]t "
    r"(?:it|she|they|there|the|that|this|my)\b[^.!?]*\?"
    r"|n['’]t [^.!?]*, (?:is|are|was|do|does|did|has|have|will|would|can|could) "
    r"(?:it|she|he|they|there)\?"
)
"""Questions whose 'not' says what does not work, or denies nothing: nothing counts as denied."""
_ONES = (
    *("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"),
    *("eleven", "twelve", "thirteen", "fourteen", "fifteen", "sixteen", "seventeen", "eighteen"),
    "nineteen",
)
_DIGITS = {word: str(number) for number, word in enumerate(_ONES)} | dict.fromkeys(
    ("oh", "o", "nought"), "0"
)
_TENS = {
    word: str(number)
    for number, word in enumerate(
        ("twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"), 2
    )
}
_NUMBER = "|".join((r"\d", *_DIGITS, *_TENS, "hundred"))
_CODE = re.compile(rf"\b(?P<kind>[pbcu])(?P<told>(?:[ .-]{{0,3}}(?:{_NUMBER})(?![a-z])){{1,6}})\b")
"""A stored code, as it is read out: a letter and four digits, one by one or in pairs."""
_NO_WISH = re.compile(r"\b(?:do|does|did|would) not (?:want|like|wish|dare|need) to\b")
"""'I don't want to start it' says nothing of whether it starts."""
_ON_OFF = re.compile(r"\bon and off\b")
_WHOLE = {"wo": "will", "ca": "can"}
_SHORT = re.compile(r"'(?:s|ve|re|ll|d|m)\b")


def words(text: str) -> frozenset[str]:
    """Return the words of a text, as a set."""
    return frozenset(text.split())


IDLE = words(
    """
    a about actually ah all almost already am an any anything are aren be been being bit both but
    by can could d did do does doing done each either else er even ever every everything feel feels
    for from fine get gets getting give gives go goes going gone got gotten had has have having he
    hear hearing heard hello hey hi him his how i if is it its itself just keep keeps kind kinda
    know let lets like little look looks lot lots m make makes making maybe me might mine
    must my myself near need needs now of oh ok okay or our ours please pretty quite rather
    re really right s said say says see seem seems seen shall she should show shows so some
    somebody somehow someone something sort start started starting starts still such t than thank
    thanks that the their them then there these they thing things think this those though to
    u um until us use used very want wanted wants was way we well went were what whatever where
    whether which who whole will with would yeah yes yet you your yours again also always
    sometimes often usually constantly suddenly lately recently today yesterday
    as at ve ll won happen happens happening happened bad badly nasty awful horrible terrible
    worried problem problems issue issues trouble fault guess believe sure definitely
    can came come comes coming tell tells told found find finds found am pm put puts putting
    """
)
"""Words that carry nothing a book could know."""

GENERAL = words(
    """
    truck car vehicle jeep van pickup wagon unit thing ute machine customer driver owner guy wife
    husband son daughter boss caller time times day days week weeks month months year years hour
    hours minute minutes ago morning evening night monday tuesday wednesday thursday friday
    saturday sunday january february march april may june july august september october november
    december spring summer autumn fall winter first second third fourth last next past once twice
    new old long short big small whole mile miles km kilometres kilometers mph kmh kph
    drive driving drove driven road highway motorway street town home work shop garage yard park
    parked parking slow slowly fast quick quickly hard soft loud louder quiet easy wrong
    little side right place bottom top middle since begin began begins begun notice noticed
    try tried turn turned downhill uphill hill hills area pipe take took taken bring brought
    getting worse better tries trying
    one two three four five six seven eight nine ten half few couple back away together
    man woman somewhere everywhere anywhere whenever worry during same other another happens ask
    asked call called help wonder wondering good great people kids dog everyone nobody stop stops
    stopped stopping sound sounds noise noises funny weird strange odd move moves moved moving
    reader scanner send sent
    run runs running ran stay stays stayed much more most less least too enough full empty
    """
)
"""Common words that a book may know, but that nobody misses when it does not."""

NAMES_NO_STATE = words(
    """
    front rear left right top bottom middle side inner outer upper lower end ends mm cm m km in inch
    inches thou nm bar kpa psi deg degree degrees c f l ml litre litres rpm mph kmh kph percent g kg
    hz volt volts ohm ohms hour hours minute minutes day days week weeks month months year years
    mile miles kilometre kilometres
    """
)
"""Words of place and measure: alone they say of nothing how it is."""

STILL = words("quiet silent still stop stops stopped disappears vanishes away smooth normal calm")
"""Words that say that nothing is the matter just where they are said."""

NOTHING_HERE = words("gone quiet silent fine ok okay normal vanishes disappears")
"""Words that say so of a place or a drive when nothing else is said there: 'gone in low'."""

DRIVES = words("low high two four 2wd 4wd range")
"""Names of the drives, which tell no trouble by themselves."""

SYMPTOMS = words(
    "noise whine hum growl howl rumble clunk knock rattle vibration shake leak hop hopping sound"
)
"""What may be gone, and then is no trouble there."""

VAGUE = words("broken noisy lamp light code smell leak shake vibration thing weird")
"""Words that tell that something is the matter, but not what, when nothing else is said."""

AMOUNT = words("much more most less least too enough full empty half")
"""Common words that say what is the matter: 'too much oil'."""

HOW_MUCH = words(
    "little less more most few fewer hardly barely scarcely nearly almost half some just than"
)
"""Words that may turn what an answer says: 'with little force' is not with force."""

SMALL = words("in into out on off up down over under only back through between behind round around")
"""Words of direction: they tell phrases apart, and none is found by them alone."""

ALIKE = words("same alike identical equal equally match matches matching")
UNLIKE = words(
    "unlike wrong bigger smaller different differ differs odd mixed mismatch mismatched unequal"
    " uneven"
)
"""Words that say the opposite of those above: what they tell of is not told by 'all the same'."""

DENY = words(
    "not no never none nothing neither nor without cannot cant dont doesnt didnt isnt arent wasnt"
    " werent wont wouldnt couldnt hasnt havent hadnt aint nobody hardly nae cannae wouldnae dinnae"
)
"""What denies the words after it: up to a preposition, once it has met one that tells."""

NONE = words("no without zero")
"""What denies a thing and all that is said of where it is: 'no oil on the floor'."""

USED_TO = re.compile(
    r"\b(?:(?:where|as|like|when|but|though) (?:it|she|he|they|we|that) (?:always|usually|normally)"
    r"|(?:always|usually|normally) (?:did|does|has|would|rolled|went)"
    r"|used to|(?:as|like|than) (?:it|she) (?:did|does) before|did before)\b"
)
"""What it does not do is what is wrong, where it always did: that denies nothing."""

DONE_BADLY = re.compile(
    r"(?:\b(?:never|not)\b|n['’]t\b) (?:\w+ ){0,2}"
    r"(?:fill|fit|tighten|set|put|clos|seat|press|shim|torqu|clean|flush)\w*\b[^,.;:!?]*\b"
    r"(?:right|rightly|properly|correctly|enough|fully|completely|tight)\b"
    r"(?! (?:hand|side|lock|front|rear|back|wheel|turn|bend|corner|curve)s?\b)"
)
"""That something was not done well, which does not deny that it was done."""

GUESS = words("guess guessing suppose probably perhaps maybe presumably surely supposedly")
"""Words of somebody who was not there, or does not know: a cause named so was not seen."""
GUESSED = re.compile(
    rf"\b(?:{'|'.join(sorted(GUESS))}"
    r"|(?:must|might|may|could|will|should|would) (?:well )?(?:be|have))\b"
)

PARTS = words("and but while because although though then plus so which")
"""Words that part a sentence into clauses, like a comma."""

TURNS = words("when whenever if where once as until")
"""Words that begin a clause which belongs to the one beside it: 'whines when I lift off'."""

SINCE = words("since after before")
"""Words that begin a piece of history."""

DATES = words("ago last yesterday")
"""Words that put what is said beside them at a time of its own."""

OVER = re.compile(
    r"\b(?:false alarm|fine now|all good|no danger|no hurry|nothing since|(?:got|was|is) fixed"
    r"|fixed it|garage fixed|on the bench|on a pallet|invoice|do you sell)\b"
)
"""Words that say that nothing presses: it is over, or talk of the shop."""

_SEASON = "(?:year|winter|spring|summer|autumn|season|month)"
_NOT_NOW = re.compile(
    rf"\b{_SEASON}s? (?:ago|back|before last)\b|\b(?:last|previous|other) (?:{_SEASON}|owner)\b"
    r"|\b(?:used to|once had|in (?:the )?old days|in those days)\b"
    r"|\bmy (?:old|last|previous|first) (?:truck|van|car|lorry|one)\b"
    r"|\b(?:would|could|might|may|can|will) "
    r"(?:it|she|he|they|that|this|there|we|i|you|the \w+|a \w+) .*\bif\b"
    r"|\bif .*\b(?:would|could|might) (?:it|she|he|that)\b"
    r"|\b(?:what (?:happens )?if|what would happen|in case|is there (?:a|any) (?:risk|chance)"
    r"|how likely)\b"
    r"|\b(?:did|does|has|have) not (?:happen|come)(?:ed)? (?:again|back)\b"
)
"""What is long past, or only asked as what may be."""
_STILL = re.compile(r"\b(?:since|still|now|again|today|just)\b")
_NO_MATTER = re.compile(
    r"\b(?:just|only) (?:asking|wondering|curious|joking|kidding)\b"
    r"|\bout of (?:interest|curiosity)\b"
    r"|\b(?:hypothetically|in theory|so to speak|as they say|pretend|figure of speech)\b"
    r"|\bas my \w+ (?:says|used to say|would say)\b"
    r"|\b(?:nothing worse|all good fun|no complaints)\b"
    r"|\bnow it(?:'s| is) (?:fine|smooth|dry|cured|gone)\b"
    r"|\bthe (?:truck|van|car|rest)(?:'s| is) fine\b"
    r"|\b(?:been|was|were|all|got) (?:mended|repaired|sorted|put right|dealt with)"
    r"(?: \w+){0,3}[.! ]*$"
)
"""Jokes, idle questions, and what is mended since: nothing of it presses."""
_CLAUSES = re.compile(r"(?<=[,.;:!?\n])\s+|\s+-\s+|\s+(?=but\b)")


def pressing(text: str) -> str:
    """Return what is said of here and now: without what is long past, or asked as what may be.

    >>> pressing("We had a fire two winters back, and now it smokes")
    'and now it smokes'
    >>> pressing("Would it catch fire, just asking")
    ''
    """
    plain = text.lower()
    if _NO_MATTER.search(plain):
        return ""
    if not _NOT_NOW.search(plain):
        return text
    clauses = _CLAUSES.split(text)
    kept = [one for one in clauses if _is_now(one.lower())]
    return text if len(kept) == len(clauses) else " ".join(kept)


def _is_now(clause: str) -> bool:
    return not _NOT_NOW.search(clause) or bool(_STILL.search(clause))


ASKS = words("can could would what how when want need give please tell")
"""Words with which something is asked for: by them a wish is told from a thing named in passing."""
ENDS_DENIAL = SMALL | words("at by for from of to with under when while if after since until")
"""Words that end what is denied: 'no noise in low' denies the noise."""


SUBJECTS = words("there he she we they i")
"""Words that begin a new sentence, with or without a mark: 'I can't stop there's petrol on him'."""


def ends_denial(word: str) -> bool:
    """Say whether a word ends what is denied, once that has met a word that tells."""
    return word in ENDS_DENIAL or word in SUBJECTS


def carries(word: str) -> bool:
    """Say whether a word tells something, so that a denial before it has what it denies."""
    return word not in IDLE and word not in GENERAL and word not in SMALL


def pieces(text: str) -> list[str]:
    """Return a text in words and marks, in small letters, shortened words in full.

    >>> pieces("It doesn't leak - it's dry.")
    ['it', 'does', 'not', 'leak', ' - ', 'it', 'dry', '.']
    """
    plain = _DASH.sub(" - ", text.lower())
    if _SPECIAL.search(plain):
        plain = _in_full(plain)
    return _SPLIT.findall(plain)


def _in_full(plain: str) -> str:
    """Return a text with shortened words in full and without what only fills."""
    plain = plain.replace("’", "'").replace("‘", "'").replace("_", " ")
    plain = _ASKED.sub(_affirmed, _CODE.sub(_code, plain))
    plain = _PARK.sub("yard", plain)
    plain = _SPEED.sub(r"\1 speed", plain)
    plain = _REFUSE.sub("not", _FILLS.sub(" ", plain))
    plain = _NOT.sub(lambda found: f"{_WHOLE.get(found[1], found[1])} not", plain)
    plain = _NO_WISH.sub("rather", plain)
    return _ON_OFF.sub("on off", _SHORT.sub("", plain))


def _affirmed(found: re.Match[str]) -> str:
    """Return the verb of a question without what only seems to deny it."""
    verb = found["verb"] or found["so"] or found["tagged"]
    return f"{found['led'] or ''}{_WHOLE.get(verb, verb)} "


def _code(found: re.Match[str]) -> str:
    """Return a code that was read out as it is written; what has not four digits as it was said.

    >>> pieces("P zero eight three six"), pieces("p-08 thirty six"), pieces("U oh one hundred")
    (['p0836'], ['p0836'], ['u0100'])
    """
    digits = ""
    for word in re.findall(rf"{_NUMBER}", found["told"]):
        if word == "hundred":
            digits += "00"
        elif word in _TENS:
            digits += f"{_TENS[word]}0"
        elif digits[-1:] == "0" and len(digits) > 3 and word in _DIGITS and word not in ("oh", "o"):
            digits = digits[:-1] + _DIGITS[word]
        else:
            digits += _DIGITS.get(word, word)
    return f"{found['kind']}{digits}" if len(digits) == 4 else found[0]


def supposed(text: str) -> list[frozenset[str]]:
    """Return the words of each clause that says what is only supposed, and of its alternatives.

    >>> [sorted(one) for one in supposed("the hub must be bent, or the tube is; it leaks")]
    [['be', 'bent', 'hub', 'must', 'the'], ['is', 'or', 'the', 'tube']]
    """
    found: list[frozenset[str]] = []
    before = False
    for clause in _TOLD_APART.split(text) if GUESSED.search(text) else ():
        either = before and clause.strip().startswith("or ")
        before = either or bool(GUESSED.search(clause))
        if before:
            found.append(frozenset(pieces(clause)))
    return found


_TOLD_APART = re.compile(r"[,.;:!?]|\band\b|\bbut\b")


def done_badly(text: str) -> list[frozenset[str]]:
    """Return the words of each piece that says that something was not done well.

    >>> [sorted(one) for one in done_badly("he never filled it right, it leaks")]
    [['filled', 'it', 'never', 'right']]
    """
    return [frozenset(pieces(match[0])) for match in DONE_BADLY.finditer(text)]
