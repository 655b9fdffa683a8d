"""Acceptance that cannot be misread: one state, one count, and the client's newest word on either."""

from __future__ import annotations

from contextlib import closing
from datetime import date
from pathlib import Path

import pytest

from commission_tui.checks.model.types import Verdict
from commission_tui.checks.places.places import NINE_POINTS
from commission_tui.errors import InputError
from commission_tui.handover.content.document_inputs import Context
from commission_tui.handover.content.punch_list import punch_item
from commission_tui.handover.formats.open_formats import csv_tables
from commission_tui.handover.outline import outline
from commission_tui.logbook.actions.signature_entry import Consent, signature_body
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_parts import Accuracy
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.logbook import Logbook
from commission_tui.logbook.plan.latest_visit import visit_state
from commission_tui.logbook.plan.visit_comparison import compare
from commission_tui.screens.shared.job_screen import counts
from tests.handover.helping import document_data, facts_of, make_job, sign, under
from tests.handover.test_document import ONE_CHECK

CONSENT = Consent("The firm", date(2026, 7, 1), "M. H.")


@pytest.fixture
def job(tmp_path: Path) -> OpenJob:
    return make_job(tmp_path, files=ONE_CHECK)


def client(job: OpenJob, *keys: str, refuses: bool = False) -> None:
    taken = dict.fromkeys(keys, CONSENT)
    job.record(
        signature_body(
            job, role="Client", name="M. Hollis", statement="So.", taken=taken, refuses=refuses
        )
    )


def test_the_states_of_a_handover_follow_each_other(job: OpenJob) -> None:
    assert job.acceptance().state == "draft"
    job.read("order", "fine", "wall", True)
    assert job.acceptance().state == "ready to sign"
    client(job, refuses=True)
    assert job.acceptance().state == "refused"
    job.record(e.Note(text="put right"))
    assert job.acceptance().state == "ready to sign"
    client(job)
    assert job.acceptance().state == "accepted"


def test_a_client_signs_only_with_each_undone_check_and_fault_taken_in_words(job: OpenJob) -> None:
    job.fault("pixel dark", "R1C1 x1 y1", "near")
    with pytest.raises(
        InputError, match="2 exceptions of 2 not taken: In order: not done, fault 1"
    ):
        client(job)
    with pytest.raises(InputError, match="1 exception of 2 not taken"):
        client(job, "order")
    assert not job.state.signatures
    client(job, "order", job.state.faults[0].id)
    stands = job.acceptance()
    assert (stands.state, stands.count) == ("accepted with exceptions", 2)
    assert [(one.number, one.owner, one.consent) for one in stands.exceptions] == [
        (1, "The firm", "M. H."),
        (2, "The firm", "M. H."),
    ]


def test_an_exception_that_was_settled_since_is_told(job: OpenJob) -> None:
    client(job, "order")
    job.read("order", "fine", "wall", True)
    statement = facts_of(document_data(job)["cover"]["facts"])["State"]
    assert statement.endswith("what was accepted stands. Settled: In order: not done.")


def test_a_settled_fault_is_named_as_it_is_now(job: OpenJob) -> None:
    """One that was mended before the signature and looked at since was settled as "mended"."""
    job.fault("pixel dark", "R1C1 x1 y1", "near")
    job.work(job.state.faults[0], "mended")
    client(job, "order", job.state.faults[0].id)
    job.work(job.state.faults[0], "verified")
    statement = facts_of(document_data(job)["cover"]["facts"])["State"]
    assert "Settled: fault 1 at R1C1 x1 y1: pixel dark, accepted by" in statement
    assert statement.endswith("with the signature, mended and looked at again since.")


def test_only_what_was_put_right_is_called_so(job: OpenJob) -> None:
    """A fault that was none and a check that does not apply were called put right, and settled."""
    job.fault("pixel dark", "R1C1 x1 y1", "near")
    fault = job.state.faults[0].id
    client(job, "order", fault)
    job.record(e.VisitBegun(name="30 days"))
    job.correct(fault, None, "it was dust")
    job.skip("order", "nobody ordered it")
    visit = visit_state(job)
    assert visit is not None
    assert visit.changed == (
        "exception 1 does not apply any more, not put right: In order: not done",
        "exception 2 withdrawn, not put right: fault 1 at R1C1 x1 y1: pixel dark",
    )
    said = facts_of(document_data(job)["cover"]["facts"])["State"]
    assert "put right: fault" not in said.replace("not put right: fault", "")
    assert "settled" not in said.lower()
    assert [one.now for one in outline(job).exceptions] == [
        "does not apply any more, not put right",
        "withdrawn, not put right",
    ]


