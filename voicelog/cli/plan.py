"""``voicelog plan``: make, check and show the child's care plan."""

import os
from pathlib import Path
from typing import Annotated

import typer

from voicelog.careplan import AgeGroup, CarePlan, gaps, load_plan, parse_plan, template
from voicelog.cli import common
from voicelog.cli.cautions import show_cautions
from voicelog.cli.choices import AGE
from voicelog.dialogue import load_replies
from voicelog.dialogue.phrasing import Phrasing
from voicelog.errors import VoicelogError
from voicelog.grammar.spec import GrammarMissingError, languages
from voicelog.limits import Bound, limits_for, unchecked
from voicelog.published import load_published

app = typer.Typer(no_args_is_help=True, help="The child's care plan.")


class PlanExistsError(VoicelogError, FileExistsError):
    """A new plan would write over one that is there."""

    def __init__(self, path: Path) -> None:
        super().__init__(f"There is already a plan at {path}: edit it, or name another file.")


class PlanNotWrittenError(VoicelogError, OSError):
    """The plan's file cannot be written."""

    def __init__(self, path: Path, why: str) -> None:
        super().__init__(f"The plan cannot be written to {path} ({why}): choose another folder.")


@app.command()
def new(
    child: Annotated[str, typer.Argument(help="What the child is called.")],
    age_group: Annotated[AgeGroup, AGE] = "child",
    path: Annotated[Path | None, typer.Option(help="Where to write it.")] = None,
) -> None:
    """Write a plan to fill in with the care team."""
    target = path or common.settings().plan_path
    text = template(child, age_group)
    parse_plan(text, str(target))  # a name that no plan may hold is refused now
    write_private(target, text)
    common.out.print(f"Wrote {target}. Fill it in with your care team.")
    common.out.print("Then run: voicelog plan check\n")
    show_cautions()


def write_private(target: Path, text: str) -> None:
    """Write a new file that only this user can read.

    Raises:
        PlanExistsError: there is one already.
        PlanNotWrittenError: it cannot be written.
    """
    try:
        target.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        handle = os.open(target, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "w", encoding="utf-8") as file:
            file.write(text)
    except OSError as error:
        if isinstance(error, FileExistsError) and target.exists():
            raise PlanExistsError(target) from error
        raise PlanNotWrittenError(target, error.strerror or str(error)) from error


@app.command()
def check(
    path: Annotated[Path | None, typer.Argument(help="The plan; yours if left out.")] = None,
) -> None:
    """Check a plan, and say what it still lacks.

    Raises:
        GrammarMissingError: there is none for the plan's language.
    """
    chosen = common.settings()
    plan = load_plan(path or chosen.plan_path)
    common.out.print(f"The plan for {plan.child.name} is readable.")
    for line in gaps(plan):
        common.out.print(f"  still missing: {line}")
    _show_unchecked(plan)
    known = languages()
    if plan.home.language not in known:
        raise GrammarMissingError(plan.home.language, known)


@app.command()
def show(
    path: Annotated[Path | None, typer.Argument(help="The plan; yours if left out.")] = None,
) -> None:
    """Show every limit and whose it is."""
    from rich.table import Table

    plan = load_plan(path or common.settings().plan_path)
    phrasing = Phrasing(load_replies(common.language(plan)))
    table = Table(title=f"Limits for {plan.child.name}", box=None, padding=(0, 2))
    for heading in ("what", "from", "to", "unit", "whose"):
        table.add_column(heading, no_wrap=heading == "what")
    for slot, limit in limits_for(plan, load_published()).items():
        whose = dict.fromkeys(_whose(side) for side in (limit.low, limit.high) if side)
        name = phrasing.slot(slot).name
        table.add_row(name, _side(limit.low), _side(limit.high), limit.unit, "; ".join(whose))
    common.out.print(table)
    _show_unchecked(plan)
    common.out.print(common.CAUTION)


def _show_unchecked(plan: CarePlan) -> None:
    for line in unchecked(plan, load_published()):
        common.out.print(f"  {line}")


def _side(bound: Bound | None) -> str:
    if bound is None:
        return ""
    return f"{bound.value:g}" if bound.inclusive else f"not {bound.value:g}"


def _whose(bound: Bound) -> str:
    return "the plan" if bound.whose == "plan" else f"published: {bound.source}"
