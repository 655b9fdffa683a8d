"""Commands that read photographs."""
