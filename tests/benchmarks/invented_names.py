"""Names of nobody: words put together from syllables, in several alphabets."""

import numpy as np

__all__ = ["Names"]

_ALPHABETS = (
    # share, beginnings, vowels, endings; a dot is nothing
    (0.62, "b c d f g h j k l m n p r s t v w br cl dr gr st tr", "a e i o u", ". n r s l"),
    (0.16, "b d f g h j k l m n p r s t v ñ ç š ł ø", "á é í ó ö ü å ę a e", ". n r ß"),
    (0.06, "β γ δ ζ θ κ λ μ ν π ρ σ τ φ", "α ε η ι ο υ ω ά έ", ". ς ν"),
    (0.06, "б в г д ж з к л м н п р с т", "а е и о у я ё", ". н р й"),
    (0.05, "か き く け さ し す た ち と な に の は ま み や ら り", ".", ". ん"),
    (0.05, "가 나 다 라 마 바 사 아 자 하 김 박 정 최", ".", "."),
)
_GIVEN_NAMES = 400
"""Given names are shared by many, family names by few."""


class Names:
    """Draws full names.

    Parameters
    ----------
    rng : numpy.random.Generator
        Decides all of them.
    """

    def __init__(self, rng: np.random.Generator) -> None:
        self._rng = rng
        self._shares = np.array([share for share, *_ in _ALPHABETS])
        self._given = [
            [self._word(at, 2) for _ in range(max(4, int(share * _GIVEN_NAMES)))]
            for at, (share, *_) in enumerate(_ALPHABETS)
        ]

    def draw(self) -> str:
        """Return a name of two words, or now and then of three or one with a hyphen."""
        at = int(self._rng.choice(len(_ALPHABETS), p=self._shares))
        given = self._given[at]
        words = [given[int(len(given) * self._rng.random() ** 2)], self._word(at, int(self._rng.integers(2, 5)))]
        kind = self._rng.random()
        if kind < 0.1:
            words.insert(1, given[int(self._rng.integers(len(given)))])
        elif kind < 0.15:
            words[-1] += "-" + self._word(at, 2)
        return " ".join(words)

    def _word(self, alphabet: int, syllables: int) -> str:
        _, beginnings, vowels, endings = _ALPHABETS[alphabet]
        word = "".join(self._one(part) for _ in range(syllables) for part in (beginnings, vowels)) + self._one(endings)
        return word.title()

    def _one(self, parts: str) -> str:
        chosen = parts.split()
        return chosen[int(self._rng.integers(len(chosen)))].strip(".")
