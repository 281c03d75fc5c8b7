"""May this person do this here? One question, put to the one table of abilities."""

from typing import Any

from rest_framework.permissions import BasePermission
from rest_framework.request import Request

# For what every signed-in person may do; anything else names a line of ABILITIES.
SIGNED_IN = "signed in"
# For what a tablet may do by its own token: no person's role lets anybody in there.
BY_TABLET = "a tablet"


class MayDo(BasePermission):
    """Each view maps its actions to abilities; an action without one is refused."""

    def has_permission(self, request: Request, view: Any) -> bool:
        if not request.user.is_authenticated:
            return False
        action = getattr(view, "action", None)
        if action in (None, "metadata"):
            # No method of that name stands here (OPTIONS neither): DRF answers 405 next.
            return hasattr(view, "action_map")
        ability: str | None = getattr(view, "ability", {}).get(action)
        if ability is None:
            return False
        return ability == SIGNED_IN or request.user.may(ability)
