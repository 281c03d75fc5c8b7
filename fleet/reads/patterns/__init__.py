"""Patterns: what keeps coming back and what stands out, in plain words and with its evidence."""

from fleet.reads.patterns.listed import (
    WAITING,
    PatternRow,
    open_patterns,
    pattern_rows,
    patterns,
    waiting,
)
from fleet.reads.patterns.members import Names, names_for
from fleet.reads.patterns.sentences import sentence
from fleet.reads.patterns.story import PatternStory, pattern_story

__all__ = [
    "WAITING",
    "Names",
    "PatternRow",
    "PatternStory",
    "names_for",
    "open_patterns",
    "pattern_rows",
    "pattern_story",
    "patterns",
    "sentence",
    "waiting",
]
