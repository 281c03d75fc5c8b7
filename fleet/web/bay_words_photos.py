"""The words of photos on the tablet page."""

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

PHOTO_WORDS: dict[str, Promise] = {
    "state.photos.one": _("%(count)s photo waits to be sent."),
    "state.photos.many": _("%(count)s photos wait to be sent."),
    "photo.title": _("Photos"),
    "photo.take": _("Take a photo"),
    "photo.keeping": _("Keeping photo %(done)s of %(all)s."),
    "photo.kept.one": _("%(count)s photo is kept on the tablet."),
    "photo.kept.many": _("%(count)s photos are kept on the tablet."),
    "photo.waits": _("Waits to be sent, %(size)s MB"),
    "photo.alt": _("Photo, %(when)s"),
    "photo.remove": _("Remove"),
    "photo.remove_one": _("Remove photo, %(when)s"),
    "photo.removed": _("The photo was removed."),
    "photo.again": _("Send again"),
    "photo.refused": _("The server did not take it: %(why)s"),
    "photo.unread.one": _("%(count)s file could not be read as a picture and was not kept."),
    "photo.unread.many": _("%(count)s files could not be read as pictures and were not kept."),
    "photo.no_room": _(
        "Photos kept just now: %(kept)s, and no more. The room that is left on the tablet is for "
        "inspections and tickets, which can still be recorded. Go where there is a network: "
        "photos that were sent make room. Or remove pictures, videos and other apps."
    ),
}
