"""Two PDFs compared object by object, wherever in their files the objects stand.

What readers see follows from the objects that the catalog leads to: contents, fonts, pictures, links,
the order of reading. Two files whose objects are the same show the same, whoever wrote the bytes.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

_HOW_STORED = frozenset({"/Length", "/Filter", "/DecodeParms", "/DL"})
_BESIDE = frozenset({"/Parent", "/ParentTreeNextKey"})
"""What leads back to where the comparison came from, and the next free number of a tree."""

Keep = Callable[[Any], bool]


@dataclass(frozen=True, slots=True)
class _Pair:
    left: Any
    right: Any
    at: tuple[str, ...]


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
        waiting = [_Pair(left, right, ())]
        while waiting:
            pair = waiting.pop()
            more = self._below(pair, without if not pair.at else frozenset())
            if more is None:
                return pair.at
            waiting += more
        return None

    def _below(self, pair: _Pair, without: frozenset[str]) -> list[_Pair] | None:
        """Return the pairs that must be the same too; None when these two already are not."""
        from pyhanko.pdf_utils import generic

        one, other = _numbers(pair.left), _numbers(pair.right)
        if one is not None and other is not None:
            met = (*one, *other)
            if met in self._met:
                return []
            self._met.add(met)
        left, right = _held(pair.left), _held(pair.right)
        if isinstance(left, generic.DictionaryObject):
            if not isinstance(right, generic.DictionaryObject):
                return None
            return self._of_dictionaries(left, right, pair.at, without)
        if isinstance(left, generic.ArrayObject):
            if not isinstance(right, generic.ArrayObject):
                return None
            return self._of_arrays(left, right, pair.at)
        return [] if _plain(left) == _plain(right) else None

    def _of_dictionaries(
        self, left: Any, right: Any, at: tuple[str, ...], without: frozenset[str]
    ) -> list[_Pair] | None:
        from pyhanko.pdf_utils import generic

        skipped = _BESIDE | without
        streams = isinstance(left, generic.StreamObject), isinstance(right, generic.StreamObject)
        if streams[0] != streams[1] or (streams[0] and not _same_data(left, right)):
            return None
        if streams[0]:
            skipped |= _HOW_STORED
        keys = [key for key in left if key not in skipped]
        if {*keys} != {key for key in right if key not in skipped}:
            return None
        return [_Pair(left.raw_get(key), right.raw_get(key), (*at, key)) for key in keys]

    def _of_arrays(self, left: Any, right: Any, at: tuple[str, ...]) -> list[_Pair] | None:
        ours = [left.raw_get(n) for n in range(len(left))]
        if len(ours) > len(right):
            ours = _without(ours, self._additions, numbered=at[-1:] == ("/Nums",))
        if len(ours) != len(right):
            return None
        where = (*at, "[]")
        return [_Pair(one, right.raw_get(n), where) for n, one in enumerate(ours)]


def _without(items: list[Any], additions: Keep, *, numbered: bool) -> list[Any]:
    if numbered:  # a number tree: each value after its number
        pairs = zip(items[::2], items[1::2], strict=False)
        return [one for pair in pairs if not additions(_held(pair[1])) for one in pair]
    return [one for one in items if not additions(_held(one))]


def _numbers(item: Any) -> tuple[int, int] | None:
    from pyhanko.pdf_utils import generic

    return (item.idnum, item.generation) if isinstance(item, generic.IndirectObject) else None


def _held(item: Any) -> Any:
    from pyhanko.pdf_utils import generic

    return item.get_object() if isinstance(item, generic.IndirectObject) else item


def _plain(item: Any) -> tuple[str, Any]:
    """Return a value so that two are equal when a reader takes them for the same."""
    from pyhanko.pdf_utils import generic

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
