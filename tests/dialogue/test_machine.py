"""Whatever is said, heard, pressed or broken, and in whatever order."""

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from datetime import timedelta
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.dialogue.bedside import DAY, ENGLISH, FULL_PLAN, setting, uuid_of
from voicelog.dialogue import Dialogue, Replies, State, resume
from voicelog.dialogue.actions import Action, Commit, Say
from voicelog.dialogue.events import (
    Answered,
    Asked,
    CommitFailed,
    Committed,
    Due,
    Event,
    Fault,
    Key,
    NotUnderstood,
    Started,
    Tick,
    Understood,
)
from voicelog.dialogue.record import open_passes, open_slots
from voicelog.entries import Row
from voicelog.journal import views

CLAIM = "✓"


def claiming(replies: Replies) -> Replies:
    """Mark each text that says something is saved, so that no wording can hide one."""
    says = replies.says
    marked = {
        name: template.model_copy(
            update={"say": CLAIM + template.say, "night": CLAIM + (template.night or template.say)}
        )
        for name in type(says).model_fields
        if "aved" in (template := getattr(says, name)).say and "ot saved" not in template.say
    }
    assert "saved" in marked
    return replies.model_copy(update={"says": says.model_copy(update=marked)})


SETTINGS = (
    setting(replies=claiming(ENGLISH)),
    setting({"child": {"name": "A", "age_group": "child"}}, claiming(ENGLISH)),
    setting({**FULL_PLAN, "settings": {"ask_missing": False}}, claiming(ENGLISH)),
)

ACTIONS = [*ENGLISH.actions, "humidifier_clean", "note"]
VALUES: dict[str, st.SearchStrategy[Any]] = {
    "passes": st.integers(0, 6),
    "colour": st.sampled_from(["white", "yellow", "red"]),
    "thickness": st.sampled_from(["thin", "thick"]),
    "saline_drops": st.integers(0, 9),
    "pressure_mmhg": st.sampled_from([15, 50, 90, 130]),
    "spo2": st.integers(50, 100),
    "temperature_c": st.sampled_from([36.5, 38.0, 39.1]),
    "pass_seconds": st.sampled_from([4.0, 12.5]),
    "caregiver": st.sampled_from(["tom", "mum", "sam", ""]),
    "note": st.sampled_from(["slept {well}", ""]),
    "unheard_of": st.integers(0, 3),
}
ANSWERS = ["first", "second", "third", "neither", "yes", "no", "skip", "later"]


def slots(least: int = 0) -> st.SearchStrategy[dict[str, Any]]:
    every = {
        **VALUES,
        "action": st.sampled_from(ACTIONS),
        "answer": st.sampled_from(ANSWERS),
    }
    few = st.lists(st.sampled_from(sorted(every)), min_size=least, max_size=3, unique=True)
    return few.flatmap(lambda names: st.fixed_dictionaries({name: every[name] for name in names}))


def likely(*actions: str) -> st.SearchStrategy[dict[str, Any]]:
    return st.sampled_from([{"action": action} for action in actions])


UTTERANCE = st.builds(
    dict,
    kind=st.just(Understood),
    slots=st.one_of(
        slots(), likely("start_suction", "pass_start", "pass_end", "finish", "undo", "correct")
    ),
    text=st.sampled_from(["", "words"]),
)
WORDS = st.one_of(
    UTTERANCE,
    st.builds(
        dict,
        kind=st.just(Asked),
        candidates=st.lists(slots(), max_size=4).map(tuple),
        known=slots(),
    ),
    st.builds(dict, kind=st.just(NotUnderstood), text=st.sampled_from(["", "words"])),
)
NOISE = st.one_of(
    st.builds(dict, kind=st.just(Key), name=st.sampled_from([*ACTIONS, *ANSWERS, "pass", "f13"])),
    st.builds(dict, kind=st.just(Due), reminder=st.sampled_from(["tie_change", "recheck"])),
    st.builds(dict, kind=st.just(Fault), kind_=st.sampled_from(["microphone", "gremlins"])),
    st.builds(dict, kind=st.just(Answered), text=st.just("report")),
    st.builds(dict, kind=st.just(Started)),
)
TICK = st.builds(dict, kind=st.just(Tick))
STEP = st.one_of(UTTERANCE, UTTERANCE, WORDS, TICK, NOISE)
# What the journal does with the commits in the air after a step.
JOURNAL = st.sampled_from(["store", "store", "store", "fail", "hold", "twice"])
GAP = st.sampled_from([0.0, 0.1, 1.5, 5.0, 13.0, 61.0, 400.0, 950.0])

NIGHT = st.lists(st.tuples(STEP, GAP, JOURNAL), min_size=15, max_size=50)


