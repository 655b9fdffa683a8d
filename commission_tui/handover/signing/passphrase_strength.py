"""How long a passphrase holds against somebody who has the key file; told, never a reason to refuse.

And how much work a key file asks for at each guess, read before a passphrase is tried at it. Rounds make
a guess dear; a file that asks for thousands of millions of them would never be opened.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping
from typing import Any

MOST_ROUNDS = 10_000_000
"""Of all parts of a file together; a few seconds, and five times what is asked for today."""
_FAMILIAR = ("pkcs12_", "pbes1_", "pbes2", "pbkdf2")
_GUESSES_A_SECOND = 10_000
"""Of one machine, at the rounds that a new key has. Common practice, no published source."""
_DAY_S, _YEAR_S = 86_400.0, 365.25 * 86_400
_WORDS = 7776
"""Words of a list for dice, five throws a word."""
_LANGUAGE = 100_000
"""Words that people know and their usual spellings. Common practice, no published source."""
_ONLY_WORDS = re.compile(r"[^\W\d_]{2,}(?:[ -]+[^\W\d_]{2,})+")
_LONGEST_CHOSEN = 32
"""Characters that zxcvbn looks at: among more of them many signs take it seconds, and its own bound is 72.
A longer passphrase holds at least as long as its beginning."""


def guesses(passphrase: str) -> float:
    """Return how many tries find a passphrase, at most, by who knows of what kind it is.

    Of what a person chose, zxcvbn's estimate; of words no more than if each had been drawn by lot.
    Letters by lot hold longer than this says: it takes ten tries for each that no pattern explains.
    """
    return float(2 ** min(_chosen_bits(passphrase), _words_bits(passphrase)))


def strength(passphrase: str) -> str:
    """Say how long one machine takes to find a passphrase of its kind.

    Nobody can tell from words whether they were drawn by lot or thought up; that is said with them.
    """
    word, time = _lasts(passphrase)
    if word != "weak" and _ONLY_WORDS.fullmatch(passphrase.strip()):
        said = f"{word} only if its words were drawn by lot"
        return f"passphrase: {said}: then it holds {time}; thought up they hold far less"
    better = "" if word == "strong" else "; five words drawn by lot hold longer"
    return f"passphrase: {word}: who has the file finds one of this kind in {time}{better}"


def is_weak(passphrase: str) -> bool:
    return _lasts(passphrase)[0] == "weak"


def _lasts(passphrase: str) -> tuple[str, str]:
    """Return a word for the time that a passphrase holds, and the time."""
    seconds = guesses(passphrase) / 2 / _GUESSES_A_SECOND
    if seconds < _DAY_S:
        return "weak", "less than a day"
    if seconds < _YEAR_S:
        return "weak", f"about {max(round(seconds / _DAY_S), 1)} days"
    if seconds < 1000 * _YEAR_S:
        return "fair", f"about {max(round(seconds / _YEAR_S), 1)} years"
    return "strong", "more than 1000 years"


def _chosen_bits(passphrase: str) -> float:
    """Return the bits of what a person thinks up: words of many lists, names, dates, keys side by side."""
    from zxcvbn import zxcvbn

    begins = passphrase[:_LONGEST_CHOSEN]
    return math.log2(zxcvbn(begins)["guesses"]) if begins else 0.0


def _words_bits(passphrase: str) -> float:
    """Return the bits of words by lot, and of what stands between them; endless where there is none."""
    words = re.findall(r"[^\W\d_]+", passphrase)
    others = re.sub(r"[^\W_]", "", passphrase.replace(" ", ""))
    digits = re.sub(r"\D", "", passphrase)
    known = _LANGUAGE if len(words) == 1 else _WORDS
    by_words = len(words) * math.log2(known) + 3.0 * len(others) + 2.0 * len(digits)
    return by_words if words else math.inf


def rounds_asked(content: bytes) -> int | None:
    """Return the rounds that a PKCS#12 file asks for in all; None when it cannot be told.

    RFC 7292, sections 4 and 4.2.2; RFC 8018, appendix A.2 to A.4.
    """
    from asn1crypto import pkcs12

    try:
        file = pkcs12.Pfx.load(content)
        rounds = 0
        if seal := file["mac_data"].native:
            rounds += int(seal["iterations"])
            if seal["mac"]["digest_algorithm"]["parameters"] is not None:
                return None
        for part in pkcs12.AuthenticatedSafe.load(file["auth_safe"]["content"].native):
            for algorithm in _algorithms(part):
                asked = _rounds(algorithm)
                if asked is None:
                    return None
                rounds += asked
    except (ValueError, TypeError, KeyError, AttributeError):
        return None
    return rounds


def _algorithms(part: Any) -> Iterator[Mapping[str, Any]]:
    """Yield how each encrypted thing of a part is encrypted."""
    from asn1crypto import pkcs12

    if part["content_type"].native == "encrypted_data":
        yield part["content"]["encrypted_content_info"]["content_encryption_algorithm"].native
        return
    for bag in pkcs12.SafeContents.load(part["content"].native):
        if bag["bag_id"].native == "pkcs8_shrouded_key_bag":
            yield bag["bag_value"]["encryption_algorithm"].native


def _rounds(algorithm: Mapping[str, Any]) -> int | None:
    name, parameters = str(algorithm["algorithm"]), algorithm["parameters"]
    if not name.startswith(_FAMILIAR) or parameters is None:
        return None
    if name == "pbes2":
        return _rounds(parameters["key_derivation_func"])
    return int(parameters["iteration_count" if name == "pbkdf2" else "iterations"])
