"""Pure arithmetic: standard library, NumPy and SciPy; no Django, no clock, no input or output."""
