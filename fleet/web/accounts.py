"""Sign-in: accounts are made by a manager, never by a visitor."""

from typing import Any

from allauth.account.adapter import DefaultAccountAdapter
from allauth.account.forms import LoginForm
from allauth.account.views import LoginView
from django.http import HttpRequest
from django.utils.translation import gettext_lazy as _

from fleet.reads.fleet_facts import fleet_now
from fleet.reads.people import nobody_may_sign_in


class HouseAdapter(DefaultAccountAdapter):  # type: ignore[misc]  # allauth ships no types
    def is_open_for_signup(self, request: HttpRequest) -> bool:
        return False


class SignInForm(LoginForm):  # type: ignore[misc]  # allauth ships no types
    """The library's form in the house's words: labels, not grey text inside the fields."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.label_suffix = ""
        self.fields["login"].label = _("Sign-in name")
        self.fields["password"].help_text = ""
        for name in ("login", "password"):
            self.fields[name].widget.attrs.pop("placeholder", None)
        if "remember" in self.fields:
            self.fields["remember"].label = _("Stay signed in on this device")


class SignIn(LoginView):  # type: ignore[misc]  # allauth ships no types
    """With nobody on file it says how the first manager comes to be: never by this page."""

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        context: dict[str, Any] = super().get_context_data(**kwargs)
        first = {"nobody": nobody_may_sign_in(), "fleet": fleet_now().fleet_name}
        return context | first