def test_a_hazard_is_taken_by_nobody(job: OpenJob) -> None:
    job.fault("lock or bolt not home", "R1C1", "danger")
    with pytest.raises(InputError, match="an open hazard blocks acceptance"):
        client(job, "order", job.state.faults[0].id)


def test_the_count_is_the_same_everywhere(job: OpenJob) -> None:
    job.fault("pixel dark", "R1C1 x1 y1", "near")
    document = document_data(job)
    assert (
        len(document["exceptions"]["body"]["rows"])
        == len(job.acceptance().left)
        == job.acceptance().count
        == 2
    )
    client(job, "order", job.state.faults[0].id)
    document = document_data(job)
    assert (
        len(document["exceptions"]["body"]["rows"]) == job.state.signatures[0].body.exceptions == 2
    )
    assert "with 2 exceptions" in facts_of(document["cover"]["facts"])["State"]
    assert (
        document["signatures"][1]["decision"] == "Accepted with 2 exceptions, each taken in words."
    )


def test_a_fault_taken_with_the_signature_is_accepted_in_every_place(job: OpenJob) -> None:
    """One word for it: on the punch list, in the counts, the exceptions, the table, a later visit."""
    job.fault("pixel dark", "R1C1 x1 y1", "near")
    assert job.state.faults[0].state == "open"
    client(job, "order", job.state.faults[0].id)
    (fault,) = job.state.faults
    assert fault.state == "accepted"
    assert counts(job)[2] == 0
    assert job.acceptance().exceptions[1].what == "fault 1 at R1C1 x1 y1: pixel dark"
    (item,) = (punch_item(Context(job), one) for one in job.state.faults)
    assert (item.state, item.owner, item.due) == ("accepted", "The firm", "1 Jul 2026")
    assert item.history[-1].what.startswith("accepted as it is by M. Hollis")
    (row,) = csv_tables(Context(job))["faults"][1]
    assert row[7] == row[11] == "accepted"
    assert row[-3:] == ("M. Hollis", "The firm", "2026-07-01")
    facts = facts_of(under(document_data(job), "On one page", "facts-narrow"))
    assert facts["Punch list"] == "1 found: 1 taken as it is"
    with closing(Logbook(job.database)) as book:
        assert book.open(job.id, "A. Technician").outcomes() == job.outcomes(), (
            "no verdict holds what it was before"
        )
    job.record(e.VisitBegun(name="30 days"))
    (known,) = compare(job.state, 0, 1).faults.not_logged
    assert known.state == "accepted"
    job.work(fault, "mended")
    assert job.state.faults[0].state == "mended"
    job.work(job.state.faults[0], "reopened")
    assert job.state.faults[0].state == "open", "what came back is open, whatever was taken"
    assert [f.state for f in compare(job.state, 0, 1).faults.logged_again] == ["open"]


def test_a_refusal_leaves_no_fault_taken(job: OpenJob) -> None:
    job.fault("pixel dark", "R1C1 x1 y1", "near")
    client(job, "order", job.state.faults[0].id)
    client(job, refuses=True)
    assert job.state.faults[0].state == "open"


def test_nothing_read_or_found_on_a_later_visit_changes_what_was_accepted(job: OpenJob) -> None:
    job.fault("pixel dark", "R1C1 x1 y1", "near")
    client(job, "order", job.state.faults[0].id)
    before = job.acceptance()
    job.record(e.VisitBegun(name="30 days"))
    found = visit_state(job)
    assert found is not None
    assert found.word == "nothing looked at yet"
    job.read("order", "fine", "wall", True)
    changed = visit_state(job)
    assert changed is not None
    assert (changed.word, changed.changed) == (
        "changed since",
        ("exception 1 put right: In order: not done",),
    )
    job.fault("cabinet dark", "R1C2", "stop")
    worse = visit_state(job)
    assert worse is not None
    assert worse.word == "1 item to be put right"
    after = job.acceptance()
    assert (after.state, after.exceptions) == (before.state, before.exceptions)
    cover = document_data(job)["cover"]
    assert (cover["state"], cover["visit"]["state"]) == ("accepted with exceptions", worse.word)


