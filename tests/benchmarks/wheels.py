"""Whether every dependency has a wheel for each system, processor and Python that the README names.

Run ``python -m tests.benchmarks.wheels [PYTHON ...]``; it asks the package index through pip, and downloads
nothing (``--dry-run``). With the extra for photographs: ``--photo``. Not for CI: it needs a network.
"""

from __future__ import annotations

import subprocess
import sys
import tempfile
import tomllib

from tests.paths import ROOT

SYSTEMS = {
    "Windows x86": ("win_amd64",),
    "Windows ARM": ("win_arm64",),
    "macOS x86": tuple(f"macosx_{n}_x86_64" for n in ("10_9", "10_12", "10_13", "11_0", "12_0")),
    "macOS ARM": tuple(f"macosx_{n}_arm64" for n in ("11_0", "12_0", "13_0", "14_0")),
    "Linux x86": (
        *tuple(f"manylinux_2_{n}_x86_64" for n in (5, 12, 17, 26, 27, 28)),
        "manylinux2014_x86_64",
    ),
    "Linux ARM": (
        *tuple(f"manylinux_2_{n}_aarch64" for n in (17, 26, 27, 28)),
        "manylinux2014_aarch64",
    ),
}
PYTHONS = ("3.11", "3.12", "3.13", "3.14")


def missing(wanted: list[str], python: str, platforms: tuple[str, ...]) -> str:
    """Return what pip says of the first that has no wheel; nothing when all have one."""
    with tempfile.TemporaryDirectory() as scratch:
        done = subprocess.run(
            [
                *(sys.executable, "-m", "pip", "install", "--dry-run", "--ignore-installed", "-q"),
                *("--only-binary=:all:", "--python-version", python, "--target", scratch),
                *(part for platform in platforms for part in ("--platform", platform)),
                *wanted,
            ],
            capture_output=True,
            text=True,
            check=False,
        )
    said = [line for line in done.stderr.splitlines() if line.startswith("ERROR")]
    return said[-1][:160] if done.returncode else ""


def main() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    named = [word for word in sys.argv[1:] if word != "--photo"]
    wanted = list(project["dependencies"])
    if "--photo" in sys.argv:
        wanted += project["optional-dependencies"]["photo"]
    lacking = 0
    for python in named or PYTHONS:
        for system, platforms in SYSTEMS.items():
            said = missing(wanted, python, platforms)
            lacking += bool(said)
            print(f"Python {python}, {system}: {said or 'every wheel is there'}", flush=True)  # noqa: T201
    sys.exit(1 if lacking else 0)


if __name__ == "__main__":
    main()
