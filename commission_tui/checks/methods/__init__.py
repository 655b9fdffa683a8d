"""The methods that judge a check, by stage of the job; importing this package registers each.

Take `methods()` from here; `checks.registry` only holds the decorator that a method bears.
"""

from importlib import import_module
from pkgutil import walk_packages

from commission_tui.checks.registry import METHODS, Method

for _module in walk_packages(__path__, f"{__name__}."):
    import_module(_module.name)


def methods() -> dict[str, Method]:
    """Return every method by name."""
    return METHODS
