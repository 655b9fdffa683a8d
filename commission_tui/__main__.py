"""``python -m commission_tui``."""

from commission_tui.cli import main

if __name__ == "__main__":
    main()
