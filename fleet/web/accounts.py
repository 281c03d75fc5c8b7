"""Sign-in: accounts are made by a manager, never by a visitor."""

from typing import Any

from allauth.account.adapter import DefaultAccountAdapter
from allauth.account.forms import ChangePasswordForm, LoginForm, ReauthenticateForm
from allauth.account.views import LoginView
from django import forms
from django.http import HttpRequest
from django.utils.translation import gettext_lazy as _

from fleet.reads.fleet_facts import fleet_now
from fleet.reads.people import nobody_may_sign_in
from fleet.web.welcome import NEW, NEW_HINT, ONCE_MORE, TYPE_IT


class HouseAdapter(DefaultAccountAdapter):  # type: ignore[misc]  # allauth ships no types
    def is_open_for_signup(self, request: HttpRequest) -> bool:
        return False


class SignInForm(LoginForm):  # type: ignore[misc]  # allauth ships no types
    """The library's form in the house's words: labels, not grey text inside the fields."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        in_house_words(self, login=_("Sign-in name"), password=_("Password"))
        self.fields["login"].error_messages["required"] = _("Type your sign-in name.")
        if "remember" in self.fields:
            self.fields["remember"].label = _("Stay signed in on this device")


class PasswordChangeForm(ChangePasswordForm):  # type: ignore[misc]  # allauth ships no types
    """The library's form in the words of the page where a first password is chosen."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        in_house_words(
            self, oldpassword=_("Password until now"), password1=NEW, password2=ONCE_MORE
        )
        self.fields["password1"].help_text = NEW_HINT


class PasswordAgainForm(ReauthenticateForm):  # type: ignore[misc]  # allauth ships no types
    """Asked before something that a stranger at a device left signed in must not do."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        in_house_words(self, password=_("Password"))


def in_house_words(form: forms.Form, **labels: Any) -> None:
    """Labels above the fields in our own words; no grey text inside, no hint of the library's."""
    form.label_suffix = ""
    for name, label in labels.items():
        field = form.fields[name]
        field.label, field.help_text = label, ""
        field.widget.attrs.pop("placeholder", None)
        field.error_messages["required"] = TYPE_IT


class SignIn(LoginView):  # type: ignore[misc]  # allauth ships no types
    """With nobody on file it says how the first manager comes to be: never by this page."""

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        context: dict[str, Any] = super().get_context_data(**kwargs)
        first = {"nobody": nobody_may_sign_in(), "fleet": fleet_now().fleet_name}
        return context | first