@dataclass
class Run:
    """A conversation under test, with the promises checked at every step."""

    dialogue: Dialogue
    state: State = field(default_factory=State)
    at: float = 100.0
    rows: list[Row] = field(default_factory=list)
    air: dict[str, Commit] = field(default_factory=dict)
    tokens: set[str] = field(default_factory=set)
    said: list[str] = field(default_factory=list)
    sent: int = 0

    def event(self, kind: type, **fields: Any) -> Event:
        if "kind_" in fields:
            fields["kind"] = fields.pop("kind_")
        made: Event = kind(at=self.at, now=DAY + timedelta(seconds=self.at), **fields)
        return made

    def step(self, event: Event) -> tuple[Action, ...]:
        before = self.state
        self.state, actions = self.dialogue.step(before, event)
        self.check_claims(event, before, actions)
        self.check_nothing_lost(event, before)
        self.check_commits(actions)
        self.check_emergency(event, actions)
        assert self.state.live == (
            "asking"
            if self.state.asking
            else "open"
            if self.state.suction or self.state.awake
            else "idle"
        )
        return actions

    def check_claims(self, event: Event, before: State, actions: Iterable[Action]) -> None:
        """Nothing is said to be saved but by an answer of the journal, and only when all is."""
        for action in actions:
            if not isinstance(action, Say):
                continue
            if CLAIM in action.text and action.text != before.last_reply:
                assert isinstance(event, Committed)
                landed = next(i for i in self.state.log if i.uuid == event.row.uuid)
                assert all(item.group != landed.group for item in self.state.queue)
            self.said.append(action.text)

    def check_nothing_lost(self, event: Event, before: State) -> None:
        """An entry leaves the queue only into the journal."""
        gone = {item.id for item in before.queue} - {item.id for item in self.state.queue}
        if not isinstance(event, Committed):
            assert not gone
        assert len(gone) <= 1
        flying = [flight.item for flight in self.state.flights]
        assert set(flying) <= {item.id for item in self.state.queue}
        assert len(flying) == len(set(flying))

    def check_commits(self, actions: Iterable[Action]) -> None:
        known = {row.uuid: row for row in self.rows}
        for action in actions:
            if isinstance(action, Commit):
                assert action.token not in self.tokens
                self.tokens.add(action.token)
                self.air[action.token] = action
                entry = action.entry
                assert (entry.target is not None) == (entry.kind in ("undo", "correct"))
                assert entry.target is None or entry.target in known
                if entry.procedure is not None:
                    assert known[entry.procedure].entry.kind == "open"
        assert {flight.token for flight in self.state.flights} == set(self.air)

    def check_emergency(self, event: Event, actions: tuple[Action, ...]) -> None:
        if isinstance(event, Understood) and event.slots.get("action") == "emergency":
            assert isinstance(actions[0], Say)
            assert actions[0].urgent
            assert isinstance(actions[1], Commit)
            assert actions[1].entry.kind == "emergency"

    def answer(self, token: str, *, store: bool) -> None:
        commit = self.air.pop(token)
        if not store:
            self.step(self.event(CommitFailed, token=token, reason="disk_full"))
            return
        event = self.event(Committed, token=token, row=self.store(commit))
        self.step(event)
        assert self.step(event) == ()  # a token counts once

    def store(self, commit: Commit) -> Row:
        row = Row(
            uuid=uuid_of(len(self.rows) + 1),
            seq=len(self.rows) + 1,
            utc=DAY + timedelta(seconds=self.at),
            zone="America/Chicago",
            child="Juniper",
            caregiver="Rosa",
            entry=commit.entry,
            heard=commit.heard,
            grammar_version="test",
        )
        self.rows.append(row)
        return row

    def run(self, steps: Iterable[tuple[dict[str, Any], float, str]]) -> None:
        for given_fields, gap, journal in steps:
            self.at += gap
            fields = dict(given_fields)
            kind = fields.pop("kind")
            self.step(self.event(kind, **fields))
            for token in list(self.air) if journal != "hold" else []:
                self.answer(token, store=journal != "fail")

    def drain(self) -> None:
        """Let the journal take everything that waits; the mended disk is found by a tick."""
        for _ in range(10 * len(self.state.queue) + 10):
            for token in list(self.air):
                self.answer(token, store=True)
            if not self.state.queue:
                return
            self.at += 31
            self.step(self.event(Tick))
        raise AssertionError(self.state.queue)


@settings(max_examples=250, deadline=None)
@given(st.sampled_from(SETTINGS), NIGHT)
def test_the_promises_hold_whatever_happens(
    given_setting: Any, steps: list[tuple[dict[str, Any], float, str]]
) -> None:
    run = Run(Dialogue(given_setting))
    run.run(steps)
    assert State.model_validate_json(run.state.model_dump_json()) == run.state
    run.drain()
    agrees_with_the_journal(run)


def agrees_with_the_journal(run: Run) -> None:
    """What the conversation believes is what the journal's own views say."""
    found = views.procedures(views.Fact.of(row) for row in run.rows)
    still_open = [p for p in found if not p.complete and p.slots.get("ending") is None]
    if run.state.suction is None:
        assert still_open == []
    else:
        [procedure] = still_open
        assert procedure.slots == open_slots(run.state)
        assert procedure.passes == open_passes(run.state)
    again = resume(run.rows, run.at, DAY + timedelta(seconds=run.at))
    assert (again.suction is None) == (run.state.suction is None)
    assert open_slots(again) == open_slots(run.state)
    assert open_passes(again) == open_passes(run.state)


@settings(max_examples=100, deadline=None)
@given(NIGHT)
def test_a_step_is_a_function(steps: list[tuple[dict[str, Any], float, str]]) -> None:
    """The same events give the same states and words, and no state is changed in place."""
    first, second = Run(Dialogue(SETTINGS[0])), Run(Dialogue(SETTINGS[0]))
    first.run(steps)
    kept = first.state.model_dump_json()
    second.run(steps)
    assert first.said == second.said
    assert first.state == second.state
    replace(first).run(steps)
    assert first.state.model_dump_json() == kept


def test_a_clock_that_goes_back_does_no_harm() -> None:
    run = Run(Dialogue(SETTINGS[0]))
    run.run([({"kind": Understood, "slots": {"action": "pass_start"}}, 0.0, "store")])
    run.at -= 500
    run.run(
        [
            ({"kind": Tick}, 0.0, "store"),
            ({"kind": Understood, "slots": {"action": "pass_end"}}, 0.0, "store"),
        ]
    )
    assert [row.entry.kind for row in run.rows] == ["open"]
