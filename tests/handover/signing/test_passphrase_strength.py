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
        ("Tr0ub4dor&3", "weak"),
        ("vX9#qL2!zR7pWk", "fair"),
        ("vX9#qL2!zR7pWk4T", "strong"),
        ("password1" * 30, "weak"),
    ],
)
def test_the_kind_of_a_passphrase_decides(passphrase: str, word: str) -> None:
    said = strength(passphrase)
    assert said.startswith(f"passphrase: {word}: ")
    assert passphrase not in said


def test_words_by_lot_are_worth_what_their_number_gives() -> None:
    """Five words of 7776: that to the fifth."""
    assert math.log2(guesses("copper lantern orbit velvet thistle")) == pytest.approx(64.6, abs=0.1)


def test_another_word_makes_it_stronger() -> None:
    words = ["copper", "lantern", "orbit", "velvet", "thistle", "meadow"]
    told = [guesses(" ".join(words[:count])) for count in range(2, 7)]
    assert told == sorted(set(told))


@pytest.mark.parametrize(
    ("passphrase", "by_letters"),
    [("Tr0ub4dor&3", 95**11), ("40719358", 10**8), ("1qaz2wsx3edc", 36**12)],
)
def test_what_a_person_thinks_up_is_found_long_before_all_letters_are_tried(
    passphrase: str, by_letters: int
) -> None:
    """A word with signs for letters, a day, and rows of keys."""
    assert 1 < guesses(passphrase) < by_letters / 100


def test_a_passphrase_of_any_length_is_told_at_once() -> None:
    """Of an empty one too; what is behind the part that is looked at takes no time and no strength away."""
    assert guesses("") == 1
    signs = "".join(string.punctuation[7 * place % 32] for place in range(4000))
    assert guesses(signs) == guesses(signs[:32]) > 1e9
