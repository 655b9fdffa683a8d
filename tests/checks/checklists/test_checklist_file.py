"""Checklist files: what is refused, with which words, and what a firm may replace."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from commission_tui.checks.checklists.checklist_file import (
    files_with,
    parse_checklist,
    shipped_files,
)
from commission_tui.checks.evaluation import evaluate
from commission_tui.checks.methods import methods
from commission_tui.checks.model.definition import FieldDefinition, LimitDefinition
from commission_tui.checks.model.input_parsing import canonical_unit
from commission_tui.checks.model.types import Reading, Verdict
from commission_tui.checks.places.places import PER, places
from commission_tui.errors import ChecklistError, InputError
from commission_tui.wall.model.contract_model import Targets
from commission_tui.wall.patterns.catalogue import find_pattern
from tests.checks.helping import fellmoor, shipped

GOOD = """
order = 60
id = "light"
title = "Light"

[[checks]]
id = "sound-picture"
title = "Sound"
why = "Because."
do = ["Look."]
method = "backups"

[[checks.fields]]
name = "saved"
label = "Saved"
kind = "text"

[[checks.fields]]
name = "restored"
label = "Restored"
kind = "yes-no"

[[checks.fields]]
name = "copies"
label = "Copies"
per = "wall"
unit = "%"

[[checks.limits]]
name = "copies"
label = "Copies"
unit = "%"
low = 2
source = "common practice, no published source"
standing = "common practice"
"""


def refusal(text: str, name: str = "own.toml") -> str:
    with pytest.raises(ChecklistError) as caught:
        parse_checklist({name: text})
    assert "\n" not in str(caught.value)
    return str(caught.value)


def test_a_good_file_is_read() -> None:
    checklist = parse_checklist({"own.toml": GOOD})
    assert [check.id for check in checklist] == ["sound-picture"]
    assert checklist.stage_of("sound-picture").title == "Light"


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        (
            'method = "backups"',
            'method = "backup"',
            "own.toml: checks[1] (sound-picture).method: found 'backup', expected a method "
            "(did you mean 'backups'?)",
        ),
        (
            'per = "wall"\nunit = "%"',
            'per = "wal"\nunit = "%"',
            "own.toml: checks[1] (sound-picture).fields.copies.per: found 'wal', expected one of",
        ),
        (
            'per = "wall"\nunit = "%"',
            'per = "wall"\nunit = "cd/m"',
            "own.toml: checks[1] (sound-picture).fields.copies.unit: found 'cd/m'",
        ),
        (
            'unit = "%"\nlow = 2',
            'unit = "per cent"\nlow = 2',
            "own.toml: checks[1] (sound-picture).limits.copies.unit: found 'per cent'",
        ),
        (
            'name = "restored"',
            'name = "restord"',
            "own.toml: checks[1] (sound-picture).fields: restored missing, backups needs it",
        ),
        (
            "low = 2",
            'low = 2\nfrom_target = "luminance"',
            "own.toml: checks[1] (sound-picture).limits.copies.from_target: found 'luminance'",
        ),
        (
            '[[checks.limits]]\nname = "copies"',
            '[[checks.limits]]\nname = "copy"',
            "own.toml: checks[1] (sound-picture).limits: copies missing, backups needs it",
        ),
        ('why = "Because."', 'whi = "Because."', "own.toml: checks[1].whi: unknown key"),
        ('why = "Because."\n', "", "own.toml: checks[1].why: missing"),
        ('kind = "yes-no"', 'kind = "choice"', "choices: found none, expected some"),
        ('kind = "yes-no"', 'kind = "tick"', "own.toml: checks[1].fields[2].kind: found 'tick'"),
        (
            'do = ["Look."]',
            "do = []",
            "own.toml: checks[1].do: found an empty list, expected at least 1",
        ),
        ("order = 60", "order = sixty", "own.toml: not TOML"),
        ('id = "sound-picture"', 'id = "Sound Picture"', "own.toml: checks[1].id: found"),
        ('standing = "common practice"', 'standing = "hearsay"', "found 'hearsay'"),
        (
            'source = "common practice, no published source"\n',
            "",
            "own.toml: checks[1].limits[1].source: missing",
        ),
        (
            'label = "Copies"\nunit',
            "unit",
            "own.toml: checks[1].limits[1].label: missing, expected a value (line 29)",
        ),
        (
            'label = "Saved"\n',
            "",
            "own.toml: checks[1].fields[1].label: missing, expected a value (line 13)",
        ),
        (
            'label = "Saved"',
            'label = ""',
            "checks[1].fields[1].label: found nothing, expected some text",
        ),
        ('name = "saved"', 'name = "copies"', "each field and each limit once"),
        ("low = 2", "low = nan", "own.toml: checks[1].limits[1].low: found nan"),
    ],
)
def test_each_slip_is_refused_with_file_and_key(old: str, new: str, said: str) -> None:
    assert old in GOOD
    assert said in refusal(GOOD.replace(old, new, 1))


@pytest.mark.parametrize(
    ("wrong", "right"),
    [("wal", "wall"), ("nine point", "nine points"), ("camra", "camera"), ("seems", "seam")],
)
def test_the_nearest_kind_of_place_is_named(wrong: str, right: str) -> None:
    text = GOOD.replace('per = "wall"', f'per = "{wrong}"')
    assert f"did you mean '{right}'" in refusal(text)


def test_a_limit_that_the_method_does_not_know_is_refused() -> None:
    more = '\n[[checks.limits]]\nname = "copys"\nlabel = "x"\nsource = "x"\nstanding = "contract"\n'
    assert "backups knows no copys (did you mean 'copies'?)" in refusal(GOOD + more)


def test_a_field_that_the_method_does_not_know_is_refused() -> None:
    more = '\n[[checks.fields]]\nname = "save"\nlabel = "x"\n'
    assert "backups knows no save (did you mean 'saved'?)" in refusal(GOOD + more)


def test_a_method_of_an_older_job_is_judged_by_the_one_in_its_place() -> None:
    """A logbook begun when the name was another opens all the same."""
    assert "all_yes" not in methods()
    former = GOOD.split("[[checks.limits]]")[0].replace('"backups"', '"all_yes"')
    check = parse_checklist({"own.toml": former}).check("sound-picture")
    there = {
        "saved": {"wall": Reading("settings.bin")},
        "restored": {"wall": Reading(value=False)},
        "copies": {"wall": Reading(2.0, "%")},
    }
    assert evaluate(check, fellmoor(), there).verdict is Verdict.FAIL


def test_a_job_from_before_labels_opens_with_those_of_the_shipped_checklists() -> None:
    """A limit of a firm's own, which nobody labelled, is called by its name."""
    limits = re.compile(r'(\[\[checks\.limits\]\]\nname = ".*"\n)label = ".*"\n')
    older = {name: limits.sub(r"\1", text) for name, text in shipped_files().items()}
    with pytest.raises(ChecklistError, match="label: missing"):
        parse_checklist(older)
    assert list(parse_checklist(older, stored=True)) == list(shipped())
    own = GOOD.replace('label = "Copies"\nunit', "unit").replace('"sound-picture"', '"own"')
    assert parse_checklist({"own.toml": own}, stored=True).check("own").limits[0].label == "copies"


