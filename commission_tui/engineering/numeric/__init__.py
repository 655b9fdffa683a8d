"""What every subject stands on: refusal of impossible values, units, uncertainties, small statistics."""
