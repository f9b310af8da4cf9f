"""Shared reasoning of the rules on protection: what the work does with a circuit, what it asks for, what is given."""
