"""The site's own addresses, and a signed-in page of the same frame with nothing in it."""

from django.http import HttpRequest, HttpResponse
from django.template import engines
from django.urls import path

from fleet.urls import urlpatterns as site
from fleet.web.doors import needs

EMPTY = engines["django"].from_string('{% extends "base.html" %}{% block content %}{% endblock %}')


@needs("view_vehicle")
def empty(request: HttpRequest) -> HttpResponse:
    return HttpResponse(EMPTY.render({}, request))


urlpatterns = [path("bench/empty/", empty), *site]