def test_labels_are_short_and_say_no_identifier() -> None:
    for check in shipped():
        items: list[FieldDefinition | LimitDefinition] = [*check.fields, *check.limits]
        for item in items:
            assert item.label[0].isupper(), item
            assert "_" not in item.label
            unit = re.escape(item.unit) or "unit"
            assert not re.search(rf"[^0-9] {unit}$", item.label), item
        assert all(len(limit.label) <= 60 for limit in check.limits), check.id


def test_every_target_has_a_label() -> None:
    assert all(field.title for field in Targets.model_fields.values())


def test_the_same_id_twice_in_one_file_is_refused() -> None:
    start = GOOD.index("[[checks]]")
    assert "found check 'sound-picture' again" in refusal(GOOD + GOOD[start:])


def test_the_same_id_in_two_stages_is_refused() -> None:
    other = GOOD.replace('id = "light"', 'id = "dark"')
    with pytest.raises(ChecklistError, match="first in"):
        parse_checklist({"a.toml": GOOD, "b.toml": other})


@pytest.mark.parametrize(
    "wrong",
    ['"\\u001b[2J" = 1', '"a\\nb" = 1', 'method = "\\u009b31m"', 'method = "\\u202egnp"'],
)
def test_what_a_terminal_would_act_on_is_escaped_where_it_is_refused(wrong: str) -> None:
    text = GOOD.replace(
        'method = "backups"', wrong if "method" in wrong else f'method = "backups"\n{wrong}'
    )
    assert text != GOOD
    with pytest.raises(ChecklistError) as refused:
        parse_checklist({"own.toml": text})
    assert str(refused.value).isprintable()


def test_deep_nesting_is_refused_not_a_crash() -> None:
    assert "own.toml:" in refusal("a = " + "[" * 5000)


def test_an_unknown_check_names_the_nearest() -> None:
    with pytest.raises(InputError, match="did you mean 'brightness'"):
        shipped().check("brightnes")


def test_a_check_is_found_by_id_title_and_short_name() -> None:
    checklist = shipped()
    for words in ("brightness", "Brightness at nine points", " brightness AT nine points "):
        assert checklist.find(words).id == "brightness"
    assert checklist.find("p14").id == checklist.find("P14").id == "pixel-faults"
    assert checklist.find("brightness nine").id == "brightness"
    with pytest.raises(InputError, match="found 'nine', expected one of brightness, "):
        checklist.find("nine")
    with pytest.raises(InputError, match="expected a check of this job"):
        checklist.find("")
    with pytest.raises(InputError, match="found 'P3', expected one of brightness, "):
        checklist.find("P3")
    with pytest.raises(InputError, match="expected a check of this job"):
        checklist.find("Brightness at ten points")


def test_an_unknown_field_names_the_known() -> None:
    with pytest.raises(InputError, match="luminance_cd_m2"):
        shipped().check("brightness").field("luminance")


