"""What was typed and not logged, by the name of its form."""

from __future__ import annotations

NOT_LOGGED = "Not logged. Opened again here, it has what you typed; quitting drops it"


class Drafts(dict[str, dict[str, str]]):
    """Unfinished forms; what Esc left is there until the program ends, the rest outlives it."""

    def __init__(self) -> None:
        super().__init__()
        self._put_aside: set[str] = set()

    def begin(self, name: str, typed: dict[str, str]) -> None:
        """Hold what is being typed; nothing typed is no draft."""
        self._put_aside.discard(name)
        if typed:
            self[name] = typed
        else:
            self.pop(name, None)

    def put_aside(self, name: str, typed: dict[str, str]) -> bool:
        """Hold what Esc said is not to be logged; whether that is anything."""
        self.begin(name, typed)
        if typed:
            self._put_aside.add(name)
        return bool(typed)

    def is_aside(self, name: str) -> bool:
        return name in self._put_aside

    def since(self, name: str) -> str:
        """Say from when a form has something typed in it already; nothing when it has not."""
        if not self.get(name):
            return ""
        return "typed before Esc" if self.is_aside(name) else "half typed when the program ended"

    @property
    def to_keep(self) -> dict[str, dict[str, str]]:
        """What a crash or the next start must not lose."""
        return {name: typed for name, typed in self.items() if name not in self._put_aside}
