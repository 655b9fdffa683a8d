"""The job on a checklist of four checks, for tests whose own job is another."""

from tests.logbook.four_checks import job as four_checks  # noqa: F401 (a fixture)
