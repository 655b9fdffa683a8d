"""Textual's driver, which leaves the picture that is on the terminal already until it paints over it."""

from __future__ import annotations

from textual.driver import Driver

from commission_tui.screens.app.splash import OTHER_SCREEN


def taking_over(driver: type[Driver]) -> type[Driver]:
    """Return a driver that does not open the other screen, which many terminals empty, once more."""

    class TakingOver(driver):  # type: ignore[misc,valid-type]
        _taken = False

        def write(self, data: str) -> None:
            if data == OTHER_SCREEN and not self._taken:
                self._taken = True
                return
            super().write(data)

    return TakingOver
