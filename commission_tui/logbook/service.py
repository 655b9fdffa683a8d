"""The logbook of jobs, as screens and commands open it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from commission_tui.checks.checklist import parse_checklist, shipped_files
from commission_tui.errors import InputError
from commission_tui.logbook import entries as e
from commission_tui.logbook.folding import folded
from commission_tui.logbook.ids import Clock, IdSource, now
from commission_tui.logbook.job import OddReadingError, OpenJob
from commission_tui.logbook.making import body
from commission_tui.logbook.state import State
from commission_tui.logbook.store import Store
from commission_tui.wall.reading import parse_wall


@dataclass(frozen=True, slots=True)
class JobSummary:
    """One line of the job list."""

    id: str
    name: str
    client: str
    site: str
    wall: str
    last_entry_at: str
    done: int
    checks: int
    open_faults: int


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
    ) -> OpenJob:
        """Open a new job with its design and checklists, in one transaction.

        Raises
        ------
        InputError, WallFileError, ChecklistError
            When a name, the wall file or a checklist is not sound; nothing is written.
        """
        files = dict(checklist_files if checklist_files is not None else shipped_files())
        parse_wall(wall_text)
        parse_checklist(files)
        moment = self.clock()
        job_id = self.ids.next(moment)
        job = self._job(job_id, State(), by)
        opened = body(
            e.JobOpened, name=name, client=client, integrator=integrator, reference=reference
        )
        job.record_all([opened, body(e.Design, text=wall_text), body(e.ChecklistSet, files=files)])
        return job

    def open(self, job: str, by: str) -> OpenJob:
        """Open a job by id, the end of its id, or its name.

        Raises
        ------
        InputError
            When no job, or more than one, fits.
        """
        job_id = self._find(job)
        return self._job(job_id, folded(self.path, self.store.entries(job_id)), by)

    def _job(self, job_id: str, state: State, by: str) -> OpenJob:
        return OpenJob(self.store, self.clock, self.ids, job_id, state, by)

    def _find(self, wanted: str) -> str:
        known = [job_id for job_id, _ in self.store.jobs()]
        if wanted in known:
            return wanted
        matches = [job_id for job_id in known if len(wanted) >= 4 and job_id.endswith(wanted)]
        matches = matches or [
            job_id for job_id in known if self._title(job_id).lower() == wanted.lower()
        ]
        if len(matches) == 1:
            return matches[0]
        what = "no job" if not matches else f"{len(matches)} jobs"
        raise InputError(f"job: found {what} named {wanted[:60]!r}, see 'commission-tui job list'")

    def _title(self, job_id: str) -> str:
        opened = self.store.first(job_id).body
        return opened.name if isinstance(opened, e.JobOpened) else ""

    def jobs(self) -> list[JobSummary]:
        """Return every job, the one with the newest entry first."""
        return [self._summary(job_id, at) for job_id, at in self.store.jobs()]

    def _summary(self, job_id: str, at: str) -> JobSummary:
        job = self._job(job_id, folded(self.path, self.store.entries(job_id)), "summary")
        outcomes = job.outcomes()
        done = sum(result.verdict != "open" for result in outcomes.values())
        faults = sum(fault.state in {"open", "mended"} for fault in job.state.faults)
        title = job.state.title
        head = job.state.wall.file.wall
        return JobSummary(
            job_id, title.name, title.client, head.site, head.name, at, done, len(outcomes), faults
        )


__all__ = ["JobSummary", "Logbook", "OddReadingError", "OpenJob", "body"]
