"""The tablet page: one shell for everybody, without data, that opens with the network gone."""

import json

from django.contrib.staticfiles.storage import staticfiles_storage
from django.http import Http404, HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.template.loader import render_to_string
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views.decorators.cache import cache_control
from django.views.decorators.http import require_safe

from fleet.web import bay_shell
from fleet.web.bay_shell import LANGUAGES
from fleet.web.packed import packed_json

PAPER = "#faf8f2"
fresh = cache_control(no_cache=True)


@require_safe
@fresh
def page(request: HttpRequest) -> HttpResponse:
    """The empty page and the addresses of its scripts."""
    context = {
        "build": bay_shell.build(),
        "sheets": bay_shell.sheets(),
        "modules": [name for name in bay_shell.early() if name.endswith(".js")],
        "views": json.dumps(bay_shell.views()),
    }
    return render(request, "bay/bay.html", context)


@require_safe
@fresh
def worker(_request: HttpRequest) -> HttpResponse:
    """The service worker, with the addresses of what it keeps first."""
    build = bay_shell.build()
    kept = {
        "build": build,
        "early": [staticfiles_storage.url(name) for name in bay_shell.early()],
        "words": {name: f"{reverse('bay_words', args=[name])}?{build}" for name in LANGUAGES},
        "late": reverse("bay_late"),
    }
    script = f"const SHELL = {json.dumps(kept)};\n{render_to_string('bay/worker.js')}"
    return HttpResponse(script, content_type="text/javascript; charset=utf-8")


@require_safe
@fresh
def late(request: HttpRequest) -> HttpResponse:
    """All that the page does not ask for as it opens, in one piece."""
    return packed_json(request, bay_shell.late())


@require_safe
@fresh
def manifest(_request: HttpRequest) -> JsonResponse:
    """What makes the page something to install."""
    home = reverse("bay")
    icons = [("icon.svg", "any", "image/svg+xml"), *_png(192), *_png(512)]
    said = {
        "id": home,
        "start_url": home,
        "scope": home,
        "name": _("Axlekeep Bay"),
        "short_name": _("Bay"),
        "description": _("Inspections and tickets of one yard, with or without a network."),
        "display": "standalone",
        "background_color": PAPER,
        "theme_color": PAPER,
        "icons": [
            {"src": staticfiles_storage.url(f"web/bay/{name}"), "sizes": size, "type": kind}
            for name, size, kind in icons
        ],
    }
    return JsonResponse(said, content_type="application/manifest+json")


@require_safe
def words(request: HttpRequest, language: str) -> HttpResponse:
    """Every word that the scripts say. Asked for by its build, it never changes."""
    if language not in LANGUAGES:
        raise Http404
    answer = packed_json(request, bay_shell.words(language))
    lasting = request.META["QUERY_STRING"] == bay_shell.build()
    answer["Cache-Control"] = "max-age=31536000, immutable" if lasting else "no-cache"
    return answer


def _png(side: int) -> list[tuple[str, str, str]]:
    return [(f"icon-{side}.png", f"{side}x{side}", "image/png")]
