"""What is measured, and by which command; times are ratios to a bare floor in the same run::

python -m tests.benchmarks.bench_mapping   # how often the diagnosis is right, and how fast
python -m tests.benchmarks.bench_logging   # a durable reading against a bare commit
python -m tests.benchmarks.bench_calls     # how many calls one Enter on the walk takes, and which
python -m tests.benchmarks.bench_bursts    # keys in one burst against one by one, many scripts
python -m tests.benchmarks.bench_screens   # first key, a key, bytes, memory and --help against bare floors
python -m tests.benchmarks.bench_export    # a document against the bare typesetter; thousands of faults
python -m tests.benchmarks.bench_scale     # a million entries; opening a job of a hundred thousand
python -m tests.benchmarks.verdicts.bench_verdicts   # how often verdicts are right, on simulated walls
python -m tests.benchmarks.bench_photo     # how well rendered photographs are read; hours, --share for a part
python -m tests.benchmarks.bench_verify    # changed bytes of signed files that verify misses
python -m tests.benchmarks.losses.kill_long   # killed while they log; power_long loses power, trust_long tears
python -m tests.benchmarks.wheels          # a wheel of every dependency for every system and Python
"""
