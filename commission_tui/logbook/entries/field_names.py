"""What people call the fields of an entry: one name for each, in the words of the forms."""

from __future__ import annotations

from collections.abc import Mapping

EVERYWHERE: Mapping[str, str] = {
    "accepted_by": "who accepts it for the client",
    "agreed_by": "who agreed to it",
    "batch": "batch",
    "certificate": "certificate",
    "check": "check",
    "client": "client",
    "fingerprint": "fingerprint of the record",
    "instrument": "instrument",
    "integrator": "integrator",
    "location": "place",
    "media_type": "format of the file",
    "note": "note",
    "organisation": "organisation",
    "part": "kind of part",
    "place": "place",
    "reason": "reason",
    "role": "role",
    "serial": "serial number",
    "sha256": "hash of the file",
    "size": "size of the file",
    "unit": "unit",
}
"""What a field is called wherever it stands, unless its kind of entry says otherwise."""

OF_KIND: Mapping[str, Mapping[str, str]] = {
    "Accuracy": {
        "percent": "accuracy in percent of the reading",
        "absolute": "fixed part of the accuracy",
        "repeatability_percent": "repeatability in percent of the reading",
        "repeatability_absolute": "fixed part of the repeatability",
        "resolution": "resolution",
    },
    "ChecklistSet": {"files": "checklist files"},
    "Correction": {
        "corrects": "entry that is corrected",
        "replacement": "what it should have been",
        "reason": "reason of the correction",
    },
    "Design": {"text": "wall file", "reason": "reason of the revision"},
    "DocumentIssued": {
        "number": "number of the document",
        "paper": "paper",
        "supplements": "hash of the document that it supplements",
    },
    "Entry": {
        "id": "id of the entry",
        "job": "id of the job",
        "at": "time of the entry",
        "by": "who wrote the entry",
        "previous": "entry before it",
        "joins": "entries that it joins",
        "body": "what was logged",
    },
    "FaultFound": {
        "fault": "kind of fault",
        "severity": "severity",
        "seen_on": "what it was seen on",
    },
    "FaultWork": {
        "found": "fault",
        "action": "step",
        "owner": "who puts it right",
        "due": "until when it is put right",
    },
    "FileKept": {"name": "name of the file", "what": "kind of file"},
    "FrozenLimit": {
        "name": "name of the limit",
        "unit": "unit of the limit",
        "low": "lower limit",
        "high": "upper limit",
        "source": "source of the limit",
        "standing": "standing of the limit",
    },
    "Instrument": {
        "key": "short name of the instrument",
        "name": "name of the instrument",
        "calibration_due": "day on which calibration is due",
        "certificate": "calibration certificate",
        "accuracy": "accuracy",
    },
    "InstrumentChosen": {"units": "unit"},
    "JobOpened": {"name": "name of the job", "reference": "order or contract number"},
    "LimitChanged": {"limit": "limit", "reason": "reason of the change"},
    "LimitsFrozen": {"limits": "limit"},
    "Note": {"text": "note"},
    "PartFitted": {
        "replaces": "serial number of the part taken out",
        "from_spares": "taken from the spares",
    },
    "Person": {"name": "name", "phone": "phone number", "mail": "mail address"},
    "Photo": {"name": "name of the file", "about": "fault that it shows", "caption": "caption"},
    "ReadingTaken": {
        "field": "what is read",
        "value": "reading",
        "meter_time": "time that the meter wrote",
        "photo": "photograph that it was read from",
        "again": "further reading",
        "odd": "why the value was asked about",
    },
    "ScopeAgreed": {"size": "scope", "checks": "check"},
    "FeatureSettled": {"feature": "feature", "there": "there"},
    "ResultsKept": {"change": "change", "checks": "check"},
    "SettingLogged": {"setting": "setting", "value": "value of the setting"},
    "Signature": {
        "name": "name of who signs",
        "statement": "statement",
        "exceptions": "number of exceptions",
        "strokes": "signature as drawn",
        "decision": "decision",
        "taken": "exceptions taken",
    },
    "TakenException": {
        "what": "exception",
        "owner": "owner of the exception",
        "due": "date of the exception",
        "consent": "the client's initials or words",
        "fault": "fault that is taken",
    },
    "SparePut": {"kept_at": "where it is kept"},
    "TableMapping": {"name": "name of the mapping", "columns": "columns"},
    "VisitBegun": {
        "name": "name of the visit",
        "reason": "reason of the visit",
        "hours_run": "hours run",
    },
}


def field_name(model: str, field: str) -> str:
    """Return what people call a field of a kind of entry."""
    named = OF_KIND.get(model, {}).get(field) or EVERYWHERE.get(field)
    return named or field
