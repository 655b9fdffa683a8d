"""Write the pictures of the screens, or with names only those."""

from __future__ import annotations

import sys

from tests.pictures.drawing import DEMO, FOLDER, draw


def main(names: list[str]) -> None:
    """Write each picture whose name is given; all when none is."""
    unknown = set(names) - {shot.name for shot in DEMO}
    if unknown:
        raise SystemExit(f"no such picture: {', '.join(sorted(unknown))}")
    FOLDER.mkdir(parents=True, exist_ok=True)
    made = draw([shot for shot in DEMO if not names or shot.name in names])
    for name, content in made.items():
        (FOLDER / name).write_bytes(content)
        sys.stdout.write(f"{FOLDER / name}\n")
    if not names:
        for path in FOLDER.glob("*.svg"):
            if path.name not in made:
                path.unlink()


if __name__ == "__main__":
    main(sys.argv[1:])
