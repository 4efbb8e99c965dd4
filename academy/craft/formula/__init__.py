"""Formulation arithmetic: strength, dilution, crossing, mixing, white hair, legal limits."""
