"""Commissioning held against hand-worked figures and published ranges."""
