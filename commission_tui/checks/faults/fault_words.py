"""From what a technician calls a fault to its kind; a word that fits none is asked about."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from functools import cache
from typing import NamedTuple

from commission_tui.checks.faults.kinds import (
    KINDS,
    PIXEL_WORDS,
    SOMETHING_ELSE,
    FaultKind,
    known_kind,
)
from commission_tui.errors import InputError, did_you_mean
from commission_tui.text import clipped, flat

_LONGEST_CALLED = 60
_LEVEL = (0, 1, 1, 1, 2, 2)
"""Of how well a kind fits: called exactly so, called so in part, or only hinted at."""
_HINTED, _IN_PART = 4, 3
"""From these ranks on, a kind says more than the words do; that of a danger from the second on."""
_OF_PICTURE = frozenset({"wall", "cabinet", "module", "line", "pixel", "seam", "corner"})
"""Forms of place in which others of them lie; a fault beside the picture is in none of them."""


def kinds_like(typed: str, form: str = "") -> tuple[FaultKind, ...]:
    """Return the kinds that a word or a part of it may mean, the likeliest first.

    Parameters
    ----------
    typed : str
        A name, another word for it, or parts of them in any order; nothing gives every kind.
    form : str
        Form of the place (`Location.form`): of those that fit alike, its own come first; then
        the shorter names.
    """
    words = _spelt(typed)
    found = []
    for order, kind in enumerate(KINDS):
        rank = _rank(kind, words, form) if words else 0
        if rank is not None:
            plainer = len(kind.name.split()) if words else 0
            # A line at a seam is no line of a module, whatever it is called.
            beside = form == "seam" and kind.form != form
            found.append(((beside, _LEVEL[rank], kind.form != form, rank, plainer, order), kind))
    return tuple(kind for _, kind in sorted(found, key=lambda item: item[0]))


_DETAIL = re.compile(
    r"(?:red|green|blue|white|x|y|at|\d+|than|its|the|neighbours?|much|slightly|very|a|bit|little)"
)
"""Words beside a kind: which colour, where, how much, beside what; they go into the note."""


def kinds_meant(typed: str, form: str = "") -> tuple[FaultKind, ...]:
    """Return `kinds_like` what is typed; where there is none, like its words without details."""
    return kinds_like(typed, form) or kinds_like(_without_detail(typed), form)


def _without_detail(typed: str) -> str:
    words = _spelt(typed).replace("-", " ").split()
    left = [word for word in words if not _DETAIL.fullmatch(word)]
    return " ".join(left or words)


def _spelt(typed: str) -> str:
    """Return words in small letters, in the spelling of the catalogue."""
    words = typed.strip().lower()
    for other, ours in (
        ("color", "colour"),
        ("gray", "grey"),
        ("center", "centre"),
        ("neighbor", "neighbour"),
    ):
        words = words.replace(other, ours)
    return words


def _rank(kind: FaultKind, typed: str, form: str) -> int | None:
    """Return how well a kind fits, 0 the best; None when it does not."""
    words, called = typed.split(), _words_of_kinds()[kind.name]
    if typed == called.name or typed in called.also:
        return 0
    if called.name.startswith(typed):
        return 1
    begun = [f" {word}" for word in words]
    if _begin_parts(begun, called.name_parts):
        return 2
    if any(_begin_parts(begun, parts) for parts in called.also_parts):
        # Half of what something elsewhere is called only hints at it: too bright, beside black too bright.
        is_here = form in {"", kind.form} or {form, kind.form} <= _OF_PICTURE
        return _IN_PART if is_here else _HINTED
    if any(_begin_parts(begun, parts) for parts in called.hint_parts):
        return _HINTED
    return 5 if all(word in called.together for word in words) else None


def is_said(kind: FaultKind, typed: str, form: str = "") -> bool:
    """Whether words say a kind; where they only hint at it, somebody has to choose it.

    So it is where they are only a part of what a danger is called, or what is not at a place of that form.
    """
    below = _IN_PART if kind.severity == "danger" else _HINTED
    ranks = [_rank(kind, words, form) for words in (_spelt(typed), _without_detail(typed))]
    return any(rank is not None and rank < below for rank in ranks)


class _Called(NamedTuple):
    """What a kind is called, also called and hinted at by, in small letters; parts with a space before each."""

    name: str
    also: tuple[str, ...]
    name_parts: str
    also_parts: tuple[str, ...]
    hint_parts: tuple[str, ...]
    together: str


@cache
def _words_of_kinds() -> Mapping[str, _Called]:
    """Return the words for each kind by its name: of each letter that is typed, those of all are asked for."""
    return {kind.name: _called_by(kind) for kind in KINDS}


def _called_by(kind: FaultKind) -> _Called:
    name = kind.name.lower()
    also, hints = (tuple(map(str.lower, words)) for words in (kind.also, kind.hints))
    return _Called(
        name, also, _parted(name), tuple(map(_parted, also)), tuple(map(_parted, hints)),
        " ".join([name, *also, *hints]),
    )  # fmt: skip


def _parted(text: str) -> str:
    return " ".join(["", *re.split(r"[\s,-]+", text)])


def _begin_parts(begun: list[str], parts: str) -> bool:
    """Whether each word, with a space before it, begins a part of a text."""
    return all(word in parts for word in begun)


def named_kind(words: str, form: str = "") -> FaultKind:
    """Return the one kind that a name or another word for it means.

    Raises
    ------
    InputError
        When there is none, or several that fit the place alike.
    """
    known = known_kind(words.strip())
    if known is not None:
        return known
    wanted = _spelt(words)
    exact = _called(wanted) or _called(_without_detail(words))
    placed = [kind for kind in exact if kind.form == form]
    for fits in (placed, exact, kinds_meant(words) if wanted else ()):
        if len(fits) == 1 and is_said(fits[0], words, form):
            return fits[0]
    several = placed or exact or kinds_meant(words)
    if wanted and several:
        names = ", ".join(repr(kind.name) for kind in several[:8])
        raise InputError(f"fault: found {words[:40]!r}, expected one of {names}")
    known_words = [word for kind in KINDS for word in (kind.name, *kind.also)]
    raise InputError(
        f"fault: found {words[:40]!r}, expected a kind of fault{did_you_mean(wanted, known_words)}, or "
        f"{SOMETHING_ELSE!r} with your own words as a note"
    )


def _called(wanted: str) -> list[FaultKind]:
    return [kind for kind in KINDS if wanted in (kind.name.lower(), *map(str.lower, kind.also))]


def own_words(kind: FaultKind, typed: str) -> str:
    """Return what was typed for a kind, which belongs into the note: all that the kind does not say.

    Words that only begin those a kind is called by were typed to find it: none of them is a note, nor
    are they beside whole words. In words of another kind nothing is left out, nor in those that say which
    it is of what the name leaves open.
    """
    words = _spelt(" ".join(typed.split())).split()
    if kind.name == SOMETHING_ELSE:
        return "" if " ".join(words) in kind.also else typed.strip()
    name = _parts([kind.name])
    every = name | _parts(kind.also)
    if not all(_begins_one(word, every) for word in words):
        return typed.strip()
    whole = [_parts([word]) <= every for word in words]
    if all(_begins_one(word, name) for word in words):
        said = [word for word, is_whole in zip(words, whole, strict=True) if is_whole]
        left = [word for word in kind.either if not any(word.startswith(one) for one in said)]
        return typed.strip() if 0 < len(left) < len(kind.either) else ""
    if all(whole):
        return typed.strip()
    return " ".join(own for own, is_whole in zip(typed.split(), whole, strict=True) if is_whole)


def _parts(names: Iterable[str]) -> set[str]:
    return {part for name in names for part in re.split(r"[\s,-]+", name.lower()) if part}


def _begins_one(word: str, parts: Iterable[str]) -> bool:
    """Whether a word, or each part of it, begins one of those that a kind is called by."""
    return all(any(there.startswith(part) for there in parts) for part in _parts([word]))


def fault_note(kind: FaultKind, typed: str, note: str) -> str:
    """Return the note of a fault: what was typed for its kind, where that is not its name, and the note.

    Raises
    ------
    InputError
        When it is something else, and nothing says what.
    """
    own, note = own_words(kind, typed), note.strip()
    if kind.name == SOMETHING_ELSE and not (own or note):
        raise InputError(
            f"note: found nothing, expected in your own words what {SOMETHING_ELSE} is"
        )
    if own.lower() in note.lower():
        return note
    return f"{own}; {note}" if note else own


def fault_called(kind: str, note: str) -> str:
    """Return what a fault is called in one line; what fits no kind by the words beside it."""
    own = clipped(flat(note), _LONGEST_CALLED)
    return f"{kind}: {own}" if kind == SOMETHING_ELSE and own else kind


def about_pixels(text: str) -> bool:
    """Whether somebody's own words are about pixels."""
    words = text.lower()
    return bool(PIXEL_WORDS & set(re.findall(r"[a-z]+", words)))
