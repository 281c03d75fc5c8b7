"""English of the US, with a clock of 24 hours: a record must not turn on an 'a.m.'."""

# As the short form without its year: "Nov 9" beside "Nov 9, 2026".
DATE_FORMAT = "M j, Y"
TIME_FORMAT = "H:i"
DATETIME_FORMAT = "M j, Y, H:i"
# Day and month in figures are read the other way round by half of the readers: year first alone.
DATE_INPUT_FORMATS = ["%Y-%m-%d"]
