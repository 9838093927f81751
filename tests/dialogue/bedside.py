"""A bedside to talk at: a dialogue, a clock that only the test moves, and a journal in a list."""

from dataclasses import dataclass, field
from datetime import datetime, timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

from voicelog.careplan import CarePlan
from voicelog.dialogue import Dialogue, Manners, Replies, Setting, State, load_manners, load_replies
from voicelog.dialogue.actions import (
    Action,
    Commit,
    Reminded,
    Report,
    Say,
    SetLive,
    Snooze,
    StartClock,
    StopClock,
    Tone,
)
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
from voicelog.entries import Heard, Row, Slots
from voicelog.limits import limits_for
from voicelog.published import load_published

ZONE = ZoneInfo("America/Chicago")
DAY = datetime(2026, 3, 9, 14, 0, tzinfo=ZONE)
NIGHT = datetime(2026, 3, 9, 2, 14, tzinfo=ZONE)

PUBLISHED = load_published()
ENGLISH = load_replies("en")
MANNERS = load_manners()

FULL_PLAN = {
    "child": {"name": "Juniper", "age_group": "infant"},
    "catheter": {"size_fr": 8, "depth_cm": 6.5, "deeper_allowed_cm": 0.5},
    "tube": {"inner_diameter_mm": 4.0},
    "suction": {
        "pressure_mmhg_low": 80,
        "pressure_mmhg_high": 100,
        "pass_seconds_high": 10,
        "passes_high": 3,
        "saline_drops_low": 3,
        "saline_drops_high": 5,
    },
    "watch": {"spo2_low": 92, "fever_c": 38.0},
    "home": {"zone": "America/Chicago"},
    "phones": {"emergency": "911", "on_call": "555-0142"},
    "caregivers": [{"name": "Rosa", "spoken": ["mum"]}, {"name": "Tom", "spoken": ["dad"]}],
}
BARE_PLAN = {"child": {"name": "Juniper", "age_group": "infant"}}


def setting(
    plan: dict[str, object] | None = None,
    replies: Replies = ENGLISH,
    manners: Manners = MANNERS,
) -> Setting:
    """Make a setting from a plan as it stands in its file."""
    checked = CarePlan.model_validate(FULL_PLAN if plan is None else plan)
    return Setting(checked, limits_for(checked, PUBLISHED), replies, manners)


def uuid_of(number: int) -> UUID:
    return UUID(int=number)


