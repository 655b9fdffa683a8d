"""What holds on every screen: sizes, text shown as typed, keys, palette, signs without colour."""

from __future__ import annotations

import inspect
import re
from importlib import import_module
from pathlib import Path
from pkgutil import walk_packages

import pytest
from textual.binding import Binding
from textual.dom import DOMNode
from textual.keys import Keys
from textual.widgets import Input

from commission_tui import screens
from commission_tui.checks.faults.fault_words import named_kind
from commission_tui.logbook.logbook import Logbook, OpenJob
from commission_tui.screens.app.app import CommissionApp
from commission_tui.screens.app.help import HelpDialog
from commission_tui.screens.charts.screen import ChartsScreen
from commission_tui.screens.handover.screen import HandoverScreen
from commission_tui.screens.overview.screen import OverviewScreen
from commission_tui.screens.punch.screen import PunchScreen
from commission_tui.screens.shared.job_screen import JobScreen
from commission_tui.screens.walk.screen import WalkScreen
from commission_tui.screens.wall.screen import WallScreen
from commission_tui.screens.widgets.plain_input import PlainInput
from commission_tui.screens.widgets.screen_frame import Dialog
from tests.cases import case
from tests.screens.helping import LEAST, ROOMY, TINY, app_of, everything, put, running, text_of
from tests.screens.shots import WALK, prepared, press

KEYS = ("f2", "f3", "f4", "f5", "f7", "f8")
NASTY = "[red]x[/] [b] \x1b[31mred\x07 \u202eback [/nothing] $primary {0} \\["
SHOWN = "[red]x[/] [b] [U+001B][31mred[U+0007] [U+202E]back [/nothing] $primary {0} \\["


def _bound() -> list[type[DOMNode]]:
    """Return every class of the screens that binds keys, a new one too."""
    modules = [
        import_module(m.name) for m in walk_packages(screens.__path__, f"{screens.__name__}.")
    ]
    return [
        item
        for module in modules
        for item in vars(module).values()
        if inspect.isclass(item)
        and issubclass(item, DOMNode)
        and item.__module__ == module.__name__
        and vars(item).get("BINDINGS")
        and item is not PlainInput  # whose keys are the library's
    ]


BOUND = _bound()
NEVER_THE_ONLY_KEY = {
    # Ctrl+Z is a field's only while it has something to bring back.
    *(f"ctrl+{letter}" for letter in "mihjaekuwdxvyb"),
    # f6 and f7 belong to a field of several lines, which no screen has.
    *("ctrl+left_square_bracket", "f1", "f10", "f11"),
}
SPOKEN_KEYS = {
    *("down", "up", "left", "right", "pagedown", "pageup", "home", "end", "enter", "escape"),
    *("slash", "plus", "minus", "question_mark", "space", "tab"),
    *(f"f{number}" for number in range(1, 13)),
    *(f"ctrl+{letter}" for letter in "abcdefghijklmnopqrstuvwxyz"),
}


@pytest.mark.parametrize("size", [LEAST, ROOMY])
async def test_every_screen_opens(logbook: Logbook, ready: OpenJob, size: tuple[int, int]) -> None:
    ready.fault("cabinet dark", "R1C2", "stop")
    async with running(logbook, size=size) as pilot:
        assert "Fellmoor side wall" in everything(pilot)
        await pilot.press("enter")
        for key in KEYS:
            await pilot.press(key)
            await pilot.pause()
            rows = everything(pilot).splitlines()
            assert len(rows) == size[1]
            assert "Fellmoor side wall" in rows[0]
            assert "1 fault to close" in rows[0]
            assert all(word in rows[1] for word in ("Overview", "Walk", "Wall", "Handover"))
            assert "F1 Help" in rows[-1]
            assert "palette" in rows[-1]


async def test_below_the_least_size_one_line_asks_for_more(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready, size=TINY) as pilot:
        for key in (*KEYS, "f1"):
            await pilot.press(key)
            await pilot.pause()
            await pilot.pause()  # the charts bring a library with them
            said = [row.strip() for row in everything(pilot).splitlines() if row.strip()]
            assert said == ["Window is 60 x 15: please enlarge it to 80 x 24."], key


async def _nasty_into_every_field(pilot: object, app: CommissionApp) -> int:
    fields = list(app.screen.query(Input))
    for field in fields:
        field.value = NASTY
        await pilot.pause()  # type: ignore[attr-defined]
        assert field.value == SHOWN
    return len(fields)


