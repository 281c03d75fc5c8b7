"""Where a one-time link leads: its person chooses a password, and signs in with it."""

from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone, translation
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.cache import never_cache
from django.views.decorators.debug import sensitive_post_parameters, sensitive_variables

from fleet.operations.errors import Refused
from fleet.operations.sign_in import choose_password, person_behind
from fleet.web.forms import HouseForm, add_problems

GONE = 410
NEW, ONCE_MORE = gettext_lazy("New password"), gettext_lazy("The same once more")
NEW_HINT = gettext_lazy(
    "At least 8 characters, not only figures. A few words are easy to remember."
)
TYPE_IT = gettext_lazy("Type the password.")


def _secret(label: Any, hint: Any = "") -> forms.CharField:
    return forms.CharField(
        label=label,
        help_text=hint,
        max_length=128,
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        error_messages={"required": TYPE_IT},
    )


class PasswordForm(HouseForm):
    password = _secret(NEW, NEW_HINT)
    again = _secret(ONCE_MORE)

    def clean(self) -> dict[str, Any]:
        said: dict[str, Any] = super().clean() or {}
        if said.get("again") and said.get("password") and said["again"] != said["password"]:
            self.add_error("again", _("The two are not alike. Type both again."))
        return said


@never_cache
@sensitive_post_parameters("password", "again")
@sensitive_variables("form")
def welcome(request: HttpRequest, token: str) -> HttpResponse:
    person = person_behind(token, timezone.now())
    if person is None:
        return render(request, "account/link_dead.html", status=GONE)
    with translation.override(person.language):
        form = PasswordForm(request.POST if request.method == "POST" else None)
        if form.is_valid():
            try:
                choose_password(token, form.cleaned_data["password"], at=timezone.now())
            except Refused as refusal:
                add_problems(form, refusal)
            else:
                messages.success(request, _("Kept. Sign in with it now."))
                return redirect("account_login")
        context = {"form": form, "person": person}
        status = 400 if form.errors else 200
        return render(request, "account/welcome.html", context, status=status)
