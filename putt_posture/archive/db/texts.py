"""Texts and names as they are stored and searched."""

import re
import unicodedata

__all__ = ["clean", "name_key", "name_words", "same_name"]


def clean(text: str) -> str:
    r"""Return text without control characters and lone surrogates; line ends and tabs stay.

    Parameters
    ----------
    text : str

    Examples
    --------
    >>> clean("a\x00b\ud800c\n")
    'abc\n'
    """
    return "".join(each for each in text if each in "\n\t" or unicodedata.category(each) not in {"Cc", "Cs"})


def name_key(name: str) -> str:
    """Return the form of a name for sorting and comparing.

    Parameters
    ----------
    name : str
        As typed.

    Examples
    --------
    >>> name_key("  Zoë  O'Mára-Straße ")
    "zoe o'mara-strasse"
    """
    folded = unicodedata.normalize("NFKD", unicodedata.normalize("NFKD", name.casefold()).casefold())
    plain = "".join(each for each in folded if not unicodedata.combining(each))
    return " ".join(plain.split())


def name_words(name: str) -> frozenset[str]:
    """Return the words of a name, by whose start it is found.

    Parameters
    ----------
    name : str
        As typed.

    Examples
    --------
    >>> sorted(name_words("Zoë O'Mára-Straße"))
    ['mara', 'o', 'strasse', 'zoe']
    """
    return frozenset(re.findall(r"\w+", name_key(name)))


def same_name(one: str, other: str) -> bool:
    """Tell whether two names have the same words, in any order, case and accents.

    Parameters
    ----------
    one : str
        Another name.
    other : str
        The second name.

    Examples
    --------
    >>> same_name("Zoë  Putt", "putt, ZOE"), same_name("Zoë Putt", "Zoë Putt senior")
    (True, False)
    """
    return _seen_words(one) == _seen_words(other)


def _seen_words(name: str) -> frozenset[str]:
    """Return the words of a name without invisible characters, which would split them."""
    return name_words("".join(each for each in name if unicodedata.category(each) != "Cf"))
