"""What may be added after a signature, which the library tells by reading every object of a file.

One signature more, in a field that was kept for it, is told from what it adds alone: it gives one field a
value and a look, and nothing that was there leads to anything else of it. Whatever is not just that, such as
a signature by another program, is left to the library. Measured by `tests.benchmarks.bench_verify`.
"""

from __future__ import annotations

import io
import re
from typing import Any

from pyhanko.pdf_utils import generic
from pyhanko.pdf_utils.reader import HistoricalResolver
from pyhanko.sign.diff_analysis import (
    DEFAULT_DIFF_POLICY,
    DiffResult,
    ModificationLevel,
    StandardDiffPolicy,
)
from pyhanko.sign.fields import FieldMDPSpec, MDPPerm

from commission_tui.handover.verify.pdf_reading import dictionary_entry

_APART = rb"(?:[\0\t\n\f\r ]|%[^\r\n]*[\r\n])+"
"""What may stand between two words of a file (ISO 32000-1, 7.2)."""
_NAMED = re.compile(rb"(?<!\d)(\d+)(?=" + _APART + rb"\d+" + _APART + rb"R)")
_OF_THE_REVISION = frozenset({"/Size", "/Prev", "/ID"})
_FILLED = frozenset({"/V", "/AP"})


class RevisionPolicy(StandardDiffPolicy):
    """The library's policy, asked only where more is added than one signature."""

    def __init__(self) -> None:
        """Take over the library's rules."""
        super().__init__(DEFAULT_DIFF_POLICY.global_rules, DEFAULT_DIFF_POLICY.form_rule)

    def apply(
        self,
        old: HistoricalResolver,
        new: HistoricalResolver,
        field_mdp_spec: FieldMDPSpec | None = None,
        doc_mdp: MDPPerm | None = None,
    ) -> DiffResult:
        """Say how much was added; see the library."""
        field = field_signed(old, new) if field_mdp_spec is None else None
        if field is not None:
            return DiffResult(ModificationLevel.FORM_FILLING, {field})
        return super().apply(old, new, field_mdp_spec, doc_mdp)


def field_signed(old: HistoricalResolver, new: HistoricalResolver) -> str | None:
    """Return the name of the field that a revision signs and does nothing else; None where it does more.

    What was signed is `old`; revisions between the two are looked at by themselves.
    """
    xrefs = new.reader.xrefs
    added = new.explicit_refs_in_revision()
    introduced = {one for one in added if xrefs.get_introducing_revision(one) == new.revision}
    changed = added - introduced
    if len(changed) != 1 or new.refs_freed_in_revision() or xrefs.hybrid_xrefs_present:
        return None
    (reference,) = changed
    if _written(old.trailer_view, _OF_THE_REVISION) != _written(new.trailer_view, _OF_THE_REVISION):
        return None
    fields = dictionary_entry(dictionary_entry(old.root, "/AcroForm"), "/Fields")
    listed = [] if fields is None else [fields.raw_get(n) for n in range(len(fields))]
    if not any(_leads_to(one, {reference}) for one in listed):
        return None
    field = _filled(old(reference), new(reference), introduced)
    return None if field is None or _names_any(new, introduced) else field


def _filled(was: Any, now: Any, introduced: set[generic.Reference]) -> str | None:
    """Return the name of a field that got a signature and its look, all of them new, and nothing else."""
    if not all(isinstance(one, generic.DictionaryObject) for one in (was, now)):
        return None
    if was.get("/FT") != "/Sig" or "/Kids" in was or "/V" in was or "/V" not in now:
        return None
    if _written(was, _FILLED) != _written(now, _FILLED):
        return None
    signature = now["/V"]
    if not _leads_to(now.raw_get("/V"), introduced) or signature.get("/Type") != "/Sig":
        return None
    look = now.raw_get("/AP") if "/AP" in now else generic.DictionaryObject()
    if not isinstance(look, generic.DictionaryObject) or look.keys() - {"/N"}:
        return None
    if not all(_leads_to(look.raw_get(key), introduced) for key in look):
        return None
    return str(was.get("/T", ""))


def _leads_to(item: Any, references: set[generic.Reference]) -> bool:
    return isinstance(item, generic.IndirectObject) and item.reference in references


def _written(dictionary: Any, without: frozenset[str]) -> dict[str, bytes]:
    """Return each entry as it would stand in a file, what stands elsewhere only by its number."""
    found = {}
    for key in dictionary.keys() - without:
        out = io.BytesIO()
        dictionary.raw_get(key).write_to_stream(out)
        found[str(key)] = out.getvalue()
    return found


def _names_any(new: HistoricalResolver, introduced: set[generic.Reference]) -> bool:
    """Whether anything before a revision may lead to what it introduces, in whatever way it is written.

    So is whatever does not stand there as it is: packed objects, or some that stand further on.
    """
    reader = new.reader
    end = reader.xrefs.get_xref_container_info(new.revision - 1).end_location
    for revision in range(new.revision):
        for one in reader.xrefs.explicit_refs_in_revision(revision):
            place = reader.xrefs.get_historical_ref(one, revision)
            if not isinstance(place, int) or place >= end:
                return True
    reader.stream.seek(0)
    named = {int(number) for number in _NAMED.findall(reader.stream.read(end))}
    return not named.isdisjoint(one.idnum for one in introduced)
