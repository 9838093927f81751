"""What rows add up to, by example and against a slower, simpler model."""

from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import UUID, uuid4
from zoneinfo import ZoneInfo

from hypothesis import given
from hypothesis import strategies as st

from voicelog.entries import Entry, EntryKind, Event, Heard, Procedure, Row, Slots
from voicelog.journal import views

START = datetime(2025, 3, 9, 6, 0, tzinfo=UTC)


class Book:
    """Rows made by hand, one a minute."""

    def __init__(self) -> None:
        self.rows: list[Row] = []

    def add(self, kind: EntryKind, text: str = "", **entry: Any) -> UUID:
        procedure, target = entry.pop("procedure", None), entry.pop("target", None)
        row = Row(
            uuid=uuid4(),
            seq=len(self.rows) + 1,
            utc=START + timedelta(minutes=len(self.rows)),
            zone="America/Chicago",
            child="Juniper",
            caregiver="Rosa",
            entry=Entry(kind=kind, slots=entry, procedure=procedure, target=target, text=text),
            heard=Heard(),
            grammar_version="g",
        )
        self.rows.append(row)
        return row.uuid

    @property
    def facts(self) -> list[views.Fact]:
        return [views.Fact.of(row) for row in self.rows]

    @property
    def procedures(self) -> tuple[Procedure, ...]:
        return views.procedures(self.facts)

    @property
    def procedure(self) -> Procedure:
        (only,) = self.procedures
        return only

    @property
    def events(self) -> tuple[Event, ...]:
        return views.events(self.facts)

    @property
    def last(self) -> str:
        fact = views.last_countable(self.facts)
        return fact.uuid if fact else ""


def test_a_procedure_from_start_to_end() -> None:
    book = Book()
    opened = book.add("open", context="night")
    book.add("values", procedure=opened, colour="white", passes=2)
    book.add("pass", procedure=opened, pass_seconds=8)
    book.add("pass", procedure=opened, pass_seconds=6.5)
    book.add("values", procedure=opened, colour="yellow")
    assert not book.procedure.complete
    assert book.procedure.ended is None
    book.add("close", procedure=opened, child_response="calm")
    assert book.procedure == Procedure(
        uuid=opened,
        child="Juniper",
        caregiver="Rosa",
        started=START,
        ended=START + timedelta(minutes=5),
        slots={"context": "night", "colour": "yellow", "passes": 2, "child_response": "calm"},
        passes=(8.0, 6.5),
        complete=True,
    )
    assert book.events == ()


def test_times_are_told_in_the_zone_they_were_said_in() -> None:
    # 2025-03-09 is the night clocks go forward in Chicago: 08:00 UTC is 03:00 there.
    book = Book()
    for _ in range(121):
        book.add("note", text="x")
    early, late = book.events[0].at, book.events[120].at
    assert early.tzinfo == ZoneInfo("America/Chicago")
    assert (early.hour, late.hour) == (0, 3)
    assert late.astimezone(UTC) - early.astimezone(UTC) == timedelta(hours=2)


def test_undo_takes_a_value_back() -> None:
    book = Book()
    opened = book.add("open")
    book.add("values", procedure=opened, colour="white")
    wrong = book.add("values", procedure=opened, colour="red")
    book.add("undo", target=wrong)
    assert book.procedure.slots == {"colour": "white"}


def test_undo_of_an_undo_brings_it_back() -> None:
    book = Book()
    opened = book.add("open")
    value = book.add("values", procedure=opened, colour="red")
    undo = book.add("undo", target=value)
    again = book.add("undo", target=undo)
    assert book.procedure.slots == {"colour": "red"}
    book.add("undo", target=again)
    assert book.procedure.slots == {}


def test_undo_of_a_close_opens_it_again() -> None:
    book = Book()
    opened = book.add("open")
    closed = book.add("close", procedure=opened, amount="large")
    book.add("undo", target=closed)
    assert not book.procedure.complete
    assert book.procedure.slots == {}


def test_undo_of_an_open_takes_its_parts_but_no_emergency() -> None:
    book = Book()
    opened = book.add("open")
    book.add("values", procedure=opened, colour="red")
    cry = book.add("emergency", procedure=opened)
    note = book.add("note", procedure=opened, text="blue lips")
    book.add("undo", target=opened)
    assert book.procedures == ()
    assert [event.uuid for event in book.events] == [cry, note]


def test_a_correction_replaces_only_what_it_names() -> None:
    book = Book()
    opened = book.add("open")
    value = book.add("values", procedure=opened, colour="white", passes=2)
    book.add("correct", target=value, colour="yellow")
    assert book.procedure.slots == {"colour": "yellow", "passes": 2}


