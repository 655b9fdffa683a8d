"""What the help says of each command, so that it need not be imported; a test holds both alike."""

from __future__ import annotations

from collections.abc import Mapping

SUMMARIES: Mapping[str, str] = {
    "demo": "Make the invented job Fellmoor Town Hall and open it.",
    "wall": "Wall files: the design as the engineer hands it over.",
    "job": "Jobs of this logbook.",
    "name": "Show whose name signs what is logged on this computer, or change it to NAME.",
    "log": "Log a reading, a fault, a note, an instrument or a meter's table.",
    "part": "Cabinets, modules, receiving cards, power supplies and spares, by serial.",
    "checklist": "List the checks and methods that come with the program; try a firm's own.",
    "evaluate": "Judge every check of a job: verdict, figures, reason. Exit status 1 when one fails.",
    "calc": "Compute one thing: timing, load, current, contrast, shutter and so on.",
    "pattern": "Draw a test pattern at the wall's own resolution; without NAME, list them.",
    "edid": "Write the EDID block that offers a source the canvas of one input.",
    "photo": "Read photographs of the wall: tiles, evenness, faulty LEDs, seams, a camera's bands.",
    "diagnose": "Explain what every cabinet shows: causes, plug moves, and what to look at next.",
    "setting": "Log a setting as it now is, and say what is no longer good; alone, list the settings.",
    "doubts": "List the results that a later change left no longer good, and the shortest retest.",
    "keep": "Say why results that a change put in doubt still stand.",
    "limit": "List the limits of a check with their sources, or agree one anew.",
    "plan": "Order what to do in the remaining time, by what is worth most on the opening night.",
    "visit": "Begin a later visit, or list the visits of a job.",
    "compare": "Compare two visits: what drifted, what is new, what is gone.",
    "trail": "Print the trail of a figure: every reading, correction, limit and setting behind it.",
    "export": "Write the handover document (pdf, or png pictures of its pages) or the record in an open form.",
    "accept": "Log the client's decision; without --take it lists what there is to take (see job show).",
    "key": "Keys that documents are signed with.",
    "sign": "Sign a handover document; each further signer signs what the one before left.",
    "verify": "Check a document (PDF), a record (JSON) or a logbook.",
    "import": "Read a job back out of its document or record, into the logbook.",
    "backup": "Copy the logbook while it is in use: to a file or folder, or beside it with the rolling copies.",
    "restore": "Put a copy in the place of the logbook; the logbook that it replaces is kept.",
    "merge": "Bring other logbooks, documents or records into this logbook; the others are only read.",
}
