"""Run a command beside servers that live as long as it does.

    python -m tests.support.with_servers postgresql redis -- python manage.py demo

gives it DATABASE_URL (the owner), AXLEKEEP_WEB_ROLE and REDIS_URL; `--durable` keeps
PostgreSQL's writes to disk as in production, for measurements.
"""

import argparse
import os
import signal
import subprocess
import sys
from contextlib import ExitStack
from types import FrameType

from tests.support.folders import ServerUnavailableError
from tests.support.servers import postgresql, redis_server


def stop_on_signal() -> None:
    """Let a plain kill unwind us too, so that the servers and their folders go."""

    def leave(number: int, _frame: FrameType | None) -> None:
        sys.exit(128 + number)

    for number in (signal.SIGTERM, signal.SIGHUP):
        signal.signal(number, leave)


def server_environment(stack: ExitStack, names: list[str], *, durable: bool) -> dict[str, str]:
    environment: dict[str, str] = {}
    if "postgresql" in names:
        environment |= stack.enter_context(postgresql(durable=durable)).environment()
    if "redis" in names:
        environment["REDIS_URL"] = stack.enter_context(redis_server())
    return environment


def main(arguments: list[str]) -> int:
    parser = argparse.ArgumentParser(prog="with_servers", description=__doc__)
    parser.add_argument("server", nargs="+", choices=["postgresql", "redis"])
    parser.add_argument("--durable", action="store_true")
    cut = arguments.index("--") if "--" in arguments else len(arguments)
    chosen, command = parser.parse_args(arguments[:cut]), arguments[cut + 1 :]
    if not command:
        parser.error("after -- comes the command to run")
    stop_on_signal()
    try:
        with ExitStack() as stack:
            environment = server_environment(stack, chosen.server, durable=chosen.durable)
            return subprocess.run(command, check=False, env=os.environ | environment).returncode
    except ServerUnavailableError as reason:
        print(reason, file=sys.stderr)
        return 1
    except KeyboardInterrupt:
        return 130


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
