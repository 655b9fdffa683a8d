"""The state of a job as a pure fold of its entries, one entry at a time.

Anything above may import `state`, `parts`, `fault_steps`; `fold` is the job's.
"""
