"""What was found of a file, as lines: whether it holds, what was looked at, who signed."""

from __future__ import annotations

from commission_tui.checks.model.types import Verdict
from commission_tui.handover.verify.verification import SignatureFound, Verification
from commission_tui.screens.terminal.styled_text import Glyphs, Line

_WORDS = {
    True: ("holds", "pass", Verdict.PASS),
    False: ("FAILS", "fail", Verdict.FAIL),
    None: ("cannot be told", "marginal", Verdict.MARGINAL),
}


def verification_lines(found: Verification, glyphs: Glyphs) -> list[Line]:
    """Say first whether it holds, then each thing that was looked at, then each signature."""
    lines: list[Line] = [_verdict(found, glyphs), (("", ""),)]
    if found.document:
        more = f", supplement to {found.supplements}" if found.supplements else ""
        lines.append((("Document ", "muted"), (f"{found.document}{more}", "strong")))
    lines += [(("SHA-256 of the file ", "muted"), (found.sha256, "")), (("", ""),)]
    for one in found.findings:
        word, role, verdict = _WORDS[one.holds]
        shown = f"{glyphs.verdict[verdict]} {word}: "
        lines.append(((shown, role), (f"{one.what}: ", "strong"), (one.said, "")))
    for number, made in enumerate(found.signatures, start=1):
        lines += [(("", ""),), *_signature(number, made)]
    return lines


_STANDING: dict[str, bool | None] = {"proved": True, "changed": False, "unproved": None}


def _verdict(found: Verification, glyphs: Glyphs) -> Line:
    _, role, verdict = _WORDS[_STANDING[found.standing]]
    words, _, rest = found.said.partition(": ")
    first = f"{glyphs.verdict[verdict]} {words[:1].upper()}{words[1:]}"
    return ((f"{first}: ", role), (rest, "")) if rest else ((first, role),)


def _signature(number: int, made: SignatureFound) -> list[Line]:
    stamped = f", stamped {made.stamped_at}" if made.stamped_at else ""
    return [
        ((f"Signature {number}: ", "title"), (made.reason, "")),
        ((f"  by the signer's clock {made.signed_at}{stamped}", "muted"),),
        (("  certificate of ", "muted"), (made.subject, ""), (f"; {made.trust}", "muted")),
        (("  its SHA-256 ", "muted"), (made.certificate_sha256, "")),
    ]
