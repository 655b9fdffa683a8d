"""What a limit rests on, as it is printed: nowhere that somebody recalled it and looked nothing up."""

from __future__ import annotations

import ast
import json
from pathlib import Path

import pytest

from commission_tui.checks.model.types import Limit
from commission_tui.engineering.light.uniformity import UNIFORMITY_DEFINITIONS
from commission_tui.engineering.signal.link_budget import LINKS
from commission_tui.handover.content.document_inputs import Context
from commission_tui.handover.export_process import make_files
from commission_tui.logbook.integrity.audit_trail import trail
from commission_tui.screens.terminal.styled_text import source_text
from commission_tui.text import NO_SOURCE
from commission_tui.wall.patterns.catalogue import PATTERNS
from commission_tui.wall.review.design_review import review
from tests.checks.helping import fellmoor, shipped
from tests.handover.filled_job import filled
from tests.handover.helping import build_document, make_job
from tests.paths import ROOT

RECALLED = "from memory"
FIRM = {
    "a.toml": """
order = 1
id = "all"
title = "Everything"
[[checks]]
id = "depth"
title = "Depth"
why = "So that it fits."
do = ["Measure."]
method = "in_limits"
[[checks.fields]]
name = "depth_mm"
label = "Depth"
unit = "mm"
[[checks.limits]]
name = "depth_mm"
label = "Depth"
unit = "mm"
high = 100
source = "ISO 99999, clause 3 (from memory)"
standing = "standard"
"""
}


@pytest.mark.parametrize("form", ["html", "csv", "json"])
def test_the_forms_of_the_handover_say_no_source_that_was_recalled(
    tmp_path: Path, form: str
) -> None:
    for name, content in make_files(Context(filled(tmp_path)), (form,)).items():
        assert RECALLED not in content.decode().lower(), name


def test_a_firm_s_own_limit_that_was_recalled_is_printed_as_common_practice(
    tmp_path: Path,
) -> None:
    job = make_job(tmp_path, files=FIRM)
    job.read("depth", "depth_mm", "wall", 90.0, confirmed=True)
    document = json.dumps(build_document(job), default=str, ensure_ascii=False)
    files = make_files(Context(job), ("html", "csv"))
    for text in (document, *(content.decode() for content in files.values())):
        assert RECALLED not in text.lower()
    assert NO_SOURCE in document
    assert RECALLED not in str(trail(job.state, ["depth"])).lower()


def test_the_screens_and_the_review_say_no_source_that_was_recalled() -> None:
    said = [source_text(item.limit(fellmoor())) for check in shipped() for item in check.limits]
    said += [finding.source for finding in review(fellmoor()).findings]
    said += [link.source for link in LINKS] + list(UNIFORMITY_DEFINITIONS.values())
    said += [str(pattern) for pattern in PATTERNS.values()]
    assert not [text for text in said if RECALLED in text.lower()]
    assert source_text(Limit("x", "", "GUM, from memory", "standard")) == NO_SOURCE


def test_no_text_of_the_program_says_so_outside_its_docstrings() -> None:
    """Whatever a screen or a page may print is such a text, or is made of them."""
    found = []
    for path in sorted((ROOT / "commission_tui").rglob("*.py")):
        text = path.read_text(encoding="utf-8")
        if not all(word in text.lower() for word in RECALLED.split()):
            continue
        tree = ast.parse(text)
        told = {
            id(node.value)
            for node in ast.walk(tree)
            if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
        }
        found += [
            f"{path.name}:{node.lineno}"
            for node in ast.walk(tree)
            if isinstance(node, ast.Constant)
            and isinstance(node.value, str)
            and id(node) not in told
            and RECALLED in node.value.lower()
        ]
    assert [place.partition(":")[0] for place in found] == ["types.py"], found
