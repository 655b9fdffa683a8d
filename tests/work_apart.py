"""Work that a test asks of another process: a module of its own, since that process imports it anew."""

from __future__ import annotations

import json
import os
import signal
import tempfile
import threading
from collections.abc import Mapping
from typing import Any

from commission_tui.errors import InputError
from commission_tui.subprocess_job import Files, TellStep


def waiting(request: Mapping[str, Any], tell: TellStep) -> Files:
    """Say who does it and how it may be found, then wait for ever, as deep as a typesetter."""
    beside = tempfile.mkdtemp()
    tell(1, 2, json.dumps([os.getpid(), beside]))
    threading.Event().wait()
    return {}


def failing(request: Mapping[str, Any], tell: TellStep) -> Files:
    print("what a library prints is no answer")  # noqa: T201
    if request["how"] == "ours":
        raise InputError("place: found nothing, expected one")
    if request["how"] == "disk":
        raise OSError(28, "No space left on device", "scratch")
    if request["how"] == "killed":
        os.kill(os.getpid(), signal.SIGKILL)
    raise ZeroDivisionError("by no means")
