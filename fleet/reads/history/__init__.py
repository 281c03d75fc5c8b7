"""The record as arrays for the statistics, and back: clocks, exposures, and what was usual."""
