"""Commission an LED video wall from first power-up to a signed handover."""

import os

__version__ = "0.1.0"

# What an entry may hold is said in this package alone; to look for plugins of others that would have a
# say takes 20 ms of every start (`tests/benchmarks/bench_screens.py`).
os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")

# NumPy reads it once, when it is loaded. Its threads share sums too small to be shared: on a machine that is
# busy with anything else they wait for each other, and a photograph takes ten times as long to be read.
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
