"""The plan: what is planned where, what can't be, and what it is made against."""