async def test_markup_and_escape_sequences_show_as_typed_in_every_field(
    logbook: Logbook, ready: OpenJob
) -> None:
    filled = 0
    async with running(logbook, ready, size=ROOMY) as pilot:
        app = app_of(pilot)
        for keys in (
            ("n",),
            ("ctrl+l",),
            ("escape", "ctrl+n"),
            ("escape", "ctrl+o"),
            ("escape", "ctrl+t"),
            ("escape", "ctrl+g"),
            ("escape", "f6", "enter"),
            ("escape", "f4", "slash"),
            ("escape", "w"),
            ("escape", "f5"),
            ("f8", "s"),
            ("escape", "e"),
            ("escape", "f2", "escape", "n"),
        ):
            await pilot.press(*keys)
            await pilot.pause()
            filled += await _nasty_into_every_field(pilot, app)
            shown = everything(pilot)
            assert "\x1b" not in shown
            if keys != ("n",):
                assert SHOWN[:20] in shown, keys
    assert filled == 25


async def test_logged_text_is_never_markup(logbook: Logbook, ready: OpenJob) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("n", "ctrl+n")
        await put(pilot, "#field-text", NASTY)
        await pilot.press("enter", "ctrl+l")
        await put(pilot, "#field-kind", NASTY)
        await pilot.press("ctrl+s", "down", "ctrl+s", "f5")  # asked, then taken as words
        await pilot.pause()
        assert SHOWN in text_of(pilot, "#history-text").replace("\n", " ")
        await pilot.press("m")
        await put(pilot, "#field-note", "[/] mended [bold")
        await pilot.press("enter")
        await pilot.pause()
        assert "[/] mended [bold" in text_of(pilot, "#history-text")
    assert ready.state.notes[0].body.text == SHOWN
    found = ready.state.faults[0].found.body
    assert (found.fault, found.note) == ("something else", SHOWN)


def _bindings(node: type[DOMNode]) -> list[Binding]:
    return [binding for binding in vars(node)["BINDINGS"] if isinstance(binding, Binding)]


@pytest.mark.parametrize("node", BOUND, ids=lambda node: node.__name__)
def test_every_binding_says_what_it_does_and_has_a_key_that_exists(node: type[DOMNode]) -> None:
    bindings = _bindings(node)
    assert len(bindings) == len(vars(node)["BINDINGS"])
    seen: set[str] = set()
    for binding in bindings:
        assert binding.id
        assert binding.description
        assert binding.tooltip
        keys = binding.key.split(",")
        for key in keys:
            assert key in SPOKEN_KEYS or (len(key) == 1 and key.isalnum()), key
            assert key not in seen, f"{key} twice on {node.__name__}"
            seen.add(key)
        assert not set(keys) <= NEVER_THE_ONLY_KEY, binding.id
        name = binding.action.partition("(")[0]
        owner = CommissionApp if name.startswith("app.") else node
        assert hasattr(owner, f"action_{name.removeprefix('app.')}"), binding.action
    ids = [binding.id for binding in bindings]
    assert len(set(ids)) == len(ids)
    in_the_footer = [binding for binding in bindings if binding.show]
    assert len(in_the_footer) <= (8 if node is CommissionApp else 7)


def test_keys_are_named_as_the_library_names_them() -> None:
    known = {str(key.value) for key in Keys} | {"plus", "minus", "slash", "question_mark"}
    assert {key for key in SPOKEN_KEYS if not key.startswith("ctrl+")} <= known


def test_binding_ids_are_unique_in_the_whole_app() -> None:
    ids = [str(binding.id) for node in BOUND for binding in _bindings(node)]
    assert sorted(ids) == sorted(set(ids))


@pytest.mark.parametrize(
    "node",
    [OverviewScreen, WalkScreen, WallScreen, PunchScreen, HandoverScreen, ChartsScreen],
)
def test_no_key_of_a_screen_hides_one_that_leads_elsewhere(node: type[DOMNode]) -> None:
    own = {key for binding in _bindings(node) for key in binding.key.split(",")}
    shared = {
        key
        for base in (JobScreen, CommissionApp)
        for binding in _bindings(base)
        for key in binding.key.split(",")
    }
    assert not own & shared


