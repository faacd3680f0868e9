"""The equations that the calculators show: what is written, what computes it, where it stands."""
