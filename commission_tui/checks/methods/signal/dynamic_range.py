"""High dynamic range: the light of patches against the curve that their signal stands for."""

from __future__ import annotations

from commission_tui.checks.judgement import judged_from
from commission_tui.checks.methods.plain_limits import with_answers
from commission_tui.checks.model.types import CheckInput, Figure, Outcome, Verdict
from commission_tui.checks.registry import method
from commission_tui.engineering.light.transfer import Transfer, signal_luminance_cd_m2

_CURVES: tuple[Transfer, ...] = ("PQ", "HLG")
_TOO_DARK_CD_M2 = 0.1
"""Below it the room and the meter's dark offset are as large as the patch."""


@method(
    fields="right_without right_with transfer patch_cd_m2? patch_transfer?",
    limits="patch_error_percent?",
)
def high_dynamic_range(data: CheckInput) -> Outcome:
    """Judge each patch against the curve of ITU-R BT.2100, up to the wall's own peak."""
    curve = _curve(data)
    placed = [] if curve is None else _patches(data, curve)
    outcome = with_answers(
        data,
        placed,
        remark=f"patches held against {curve}" if placed else "",
        leave_out={"patch_cd_m2"},
        next_step="Set transfer, peak and range of this input anew, and read the patches again.",
    )
    if curve is not None and not placed and outcome.verdict is Verdict.PASS:
        return Outcome(Verdict.OPEN, f"{curve} is in use: the light of the patches is needed")
    return outcome


def _curve(data: CheckInput) -> Transfer | None:
    """Return the curve that the patches went through; None where there is none, or two."""
    transfer = data.one("patch_transfer")
    seen = {transfer.value} if transfer else {r.value for r in data.field("transfer").values()}
    found = [curve for curve in _CURVES if curve in seen]
    return found[0] if len(found) == 1 else None


def _patches(data: CheckInput, curve: Transfer) -> list[Figure]:
    read = data.field("patch_cd_m2")
    peak = data.wall.file.targets.luminance_cd_m2
    if peak is None:
        peak = max((reading.number for reading in read.values()), default=0.0)
    if not 100 <= peak <= 10_000:
        return []
    wanted = {at: signal_luminance_cd_m2(curve, float(at.split()[0]) / 100, peak) for at in read}
    return [
        judged_from(
            f"light at {place} from the curve",
            reading,
            by=lambda cd_m2, right=wanted[place]: 100 * (cd_m2 / right - 1),
            unit="%",
            limit=data.limits.get("patch_error_percent"),
            place=place,
        )
        for place, reading in read.items()
        if wanted[place] >= _TOO_DARK_CD_M2
    ]
