"""What every subject stands on: refusal of impossible values, units, uncertainties, small statistics.

Anything above may import `bounds`, `units`, `uncertainty` and `binomial`.
"""
