"""Text as it is kept: what no database or file takes is taken out."""

import unicodedata

__all__ = ["clean"]


def clean(text: str) -> str:
    r"""Return text without control signs and halves of letters; line ends and tabs stay.

    Examples
    --------
    >>> clean("a\x00b\ud800c\n")
    'abc\n'
    """
    return "".join(each for each in text if each in "\n\t" or unicodedata.category(each) not in {"Cc", "Cs"})