def test_a_refusal_on_a_later_visit_is_said_first_and_what_was_accepted_is_past(
    job: OpenJob,
) -> None:
    """Everything but the block of his signature said that it was accepted, and that this stands."""
    job.fault("pixel dark", "R1C1 x1 y1", "near")
    client(job, "order", job.state.faults[0].id)
    job.record(e.VisitBegun(name="30 days"))
    client(job, refuses=True)
    accepted = "Before, M. Hollis accepted it with 2 exceptions on 8 Jun 2026."
    document = document_data(job)
    assert document["cover"]["state"] == "refused"
    said = facts_of(document["cover"]["facts"])["State"]
    assert said == f"On 8 Jun 2026 M. Hollis refused it for the client: So. {accepted}"
    (listed,) = under(document, "Punch list and its history", "fault-histories")
    assert listed["state"] == "open, no longer accepted: M. Hollis refused the wall"
    assert listed["history"][-1]["what"] == "no longer accepted: M. Hollis refused the wall"
    (known,) = compare(job.state, 0, 1).faults.not_logged
    assert known.state == "open"
    job.record(e.Note(text="looked at the flicker"))
    assert job.acceptance().state == "draft"
    refused = accepted.replace(" on", " on 8 Jun 2026, M. Hollis refused it (So.) on", 1)
    assert (
        outline(job).statement
        == f"Signed now, it would have 2 exceptions, some not looked at yet. {refused}"
    )


def test_an_acceptance_on_a_later_visit_has_its_own_number_owners_and_dates(job: OpenJob) -> None:
    """The cover had the first date and its table, the list of faults and the signature the new ones."""
    job.fault("pixel dark", "R1C1 x1 y1", "near")
    client(job, "order", job.state.faults[0].id)
    job.record(e.VisitBegun(name="30 days"))
    job.fault("pixel dark", "R1C2 x1 y1", "near")
    anew = Consent("Lumen & Sons", date(2027, 1, 31), "ok")
    taken = dict.fromkeys((item.key for item in job.acceptance().left), anew)
    job.record(
        signature_body(job, role="client", name="R. Penhallow", statement="So.", taken=taken)
    )
    document = document_data(job)
    rows = under(document, "Exceptions", "exceptions-taken")["rows"]
    assert [row[2:4] for row in rows] == [["Lumen & Sons", "31 Jan 2027"]] * 3
    assert facts_of(document["cover"]["facts"])["State"] == (
        "On 8 Jun 2026 R. Penhallow accepted the wall for the client with 3 exceptions. "
        "Before, M. Hollis accepted it with 2 exceptions on 8 Jun 2026."
    )
    assert (
        document["signatures"][2]["decision"] == "Accepted with 3 exceptions, each taken in words."
    )
    assert counts(job)[2] == 0
    (known,) = compare(job.state, 0, 1).faults.not_logged
    assert (known.number, known.state) == (1, "accepted"), "nobody looked at it"


def test_a_key_under_what_was_decided_is_no_decision_of_its_own(job: OpenJob) -> None:
    client(job, "order")
    client(job, "order")
    assert (len(job.state.signatures), job.acceptance().earlier) == (2, ())


def test_entries_from_before_keep_their_meaning(job: OpenJob) -> None:
    """A signature without a decision names how many exceptions; it stands after later entries too."""
    job.read("order", "fine", "wall", False)
    sign(job, "client", "Marit Hollis", exceptions=0)
    assert job.acceptance().state == "ready to sign"
    sign(job, "client", "Marit Hollis", exceptions=1)
    assert job.acceptance().state == "accepted with exceptions"
    job.read("order", "fine", "wall", True)
    stands = job.acceptance()
    assert (stands.state, [one.what for one in stands.exceptions]) == (
        "accepted with exceptions",
        ["In order: not met"],
    )


