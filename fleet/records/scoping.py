"""The one scoping rule: a person sees what lives in the yards they are posted to."""

from typing import Any

from django.apps import apps


def yards_of(person: Any) -> Any:
    """A subquery of the yards a person is posted to."""
    # By name: the people's module itself stands on this one.
    postings = apps.get_model("records", "Posting")._default_manager
    return postings.filter(person=person).values("yard")