def test_a_correction_counts_from_when_it_was_said() -> None:
    book = Book()
    opened = book.add("open")
    first = book.add("values", procedure=opened, colour="white")
    book.add("values", procedure=opened, colour="pink")
    book.add("correct", target=first, colour="green")
    assert book.procedure.slots == {"colour": "green"}
    book.add("values", procedure=opened, colour="brown")
    assert book.procedure.slots == {"colour": "brown"}


def test_a_correction_of_the_opening_is_not_lost() -> None:
    book = Book()
    opened = book.add("open")
    book.add("values", procedure=opened, colour="white")
    book.add("correct", target=opened, colour="green")
    assert book.procedure.slots == {"colour": "green"}


def test_a_correction_can_be_corrected_and_undone() -> None:
    book = Book()
    opened = book.add("open")
    value = book.add("values", procedure=opened, colour="white")
    first = book.add("correct", target=value, colour="green")
    second = book.add("correct", target=first, colour="brown")
    assert book.procedure.slots == {"colour": "brown"}
    book.add("undo", target=second)
    assert book.procedure.slots == {"colour": "green"}
    book.add("undo", target=first)
    assert book.procedure.slots == {"colour": "white"}


def test_a_correction_falls_with_its_target() -> None:
    book = Book()
    opened = book.add("open")
    book.add("values", procedure=opened, colour="white")
    value = book.add("values", procedure=opened, passes=2)
    first = book.add("correct", target=value, colour="red")
    book.add("correct", target=first, colour="pink")
    undo = book.add("undo", target=value)
    assert book.procedure.slots == {"colour": "white"}
    book.add("undo", target=undo)
    assert book.procedure.slots == {"colour": "pink", "passes": 2}


def test_a_corrected_pass_keeps_its_place() -> None:
    book = Book()
    opened = book.add("open")
    first = book.add("pass", procedure=opened, pass_seconds=80)
    book.add("pass", procedure=opened, pass_seconds=7)
    book.add("correct", target=first, pass_seconds=8)
    assert list(book.procedure.passes) == [8.0, 7.0]
    assert book.procedure.slots == {}
    book.add("undo", target=first)
    assert list(book.procedure.passes) == [7.0]


def test_a_pass_without_a_time_counts_when_it_is_given_one() -> None:
    book = Book()
    opened = book.add("open")
    first = book.add("pass", procedure=opened)
    book.add("pass", procedure=opened, pass_seconds=7)
    assert list(book.procedure.passes) == [7.0]
    book.add("correct", target=first, pass_seconds=9)
    assert list(book.procedure.passes) == [9.0, 7.0]


def test_readings_and_passes_outside_a_procedure_are_events() -> None:
    book = Book()
    book.add("values", spo2=92)
    book.add("pass", pass_seconds=8)
    assert [event.slots for event in book.events] == [{"spo2": 92}, {"pass_seconds": 8}]
    assert book.procedures == ()


def test_a_corrected_event() -> None:
    book = Book()
    value = book.add("values", spo2=29, heart_rate=120)
    note = book.add("note", text="sleepy")
    book.add("correct", target=value, spo2=92)
    book.add("correct", target=note, text="sleeping well")
    assert book.events[0].slots == {"spo2": 92, "heart_rate": 120}
    assert book.events[1].text == "sleeping well"
    assert [event.at for event in book.events] == [START, START + timedelta(minutes=1)]


def test_two_procedures_do_not_mix() -> None:
    book = Book()
    one = book.add("open")
    other = book.add("open")
    book.add("values", procedure=one, colour="white")
    book.add("values", procedure=other, colour="red")
    book.add("close", procedure=one)
    assert [p.slots["colour"] for p in book.procedures] == ["white", "red"]
    assert [p.complete for p in book.procedures] == [True, False]


def test_undo_goes_back_step_by_step() -> None:
    book = Book()
    opened = book.add("open")
    value = book.add("values", procedure=opened, colour="white")
    correction = book.add("correct", target=value, colour="red")
    for expected in (correction, value, opened):
        assert book.last == str(expected)
        book.add("undo", target=expected)
    assert book.last == ""


def test_undo_skips_what_fell_with_something_else() -> None:
    book = Book()
    note = book.add("note", text="x")
    opened = book.add("open")
    value = book.add("values", procedure=opened, colour="white")
    book.add("correct", target=value, colour="red")
    book.add("undo", target=value)
    assert book.last == str(opened)
    book.add("values", procedure=opened, colour="pink")
    book.add("undo", target=opened)
    assert book.last == str(note)


