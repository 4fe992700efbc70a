"""Sentences of the library in the words of the page: what the command calls by an option, the page calls by its label.

The library writes its sentences for whoever reads them, and names options and commands in them. On the page they pass
`in_page_words` where they enter it: each text of a template in `rendering`, each answer to a script in
`rendering.answer_json`, the stored report in `showing`. What the page has no place for is said in full as a command.
"""

import re
from collections.abc import Callable
from typing import Any, Final

from markupsafe import Markup

from putt_posture.shown_units import AsIs

__all__ = ["PHRASES", "in_page_words", "texts_in_page_words"]

_FRAME: Final = "“Choose another frame” on the page “By hand”"
_STILL: Final = "a still picture of one in place of the clip"
_ALONE: Final = "Film again with the student alone in the picture"
_CHECK: Final = "“Check the archive” on the page “Archive”"
_PAST: Final = "page “What is past its time”"

PHRASES: Final = (
    # A clip in which nothing was found has no result yet, so that no page By hand is there to choose a frame.
    ("Give its time with --setup-at SECONDS", "Choose a still picture of it in place of the clip"),
    ("Give the time of one with --setup-at, or a still of one", f"Choose {_STILL}, or film again"),
    ("give other times with --setup-at", f"choose {_STILL}"),
    ("Give the time of a still moment with --setup-at, or a point on the student with --student-at",
     f"Choose a still moment with {_FRAME}, or film again with the student alone in the picture"),
    ("Give the time of one with --setup-at", f"Choose one with {_FRAME}"),
    ("give the time of another with --setup-at", f"choose another with {_FRAME}"),
    ("measure the clip again with --setup-at", f"choose it with {_FRAME}"),
    ("Give --student-at x,y", _ALONE),
    ("Give this clip to --down-the-line", "Put this clip under “Down the line”"),
    ("Give this clip to --face-on", "Put this clip under “Face on”"),
    ("give its ends with --shaft-at", "give its ends with “Place the shaft” on the page “By hand”"),
    ("centre with --ball-at", "centre with “Place the ball” on the page “By hand”"),
    # A length is placed in a result; without one the whole student has to be seen.
    (", or give a known length with --scale-object", ""),
    ("check --shaft-at, --putter-length and --height", "check the shaft on the page “By hand”, “Putter in use: length” "
     "and “Height, barefoot”"),
    ("check --scale-object and --height", "check “Known length, cm” on the page “By hand”, and “Height, barefoot”"),
    (", or give --camera-distance if it was farther", ""),
    ("or --handed is wrong", "or “Putts” is wrong"),
    ("but --handed ", "but “Putts” "),
    ("was given. Give --handed ", "was chosen. Choose "),
    ("Another day: --day", "Another day: “Day of the lesson” on the page “Keep”"),
    ("the right --putter-length", "the right “Putter in use: length”"),
    (" (--forget born)", ": empty “Day of birth”"),
    (", or add --replace to replace it", ""),
    (" that measure wrote with --out", " of a measured lesson"),
    ("Give another folder with --drafts", "Start the program with another folder: putt-posture lesson --drafts FOLDER"),
    ("Erase what is kept with archive retention --erase", f"Erase what is kept on the {_PAST}"),
    ("The command archive retention shows what is kept without consent, and erases it with --erase",
     f"The {_PAST} shows what is kept without consent, and erases it"),
    ("Look again with archive retention", f"Look again on the {_PAST}"),
    ("Erase those first with archive erase-lesson", "Erase those first with “Erase” on their pages"),
    ("with archive erase-lesson", "with “Erase” on its page"),
    ("the consent down with archive consent", "the consent down on the student's page “Consents”"),
    ("with archive describe", "with “Change” on the student's page"),
    ("File a lesson with archive file, or write down putts with archive practice",
     "File a lesson, or write down putts on the student's page “Practice test”"),
    ("Look for the number with archive find NAME", "Look for the student with “Find a student by name”"),
    ("Look for it with archive show", "Look for it on the page of its student"),
    (" Look at what is known with archive show.", ""),
    ("Look with archive show", "Look on the student's page"),
    ("with archive check", f"with {_CHECK}"),
    ("Run archive check", f"Use {_CHECK}"),
    ("run archive check", f"use {_CHECK}"),
    ("Make a backup with archive backup, then run archive upgrade",
     "In the terminal, make a backup with putt-posture archive backup, then run putt-posture archive upgrade"),
    ("with archive restore", "in the terminal with putt-posture archive restore"),
)  # fmt: skip
"""What stands in a sentence of the library, and what the page says in its place; the first that fits counts.

What is in “…” is a label of the page, and is shown in the language of the page.
"""

_LABEL: Final = re.compile("“([^”]+)”")
_ANY: Final = re.compile("|".join(re.escape(found) for found, _ in PHRASES))
_SAID: Final = dict(PHRASES)


def in_page_words(text: str, say: Callable[[str], str]) -> str:
    """Return a text of the library with the words of the page in place of options and commands.

    Parameters
    ----------
    text : str
        An `AsIs`, which is what a person typed, stays. Markup is taken for a page that the library wrote, and stays
        markup.
    say : callable
        Puts the labels of the page into its language.

    Examples
    --------
    >>> in_page_words("Remove the lesson with archive erase-lesson.", str)
    'Remove the lesson with “Erase” on its page.'
    """
    if isinstance(text, AsIs) or not ("--" in text or "archive " in text):
        return text

    def found(match: re.Match[str]) -> str:
        return _LABEL.sub(lambda label: f"“{say(label[1])}”", _SAID[match[0]])

    replaced = _ANY.sub(found, str(text))
    return Markup(replaced) if isinstance(text, Markup) else replaced


def texts_in_page_words(value: Any, say: Callable[[str], str]) -> Any:
    """Return dicts and lists with every text in them as `in_page_words` says it; what is none of these stays.

    Parameters
    ----------
    value : dict, list, tuple, str or any other
    say : callable
        As for `in_page_words`.
    """
    if isinstance(value, str):
        return in_page_words(value, say)
    if isinstance(value, dict):
        return {name: texts_in_page_words(each, say) for name, each in value.items()}
    if isinstance(value, (list, tuple)):
        return [texts_in_page_words(each, say) for each in value]
    return value
