"""Sweeps: what a doubted tool, lot or way of tightening has touched, and how far the looking is."""
