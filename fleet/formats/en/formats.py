"""English of the US, with a clock of 24 hours: a record must not turn on an 'a.m.'."""

DATE_FORMAT = "N j, Y"
TIME_FORMAT = "H:i"
DATETIME_FORMAT = "N j, Y, H:i"
# Day and month in figures are read the other way round by half of the readers: year first alone.
DATE_INPUT_FORMATS = ["%Y-%m-%d"]
