"""Settling what nobody has said of the wall, from the overview and from the walk."""

from __future__ import annotations

from commission_tui.logbook.logbook import Logbook, OpenJob
from commission_tui.logbook.state.agreed_checks import unsettled_features
from commission_tui.wall.draft.typed_design import feature_words
from tests.logbook.state.test_agreed_checks import evening_wall
from tests.screens.helping import everything, running, told


def evening_job(logbook: Logbook, scope: str) -> OpenJob:
    return logbook.create(
        by="A. Technician",
        name="Evening",
        client="Fellmoor Council",
        integrator="Tarn & Fell Integration",
        wall_text=evening_wall(),
        scope=scope,
    )


async def test_every_feature_is_asked_in_a_window_of_24_rows(logbook: Logbook) -> None:
    job = evening_job(logbook, "all")
    features = list(unsettled_features(job.state))
    assert len(features) > 6
    async with running(logbook, job) as pilot:
        await pilot.press("s")
        for at, feature in enumerate(features):
            shown = everything(pilot)
            assert feature_words(feature) in shown
            assert "Done" in shown  # the foot of the form is on the screen
            await pilot.press("n" if at % 2 else "y", "enter")
            await pilot.pause()
        assert told(pilot)[-1:] == ["Settled"]
    assert unsettled_features(job.state) == {}
    said = {logged.body.feature: logged.body.there for logged in job.state.features}
    assert list(said) == features
    assert [said[feature] for feature in features] == [
        "no" if at % 2 else "yes" for at in range(len(features))
    ]


async def test_what_is_not_known_stays_on_the_list(logbook: Logbook) -> None:
    job = evening_job(logbook, "short")
    before = list(unsettled_features(job.state))
    async with running(logbook, job) as pilot:
        shown = everything(pilot)
        assert all(f"{feature}?" in shown for feature in before[:4])
        assert f"{len(before) - 4} more" in shown
        await pilot.press("s", *["enter"] * len(before))
        await pilot.pause()
    assert list(unsettled_features(job.state)) == before


async def test_the_walk_asks_what_its_check_waits_for(logbook: Logbook) -> None:
    job = evening_job(logbook, "short")
    async with running(logbook, job) as pilot:
        await pilot.press("ctrl+g", *"fire", "enter")  # from the overview
        assert "Not settled: fire input?" in everything(pilot)
        await pilot.press("ctrl+o", "n", "enter")
        await pilot.pause()
        assert "Not settled" not in everything(pilot)
    assert job.outcome("fire-input").reason == "this room has no fire input"
