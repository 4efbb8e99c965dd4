"""Calculation exercises: drawn from a seed, solved line by line, marked with the slip named."""