def test_a_firm_replaces_a_check_and_adds_another(tmp_path: Path) -> None:
    own = GOOD.replace('id = "light"', 'id = "timing"')
    (tmp_path / "ours.toml").write_text(own, encoding="utf-8")
    (tmp_path / "extra.toml").write_text(
        own.replace('"sound-picture"', '"ours-only"').replace('"timing"', '"ours"'),
        encoding="utf-8",
    )
    checklist = parse_checklist(files_with(tmp_path))
    assert checklist.check("sound-picture").method == "backups"
    assert checklist.stage_of("sound-picture").id == "timing"
    ours = [check.id for check in checklist.stage_of("latency").checks]
    shipped_ids = [check.id for check in shipped().stage_of("latency").checks]
    assert ours == shipped_ids
    assert checklist.check("ours-only").title == "Sound"
    assert len(list(checklist)) == len(list(shipped())) + 1


def test_a_folder_that_is_none_is_refused(tmp_path: Path) -> None:
    with pytest.raises(ChecklistError, match="not a folder"):
        files_with(tmp_path / "nowhere")


def test_a_file_that_is_not_text_is_refused(tmp_path: Path) -> None:
    (tmp_path / "bad.toml").write_bytes(b"\xff\xfe")
    with pytest.raises(ChecklistError, match="cannot be read"):
        files_with(tmp_path)


def test_every_shipped_file_is_a_stage() -> None:
    files = shipped_files()
    checklist = shipped()
    assert len(files) == len(checklist.stages)
    orders = [stage.order for stage in checklist.stages]
    assert orders == sorted(set(orders))
    names = [f"{s.order:02}-{s.id}.toml" for s in checklist.stages]
    assert names == sorted(files)


def test_every_limit_has_a_source_that_fits_its_standing() -> None:
    for check in shipped():
        for limit in check.limits:
            where = f"{check.id}.{limit.name}"
            practice = "common practice, no published source" in limit.source
            assert limit.source.strip(), where
            if limit.standing == "common practice":
                assert practice, where
            has_number = limit.low is not None or limit.high is not None
            on_site = {f"{limit.name}_least", f"{limit.name}_most"} & {f.name for f in check.fields}
            assert has_number or limit.from_target or on_site, where


def test_every_check_says_why_what_when_and_what_next() -> None:
    for check in shipped():
        assert check.why.endswith("."), check.id
        assert all(step.endswith(".") for step in check.do), check.id
        assert check.suspect, check.id
        assert check.retest, check.id
        assert check.minutes >= 5, check.id


@pytest.mark.parametrize(
    ("check_id", "word"),
    [
        ("suspension-loads", "competent person"),
        ("circuit-currents", "licensed electrician"),
        ("phase-balance", "licensed electrician"),
        ("earth-leakage", "licensed electrician"),
        ("circuit-identity", "licensed electrician"),
        ("level-flatness", "height"),
        ("scan-direction", "flashing"),
        ("pixel-faults", "flashing"),
        ("sound-picture", "seizures"),
        ("brightness", "dazzling"),
    ],
)
def test_work_that_can_hurt_carries_its_caution(check_id: str, word: str) -> None:
    assert word in " ".join(shipped().check(check_id).cautions)


def test_every_check_applies_to_the_demo_wall_and_has_places() -> None:
    wall = fellmoor()
    for check in shipped():
        assert check.applies_to(wall), check.id
        assert any(places(item.per, wall) for item in check.fields), check.id


def test_every_kind_of_place_can_be_listed() -> None:
    for per in PER:
        found = places(per, fellmoor())
        assert len(set(found)) == len(found), per


def test_every_method_is_used_by_a_shipped_check() -> None:
    # Tests of other floors register methods of their own in the same process.
    ours = {n for n, m in methods().items() if m.function.__module__.startswith("commission_tui.")}
    assert {check.method for check in shipped()} == ours


def test_measured_fields_have_a_unit_and_a_sane_range() -> None:
    for check in shipped():
        for item in check.fields:
            if item.measured:
                assert item.unit, (check.id, item.name)
                assert item.low is not None, (check.id, item.name)
                assert item.high is not None, (check.id, item.name)


def test_every_pattern_can_be_drawn() -> None:
    by_other_means = {"flash and click"}
    for check in shipped():
        for name in (check.pattern or "").split(", "):
            if name and name not in by_other_means:
                assert find_pattern(name).name == name, check.id


@pytest.mark.parametrize(
    ("typed", "unit"),
    [("cd/m2", "cd/m2"), ("cd/m²", "cd/m2"), ("nits", "cd/m2"), ("Nm", "N·m"), ("us", "µs")],
)
def test_a_unit_is_known_however_it_is_typed(typed: str, unit: str) -> None:
    assert canonical_unit(typed) == unit


@pytest.mark.parametrize("typed", ["fL", "furlong", "", " ", "cd/m3", "[red]"])
def test_a_unit_in_which_nothing_is_read_is_refused(typed: str) -> None:
    with pytest.raises(InputError, match="expected one such as cd/m2"):
        canonical_unit(typed)
