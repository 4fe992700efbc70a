"""Which putts a student misses and which way, read from plain English words.

The reader knows few words and takes only what is clear. A text is cut into sentences, and these at commas and at words
like "and" into parts. A part is read by its sides ("left", "both ways", "pulls", "short of the hole") and by the length
of the putt ("under 2 m", "inside 6 feet", "3-footers", "short putts"). A part with a "not", with a verb of aiming, or
with a number that has no unit is not read. What is not read is handed back as words: nothing is guessed.

"Short" and "long" are the length of the putt before a word for putts ("the short ones", "long putts"), and else say
that the ball stops short of the hole or runs past it. Two rules join parts: a length that comes first counts for the
sides after it ("under 2 m left and right"), and one that comes last for the sides that "and" or "or" joins to it.
"""

import re
from collections.abc import Iterable, Sequence
from typing import Final, Literal

from attrs import evolve, field, frozen

from putt_posture.values.checks import check_word, number, one_of
from putt_posture.values.miss_words import MISS_TOKENS, read_bounds_cm
from putt_posture.values.showing import brief
from putt_posture.values.student import Handed

__all__ = ["Miss", "MissSide", "read_misses"]

MissSide = Literal["left", "right", "both", "short", "long"]
"""Where the ball goes: past the hole on that side, on both sides by turns, short of it, or past it."""


@brief
@frozen(kw_only=True)
class Miss:
    """One way in which putts are missed.

    Attributes
    ----------
    side : MissSide
        As the student sees it from the ball; ``both`` is left and right.
    under_cm : float or None
        The putts are shorter than this, cm; None where no length was said.
    over_cm : float or None
        The putts are longer than this, cm; None where no length was said. Both are the same where one length was
        said: "from 6 feet".
    putts : {"short", "long"} or None
        The length of the putts where it was said by a word only: "short putts", "lag putts".
    """

    side: MissSide = field(validator=one_of("left", "right", "both", "short", "long"))
    under_cm: float | None = field(default=None, validator=number(optional=True, above=0))
    over_cm: float | None = field(default=None, validator=number(optional=True, above=0))
    putts: Literal["short", "long"] | None = field(default=None, validator=one_of("short", "long", optional=True))


def read_misses(text: str, *, handed: Handed) -> tuple[tuple[Miss, ...], tuple[str, ...]]:
    """Read which putts are missed and which way.

    Parameters
    ----------
    text : str
        In the words of the student or the coach.
    handed : Handed
        Which way the student putts: a right-hander pulls to the left and pushes to the right.

    Returns
    -------
    tuple of Miss
        What is clear, each once, in the order of the text.
    tuple of str
        The parts of the text that were not read.

    Examples
    --------
    >>> read_misses("left and right under 2 m", handed="right")
    ((Miss(side='both', under_cm=200),), ())
    >>> read_misses("Pulls the short ones, leaves long putts short", handed="right")[0]
    (Miss(side='left', putts='short'), Miss(side='short', putts='long'))
    >>> read_misses("depends on the day", handed="right")
    ((), ('depends on the day',))
    """
    check_word(handed, "handed", ("right", "left"))
    misses: list[Miss] = []
    unread: list[str] = []
    for sentence in _SENTENCE_END.split(text.translate(_SIGNS)):
        if not re.search(r"\w", sentence) or _NO_MISSES.fullmatch(sentence):
            continue
        if len(sentence) > _LONGEST:
            unread.append(_trim(sentence))
            continue
        parts = _cut(sentence, handed)
        _bar_doubtful(parts)
        for found in _read_parts(parts):
            misses += found
        unread += (part.words for part in parts if not part.read and re.search(r"\w", part.words))
    return tuple(_join_sides(misses)), tuple(unread)


