"""Test patterns as files."""
