"""The words of the tablet's sheets and tickets."""

from django.utils.functional import Promise

from fleet.web.bay_words_problems import PROBLEM_WORDS
from fleet.web.bay_words_sheet import SHEET_WORDS
from fleet.web.bay_words_ticket import TICKET_WORDS

WORK_WORDS: dict[str, Promise] = {**SHEET_WORDS, **TICKET_WORDS, **PROBLEM_WORDS}
