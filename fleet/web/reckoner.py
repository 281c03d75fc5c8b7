"""The Reckoner: the bench mechanic's arithmetic on one page. Nothing typed into it is kept.

An answer is read by GET, so that it has an address. While somebody types, the server sends the
answer alone (an htmx request); without scripts the button brings the whole page. A road-test
record is sent by POST, looked at and dropped.
"""

from typing import Any

from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils import timezone
from django.utils.cache import patch_vary_headers
from django.utils.translation import gettext as _

from fleet.reads.reckoning import CALCULATORS, reckon
from fleet.reads.reckoning.answers import FieldProblem, Unclear
from fleet.reads.reckoning.asked import METRIC, US, Calculator
from fleet.web.doors import needs, reader
from fleet.web.reckoner_page import Section, sections, typed_of

WRONG = 400


@needs("reckon")
def reckoner(request: HttpRequest) -> HttpResponse:
    sent = request.POST if request.method == "POST" else request.GET
    units = sent.get("units") or reader(request).units
    units = METRIC if units == METRIC else US
    answered = _answered(request, sent, units) if "calculator" in sent else None
    alone = bool(getattr(request, "htmx", False)) and answered is not None
    if alone and answered is not None:
        response = render(request, "reckoner/answer_alone.html", {"section": answered})
        if request.method == "GET":
            address = f"{reverse('reckoner')}?{answered.query}#{answered.name}"
            response["HX-Replace-Url"] = address
    else:
        context = {"sections": list(sections(units, answered)), "reckon_units": units}
        status = WRONG if answered is not None and answered.errors else 200
        response = render(request, "reckoner/page.html", context, status=status)
    patch_vary_headers(response, ["HX-Request"])
    return response


def _answered(request: HttpRequest, sent: Any, units: str) -> Section:
    calculator = CALCULATORS.get(sent["calculator"])
    if calculator is None:
        raise Http404
    typed = typed_of(calculator, sent)
    # While somebody types, what is not there yet is no mistake.
    strict = "ask" in sent or request.method == "POST"
    today = timezone.localdate()
    try:
        texts = typed | _uploaded(request, calculator)
        answer = reckon(calculator.name, texts, units=units, today=today)
    except Unclear as unclear:
        return Section(calculator, units, typed, unclear=unclear, strict=strict)
    return Section(calculator, units, typed, answer, today=today)


def _uploaded(request: HttpRequest, calculator: Calculator) -> dict[str, str]:
    """The text of each file that was sent; raises Unclear where it is too large or no text."""
    texts = {}
    for ask in calculator.asks:
        file = request.FILES.get(ask.name)
        if ask.kind != "record" or file is None:
            continue
        if file.size is None or file.size > settings.RECORD_MAX_BYTES:
            message = _("The record is larger than %(most)s MB. Cut it to the part that shook.")
            most = {"most": settings.RECORD_MAX_BYTES // 1_000_000}
            raise Unclear((FieldProblem(ask.name, "too_large", message % most),))
        try:
            texts[ask.name] = file.read().decode("utf-8-sig")
        except UnicodeDecodeError:
            message = _("This file is no text. Send the record as CSV.")
            raise Unclear((FieldProblem(ask.name, "not_text", message, ask.example),)) from None
    return texts
