"""Commission an LED video wall from first power-up to a signed handover."""

__version__ = "0.1.0"