async def test_every_action_of_every_screen_is_in_the_command_palette(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        for key, screen in zip(
            KEYS,
            (OverviewScreen, WalkScreen, WallScreen, PunchScreen, ChartsScreen, HandoverScreen),
            strict=True,
        ):
            await pilot.press(key)
            await pilot.pause()
            offered = {c.title for c in app_of(pilot).get_system_commands(pilot.app.screen)}
            assert "Theme" not in offered, "F12 goes through ours, which are held to be legible"
            wanted = {
                binding.description
                for node in (screen, JobScreen, CommissionApp)
                for binding in _bindings(node)
                if binding.id != "handover.stop"  # offered while an export runs
            }
            assert wanted <= offered, screen


async def test_the_help_lists_the_keys_of_the_screen(logbook: Logbook, ready: OpenJob) -> None:
    async with running(logbook, ready, size=ROOMY) as pilot:
        await pilot.press("f4", "question_mark")
        await pilot.pause()
        shown = " ".join(text_of(pilot, "#help-text").split())
        for binding in (*_bindings(WallScreen), *_bindings(JobScreen)):
            assert binding.tooltip in shown


async def test_every_dialog_has_its_help_and_the_key_that_opens_it_leads_back(
    logbook: Logbook, ready: OpenJob
) -> None:
    ready.fault("cabinet dark", "R1C2", "stop")
    seen: set[str] = set()
    async with running(logbook, ready, size=ROOMY) as pilot:
        for keys in (
            *(("t",), ("escape", "c"), ("escape", "d"), ("escape", "v"), ("n",)),
            *(("escape", "escape", "l"), ("escape", "f4", "enter"), ("f",), ("escape", "q")),
            *(("f8", "p"), ("escape", "f5", "i"), ("escape", "f4", "w")),
            *(("escape", "f3", "f6"), ("enter",)),
        ):
            await pilot.press(*keys)
            await pilot.pause()
            under = pilot.app.screen
            if not isinstance(under, Dialog):
                continue
            seen.add(type(under).__name__)
            assert under.HELP_TEXT, under
            await pilot.press("f1")
            await pilot.pause()
            assert isinstance(pilot.app.screen, HelpDialog), under
            assert text_of(pilot, "#help-text").replace("\n", " ").startswith(under.HELP_TEXT[:40])
            await pilot.press("f1")
            await pilot.pause()
            assert pilot.app.screen is under
    wanted = {"PlanDialog", "Picker", "DoubtsDialog", "VisitsDialog", "Form", "FaultForm"}
    wanted |= {"PatternsDialog", "ImportFileDialog"}
    assert wanted | {"CabinetDialog", "PagesDialog", "PhotoDialog"} >= seen >= wanted


async def test_the_form_for_a_fault_says_what_to_look_at_first(
    logbook: Logbook, ready: OpenJob
) -> None:
    async with running(logbook, ready) as pilot:
        await pilot.press("l", *"cabinet dark")
        await pilot.pause()
        looks = named_kind("cabinet dark").first_looks
        said = text_of(pilot, "#fault-looks")
        assert all(look.rstrip(".") in said for look in looks)


async def test_ascii_alone_where_asked_for(
    logbook: Logbook, small: OpenJob, tmp_path: Path
) -> None:
    prepared(small, tmp_path)
    async with running(logbook, size=ROOMY, export_dir=tmp_path, ascii_only=True) as pilot:
        for shot in WALK:
            await press(pilot, shot.keys)
            with case(shot.name):
                assert not re.findall(r".*[^\x00-\x7f].*", everything(pilot))


async def test_without_colour_the_cursor_and_the_verdicts_still_show(
    logbook: Logbook, ready: OpenJob, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    async with running(logbook, ready) as pilot:
        assert pilot.app.no_color
        assert "○ open" in everything(pilot)
        await pilot.press("f4")
        await pilot.pause()
        strip = pilot.app.screen.query_one("#wall-map").render_line(1)
        assert any(segment.style and segment.style.reverse for segment in strip)


async def test_colours_go_round_and_the_last_comes_back(
    logbook: Logbook, ready: OpenJob, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COMMISSION_TUI_COLOURS", "Low blue")
    async with running(logbook, ready) as pilot:
        assert pilot.app.theme == "low blue"
        await pilot.press("f12")
        assert pilot.app.theme == "office"
        await pilot.press("f12", "f12")
        assert pilot.app.theme == "low blue"
