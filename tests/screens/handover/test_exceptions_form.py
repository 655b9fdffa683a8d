"""What a client takes as it is: alike in one stroke, what can hurt somebody one by one."""

from __future__ import annotations

from pathlib import Path
from typing import Any, cast

import pytest
from textual.app import App

from commission_tui.errors import InputError
from commission_tui.screens.handover.exceptions_form import ExceptionForms
from commission_tui.screens.host.begun_forms import Drafts
from commission_tui.screens.terminal.styled_text import plain_line
from commission_tui.screens.widgets.form import Form
from commission_tui.screens.widgets.picker import Choice, Picker, matching_choices
from tests.handover.helping import make_job
from tests.handover.test_document import ONE_CHECK


class Shown:
    """Keeps what would be shown."""

    @property
    def app(self) -> Shown:
        return self

    def push_screen(self, picker: Picker, _: Any) -> None:
        self.choices: tuple[Choice, ...] = picker._choices
        self.at = picker._at


class Opened:
    """Keeps the form that would be opened."""

    def push_screen(self, form: Form, then: Any) -> None:
        self.form, self.then = form, then


def lines(tmp_path: Path, checklist: str) -> list[str]:
    job, app = make_job(tmp_path, files={"a.toml": checklist}), Shown()
    ExceptionForms(cast("App[object]", app), job, Drafts(), lambda _: None).ask()
    return [plain_line(choice.line) for choice in app.choices]


def test_what_can_hurt_somebody_is_never_taken_with_all_that_are_left(tmp_path: Path) -> None:
    """A client who takes eighteen lines at once has read none of them."""
    alike = ONE_CHECK["a.toml"]
    other = "[[checks]]" + alike.partition("[[checks]]")[2].replace('"order"', '"load"')
    hurts = other.replace('title = "In order"', 'title = "Load"\nhurts = true')
    both = lines(tmp_path / "both", alike + hurts)
    assert both[0] == "Take all that are left, 1; 1 that can hurt somebody one by one"
    assert lines(tmp_path / "alike", alike)[0] == "Take all that are left, 1"
    grave = alike.replace('title = "In order"', 'title = "In order"\nhurts = true')
    assert lines(tmp_path / "grave", grave) == ["1. In order: not done  not taken"]


def test_whoever_puts_an_exception_right_is_chosen_again_for_the_next(tmp_path: Path) -> None:
    """The one before is offered by its number and not filled in, also where it can hurt somebody."""
    checklist = ONE_CHECK["a.toml"]
    other = "[[checks]]" + checklist.partition("[[checks]]")[2].replace('"order"', '"load"')
    hurts = other.replace('title = "In order"', 'title = "Load"\nhurts = true')
    job, app = make_job(tmp_path, files={"a.toml": checklist + hurts}), Opened()
    dialog = ExceptionForms(cast("App[object]", app), job, Drafts(), lambda _: None)
    first, second = (item.key for item in job.acceptance().left)
    integrator = job.state.title.integrator
    for key, typed, offered in (
        (first, "B. Rigger", f"1 {integrator}"),
        (second, "2", f"1 {integrator}, 2 B. Rigger"),
    ):
        dialog._picked(key)
        owner, due, _ = app.form._questions
        assert owner.value == ""
        assert owner.hint.endswith(f": {offered}")
        with pytest.raises(InputError, match="who puts it right: found nothing"):
            app.form._submit({"owner": "", "due": due.value, "words": "C. L."})
        app.form._submit({"owner": typed, "due": due.value, "words": "C. L."})
    assert [consent.owner for consent in dialog._taken.values()] == ["B. Rigger", "B. Rigger"]


def test_what_was_taken_and_not_signed_is_there_again_unless_it_reads_otherwise_now(
    tmp_path: Path,
) -> None:
    """Esc at the drawing pad must not cost the client's thirty lines."""
    job, app = make_job(tmp_path, files=ONE_CHECK), Opened()
    kept = Drafts()
    ExceptionForms(cast("App[object]", app), job, kept, lambda _: None)._picked("order")
    app.form._submit({"owner": "The firm", "due": "2026-07-01", "words": "C. L."})
    again = ExceptionForms(cast("App[object]", app), job, kept, lambda _: None)
    assert list(again._taken) == ["order"]
    (name,) = kept
    for what, said in (("what", "In order: worse"), ("due", "tomorrow"), ("due", "")):
        otherwise = Drafts()
        otherwise[name] = {**kept[name], what: said}
        assert not ExceptionForms(cast("App[object]", app), job, otherwise, lambda _: None)._taken


