"""Whether a joint is fitted: taken apart, left out, put together again."""

from typing import Any

from rest_framework import serializers
from rest_framework.request import Request
from rest_framework.response import Response

from api.base import Door
from api.examples import FITTING
from api.fields import FactIn, Text
from api.people import PersonRef
from fleet.operations.fittings import Fitting, set_fitting
from fleet.records.models import Joint, JointFitting


class FittingIn(FactIn):
    to = serializers.ChoiceField(choices=Joint.Fitted.choices)
    reason = Text(max_length=200, help_text="Why: what it waits for, or what was done.")


class FittingOut(serializers.ModelSerializer[JointFitting]):
    by = PersonRef(read_only=True)

    class Meta:
        model = JointFitting
        fields = ["id", "uid", "joint", "fitted", "reason", "line", "use_si", "occurred_at", "by"]
        read_only_fields = fields


class Fittings(Door):
    """What a joint is: fitted, apart or not fitted. The last one stands."""

    model = Joint
    serializer_class = FittingOut
    ability = {"create": "set_fitting"}
    keyed = frozenset({"create"})
    takes = {"create": FittingIn}
    examples = {"create": FITTING}

    def create(self, request: Request, *args: Any, **kwargs: Any) -> Response:
        """Set a joint apart, not fitted, or fitted again.

        Apart holds the vehicle unless it is laid up; not fitted drops what the joint owes. A
        joint that may take steering or axle away is fitted again only once a complete ticket line
        has put it together.
        """
        joint, said = self.get_object(), self.said()
        new = Fitting(
            joint.pk, said["to"], said["reason"], occurred_at=said.get("at"), uid=said.get("uid")
        )
        return self.made(set_fitting(self.actor, new, at=self.now, request=self.key))
