"""Two PDFs compared object by object, wherever in their files the objects stand.

What readers see follows from the objects that the catalog leads to: contents, fonts, pictures, links,
the order of reading. Two files whose objects are the same show the same, whoever wrote the bytes.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import Any

from pyhanko.pdf_utils import generic

_HOW_STORED = frozenset({"/Length", "/Filter", "/DecodeParms", "/DL"})
_BESIDE = frozenset({"/Parent", "/ParentTreeNextKey"})
"""What leads back to where the comparison came from, and the next free number of a tree."""

Keep = Callable[[Any], bool]
_Pair = tuple[Any, Any, tuple[str, ...]]
"""Two objects, and the way that led to them."""


class Comparison:
    """Compares parts of one file with parts of another; what was found the same stays so."""

    def __init__(self, additions: Keep, apart: Iterable[tuple[Any, Any]] = ()) -> None:
        """Begin with nothing compared.

        Parameters
        ----------
        additions : callable
            Says of an item of the left file's arrays that it may be there in addition.
        apart : iterable of pairs
            Objects that belong together and are compared each by itself: what leads to one of them
            must lead to the other.
        """
        self._additions = additions
        self._met: set[tuple[int, int, int, int]] = set()
        for left, right in apart:
            one, other = left.container_ref, right.container_ref
            self._met.add((one.idnum, one.generation, other.idnum, other.generation))

    def first_difference(
        self, left: Any, right: Any, *, without: frozenset[str] = frozenset()
    ) -> tuple[str, ...] | None:
        """Return the way to the first thing that is not the same; None when all is.

        `without` names keys of the outermost dictionaries that are not looked at.
        """
        waiting: list[_Pair] = [(left, right, ())]
        while waiting:
            one, other, at = waiting.pop()
            below = self._below(one, other, at, frozenset() if at else without)
            if below is None:
                return at
            waiting += below
        return None

    def _below(
        self, one: Any, other: Any, at: tuple[str, ...], without: frozenset[str]
    ) -> list[_Pair] | None:
        """Return the pairs that must be the same too; None when these two already are not."""
        if isinstance(one, generic.IndirectObject) and isinstance(other, generic.IndirectObject):
            met = (one.idnum, one.generation, other.idnum, other.generation)
            if met in self._met:
                return []
            self._met.add(met)
        left, right = _held(one), _held(other)
        kinds = (generic.StreamObject, generic.DictionaryObject, generic.ArrayObject)
        of, theirs = (
            next((kind for kind in kinds if isinstance(held, kind)), None) for held in (left, right)
        )
        if of is not theirs:
            return None
        if of is None:
            return [] if _plain(left) == _plain(right) else None
        if of is generic.ArrayObject:
            ours = [left.raw_get(n) for n in range(len(left))]
            if len(ours) > len(right):
                ours = _without(ours, self._additions, numbered=at[-1:] == ("/Nums",))
            if len(ours) != len(right):
                return None
            return [(item, right.raw_get(n), (*at, "[]")) for n, item in enumerate(ours)]
        skipped = _BESIDE | without
        if of is generic.StreamObject:
            if not _same_data(left, right):
                return None
            skipped |= _HOW_STORED
        keys = [key for key in left if key not in skipped]
        if {*keys} != {key for key in right if key not in skipped}:
            return None
        return [(left.raw_get(key), right.raw_get(key), (*at, key)) for key in keys]


def _without(items: list[Any], additions: Keep, *, numbered: bool) -> list[Any]:
    if numbered:  # a number tree: each value after its number
        pairs = zip(items[::2], items[1::2], strict=False)
        return [one for pair in pairs if not additions(_held(pair[1])) for one in pair]
    return [one for one in items if not additions(_held(one))]


def _held(item: Any) -> Any:
    return item.get_object() if isinstance(item, generic.IndirectObject) else item


def _plain(item: Any) -> tuple[str, Any]:
    """Return a value so that two are equal when a reader takes them for the same."""
    if isinstance(item, generic.BooleanObject):
        return "bool", item.value
    if isinstance(item, generic.NullObject):
        return "null", None
    if isinstance(item, generic.NameObject):
        return "name", str(item)
    if isinstance(item, int | float) or hasattr(item, "as_numeric"):
        return "number", float(item)
    if isinstance(item, bytes):
        return "bytes", bytes(item)
    return "text", str(item)


def _same_data(left: Any, right: Any) -> bool:
    if left.encoded_data == right.encoded_data and _filters(left) == _filters(right):
        return True
    return bool(left.data == right.data)


def _filters(stream: Any) -> str:
    return f"{stream.get('/Filter')} {stream.get('/DecodeParms')}"
