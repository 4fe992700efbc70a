"""Which parts of the body hurt or do not allow everything, read from plain English words.

A text is cut into clauses, and a clause that names a part of the body is a limit of it, in the student's own words.
Only a clause that is nothing but a plain "no" is none: "none", "no pain", "no pain in the back or neck". Any other
"not" may be what the body does not allow ("cannot bend the knees"), so it counts as a limit: that is the careful side.
What names no part that is known is handed back as words.
"""

import re
from collections.abc import Mapping
from typing import Final, Literal

from attrs import field, frozen

from putt_posture.values.checks import one_of, text
from putt_posture.values.showing import brief

__all__ = ["BODY_PARTS", "BodyPart", "Limit", "read_limits"]

BodyPart = Literal["back", "neck", "shoulder", "elbow", "wrist", "hip", "knee", "ankle", "balance", "eyes"]
"""A wrist is the hand too, a hip the groin and the back of the thigh, an ankle the foot."""
_WORDS: Final[Mapping[BodyPart, str]] = {
    "back": r"(?:lower|upper)?[\s-]*backs?|backache|spin(?:e|al)|lumbar|dis[ck]s?|sciatica|scoliosis|vertebrae?",
    "neck": r"necks?|cervical|whiplash",
    "shoulder": r"shoulders?|rotator[\s-]+cuffs?|collar[\s-]?bones?",
    "elbow": r"elbows?",
    "wrist": r"wrists?|hands?|thumbs?|fingers?|knuckles?|carpal[\s-]+tunnel",
    "hip": r"hips?|groin|hamstrings?",
    "knee": r"knees?|kneecaps?|menisc(?:us|i)|acl",
    "ankle": r"ankles?|achilles|foot|feet|heels?|toes?|plantar",
    "balance": r"balance|balancing|dizz(?:y|iness)|vertigo|unsteady|falls?|falling",
    "eyes": r"eyes?|eyesight|sight|vision|glasses|(?:bi|vari)focals?|progressives?|cataracts?|blind|lens\w*",
}
BODY_PARTS: Final[tuple[BodyPart, ...]] = tuple(_WORDS)


@brief
@frozen(kw_only=True)
class Limit:
    """Pain in a part of the body, or something that it does not allow.

    Attributes
    ----------
    part : BodyPart
    words : str
        The student's own, with all that was said of this part.
    """

    part: BodyPart = field(validator=one_of(*BODY_PARTS))
    words: str = field(validator=text())


def read_limits(text: str) -> tuple[tuple[Limit, ...], tuple[str, ...]]:
    """Read which parts of the body have limits.

    Parameters
    ----------
    text : str
        In the words of the student or the coach.

    Returns
    -------
    tuple of Limit
        One for each part that is named, in the order of the text.
    tuple of str
        The clauses that name no part that is known.

    Examples
    --------
    >>> read_limits("bad back, cannot bend knees far")
    ((Limit(part='back', words='bad back'), Limit(part='knee', words='cannot bend knees far')), ())
    >>> read_limits("no pain")
    ((), ())
    >>> read_limits("gets tired soon")
    ((), ('gets tired soon',))
    """
    said: dict[BodyPart, list[str]] = {}
    unread: list[str] = []
    for sentence in _SENTENCE_END.split(text.replace("’", "'")):
        if _is_plain_no(sentence):
            continue
        last: list[BodyPart] = []
        for clause in _CLAUSE_END.split(sentence):
            words = " ".join(clause.split()).strip(" ,-")
            if not re.search(r"\w", words) or _is_plain_no(words):
                continue
            searched = _ASIDE.sub(" ", words)
            found = sorted(
                (hit.start(), part) for part, pattern in _PARTS.items() for hit in pattern.finditer(searched)
            )
            parts = list(dict.fromkeys(part for _, part in found))
            if not parts and _BEFORE_IT.search(words):
                parts = last
            for part in parts:
                said.setdefault(part, []).append(words)
            if not parts:
                unread.append(words)
            last = parts
    return tuple(Limit(part=part, words="; ".join(words)) for part, words in said.items()), tuple(unread)


_PARTS: Final = {part: re.compile(rf"\b(?:{words})\b", re.I) for part, words in _WORDS.items()}
_SENTENCE_END: Final = re.compile(r"[;!?\n]+|\.(?!\d)|\bbut\b", re.I)
_CLAUSE_END: Final = re.compile(r",(?!\d)")
_ASIDE: Final = re.compile(
    r"\b(?:came|comes?|coming|went|goe?s?|going|gets?|got|getting|gives?|gave)\s+back\b"
    r"|\bback\s+(?:in\s+(?:\d+|january|february|march|april|may|june|july|august|september|october|november|december)"
    r"|then|home|to\s+(?:golf|normal|work|playing)|of\s+(?:the|my|his|her))\b"
    r"|\bon\s+the\s+other\s+hand\b|\d+\s*(?:feet|foot)\b",
    re.I,
)
"""The words of a part in another sense."""
_ANY_PART: Final = rf"(?:(?:the|my|his|her|their|both|left|right|lower|upper)\s+)*(?:{'|'.join(_WORDS.values())})"
_JOINED: Final = r"(?:\s*,\s*(?:(?:and|or|nor)\s+)?|\s+(?:and|or|nor)\s+|\s*/\s*)"
_NOUN: Final = (
    r"(?:pains?|limits?|limitations?|problems?|issues?|troubles?|complaints?|restrictions?|injur(?:y|ies)|aches?"
    r"|discomfort|concerns?)"
)
_WHAT: Final = rf"(?:(?:known|physical|{_ANY_PART}(?:{_JOINED}{_ANY_PART})*)\s+)?{_NOUN}"
_BEFORE_IT: Final = re.compile(r"\b(?:it|them|that|there|which|this)\b", re.I)
"""Words by which a clause speaks of the part in the clause before it."""
_LONGEST_NO: Final = 200
"""Letters of a plain "no"; a longer one says more than that."""
_TAIL: Final = (
    r"(?:\s+(?:at\s+all|at\s+present|today|now|at\s+the\s+moment|so\s+far|whatsoever|known|really|anywhere"
    r"|of\s+any\s+kind|that\s+i\s+know\s+of|to\s+speak\s+of))?"
)
_PLAIN_NO: Final = re.compile(
    rf"(?:(?:(?:has|have|there\s+(?:is|are)|i\s+have|with)\s+)?(?:no|not\s+any|without(?:\s+any)?)\s+"
    rf"{_WHAT}(?:{_JOINED}(?:no\s+)?{_WHAT})*(?:\s+(?:in|with|of|at|from)\s+{_ANY_PART}(?:{_JOINED}{_ANY_PART})*)?{_TAIL}"
    rf"|(?:none|no|nothing|nil|n/a|not\s+applicable|pain[\s-]?free|(?:fully\s+)?(?:healthy|fit|fine))(?:\s+known)?{_TAIL}"
    rf"|[\s-]*)",
    re.I,
)


def _is_plain_no(words: str) -> bool:
    return len(words) <= _LONGEST_NO and _PLAIN_NO.fullmatch(" ".join(words.split()).strip(" ,")) is not None
