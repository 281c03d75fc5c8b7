"""A figure read back as it is typed: a few words beside its field."""

from django.http import HttpRequest, HttpResponse
from django.utils.html import format_html
from django.utils.translation import gettext as _

from fleet.operations.errors import Refused
from fleet.operations.understood import understood
from fleet.web.doors import needs, reader


@needs()
def read_back(request: HttpRequest) -> HttpResponse:
    """The words alone; what can't be read is told with an example, and is no failure here."""
    asked = request.GET
    words = words_for(
        asked.get("kind", ""),
        asked.get("text", ""),
        unit=asked.get("unit", ""),
        system=reader(request).units,
        signed=bool(asked.get("signed")),
    )
    return HttpResponse(words)


def words_for(kind: str, typed: str, *, unit: str, system: str, signed: bool = False) -> str:
    """'Understood as 1/8 in, 3.2 mm.', or what to type instead; nothing for nothing."""
    if not typed.strip():
        return ""
    try:
        read = understood(kind, typed, unit=unit, system=system, signed=signed)
    except Refused as refused:
        return format_html('<span class="unread">{}</span>', refused.problems[0].message)
    said = ", ".join(part for part in (read.reading, read.other) if part)
    words = _("Understood as %(said)s.") % {"said": said}
    return format_html("{} {}", words, read.doubt) if read.doubt else format_html("{}", words)
