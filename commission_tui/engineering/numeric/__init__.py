"""What every subject stands on: refusal of impossible values, units, uncertainties, small statistics.

Anything above may import each module without an underscore.
"""
