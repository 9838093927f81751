"""Published limits as data: every row that was read, and which one is used.

The rows live in ``shared/limits.yaml`` and ``shared/sources.yaml``.
"""

from pathlib import Path
from typing import Literal

from pydantic import Field

from voicelog import data
from voicelog.careplan import AgeGroup
from voicelog.entries import Frozen
from voicelog.plainyaml import read_yaml

Mark = Literal["R", "R2", "M", "C", "P"]
Side = Literal["low", "high"]


class Source(Frozen):
    """Where a value comes from; ``name`` is short enough to say aloud."""

    name: str
    title: str
    address: str = ""


class PublishedRow(Frozen):
    """One published range for a slot.

    Args:
        low, high, typical: in ``unit``; None where the source gives none.
        low_inclusive, high_inclusive: the limit itself is still within range.
        ages: the plan's age groups it speaks for.
        population: the source's own words for whom.
        source: key in ``sources``.
        mark: how sure, see ``shared/README.md``.
    """

    id: str
    slot: str
    unit: str
    ages: tuple[AgeGroup, ...]
    population: str
    source: str
    mark: Mark
    low: float | None = None
    high: float | None = None
    typical: float | None = None
    low_inclusive: bool = True
    high_inclusive: bool = True
    note: str = ""


class Default(Frozen):
    """The row used for one side of a slot when the plan is silent, and why.

    ``looser_than`` names the rows of that age group which are stricter.
    """

    slot: str
    side: Side
    row: dict[AgeGroup, str]
    reason: str
    looser_than: tuple[str, ...] = ()


class Published(Frozen):
    """All published limits with their sources and the choice among them."""

    rows: tuple[PublishedRow, ...]
    defaults: tuple[Default, ...]
    sources: dict[str, Source] = Field(default_factory=dict)

    def row(self, identity: str) -> PublishedRow:
        """Return the row with this id.

        Raises:
            KeyError: no such row.
        """
        for row in self.rows:
            if row.id == identity:
                return row
        raise KeyError(identity)


def load_published(place: Path | None = None) -> Published:
    """Read the published limits that ship with the program, or those in ``place``.

    Raises:
        DataFolderMissingError: the installation is incomplete.
        pydantic.ValidationError: a file was edited wrongly (caught by the tests).
    """
    place = place or data.folder("shared")
    limits, sources = read_yaml(place / "limits.yaml"), read_yaml(place / "sources.yaml")
    return Published.model_validate({**limits, "sources": sources})
