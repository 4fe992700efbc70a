"""The words by which misses are told: sides, lengths of putts, what joins parts and what makes one unclear."""

import re
from typing import Final

from putt_posture.errors import UnitError
from putt_posture.units import read_length_cm

__all__ = ["MISS_TOKENS", "read_bounds_cm"]

_UNIT: Final = (
    r"(?:mm\b|cm\b|centi(?:metre|meter)s?\b|m\b|(?:metre|meter)s?\b|inch(?:es)?\b|in\b(?!\s+[a-z])|ft\b\.?|feet\b"
    r"|foot(?:ers?)?\b|'(?!\w)|\"|yards?\b|yds?\b)"
)
_COUNT_WORDS: Final = (
    "one",
    *("two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve", "thirteen"),
    *("fourteen", "fifteen", "sixteen", "seventeen", "eighteen", "nineteen", "twenty"),
)
_COUNT: Final = rf"(?:\d+(?:[.,]\d+)?|\b(?:{'|'.join(_COUNT_WORDS)})\b)"
_FEET_AND_INCHES: Final = r"\d+\s*(?:ft|feet|foot|')\s*\d+(?:[.,]\d+)?\s*(?:inch(?:es)?|in|\")"
_PUTTS: Final = r"(?:putts?|ones?|putting|range|distances?|stuff|efforts?)"
_KIND: Final = r"(?:(?:straight|easy|simple|breaking|downhill|uphill|fast|slow|little|flat|sharp)\s+)*"
_ENDS_DISTANCE: Final = (
    r"(?=\s*(?:$|,|and\b|or\b|but\b|of\s+(?:the|it|his|her|my)\b|left\b|right\b|to\s+the\b|on\b|from\b|under\b|over\b"
    r"|inside\b|within\b|outside\b|beyond\b|with\b|when\b|if\b|most\b|mostly\b|often\b|usually\b|always\b|sometimes\b"
    r"|too\b|as\s+well\b|every\b|by\b|at\b|in\b|/|\+|&|-\s))"
)
MISS_TOKENS: Final = re.compile(
    "|".join(
        f"(?P<{name}>{pattern})"
        for name, pattern in (
            # The same words in another sense, before the senses that count.
            (
                "aside",
                r"\b(?:left|right)[\s-]+hand(?:ed|ers?)\b|\b(?:all|just)\s+right\b"
                r"|\bright\s+(?:now|away|after|before|in\s+(?:front|the\s+middle))\b"
                r"|\bunder\s+(?:pressure|stress)\b|\bas\s+long\s+as\b|\blong\s+ago\b|\bfor\s+(?:a\s+)?long(?:\s+time)?\b",
            ),
            (
                "unclear",
                r"\b(?:left|right)[\s-]+to[\s-]+(?:left|right)\b"
                r"|\b(?:left|right)[\s-]+(?:hand(?![\s-]+side)|eyed?|arm|foot|leg|knee|shoulder|elbow"
                r"|thumb|wrist|hip)s?\b"
                r"|\bright\s+(?:line|speed|pace|read|one|way|direction|putter|length|distance|weight|club|grip|idea"
                r"|time|place|spot|choice|amount)\b"
                r"|\bleft\s+(?:short|long)" + _ENDS_DISTANCE + r"|\bthe\s+(?:short|long)(?=\s*(?:$|,|and\b|or\b))"
                r"|\b(?:short|long|lag|medium|mid)(?:er)?\s*(?:and|or|to|&|/|,(?=\s*m))\s*(?:short|long|lag|medium|mid)(?:er)?"
                r"[\s-]+" + _PUTTS + r"\b"
                r"|\b(?:push|pull)(?:es|ed|s|ing)?\s+(?:(?:it|them|the\s+ball)\s+)?(?:up|out|away|off|back|through|past)\b"
                r"|\b(?:push|pull)(?:es|ed|s|ing)?\s+the\s+(?:putter|club|handle|grip|head)\b",
            ),
            (
                "left_verb",
                r"\bleft\s+(?=(?:it|them|the|my|his|her|their|every|all|most|many|some|long|lag|a|\d+|two|three|four|five)"
                r"\b[^,]*\b(?:short|long)" + _ENDS_DISTANCE + ")",
            ),
            (
                "range",
                rf"(?:\bbetween\s+|\bfrom\s+)?(?P<low>{_COUNT})\s*(?P<low_unit>{_UNIT})?\s*(?:-|to|and)\s*"
                rf"(?P<high>{_COUNT})[\s-]*(?P<high_unit>{_UNIT})(?:[\s-]*{_PUTTS}\b)?",
            ),
            (
                "measured",
                r"(?P<bound>\b(?:under|inside(?:\s+of)?|within|below|less\s+than|shorter\s+than|closer\s+than|up\s+to"
                r"|over|beyond|outside(?:\s+of)?|above|more\s+than|longer\s+than|f[au]rther\s+than|at\s+least|past"
                r"|from|at|of|around|about)|<|>)?\s*(?:about\s+)?"
                rf"(?P<measure>{_FEET_AND_INCHES}|{_COUNT}(?P<plus_before>\s*\+)?[\s-]*{_UNIT})"
                r"(?P<after>\s*\+|\s*(?:and|or)\s+(?:more|longer|less|shorter|up|over|under|in)\b(?!\s*\d)|\s+plus\b)?"
                rf"(?:[\s-]*{_PUTTS}\b)?",
            ),
            (
                "short_putts",
                rf"\b(?:short(?:er|est)?|close)[\s,-]+{_KIND}{_PUTTS}\b|\bshorties\b|\btap-?ins?\b|\bgimmes?\b"
                r"|\bfrom\s+close(?:\s+(?:in|by|up))?\b|\bclose\s+to\s+the\s+(?:hole|cup)\b",
            ),
            (
                "long_putts",
                rf"\blong(?:er|est)?[\s,-]+{_KIND}{_PUTTS}\b|\blags\b|\blag[\s-]+{_KIND}{_PUTTS}\b"
                r"|\bfrom\s+(?:far(?:\s+(?:away|out))?|distance)\b",
            ),
            ("both", r"\b(?:both|either|each)\s+(?:ways?|sides?|directions?)\b|\btwo[\s-]way\b"),
            ("left", r"\bleft\b(?:[\s-]+hand[\s-]+side\b)?"),
            ("right", r"\bright\b(?:[\s-]+hand[\s-]+side\b)?"),
            ("pull", r"\bpull(?:s|ed|ing)?\b"),
            ("push", r"\bpush(?:es|ed|ing)?\b"),
            ("short", r"\bshort" + _ENDS_DISTANCE),
            ("long", r"\b(?:long" + _ENDS_DISTANCE + r"|past(?=\s*$|\s*,|\s+(?:it|(?:the|every)\s+(?:hole|cup))\b))"),
            ("revive", r"\b(?:but|only|just|always|instead|rather)\b|\b(?:mostly|usually)\b"),
            ("comma", r",|\b(?:while|whereas|though|although|then)\b|:|\("),
            ("and", r"\b(?:and|or|plus|nor)\b|[/&+]"),
            ("condition", r"\b(?:when|whenever|if|because|since|where|unless|until|after|before|than\s+when)\b"),
            (
                "not",
                r"\b(?:not|never|no|none|nothing|neither|without|hardly|rarely|seldom|barely|cannot)\b|n't\b"
                r"|\b(?:do|does|did|is|are|was|ca|wo|have|has)nt\b"
                r"|\bused\s+to\b|\bstopped\b|\bno\s+longer\b|\banymore\b",
            ),
            (
                "other_verb",
                r"\b(?:aim|align|lin(?:e|ing)\s+up|lines\s+up|set(?:s|ting)?\s+up|stand|stood|open|fac|look|point"
                r"|lean|play|start|turn|curv|swing|swung|tak)(?:s|es|ed|ing|e)?\b"
                r"|\b(?:read|break)s?\s+(?:to\s+the\s+)?(?:left|right)\b",
            ),
            (
                "loose",
                r"\d|\b(?:under|over|inside|within|outside|beyond|between|below|above|short\w*|long\w*)\b"
                r"|\b(?:feet|foot|ft|metres?|meters?|yards?|inch(?:es)?|cm|paces?|steps?)\b",
            ),
        )
    ),
    re.I,
)
"""What the reader knows, each kind before those that its words would else be taken for."""


