"""The demo fleet: invented, seeded, and true to the rules that every other record obeys.

Most of its history is made in memory in the very shapes that the operations write, and put into
the database at once, because four years of sixty vehicles through the operations would take
minutes. What decides (what a finding calls for, how long a recheck runs, what a line lacks) is
asked of the operations' own functions; tests/operations/test_demo.py holds the two together.
The last weeks of a few vehicles are made by the operations themselves (living_day).
"""
