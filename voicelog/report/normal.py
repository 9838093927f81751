"""The child's normal in the terminal: sentences, bars by hour, days and flags.

Renderables for ``rich``; nothing is printed here.  For pictures see
``normal_plot``.
"""

from datetime import date

from rich.console import Group, RenderableType
from rich.table import Table
from rich.text import Text

from voicelog.baseline.count_chart import Step
from voicelog.baseline.normal import Normal
from voicelog.baseline.reasons import findings
from voicelog.baseline.sentences import normal_sentences
from voicelog.baseline.supplies import Supply
from voicelog.baseline.view import View
from voicelog.baseline.words import Words

_BLOCKS = " ▁▂▃▄▅▆▇█"
_BAR = 30  # characters of the longest bar


def spark(values: list[float], top: float | None = None) -> str:
    """Return one block character a value, scaled to ``top`` or the largest."""
    most = max(top or 0.0, *values, 1e-9) if values else 1.0
    return "".join(_BLOCKS[min(8, round(8 * value / most))] for value in values)


def hours_table(normal: Normal) -> Table:
    """Return procedures an hour by local hour, as bars with their Garwood intervals."""
    table = Table(title="By hour", box=None, pad_edge=False)
    table.add_column("hour", justify="right")
    table.add_column("usual", justify="left")
    table.add_column("a day", justify="right")
    table.add_column("95% sure", justify="right")
    most = max((r.value for r in normal.by_hour), default=0.0) or 1.0
    for hour, rate in enumerate(normal.by_hour):
        bar = "█" * round(_BAR * rate.value / most)
        sure = f"{rate.low:.2f} to {rate.high:.2f}"
        table.add_row(f"{hour:02d}", bar, f"{rate.value:.2f}", sure)
    return table


def days_strip(steps: tuple[Step, ...], last: int = 60) -> Text:
    """Return the last days as blocks; days with a first signal are marked below."""
    shown = steps[-last:]
    if not shown:
        return Text("No whole day yet.")
    blocks = spark([step.n for step in shown])
    marks = "".join(
        "▲" if s.rise_new else "▼" if s.fall_new else "?" if s.exposure < 0.9 else " "
        for s in shown
    )
    first, end = date.fromordinal(shown[0].day), date.fromordinal(shown[-1].day)
    text = Text(f"{first} to {end}\n{blocks}\n")
    text.append(marks, style="bold red")
    text.append("\n▲ more than usual   ▼ less   ? not all of the day was logged", style="dim")
    return text


def supplies_table(stock: list[Supply]) -> Table:
    """Return what is left, for how long, and when to order."""
    table = Table(title="Supplies", box=None, pad_edge=False)
    for heading in ("kind", "left", "a day", "days", "order by"):
        table.add_column(heading, justify="left" if heading == "kind" else "right")
    for supply in stock:
        table.add_row(
            supply.name,
            f"{supply.left:.0f}",
            f"{supply.a_day:.1f}",
            f"{supply.days_low} to {supply.days_high}",
            supply.reorder_by.isoformat(),
        )
    return table


def normal_page(view: View, words: Words, stock: list[Supply] | None = None) -> RenderableType:
    """Return the whole page that ``voicelog normal`` shows."""
    parts: list[RenderableType] = [Text("\n".join(normal_sentences(view, words)))]
    if view.normal.known:
        parts += [Text(), hours_table(view.normal)]
    parts += [Text(), days_strip(tuple(view.learner.steps))]
    if stock:
        parts += [Text(), supplies_table(stock)]
    tags = view.learner.tags(view.now.astimezone(view.settings.zone).date())
    for finding in findings(view):
        parts += [Text(), Text(words.full(finding, view.settings, tags))]
    return Group(*parts)