def read_bounds_cm(found: "re.Match[str]") -> tuple[float | None, float | None] | None:
    """Return how long the putts of a length with a unit are; None where it makes no sense.

    Parameters
    ----------
    found : re.Match
        Of `MISS_TOKENS`, of the kind ``range`` or ``measured``.

    Returns
    -------
    (float or None, float or None)
        What they are longer than and shorter than, cm; both the same where it is one length.
    """
    if found.lastgroup == "range":
        low = _read_cm(f"{found['low']} {found['low_unit'] or found['high_unit']}")
        high = _read_cm(f"{found['high']} {found['high_unit']}")
        return (low, high) if low is not None and high is not None and low < high else None
    length = _read_cm(found["measure"])
    bound, after = " ".join((found["bound"] or "").lower().split()), (found["after"] or "").lower()
    under = bool(_UNDER.match(bound) or re.search(r"less|shorter|under|in\b", after))
    over = bool(_OVER.match(bound) or found["plus_before"] or re.search(r"\+|plus|more|longer|up|over", after))
    if length is None or (under and over):
        return None
    return None if under else length, None if over else length


_UNDER: Final = re.compile(r"under|inside|within|below|less|shorter|closer|up|<")
_OVER: Final = re.compile(r"over|beyond|outside|above|more|longer|f[au]rther|at least|past|>")


def _read_cm(text: str) -> float | None:
    """Return a length in cm; None where it cannot be read or is 0."""
    words = re.sub(r"[\s+-]+", " ", text.lower()).rstrip(".")
    for count, word in enumerate(_COUNT_WORDS, start=1):
        words = re.sub(rf"\b{word}\b", str(count), words)
    words = re.sub(r"centi(?:metre|meter)s?", "cm", words)
    words = re.sub(r"(?:metre|meter)s?", "m", words)
    words = re.sub(r"footers?", "foot", words)
    yards = re.fullmatch(r"(\S+) ?(?:yards?|yds?)", words)
    try:
        length = read_length_cm(f"{yards[1]} ft" if yards and yards[1].isdigit() else words)
    except UnitError:
        return None
    return (length * 3 if yards else length) or None