@frozen(kw_only=True)
class _Length:
    under_cm: float | None = None
    over_cm: float | None = None
    putts: Literal["short", "long"] | None = None

    def joined(self, other: "_Length") -> "_Length | None":
        """Return both at once; None where they do not go together."""
        mine = {name: getattr(self, name) for name in _LENGTH_FIELDS if getattr(self, name) is not None}
        more = {name: getattr(other, name) for name in _LENGTH_FIELDS if getattr(other, name) is not None}
        both = _Length(**(mine | more))
        if mine.keys() & more.keys() or (both.over_cm or 0.0) > (both.under_cm or float("inf")):
            return None
        return both

    def miss(self, side: MissSide) -> Miss:
        """Return the miss of such putts to a side."""
        return Miss(side=side, under_cm=self.under_cm, over_cm=self.over_cm, putts=self.putts)


_LENGTH_FIELDS: Final = ("under_cm", "over_cm", "putts")


class _Part:
    """A part of a sentence between two joining words."""

    def __init__(self, joined_by: str) -> None:
        self.joined_by = joined_by
        self.words = ""
        self.sides: list[MissSide] = []
        self.lengths: list[_Length] = []
        self.length_first = False
        self.marks: set[str] = set()
        self.read = False

    @property
    def ends_chain(self) -> bool:
        """Whether it begins a new thought: after a comma or a "but"."""
        return self.joined_by not in _AND


_SIDEWAYS: Final = ("left", "right", "both")
_AND: Final = ("and", "or")
_SIGNS: Final = str.maketrans({"’": "'", "‘": "'", "′": "'", "“": '"', "”": '"', "″": '"', "–": "-", "—": "-"})
_LONGEST: Final = 400
"""Letters of a sentence that is read; a longer one is a story."""
_SENTENCE_END: Final = re.compile(r"[;!?\n]+|(?<!\bft)(?<!\bin)\.(?!\d)")
_NO_MISSES: Final = re.compile(r"\s*(?:none|no|nothing|no misses)\s*", re.I)

_BARRING: Final = frozenset({"unclear", "loose", "other_verb", "not", "condition"})


def _cut(sentence: str, handed: Handed) -> list[_Part]:
    """Cut a sentence into parts, and note what each says."""
    parts = [_Part("")]
    start = 0
    for found in MISS_TOKENS.finditer(sentence):
        kind = found.lastgroup or ""
        part = parts[-1]
        joins = {"comma": ",", "and": "and", "condition": "when"}.get(kind)
        if kind == "revive" and found[0].lower() == "but":
            joins = "but"
        if kind == "not" and part.sides and _ONLY_SIDE.match(sentence[found.end() :]):
            joins = ","  # "left, not right" with or without its comma
        if joins is not None:
            part.words = _trim(sentence[start : found.start()])
            start = found.start() if kind in ("condition", "not") else found.end()
            part = _Part(joins)
            parts.append(part)
        _note(part, kind, found, handed)
    parts[-1].words = _trim(sentence[start:])
    return parts


_ONLY_SIDE: Final = re.compile(r"\s*(?:to\s+the\s+)?(?:left|right|short|long)\b", re.I)


def _trim(words: str) -> str:
    return " ".join(words.split()).strip(" ,:()/&+-")


def _note(part: _Part, kind: str, found: "re.Match[str]", handed: Handed) -> None:
    if kind in ("left", "right", "both", "short", "long"):
        part.sides.append(kind)  # type: ignore[arg-type]
    elif kind in ("pull", "push"):
        part.sides.append("left" if (kind == "pull") == (handed == "right") else "right")
    elif kind in ("range", "measured", "short_putts", "long_putts"):
        part.length_first = part.length_first or not part.sides
        if kind in ("short_putts", "long_putts"):
            part.lengths.append(_Length(putts="short" if kind == "short_putts" else "long"))
        elif bounds := read_bounds_cm(found):
            part.lengths.append(_Length(over_cm=bounds[0], under_cm=bounds[1]))
        else:
            part.marks.add("loose")
    else:
        part.marks.add(kind)