def test_a_signature_under_another_record_decides_nothing(job: OpenJob) -> None:
    job.read("order", "fine", "wall", True)
    job.record(
        e.Signature(
            role="client", name="M. H.", statement="x", fingerprint="0" * 64, exceptions=0,
            decision="accepts",
        )
    )  # fmt: skip
    assert job.acceptance().state == "ready to sign"


def test_the_integrator_signs_the_record_that_the_client_accepted(job: OpenJob) -> None:
    """A signature under what stood before it is missing there; what is logged later asks for none."""
    job.read("order", "fine", "wall", False)
    sign(job, "integrator", "I. Fell")
    job.read("order", "fine", "wall", True)
    client(job)
    assert outline(job).missing == ["signature of the integrator"]
    sign(job, "integrator", "I. Fell")
    assert outline(job).missing == []
    job.record(e.Note(check="order", text="the spare key hangs in the rack"))
    assert outline(job).missing == []


def test_a_signature_that_decides_nothing_anew_leaves_owners_and_dates_standing(
    job: OpenJob,
) -> None:
    """A key's signature under what was logged since: the document said who puts it right, until when."""
    job.fault("pixel dark", "R1C1 x1 y1", "near")
    client(job, "order", job.state.faults[0].id)
    before = job.acceptance().exceptions
    job.record(e.Note(text="the spare key hangs in the rack"))
    job.fault("pixel dark", "R1C2 x1 y1", "near")
    printed = document_data(job)["exceptions"]["body"]["rows"]
    sign(job, "client", "M. Hollis", exceptions=2)
    stands = job.acceptance()
    assert (stands.exceptions, stands.later) == (before, 2)
    document = document_data(job)
    assert document["exceptions"]["body"]["rows"] == printed
    assert printed[0] == ["1", "In order: not done. The firm, until 1 Jul 2026."]
    assert [row["decision"] for row in document["signatures"] if row["role"] == "client"] == [
        "Accepted with 2 exceptions, each taken in words.",
        "What was accepted before stands.",
    ]


def test_what_was_met_and_is_read_again_in_part_is_no_exception(tmp_path: Path) -> None:
    """Nine points at the handover, two a year later: the mean of the nine stands, and says of when it is."""
    job = make_job(tmp_path)

    def look(*levels: float) -> tuple[str, bool]:
        for place, level in zip(NINE_POINTS, levels, strict=False):
            job.read("brightness", "luminance_cd_m2", place, level, confirmed=True)
        said = facts_of(document_data(job)["cover"]["facts"])["How bright"]
        return said, "brightness" in {item.check for item in job.acceptance().left}

    accuracy = {"cd/m2": Accuracy(percent=2, repeatability_percent=0.3)}
    job.record(e.Instrument(key="meter", name="Meter", serial="1", accuracy=accuracy))
    job.read("brightness", "room_cd_m2", "wall", 0.05, confirmed=True)
    said, is_left = look(*[600.0] * 9)
    assert "600" in said
    assert not is_left
    handed_over = job.outcome("brightness")
    assert handed_over.verdict is Verdict.PASS
    job.record(e.VisitBegun(name="1 year"))
    undone = Context(job).not_done
    said, is_left = look(590.0, 592.0)
    outcome = job.outcomes_with_before()["brightness"]
    assert (outcome.verdict, outcome.so_far) == (Verdict.OPEN, Verdict.PASS)
    assert outcome.before == handed_over
    assert outcome.reason.startswith("Read again in part, 2 of 9 recorded; so far: ")
    assert outcome.reason.endswith(f"; at the handover: pass, {handed_over.reason}")
    assert "before 2 of 9 readings were taken again" in said
    assert "600" in said
    assert not is_left
    assert (Context(job).not_done, Context(job).read_in_part) == (undone, 1)
    assert under(document_data(job), "Met before, read again in part")
    # What is read again and out of its limit is not hidden behind the handover,
    _, is_left = look(300.0)
    assert is_left
    assert job.outcomes_with_before()["brightness"].before is None
    # nor is what a change has put in doubt since.
    look(600.0)
    assert job.outcomes_with_before()["brightness"].before is not None
    job.record(e.SettingLogged(setting="brightness level", value="60 %"))
    look(600.0, 600.0)
    assert job.outcomes_with_before()["brightness"].before is None