def test_of_many_exceptions_taken_together_a_few_are_named_and_the_rest_counted(
    tmp_path: Path,
) -> None:
    """The list before shows each; in the least window the lines of the form have no room beside all."""
    checklist = ONE_CHECK["a.toml"]
    other = "[[checks]]" + checklist.partition("[[checks]]")[2]
    many = [
        other.replace('"order"', f'"order-{n}"').replace('"In order"', f'"In order {n}"')
        for n in range(2, 22)
    ]
    job, app = make_job(tmp_path, files={"a.toml": checklist + "".join(many)}), Opened()
    dialog = ExceptionForms(cast("App[object]", app), job, Drafts(), lambda _: None)
    assert len(job.acceptance().left) == 21
    dialog._picked("all that are left")
    (note,) = (plain_line(line) for line in app.form._notes)
    assert note == ("In order: not done; In order 2: not done; In order 3: not done and 18 more")


def test_the_list_goes_on_with_the_next_that_is_not_taken_and_a_taken_one_says_so(
    tmp_path: Path,
) -> None:
    """Enter on the list again and again takes one after the other, and none twice."""
    checklist = ONE_CHECK["a.toml"]
    other = "[[checks]]" + checklist.partition("[[checks]]")[2]
    more = [other.replace('"order"', f'"order-{n}"') for n in (2, 3)]
    job, shown, opened = (
        make_job(tmp_path, files={"a.toml": checklist + "".join(more)}),
        Shown(),
        Opened(),
    )
    dialog = ExceptionForms(cast("App[object]", shown), job, Drafts(), lambda _: None)
    first, second, third = (item.key for item in job.acceptance().left)

    def picked(key: str, *, owner: str = "") -> Form:
        dialog._app = cast("App[object]", opened)
        dialog._picked(key)
        if owner:
            opened.form._submit({"owner": owner, "due": "2026-07-01", "words": "C. L."})
        dialog._app = cast("App[object]", shown)
        opened.then(bool(owner))
        return opened.form

    assert picked(second)._title == "Take as it is"
    assert shown.at == second
    picked(second, owner="The firm")
    assert shown.at == third
    kinds = [plain_line(choice.line).partition(".")[0] for choice in shown.choices]
    assert kinds == ["Take all that are left, 2", "1", "3", "2"], "not taken before taken"
    found = matching_choices(shown.choices, "not taken")
    assert [choice.key for choice in found[:2]] == [first, third]
    picked(third, owner="The firm")
    assert shown.at == first
    again = picked(second)
    assert again._title == "Taken already: take it anew"
    assert "Taken already: The firm, until 2026-07-01; C. L." in plain_line(again._notes[-1])
    assert again._questions[0].value == "The firm"
    assert again._questions[-1].odd is not None
    asks = again._questions[-1].odd("N. N.")
    assert asks.startswith("Taken already: The firm, until 2026-07-01; C. L.: Enter again")
    picked(first, owner="The firm")
    assert shown.at is None
    assert plain_line(shown.choices[0].line) == "Every exception is taken: sign"


def test_what_was_taken_is_taken_anew_or_back_one_or_all_and_lines_exchanged_are_asked_about(
    tmp_path: Path,
) -> None:
    checklist = ONE_CHECK["a.toml"]
    other = "[[checks]]" + checklist.partition("[[checks]]")[2].replace('"order"', '"load"')
    job, opened, shown = make_job(tmp_path, files={"a.toml": checklist + other}), Opened(), Shown()
    kept = Drafts()
    dialog = ExceptionForms(cast("App[object]", opened), job, kept, lambda _: None)
    everything, due = "all that are left", "2026-07-01"

    def submitted(key: str, owner: str, words: str) -> list[str]:
        dialog._app = cast("App[object]", opened)
        dialog._picked(key)
        opened.form._submit({"owner": owner, "due": due, "words": words})
        dialog._app = cast("App[object]", shown)
        opened.then(True)
        return [plain_line(choice.line) for choice in shown.choices]

    listed = submitted(everything, "The firm", "C. L.")
    assert listed[:2] == [
        "Every exception is taken: sign", "Take all 2 anew, or take them back"
    ]  # fmt: skip
    assert all("N. N." in line for line in submitted(everything, "The other firm", "N. N.")[2:])
    dialog._app = cast("App[object]", opened)
    dialog._picked(everything)
    owner, until, words = opened.form._questions
    assert owner.odd is not None
    assert owner.odd("N. N.").startswith("N. N. is what the client said before")
    assert words.odd is not None
    assert words.odd("The other firm").startswith("The other firm puts it right")
    assert until.check is not None
    with pytest.raises(InputError, match="until: "):
        until.check("N. N.")
    for name, said in ((due, "N. N."), ("The firm", due)):
        with pytest.raises(InputError, match=f"found '{due}', expected some"):
            submitted("order", name, said)
    assert [line.endswith("not taken") for line in submitted("order", "", "")[1:]] == [True, False]
    assert "Take all that are left, 2" in submitted("load", "", "")
    assert not kept