def test_rows_of_an_unseen_procedure_are_left_out() -> None:
    book = Book()
    opened = book.add("open")
    value = book.add("values", procedure=opened, colour="white")
    book.add("correct", target=value, colour="red")
    book.add("close", procedure=opened)
    assert views.procedures(book.facts[1:]) == ()
    assert views.events(book.facts[1:]) == ()


# A simpler model, straight from the rules, quadratic and recursive.


def counts(rows: list[Row], at: int) -> bool:
    row = rows[at]
    for later in range(at + 1, len(rows)):
        entry = rows[later].entry
        if entry.kind == "undo" and entry.target == row.uuid and counts_as_undo(rows, later):
            return False
    entry = row.entry
    if entry.kind in ("values", "pass", "close") and entry.procedure is not None:
        return counts(rows, index(rows, entry.procedure))
    if entry.kind == "correct" and entry.target is not None:
        return counts(rows, index(rows, entry.target))
    return True


def counts_as_undo(rows: list[Row], at: int) -> bool:
    return not any(
        rows[later].entry.kind == "undo"
        and rows[later].entry.target == rows[at].uuid
        and counts_as_undo(rows, later)
        for later in range(at + 1, len(rows))
    )


def index(rows: list[Row], uuid: UUID | None) -> int:
    return next(i for i, row in enumerate(rows) if row.uuid == uuid)


def root(rows: list[Row], row: Row) -> Row:
    while row.entry.kind == "correct":
        row = rows[index(rows, row.entry.target)]
    return row


def modelled(rows: list[Row]) -> list[tuple[UUID, Slots, tuple[float, ...], bool]]:
    made = []
    alive = [row for at, row in enumerate(rows) if row.entry.kind != "undo" and counts(rows, at)]
    for opened in (row for row in alive if row.entry.kind == "open"):
        slots: Slots = {}
        seconds: dict[UUID, float] = {}
        complete = False
        for row in alive:
            base = root(rows, row)
            home = base.uuid if base.entry.kind == "open" else base.entry.procedure
            if home != opened.uuid or base.entry.kind not in ("open", "values", "pass", "close"):
                continue
            complete |= row.entry.kind == "close"
            for slot, value in row.entry.slots.items():
                if base.entry.kind == "pass" and slot == "pass_seconds":
                    seconds[base.uuid] = float(value)
                else:
                    slots[slot] = value
        order = [row.uuid for row in alive if row.uuid in seconds]
        made.append((opened.uuid, slots, tuple(seconds[uuid] for uuid in order), complete))
    return made


KINDS = ["open", "values", "pass", "close", "undo", "correct", "note"]


@st.composite
def books(draw: st.DrawFn) -> Book:
    """Random entries; undo, corrections and procedures point to earlier rows."""
    book = Book()
    for _ in range(draw(st.integers(0, 14))):
        kind = draw(st.sampled_from(KINDS))
        earlier = [row.uuid for row in book.rows]
        correctable = [row.uuid for row in book.rows if row.entry.kind != "undo"]
        opened = [row.uuid for row in book.rows if row.entry.kind == "open"]
        slots: Slots = draw(
            st.dictionaries(
                st.sampled_from(["colour", "passes", "pass_seconds"]), st.integers(1, 9), max_size=2
            )
        )
        more: dict[str, Any] = dict(slots)
        if kind == "undo":
            if not earlier:
                continue
            more = {"target": draw(st.sampled_from(earlier))}
        elif kind == "correct":
            if not correctable:
                continue
            more["target"] = draw(st.sampled_from(correctable))
        elif kind != "open" and opened:
            more["procedure"] = draw(st.sampled_from(opened))
        book.add(kind, **more)  # type: ignore[arg-type]
    return book


@given(books())
def test_procedures_agree_with_the_model(book: Book) -> None:
    found = [(p.uuid, p.slots, p.passes, p.complete) for p in book.procedures]
    assert found == modelled(book.rows)


@given(books())
def test_undoing_everything_leaves_nothing(book: Book) -> None:
    steps = 0
    while book.last:
        book.add("undo", target=UUID(book.last))
        steps += 1
    assert steps <= 14
    assert book.procedures == ()
    assert book.events == ()


@given(books())
def test_undo_and_undo_of_it_change_nothing(book: Book) -> None:
    before = (book.procedures, book.events, book.last)
    for row in list(book.rows):
        undo = book.add("undo", target=row.uuid)
        book.add("undo", target=undo)
        assert (book.procedures, book.events, book.last) == before
