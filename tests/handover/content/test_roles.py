"""The document takes its parts from checks by their role, whatever a firm calls them."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest

from commission_tui.checks.checklists.checklist import mapping_check
from commission_tui.checks.checklists.checklist_file import (
    parse_checklist,
    shipped_files,
)
from commission_tui.checks.model.definition import FieldDefinition
from commission_tui.checks.model.types import Value
from commission_tui.checks.model.vocabulary import HAZARDS, ROLES
from commission_tui.checks.places.places import places
from commission_tui.errors import ChecklistError
from commission_tui.logbook.actions.mapping_log import all_in_place
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_parts import Accuracy
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.plan.planning import tasks
from tests.handover.helping import document_data, make_job, rows_of, under

OWN = "own-"


def own_files() -> dict[str, str]:
    """Return checklists of a firm: the shipped ones with other ids, other stages and no codes."""
    renamed = {
        name: re.sub(r'(?m)^(id|baseline) = "', rf'\1 = "{OWN}', text)
        for name, text in shipped_files().items()
    }
    return {
        f"firm/{name}": re.sub(
            r"(?m)^codes = .*\n",
            "",
            re.sub(r"(?m)^(beside|after) = .*$", lambda line: _own_ids(line[0]), text),
        )
        for name, text in renamed.items()
    }


def _own_ids(line: str) -> str:
    """Name the checks that a line refers to as the firm does."""
    return re.sub(r'"([a-z][a-z-]*)(?=[."])', rf'"{OWN}\1', line)


def answer(item: FieldDefinition) -> Value:
    if item.kind == "number":
        return float(item.low if item.low is not None else 1)
    if item.kind == "yes-no":
        return True
    if item.kind == "date":
        return "2026-06-01"
    return item.choices[0] if item.kind == "choice" else f"what was said of {item.name}"


def recorded(job: OpenJob) -> OpenJob:
    """Answer every field of every check that has a role, at its first place."""
    units = {item.unit for check in job.state.checklist for item in check.fields if item.measured}
    accuracy = {unit: Accuracy(percent=1.0) for unit in units}
    job.record(e.Instrument(key="all", name="Every meter", serial="1", accuracy=accuracy))
    for check in job.state.checklist:
        for item in check.fields if check.role else ():
            for place in places(item.where, job.state.wall)[:1]:
                job.record(job.reading(check.id, item.name, place, answer(item), confirmed=True))
    return job


def parts(job: OpenJob) -> dict[str, Any]:
    """Return the parts of the document that checks fill by role."""
    document = document_data(job)
    papers = rows_of(under(document, "Certificates"))
    delays = [line for line in under(document, "Sound") if "zone" in line]
    return {
        "backups": under(document, "Settings saved, and restored once"),
        "blackout": under(document, "Blackout"),
        "certificate": [(row["Content"], row["Verdict"]) for row in papers],
        "clip": under(document, "Clip played on this wall"),
        "delays": delays,
        "exceptions": under(document, "As read aloud to the client"),
        "failure": under(document, "Single failures tried"),
        "levels": under(document, "Level of each light state"),
        "metering": under(document, "How the wall was read"),
        "spares": under(document, "How long the spares last", "facts-wide"),
        "start-up": under(document, "Switching on and off"),
        "warranty": under(document, "Warranty"),
    }


def test_a_firms_own_checklist_fills_the_same_sections(tmp_path: Path) -> None:
    (tmp_path / "own").mkdir()
    shipped = parts(recorded(make_job(tmp_path)))
    own = make_job(tmp_path / "own", files=own_files())
    assert all(check.id.startswith(OWN) and not check.codes for check in own.state.checklist)
    assert parts(recorded(own)) == shipped
    assert all(shipped.values())
    assert shipped.keys() == ROLES.keys() - {"mapping"}


def test_a_firms_own_mapping_check_is_the_one_that_is_logged(tmp_path: Path) -> None:
    own = make_job(tmp_path, files=own_files())
    own.record_all(all_in_place(own))
    check = mapping_check(own.state.checklist)
    assert check is not None
    assert check.id == f"{OWN}cabinet-mapping"
    assert own.state.readings.get(check.id)


def test_danger_comes_first_in_a_firms_own_stage(tmp_path: Path) -> None:
    own = make_job(tmp_path, files=own_files())
    worth = {task.check: task.worth for task in tasks(own.state, own.outcomes())}
    assert worth[f"{OWN}earth-bond"] == worth[f"{OWN}suspension-certificate"] == max(worth.values())
    assert worth[f"{OWN}brightness"] < worth[f"{OWN}earth-bond"]


def one_check(**changes: str) -> str:
    """Return the file of one stage with one check, as a firm writes it."""
    keys = {
        "id": "own-notes",
        "title": "Notes",
        "why": "Because.",
        "method": "in_limits",
        **changes,
    }
    lines = "".join(f'{key} = "{value}"\n' for key, value in keys.items())
    field = '[[checks.fields]]\nname = "note"\nlabel = "Note"\nkind = "text"\n'
    return (
        f'order = 80\nid = "leaving"\ntitle = "Leaving"\n[[checks]]\n{lines}do = ["Ask."]\n{field}'
    )


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (one_check(role="waranty"), r"\(own-notes\)\.role: found 'waranty', .*mean 'warranty'"),
        (one_check(role="mapping"), r"role: found 'mapping' with .* expected cabinet_mapping"),
        ('hazard = "main"\n' + one_check(), r"own.toml: hazard: found 'main', .*mean 'mains'"),
    ],
)
def test_an_unknown_role_is_refused_with_the_nearest(text: str, said: str) -> None:
    with pytest.raises(ChecklistError, match=said):
        parse_checklist({"own.toml": text})


def test_two_checks_of_one_role_both_count_in_the_order_of_the_checklist() -> None:
    files = shipped_files() | {"own.toml": one_check(role="warranty")}
    assert [c.id for c in parse_checklist(files).in_role("warranty")] == ["warranty", "own-notes"]


def test_a_check_in_place_of_another_keeps_its_role_and_the_stage_its_hazard() -> None:
    files = shipped_files() | {"own.toml": one_check(id="warranty")}
    (check,) = parse_checklist(files).in_role("warranty")
    assert check.title == "Notes"
    electrical = one_check().replace('"leaving"', '"electrical"')
    stages = parse_checklist(shipped_files() | {"own.toml": electrical}).stages
    assert {stage.hazard for stage in stages} == {None, *HAZARDS}


def test_a_job_from_before_roles_still_fills_its_sections() -> None:
    """By id, and a firm's own checks by the codes that the document went by then."""
    bare = re.compile(
        r'(?m)(^\[\[checks\.limits\]\]\nname = ".*"\n)label = ".*"\n|^(?:role|hazard) = ".*"\n'
    )
    older = {name: bare.sub(r"\1", text) for name, text in shipped_files().items()}
    now = parse_checklist(shipped_files())
    then = parse_checklist(older, stored=True)
    for role in ROLES:
        assert [c.id for c in then.in_role(role)] == [c.id for c in now.in_role(role)], role
    assert [s.hazard for s in then.stages] == [s.hazard for s in now.stages]