def _bar_doubtful(parts: Sequence[_Part]) -> None:
    """Mark the parts that a "not" or a verb of aiming may reach, so that they are not read."""
    negated = False
    for index, part in enumerate(parts):
        if part.joined_by == "but" or "revive" in part.marks:
            negated = False
        if negated:
            part.marks.add("not")
        if "not" in part.marks:
            negated = True
        if reaching := part.marks & {"not", "other_verb", "condition"}:
            _bar_chain(parts, index, reaching)


def _bar_chain(parts: Sequence[_Part], index: int, marks: Iterable[str]) -> None:
    """Bar what "and" or "or" joins to a part, before and after it."""
    first = index
    while first > 0 and not parts[first].ends_chain:
        first -= 1
    last = index
    while last + 1 < len(parts) and not parts[last + 1].ends_chain:
        last += 1
    for part in parts[first : last + 1]:
        part.marks.update(marks)


def _read_parts(parts: Sequence[_Part]) -> list[list[Miss]]:
    """Give the sides of each part the length that is said of them, and return the misses of each part."""
    found: list[list[Miss]] = [[] for _ in parts]
    lengths = [_one_length(part) for part in parts]
    clear = [not (part.marks & _BARRING) and length is not None for part, length in zip(parts, lengths, strict=True)]
    for index, part in enumerate(parts):
        if not clear[index] or not part.sides:
            continue
        length = lengths[index]
        if not part.lengths:
            source = _find_source(parts, clear, index)
            length = _Length() if source is None else lengths[source]
            if source is not None:
                parts[source].read = True
        assert length is not None
        part.read = True
        found[index] = [length.miss(side) for side in part.sides]
    _add_second_lengths(parts, clear, lengths, found)
    return found


def _one_length(part: _Part) -> _Length | None:
    """Return the length that a part says, an empty one where it says none; None where several do not go together."""
    joined: _Length | None = _Length()
    for each in part.lengths:
        joined = joined and joined.joined(each)
    return joined


def _find_source(parts: Sequence[_Part], clear: Sequence[bool], index: int) -> int | None:
    """Return which part has the length for the sides of a part that has none."""
    for step in (-1, 1):
        place, commas = index, False
        while 0 <= place + step < len(parts):
            joint = parts[max(place, place + step)].joined_by
            place += step
            commas = commas or joint == ","
            if not clear[place] or joint not in (",", *_AND):
                break
            if parts[place].lengths:
                alone = not parts[place].sides
                if step < 0:
                    taken = alone and place > 0 and clear[place - 1] and bool(parts[place - 1].sides)
                    fits = parts[place].length_first and (alone or not commas) and not taken
                else:
                    fits = alone or not (commas or parts[place].length_first)
                if fits:
                    return place
                break
    return None


def _add_second_lengths(
    parts: Sequence[_Part], clear: Sequence[bool], lengths: Sequence[_Length | None], found: list[list[Miss]]
) -> None:
    """Read "left under 2 m and over 5 m", and "over 1 m and under 2 m", which is one length."""
    for index in range(1, len(parts)):
        part, length = parts[index], lengths[index]
        if part.read or part.sides or not part.lengths or not clear[index] or length is None:
            continue
        if part.joined_by not in _AND or not found[index - 1]:
            continue
        before = found[index - 1]
        joined = _Length(under_cm=before[0].under_cm, over_cm=before[0].over_cm, putts=before[0].putts).joined(length)
        part.read = True
        if joined is not None:
            found[index - 1] = [joined.miss(each.side) for each in before]
        else:
            found[index] = [length.miss(each.side) for each in before]


def _join_sides(misses: Iterable[Miss]) -> list[Miss]:
    """Return each miss once, left and right of the same putts as both."""
    kept: list[Miss] = []
    for miss in misses:
        both = evolve(miss, side="both")
        if miss.side in _SIDEWAYS:
            sided = [
                each for each in kept if evolve(each, side="both") == both and each.side in ("left", "right", "both")
            ]
            if sided and sided != [miss]:
                kept[kept.index(sided[0])] = both
                continue
        if miss not in kept:
            kept.append(miss)
    return kept
