"""The checklists cover the whole job, row by row, and nothing is silently missing.

The codes are the founders' own list of the job (common practice, no published source): a letter for the
stage and a number in it.
"""

from __future__ import annotations

from tests.checks.helping import shipped

CODES_OF_STAGE = {
    "D": 11,  # design received
    "G": 6,  # goods-in, bench, instruments
    "R": 12,  # structure, suspension, mechanics
    "E": 15,  # electrical
    "N": 8,  # data infrastructure
    "C": 13,  # first light
    "F": 8,  # redundancy
    "I": 16,  # inputs
    "P": 20,  # photometry
    "K": 8,  # cameras
    "L": 10,  # front light, ambient, legibility
    "T": 6,  # latency and lip sync
    "H": 9,  # environment
    "B": 9,  # control, dimming, blackout
    "W": 10,  # spares, backups, training, documents
    "Z": 6,  # sign-off
    "Y": 9,  # revisit
}


def test_every_row_of_the_job_has_a_check() -> None:
    wanted = {f"{stage}{n}" for stage, codes in CODES_OF_STAGE.items() for n in range(1, codes + 1)}
    covered = {code for check in shipped() for code in check.codes}
    assert sorted(wanted - covered) == []
    assert sorted(covered - wanted) == []


def test_every_check_says_which_codes_it_covers() -> None:
    assert [check.id for check in shipped() if not check.codes] == []


def test_what_can_hurt_has_a_caution() -> None:
    """Suspension and mains: every check of those stages says so, or is looked at without touching."""
    for check in shipped():
        if shipped().stage_of(check.id).id in {"structure", "electrical"}:
            assert check.cautions, check.id
