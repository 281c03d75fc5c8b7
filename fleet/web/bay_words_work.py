"""The words of the tablet's sheets and tickets."""

from django.utils.functional import Promise

WORK_WORDS: dict[str, Promise] = {}
