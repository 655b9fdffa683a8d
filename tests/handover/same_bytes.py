"""Everything that is computed from a job, as one digest for each file: run in a process of its own.

Of the formats that the typesetter makes, what it is given.
"""

from __future__ import annotations

import hashlib
import json
import sys
from dataclasses import asdict
from pathlib import Path

from commission_tui.handover.content.document_inputs import Context
from commission_tui.handover.document import build_from
from commission_tui.handover.export_process import make_files
from commission_tui.logbook.logbook import Logbook


def digests(database: Path) -> dict[str, str]:
    book = Logbook(database)
    job = book.open(book.store.jobs()[0][0], "Ines Okafor")
    context = Context(job)
    files = make_files(context, ("json", "csv", "xlsx", "dxf"))
    typeset = json.dumps(asdict(build_from(context)), ensure_ascii=False)
    book.close()
    files["what is typeset"] = typeset.encode()
    return {name: hashlib.sha256(content).hexdigest() for name, content in files.items()}


if __name__ == "__main__":
    sys.stdout.write(json.dumps(digests(Path(sys.argv[1]))))
