"""Adaptive intervals: how long joints hold, by cell, and what is proposed of it."""
