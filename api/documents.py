"""The OpenAPI document and its page, both served by ourselves."""

from typing import Any

from django.contrib.auth.decorators import login_required
from django.http import Http404
from django.utils.decorators import method_decorator
from django.utils.translation import gettext as _
from drf_spectacular.utils import extend_schema
from drf_spectacular.views import SpectacularAPIView, SpectacularSwaggerSplitView
from rest_framework.exceptions import NotFound
from rest_framework.permissions import IsAuthenticated
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import Door
from api.permissions import SIGNED_IN
from api.problems import TYPES, ProblemTypeOut
from fleet.records.models import Person


class Schema(SpectacularAPIView):
    """This document itself, OpenAPI 3."""

    permission_classes = [IsAuthenticated]


@method_decorator(login_required, name="dispatch")
class Documents(SpectacularSwaggerSplitView):
    """The page: its script is a request of its own, so that no inline script is needed."""

    permission_classes = [IsAuthenticated]
    url_name = "api-schema"
    template_name = "api/documents.html"
    title = "Axlekeep API"


class Problems(Door):
    """What each kind of problem means; the `type` of an answer is the address of one."""

    model = Person
    ability = {"retrieve": SIGNED_IN}
    gives = {"retrieve": ProblemTypeOut}
    lookup_field = "code"

    def retrieve(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """The meaning of one kind of problem."""
        if kwargs["code"] not in TYPES:
            raise Http404
        return Response(ProblemTypeOut(TYPES[kwargs["code"]]).data)


@extend_schema(exclude=True)
class Nowhere(Door):
    """Any other address under the API: said in its own shape, not as a page."""

    model = Person
    ability = {"show": SIGNED_IN}

    def show(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        raise NotFound(_("There is no such address. Each of them ends in a slash."))
