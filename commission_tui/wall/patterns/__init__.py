"""Test patterns at the wall's own resolution.

The catalogue loads without the imaging library; `pattern_files` needs it.
"""

from commission_tui.wall.patterns.catalogue import PATTERNS, Pattern, find_pattern, named_in

__all__ = ["PATTERNS", "Pattern", "find_pattern", "named_in"]
