"""How many changed bytes of a signed document `verify` misses, and what verifying costs.

Run ``python -m tests.benchmarks.bench_verify [CHANGES [SEED]]``. Of the demo, signed once and signed by
three in turn: single bytes anywhere, every byte of the last signature's container one by one, and the
last hundred bytes. What still looks right is hardest to see, so half of the changes put a digit for a
digit or the other case of a letter.
"""

from __future__ import annotations

import random
import re
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Iterable
from pathlib import Path

from commission_tui.handover.signing.document_signing import sign_document
from commission_tui.handover.verify.verification import verify_content
from tests.benchmarks.bench_export import demo
from tests.handover.helping import export_pdf
from tests.handover.signing_help import INTEGRATOR, SECOND, key

_LIKELY = b"0123456789ABCDEFabcdef<>()/ \n\0"


def changed(content: bytes, at: int, dice: random.Random) -> bytes:
    made = bytearray(content)
    if dice.random() < 0.5:
        made[at] ^= 1 << dice.randrange(8)
    else:
        made[at] = dice.choice([byte for byte in _LIKELY if byte != content[at]])
    return bytes(made)


def missed(
    content: bytes, places: Iterable[int], dice: random.Random
) -> tuple[int, int, Counter[str]]:
    """Return how many changes were tried and missed, and what was said of the others."""
    said: Counter[str] = Counter()
    tried = lost = 0
    for at in places:
        tried += 1
        found = verify_content(changed(content, at, dice), "changed")
        if found.holds:
            lost += 1
            print(f"missed: byte {at}")  # noqa: T201
        said[re.sub(r"[0-9a-f]{6,}|\d+", "#", found.first_failure)[:60]] += 1
    return tried, lost, said


def main() -> None:
    changes = int(sys.argv[1]) if len(sys.argv) > 1 else 1000
    dice = random.Random(int(sys.argv[2]) if len(sys.argv) > 2 else 1)  # noqa: S311
    with tempfile.TemporaryDirectory() as folder:
        once = sign_document(export_pdf(demo(Path(folder))), key("ec"), INTEGRATOR)
    thrice = sign_document(sign_document(once, key("rsa"), SECOND), key("ec"), SECOND)
    for name, content in (("signed once", once), ("signed by three", thrice)):
        begun = time.perf_counter()
        assert verify_content(content, name).holds
        taken = time.perf_counter() - begun
        print(f"{name}: {len(content)} bytes, verified in {taken:.2f} s")  # noqa: T201
        *_, last = re.finditer(rb"<[0-9A-F]{1000,}>", content)
        for what, places in (
            ("anywhere", [dice.randrange(len(content)) for _ in range(changes)]),
            ("every byte of the container", range(last.start() - 2, last.end() + 2)),
            ("the last hundred bytes", range(len(content) - 100, len(content))),
        ):
            tried, lost, said = missed(content, places, dice)
            print(f"  {what}: {lost} of {tried} changes missed; {len(said)} ways of saying it")  # noqa: T201


if __name__ == "__main__":
    main()
