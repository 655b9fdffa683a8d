"""How it is said of keys that they wait, and what lets them go on: the row above the keys says it.

Each stands with room for what waits, and ends with what is done with it. Nothing that waits is logged.
"""

from __future__ import annotations

from commission_tui.text import clipped

TYPED_ON = "Typed on, and waits: {}. Esc drops it"
UNSEEN = "Waits for your answer above, not shown: {} typed on. Esc drops it"
"""Where a passphrase is typed: nobody sees from what is typed there what waits for what."""
ASKED = "Typed on, and waits for your answer: {}"
WRONG = "Waits until this is right: {}. Esc drops it"
OTHER_HALF = "Waits until the other half is logged: {}. Esc drops it"
LAST_TIME = "Left waiting last time: {}. Esc drops it"


def strays(label: str) -> str:
    """Say that what waits was typed for another field."""
    return f"Typed for {_in_template(clipped(label, 20))}, and waits: {{}}"


def behind_half_typed(value: str) -> str:
    """Say that what waits does so behind a value that was half typed here before."""
    return f"Waits: {{}}. First Enter logs {_in_template(clipped(value, 10))}, or Esc drops that"


def _in_template(text: str) -> str:
    return text.replace("{", "{{").replace("}", "}}")
