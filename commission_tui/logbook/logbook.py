"""The logbook of jobs, as screens and commands open it."""

from __future__ import annotations

import json
from collections.abc import Mapping
from pathlib import Path

from commission_tui.checks.checklists.checklist_file import parse_checklist, shipped_files
from commission_tui.checks.checklists.soundness import not_on_wall
from commission_tui.errors import ChecklistError, InputError, StoreError
from commission_tui.logbook.actions.scope_actions import feature_body, scope_body
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_factory import body
from commission_tui.logbook.entries.ids_and_clock import Clock, IdSource, now
from commission_tui.logbook.job import OddReadingError, OpenJob
from commission_tui.logbook.state.fold import folded
from commission_tui.logbook.state.job_summary import JobSummary, summary_text
from commission_tui.logbook.state.state import State
from commission_tui.logbook.store.job_rows import JobRow
from commission_tui.logbook.store.store import Store
from commission_tui.text import counted, listed, quoted
from commission_tui.wall.model.wall_file import parse_wall


class Logbook:
    """A database of jobs."""

    def __init__(self, path: Path, clock: Clock = now, ids: IdSource | None = None) -> None:
        self.path = path
        self.clock = clock
        self.ids = ids or IdSource()
        self.store = Store(path)

    def close(self) -> None:
        self.store.close()

    def create(
        self,
        *,
        by: str,
        name: str,
        client: str,
        integrator: str,
        wall_text: str,
        reference: str | None = None,
        checklist_files: Mapping[str, str] | None = None,
        scope: str | None = None,
        settled: Mapping[str, str] | None = None,
    ) -> OpenJob:
        """Open a new job with its design, checklists, scope and what was settled, in one transaction.

        Without a scope every check is agreed. `settled` has features with yes or no.

        Raises
        ------
        InputError, WallFileError, ChecklistError
            When a name, the wall file or a checklist is not sound; nothing is written.
        """
        files = dict(checklist_files if checklist_files is not None else shipped_files())
        wall = parse_wall(wall_text)
        checklist = parse_checklist(files)
        for wrong in not_on_wall(checklist, wall):
            raise ChecklistError(wrong)
        agreed = [scope_body(checklist, scope)] if scope else []
        features = [feature_body(feature, there) for feature, there in (settled or {}).items()]
        self.name_is_free(name)
        moment = self.clock()
        job_id = self.ids.next(moment)
        job = self._job(job_id, State(), by)
        opened = body(
            e.JobOpened, name=name, client=client, integrator=integrator, reference=reference
        )
        job.record_all(
            [
                opened,
                body(e.Design, text=wall_text),
                body(e.ChecklistSet, files=files),
                *agreed,
                *features,
            ]
        )
        return job

    def name_is_free(self, name: str) -> None:
        """Refuse a name that a job has already, whatever its case and spaces."""
        same = " ".join(name.split()).casefold()
        for job in self.jobs():
            if " ".join(job.name.split()).casefold() == same:
                raise InputError(
                    f"name: found {name.strip()[:60]!r}, which job {job.id[-12:]} has already, "
                    "expected another name, such as with the year"
                )

    def open(self, job: str, by: str) -> OpenJob:
        """Open a job by id, the end of its id, its name, or a part of its name.

        Raises
        ------
        InputError
            When no job, or more than one, fits.
        """
        return self._read(self._find(job), by)

    def _read(self, job_id: str, by: str) -> OpenJob:
        with self.store.at_one_moment():
            return self._job(job_id, folded(self.path, self.store.entries(job_id)), by)

    def _job(self, job_id: str, state: State, by: str) -> OpenJob:
        return OpenJob(self.store, self.clock, self.ids, job_id, state, by)

    def _find(self, wanted: str) -> str:
        rows = self.store.job_rows()
        known = [row.job for row in rows]
        if wanted in known:
            return wanted
        matches = [job_id for job_id in known if len(wanted) >= 4 and job_id.endswith(wanted)]
        names = {row.job: str(self._summary(row).name) for row in rows} if not matches else {}
        word = wanted.strip().casefold()
        matches = matches or [job for job, name in names.items() if name.casefold() == word]
        matches = matches or [
            job for job, name in names.items() if word and word in name.casefold()
        ]
        if len(matches) == 1:
            return matches[0]
        if not matches:
            raise InputError(
                f"job: found no job named {quoted(wanted, 60)}, see 'commission-tui job list'"
            )
        shown = listed([quoted(f"{names.get(job, '')} {job[-12:]}", 60) for job in matches])
        raise InputError(
            f"job: found {counted(len(matches), 'job')} that fit {quoted(wanted, 60)}: {shown}; "
            "expected more of one's name, or the end of its id"
        )

    def jobs(self) -> list[JobSummary]:
        """Return every job, the one with the newest entry first; a damaged one says so."""
        return [self._summary(row) for row in self.store.job_rows()]

    def _summary(self, row: JobRow) -> JobSummary:
        damage, kept = "", row.summary
        try:
            kept = kept or self._made_summary(row.job)
            self.store.first(row.job)
            self._all_there(row)
        except StoreError as error:
            damage, kept = str(error), row.summary or {"name": f"damaged job {row.job[-12:]}"}
        name, client, site, wall = (
            str(kept.get(word, "")) for word in ("name", "client", "site", "wall")
        )
        faults = 0 if damage else int(kept["open_faults"])
        counts, zone = (row.done, row.checks, faults), str(kept.get("time_zone", "")) or None
        return JobSummary(row.job, name, client, site, wall, row.last_at, *counts, damage, zone)

    def _all_there(self, row: JobRow) -> None:
        found = self.store.count_of_rows(row.job)
        if found != row.entries:
            raise StoreError(
                f"{self.path}: job {row.job[-12:]}: {row.entries} entries were written and {found} "
                "are there; restore a backup"
            )

    def _made_summary(self, job_id: str) -> dict[str, str | int]:
        """Make the line of a job that was last written by an older version or a merge."""
        text = summary_text(self._read(job_id, "summary").state)
        if not self.store.read_only:
            self.store.remember((), [(job_id, text)])
        made: dict[str, str | int] = json.loads(text)
        return made


__all__ = ["JobSummary", "Logbook", "OddReadingError", "OpenJob", "body"]
