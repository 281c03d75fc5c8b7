"""Tokens: a sign-in name and a password for a token, once; then the token on every request."""

from collections.abc import Sequence
from typing import Any

from django.contrib.auth import authenticate
from django.utils.decorators import method_decorator
from django.utils.translation import gettext as _
from django.views.decorators.debug import sensitive_variables
from rest_framework import serializers, status
from rest_framework.authentication import BaseAuthentication, TokenAuthentication
from rest_framework.authtoken.models import Token
from rest_framework.exceptions import AuthenticationFailed
from rest_framework.permissions import AllowAny
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.throttling import BaseThrottle

from api.base import Door
from api.examples import TOKEN
from api.fields import Strict, Text
from api.permissions import SIGNED_IN
from fleet.records.models import Person


class TokenIn(Strict):
    username = Text(max_length=60)
    password = Text(max_length=128, trim_whitespace=False, style={"input_type": "password"})


class TokenOut(serializers.Serializer[Token]):
    token = serializers.CharField(source="key", help_text="Send it as 'Authorization: Token ...'.")


class Tokens(Door):
    """The sender's token."""

    model = Person
    throttle_scope = "token"
    takes = {"create": TokenIn}
    gives = {"create": TokenOut}
    codes = {"create": 200}
    ability = {"destroy": SIGNED_IN}
    examples = {"create": TOKEN}

    def get_authenticators(self) -> list[BaseAuthentication]:
        """An old or broken token must not keep anyone from asking for theirs."""
        return [] if getattr(self.request, "method", "") == "POST" else super().get_authenticators()

    def get_permissions(self) -> Sequence[Any]:
        return [AllowAny()] if self.action == "create" else super().get_permissions()

    def get_throttles(self) -> list[BaseThrottle]:
        return super().get_throttles() if self.action == "create" else []

    def get_authenticate_header(self, request: Request) -> str:
        """A wrong password is answered with 401, which names the way to sign in."""
        return TokenAuthentication.keyword

    @method_decorator(sensitive_variables("said"))
    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """A token for a sign-in name and a password: the same one until it is given up."""
        said = self.said()
        person = authenticate(request._request, **said)
        if person is None:
            raise AuthenticationFailed(_("No such sign-in name, or another password."))
        token = getattr(person, "auth_token", None)
        if token is None:
            token = Token(user=person)
            token.save()
        return Response(TokenOut(token).data)

    def destroy(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Give the token up: from now on it signs nobody in."""
        token = getattr(self.actor.person, "auth_token", None)
        if token is not None:
            token.delete()
        return Response(status=status.HTTP_204_NO_CONTENT)
