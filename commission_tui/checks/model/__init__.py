"""The plain types: a check as defined, readings, limits, outcomes, settings, and a typed value."""
