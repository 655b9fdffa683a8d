"""A passphrase's strength is told in the time that it holds, by what it is made of."""

from __future__ import annotations

import math
import string

import pytest

from commission_tui.handover.signing.passphrase_strength import guesses, strength


@pytest.mark.parametrize(
    ("passphrase", "word"),
    [
        ("12345678", "weak"),
        ("aaaaaaaaaaaaaaaaaaaa", "weak"),
        ("abcdefghijklmnop", "weak"),
        ("wallpaper", "weak"),
        ("Wallpaper1!", "weak"),
        ("lamps and ladders", "weak"),
        ("Copper7lantern#orbit", "fair"),
        ("six quiet owls sat", "strong only if its words were drawn by lot"),
        ("copper lantern orbit velvet thistle", "strong only if its words were drawn by lot"),
        ("vX9#qL2!zR7pWk", "strong"),
    ],
)
def test_the_kind_of_a_passphrase_decides(passphrase: str, word: str) -> None:
    said = strength(passphrase)
    assert said.startswith(f"passphrase: {word}: ")
    assert passphrase not in said


def test_letters_by_lot_are_worth_what_their_number_gives() -> None:
    """Eight digits by lot: ten to the eighth; five words of 7776: that to the fifth."""
    assert guesses("40719358") == pytest.approx(1e8)
    assert math.log2(guesses("copper lantern orbit velvet thistle")) == pytest.approx(64.6, abs=0.1)


def test_another_word_makes_it_stronger() -> None:
    words = ["copper", "lantern", "orbit", "velvet", "thistle", "meadow"]
    told = [guesses(" ".join(words[:count])) for count in range(2, 7)]
    assert told == sorted(set(told))
    assert guesses(string.punctuation) > guesses(string.punctuation[:10])