@dataclass
class Bedside:
    """Sends events, answers commits, and keeps what was said and done.

    ``failing`` makes every commit fail with that reason; ``holding`` leaves
    commits unanswered until ``release``.
    """

    start: datetime = DAY
    setting: Setting = field(default_factory=setting)
    state: State = field(default_factory=State)
    at: float = 1000.0
    rows: list[Row] = field(default_factory=list)
    held: list[Commit] = field(default_factory=list)
    lines: list[str] = field(default_factory=list)
    actions: list[Action] = field(default_factory=list)
    failing: str = ""
    holding: bool = False

    def __post_init__(self) -> None:
        self.origin = self.at
        self.dialogue = Dialogue(self.setting)

    @property
    def now(self) -> datetime:
        return self.start + timedelta(seconds=self.at - self.origin)

    def send(self, event: Event, line: str = "") -> list[Action]:
        """Take one step, with all that follows from it; return the actions."""
        if line:
            self.lines.append(f"{self.now:%H:%M:%S} {line}")
        self.state, actions = self.dialogue.step(self.state, event)
        if actions and isinstance(event, Tick):
            self.lines.append(f"{self.now:%H:%M:%S}")
        done = list(actions)
        for action in actions:
            self.actions.append(action)
            self.lines.append(f"    {told(action)}")
        for action in actions:
            if isinstance(action, Commit):
                if self.holding:
                    self.held.append(action)
                else:
                    done += self.answer(action)
        return done

    def answer(self, commit: Commit) -> list[Action]:
        """Store a commit, or fail it."""
        if self.failing:
            return self.send(
                CommitFailed(at=self.at, now=self.now, token=commit.token, reason=self.failing)
            )
        row = Row(
            uuid=uuid_of(len(self.rows) + 1),
            seq=len(self.rows) + 1,
            utc=self.now,
            zone="America/Chicago",
            child="Juniper",
            caregiver="Rosa",
            entry=commit.entry,
            heard=commit.heard,
            grammar_version="test",
        )
        self.rows.append(row)
        return self.send(Committed(at=self.at, now=self.now, token=commit.token, row=row))

    def release(self) -> list[Action]:
        """Answer the commits that were held."""
        self.holding = False
        held, self.held = self.held, []
        return [action for commit in held for action in self.answer(commit)]

    def wait(self, seconds: float, step: float = 1.0) -> list[Action]:
        """Let time go by, tick by tick."""
        done: list[Action] = []
        until = self.at + seconds
        while self.at < until - 1e-9:
            self.at = min(until, self.at + step)
            done += self.send(Tick(at=self.at, now=self.now))
        return done

    def say(self, text: str = "", after: float = 2.0, **slots: int | float | str) -> list[str]:
        """Speak: ``slots`` is what was understood.  Return the sentences heard back."""
        self.at += after
        heard = text or " ".join(str(value) for value in slots.values())
        event = Understood(at=self.at, now=self.now, slots=dict(slots), text=heard)
        return spoken(self.send(event, f'"{heard}"'))

    def doubt(
        self, *candidates: Slots, known: Slots | None = None, text: str = "?", after: float = 2.0
    ) -> list[str]:
        self.at += after
        event = Asked(
            at=self.at,
            now=self.now,
            candidates=candidates,
            known=known or {},
            text=text,
            heard=Heard(text=text, confidence=0.5),
        )
        return spoken(self.send(event, f'"{text}" (in doubt)'))

    def mumble(self, text: str = "mumble", after: float = 2.0) -> list[str]:
        self.at += after
        event = NotUnderstood(at=self.at, now=self.now, text=text)
        return spoken(self.send(event, f'"{text}" (not understood)'))

    def key(self, name: str, after: float = 1.0) -> list[str]:
        self.at += after
        return spoken(self.send(Key(at=self.at, now=self.now, name=name), f"[{name}]"))

    def due(self, reminder: str, text: str = "", after: float = 1.0) -> list[str]:
        self.at += after
        event = Due(at=self.at, now=self.now, reminder=reminder, text=text)
        return spoken(self.send(event, f"(due: {reminder})"))

    def fault(self, kind: str, after: float = 1.0) -> list[str]:
        self.at += after
        return spoken(self.send(Fault(at=self.at, now=self.now, kind=kind), f"(fault: {kind})"))

    def answered(self, text: str) -> list[str]:
        return spoken(self.send(Answered(at=self.at, now=self.now, text=text), "(report)"))

    def begin(self) -> list[str]:
        return spoken(self.send(Started(at=self.at, now=self.now), "(started)"))

    def hear(self, seconds: float, step: float = 1.0) -> list[str]:
        """Let time go by and return what was said meanwhile."""
        return spoken(self.wait(seconds, step))

    @property
    def kinds(self) -> list[str]:
        """The kinds of all rows stored."""
        return [row.entry.kind for row in self.rows]

    @property
    def stored(self) -> list[Slots]:
        """The slots of all rows stored that have any."""
        return [row.entry.slots for row in self.rows if row.entry.slots]

    @property
    def transcript(self) -> str:
        return "\n".join(self.lines)


def spoken(actions: list[Action]) -> list[str]:
    """Return the texts of what was said."""
    return [action.text for action in actions if isinstance(action, Say)]


def tones(actions: list[Action]) -> list[str]:
    return [action.kind for action in actions if isinstance(action, Tone)]


def told(action: Action) -> str:
    """Return one readable line for an action."""
    match action:
        case Say():
            mark = {"quiet": "~", "normal": "-"}[action.volume]
            line = f"{mark} {action.text}{' (urgent)' if action.urgent else ''}"
        case Tone():
            line = f"* {action.kind} tone"
        case Commit():
            slots = ", ".join(f"{slot} {value}" for slot, value in action.entry.slots.items())
            text = f" '{action.entry.text}'" if action.entry.text else ""
            line = f"> {action.entry.kind}{': ' if slots else ''}{slots}{text}"
        case StartClock() | StopClock():
            line = f"* {type(action).__name__} {action.name}"
        case SetLive():
            line = f"* listen: {action.state} {' '.join(sorted(action.expected))}".rstrip()
        case Report():
            line = f"* report {action.kind}"
        case Reminded():
            line = f"* reminded {action.reminder}"
        case Snooze():
            line = f"* snooze {action.reminder} {action.minutes} min"
    return line
