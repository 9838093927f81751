"""``voicelog say``: a typed sentence instead of a spoken one."""

import time
from typing import Annotated

import typer

from voicelog.cli import common, heard
from voicelog.cli.choices import STATE
from voicelog.cli.show import show
from voicelog.grammar import Live


def say(
    text: Annotated[str, typer.Argument(help="What would be said.")],
    as_json: Annotated[bool, typer.Option("--json", help="Print one JSON object.")] = False,
    dry_run: Annotated[
        bool, typer.Option("--dry-run", help="Show what it means; store nothing.")
    ] = False,
    state: Annotated[Live, STATE] = "open",
) -> None:
    """Take a typed sentence, as if it had been spoken."""
    plan = common.plan_if_any() if dry_run else common.my_plan()
    rules = common.grammar(plan)
    _ = rules.parser  # it is built when first needed: that is not the sentence's time
    started = time.perf_counter()
    parsed = rules.parse(text, state)
    found = heard.from_text(parsed, 1000 * (time.perf_counter() - started))
    if plan is None or dry_run:
        show(found, as_json=as_json, file="", start_ms=0)
        return
    from voicelog.cli.session import typed

    typed(found, plan, rules, as_json=as_json)
