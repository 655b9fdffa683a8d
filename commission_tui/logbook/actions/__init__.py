"""What may be done to a job beyond one reading: faults in number, runs moved, settings, mapping."""
