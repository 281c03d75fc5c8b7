"""The door for tablets: who they are, by their token; never by a person's cookie."""

from dataclasses import dataclass
from typing import Any, cast

from django.utils.translation import gettext as _
from drf_spectacular.extensions import OpenApiAuthenticationExtension
from rest_framework import exceptions
from rest_framework.authentication import BaseAuthentication
from rest_framework.permissions import BasePermission
from rest_framework.request import Request
from rest_framework.throttling import ScopedRateThrottle

from api.base import Door
from fleet.operations.tablets import tablet_behind
from fleet.records.models import Tablet


@dataclass(frozen=True)
class TabletItself:
    """Who asks: no person. Each operation that it carries names and proves its own."""

    tablet: Tablet
    is_authenticated: bool = True
    language: str = "en"

    @property
    def pk(self) -> str:
        return f"tablet-{self.tablet.pk}"

    def may(self, ability: str) -> bool:
        return False


class TabletToken(BaseAuthentication):
    """Authorization: Tablet <token>."""

    keyword = "Tablet"

    def authenticate(self, request: Request) -> tuple[TabletItself, Tablet] | None:
        kind, _space, token = request.headers.get("Authorization", "").partition(" ")
        if kind != self.keyword:
            return None
        tablet = tablet_behind(token.strip())
        if tablet is None:
            message = _("This tablet is not known here. Enroll it with a code from a manager.")
            raise exceptions.AuthenticationFailed(message, "tablet_unknown")
        return TabletItself(tablet), tablet

    def authenticate_header(self, request: Request) -> str:
        return self.keyword


class TabletTokenInSchema(OpenApiAuthenticationExtension):  # type: ignore[no-untyped-call]
    """How the schema tells of it."""

    target_class = TabletToken
    name = "tablet"

    def get_security_definition(self, auto_schema: Any) -> dict[str, str]:
        said = "Token of an enrolled tablet, with the word Tablet before it."
        return {"type": "apiKey", "in": "header", "name": "Authorization", "description": said}


class OnTablet(BasePermission):
    """A tablet of ours; a revoked one may do nothing but hand over what it holds."""

    def has_permission(self, request: Request, view: Any) -> bool:
        if not isinstance(request.user, TabletItself):
            return False
        if request.user.tablet.revoked_at is not None and not getattr(view, "for_revoked", False):
            message = _("This tablet was revoked. What it holds can still be sent.")
            raise exceptions.PermissionDenied(message, "tablet_revoked")
        return True


class TabletDoor(Door):
    """What every address for tablets stands on."""

    model = Tablet
    authentication_classes = [TabletToken]
    permission_classes = [OnTablet]
    throttle_classes = [ScopedRateThrottle]
    for_revoked = False

    @property
    def tablet(self) -> Tablet:
        return cast(TabletItself, self.request.user).tablet
