"""Tablets: made ours by a code, revoked when lost, and what from them waits for a manager."""

from typing import Any

from django import forms
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.cache import never_cache

from fleet.operations import tablet_returns
from fleet.operations import tablets as verbs
from fleet.operations.work import Done
from fleet.reads import tablets as reads
from fleet.records.models import Tablet, TabletOperation, Yard
from fleet.web.doors import in_scope, needs, page_of, reader, yards
from fleet.web.forms import ActForm, Ask, Sheet, form_page, offer, sent
from fleet.web.meter import ReasonForm

# Told once to whoever made it.
ONCE = "tablet-code"


class NewTabletForm(ActForm):
    name = forms.CharField(
        label=gettext_lazy("Name"),
        help_text=gettext_lazy("As it is written on its back, like “Mesa 1”."),
        max_length=60,
        widget=forms.TextInput(attrs={"autocomplete": "off"}),
        error_messages={"required": gettext_lazy("Give the tablet a name, like “Mesa 1”.")},
    )
    yard = forms.TypedChoiceField(
        label=gettext_lazy("Yard"),
        help_text=gettext_lazy("It carries the work of this yard."),
        coerce=int,
        error_messages={"required": gettext_lazy("Choose one of your yards.")},
    )

    def __init__(self, data: Any, mine: list[Yard], **kwargs: Any) -> None:
        super().__init__(data, **kwargs)
        offer(self, "yard", [(yard.pk, yard.name) for yard in mine])


@needs("edit_tablets")
@never_cache
def tablet_list(request: HttpRequest) -> HttpResponse:
    page = page_of(request, reads.tablets(reader(request)))
    context = {"page": page, "told": request.session.pop(ONCE, None)}
    return render(request, "tablets/list.html", context)


@needs("edit_tablets")
def tablet_new(request: HttpRequest) -> HttpResponse:
    form = NewTabletForm(sent(request), yards(request))
    note = _(
        "It makes a code that is good for half an hour. Open /bay/ on the tablet and type it there."
    )
    sheet = Sheet(
        title=_("Enroll a tablet"), button=_("Make the code"), back=reverse("tablets"),
        back_text=_("Tablets"), note=note,
    )  # fmt: skip

    def verb(ask: Ask) -> Done[Any]:
        typed = form.cleaned_data
        made = verbs.make_code(
            ask.actor, typed["name"], typed["yard"], at=ask.at, request=ask.request
        )
        request.session[ONCE] = {"name": made.row.name, "code": made.code}
        return Done(made.row)

    return form_page(request, form, sheet, verb, lambda _row: reverse("tablets"))


@needs("edit_tablets")
def tablet_page(request: HttpRequest, tablet_id: int) -> HttpResponse:
    tablet = _tablet(request, tablet_id)
    page = page_of(request, reads.unsettled(tablet))
    context = {
        "tablet": tablet,
        "signers": reads.signers(tablet),
        "page": page,
        "rows": reads.in_words(page),
        "skewed": abs(tablet.skew_ms or 0) >= reads.SKEW_TOLD_S * 1000,
        "skew_minutes": round((tablet.skew_ms or 0) / 60_000),
    }
    return render(request, "tablets/page.html", context)


@needs("edit_tablets")
def tablet_revoke(request: HttpRequest, tablet_id: int) -> HttpResponse:
    tablet = _tablet(request, tablet_id)
    form = ReasonForm(sent(request))
    note = _(
        "From now on it gets nothing more. What it still sends waits here for you. What it holds "
        "can be read by somebody who knows a PIN, or who has the time to try them all."
    )
    sheet = Sheet(
        title=_("Revoke %(name)s") % {"name": tablet.name}, button=_("Revoke it"),
        back=_page(tablet), back_text=tablet.name, grave=True, note=note, said=_("Revoked."),
    )  # fmt: skip

    def verb(ask: Ask) -> Done[Any]:
        reason = form.cleaned_data["reason"]
        return verbs.revoke_tablet(ask.actor, tablet.pk, reason, at=ask.at, request=ask.request)

    return form_page(request, form, sheet, verb, _page)


@needs("edit_tablets")
def operation_take_in(request: HttpRequest, operation_id: int) -> HttpResponse:
    row = _operation(request, operation_id)
    form = ActForm(sent(request))
    note = _(
        "It is judged now by the same rules, for whoever signed it. What is refused stays here."
    )
    sheet = _sheet(row, _("Take it in"), _("Take it in"), note=note)

    def verb(ask: Ask) -> Done[Any]:
        return tablet_returns.take_in(ask.actor, row.pk, at=ask.at, request=ask.request)

    return form_page(request, form, sheet, verb, _page_of)


@needs("edit_tablets")
def operation_leave(request: HttpRequest, operation_id: int) -> HttpResponse:
    row = _operation(request, operation_id)
    form = ReasonForm(sent(request))
    note = _("It counts for nothing from now on. It stays on file with your reason.")
    sheet = _sheet(row, _("Leave what was sent"), _("Leave it out"), note=note, grave=True)

    def verb(ask: Ask) -> Done[Any]:
        reason = form.cleaned_data["reason"]
        return tablet_returns.leave_quarantined(
            ask.actor, row.pk, reason, at=ask.at, request=ask.request
        )

    return form_page(request, form, sheet, verb, _page_of)


def _tablet(request: HttpRequest, tablet_id: int) -> Tablet:
    return in_scope(reads.tablets(reader(request)), pk=tablet_id)


def _operation(request: HttpRequest, operation_id: int) -> TabletOperation:
    return in_scope(reads.operations_of(reader(request)), pk=operation_id)


def _page(tablet: Tablet) -> str:
    return reverse("tablet", args=[tablet.pk])


def _page_of(row: TabletOperation) -> str:
    return reverse("tablet", args=[row.tablet_id])


def _sheet(row: TabletOperation, title: str, button: str, **more: Any) -> Sheet:
    [shown] = reads.in_words([row])
    return Sheet(
        title=title, button=button, back=_page_of(row), back_text=row.tablet.name,
        template="tablets/act.html", more={"shown": shown}, **more,
    )  # fmt: skip
