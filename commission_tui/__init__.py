"""Commission an LED video wall from first power-up to a signed handover."""

import os

__version__ = "0.1.0"

# What an entry may hold is said in this package alone; to look for plugins of others that would have a
# say takes 20 ms of every start (`tests/benchmarks/bench_screens.py`).
os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
