"""Sign-in: accounts are made by a manager, never by a visitor."""

from typing import Any

from allauth.account.adapter import DefaultAccountAdapter
from allauth.account.forms import LoginForm
from django.http import HttpRequest
from django.utils.translation import gettext_lazy as _


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
