"""The guide inside the program: a chapter for each kind of person."""

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render

from fleet.web.doors import needs, reader
from fleet.web.guide_text import CHAPTERS, HEIGHT, WIDTH


@needs()
def guide(request: HttpRequest) -> HttpResponse:
    """All chapters by name, one's own first."""
    chapters = sorted(CHAPTERS.values(), key=lambda each: each.key != reader(request).role)
    return render(request, "guide/contents.html", {"chapters": chapters})


@needs()
def guide_chapter(request: HttpRequest, who: str) -> HttpResponse:
    chapter = CHAPTERS.get(who)
    if chapter is None:
        raise Http404
    context = {"chapter": chapter, "width": WIDTH, "height": HEIGHT}
    return render(request, "guide/chapter.html", context)
