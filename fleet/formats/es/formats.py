"""Spanish of the US and Mexico: 1,234.5 as on every tape, wrench and meter there.

Django's own Spanish writes 1.234,5, as Spain does; a mechanic who reads 1.176 off a page and
1.176 off a gauge must read the same figure. Dates are day first; times as in English here.
"""

DATE_FORMAT = "j b Y"
TIME_FORMAT = "H:i"
DATETIME_FORMAT = "j b Y, H:i"
YEAR_MONTH_FORMAT = "F Y"
MONTH_DAY_FORMAT = "j b"
SHORT_DATE_FORMAT = "j b Y"
SHORT_DATETIME_FORMAT = "j b Y, H:i"
FIRST_DAY_OF_WEEK = 0
DECIMAL_SEPARATOR = "."
THOUSAND_SEPARATOR = ","
NUMBER_GROUPING = 3
DATE_INPUT_FORMATS = ["%Y-%m-%d"]
