"""What an operation says when it will not: one shape for every door to render."""

from dataclasses import dataclass, field
from typing import Any


@dataclass(frozen=True)
class Problem:
    """One thing wrong, where it is, and what to do instead.

    `field` is the path of what was typed ("findings.3.play"), `line` and `joint` name the ticket
    line and the joint in words; messages are already in the reader's language.
    """

    code: str
    message: str
    field: str = ""
    line: str = ""
    line_id: int | None = None
    joint: str = ""
    hint: str = ""

    def as_dict(self) -> dict[str, Any]:
        return {
            "code": self.code,
            "message": str(self.message),
            "field": self.field,
            "line": str(self.line),
            "line_id": self.line_id,
            "joint": str(self.joint),
            "hint": str(self.hint),
        }


@dataclass
class Refused(Exception):
    """The rules refuse it. Nothing was written; what was typed is still the caller's."""

    problems: tuple[Problem, ...] = field(default_factory=tuple)

    def __str__(self) -> str:
        return "; ".join(str(problem.message) for problem in self.problems)


class Conflict(Refused):
    """Somebody else was first: the row is no longer what the caller had read."""


class Taken(Refused):
    """Under this uid something else stands."""


class NotAllowed(Refused):
    """The actor's role may not do this."""


class NotThere(Refused):
    """No such thing within the actor's scope."""


class KeyReused(Refused):
    """The same request key came with another body."""


def refuse(code: str, message: str, **where: Any) -> Refused:
    """A refusal with one problem."""
    return Refused((Problem(code, message, **where),))
