"""Pictures of the real screens on the demo job: ``python -m tests.pictures`` writes docs/screens."""
