"""Calculations for the pressure side of closed hydronic systems.

Imports run one way: ``units, sources -> model -> fluids -> subject modules -> calculators ->
bridge``. Nothing here knows HTML, the browser, the network, the clock or global settings.
"""
