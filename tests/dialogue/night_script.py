"""What happens in the night of ``night.txt``, as the people and machines in the room do it."""

from datetime import datetime

from tests.dialogue.bedside import ZONE, Bedside

EVENING = datetime(2026, 3, 9, 21, 50, tzinfo=ZONE)


def play(bed: Bedside) -> None:
    """Play the whole night, minute by minute where nothing happens."""
    bed.start = EVENING
    bed.begin()
    bed.say("bedside log, this is mum", action="who", caregiver="mum")
    _stepwise(bed)
    _until(bed, 0, 30)
    _told_at_once(bed)
    _until(bed, 2, 14)
    _in_doubt(bed)
    _until(bed, 3, 5)
    _disk_full(bed)
    _until(bed, 4, 40)
    _left_open(bed)
    _until(bed, 6, 50)
    _emergency(bed)
    _until(bed, 7, 10)
    bed.say("bedside log, summary", action="summary")
    bed.answered("Four suctions tonight.")


def _until(bed: Bedside, hour: int, minute: int) -> None:
    """Let the clock go on to a time of the coming morning."""
    then = bed.start.replace(day=bed.start.day + 1, hour=hour, minute=minute)
    bed.wait((then - bed.now).total_seconds(), step=60)


def _stepwise(bed: Bedside) -> None:
    bed.say("start suction", action="start_suction", after=20)
    bed.say("pressure ninety", pressure_mmhg=90)
    bed.say("pass start", action="pass_start", after=6)
    bed.wait(7.5, step=0.1)
    bed.say("pass done", action="pass_end", after=0)
    bed.say("pass start", action="pass_start", after=20)
    bed.wait(11.2, step=0.1)
    bed.say("pass done", action="pass_end", after=0)
    bed.say("white and thick, three drops", colour="white", thickness="thick", saline_drops=3)
    bed.say("change colour to yellow", action="correct", colour="yellow", after=4)
    bed.say("finish", action="finish", after=4)


def _told_at_once(bed: Bedside) -> None:
    words = "bedside log, two passes, white, thin, no saline"
    bed.say(words, passes=2, colour="white", thickness="thin", saline_drops=0)
    bed.due("tie_change", after=30)
    bed.say("later", answer="later", after=4)


def _in_doubt(bed: Bedside) -> None:
    bed.say("start suction", action="start_suction")
    bed.say("pass start", action="pass_start", after=5)
    bed.wait(6, step=0.1)
    bed.say("pass done", action="pass_end", after=0)
    bed.doubt(
        {"colour": "blood-tinged"}, {"colour": "red"}, known={"thickness": "thin"}, text="bloody"
    )
    bed.mumble("it is all right sweetheart", after=3)
    bed.say("the first", answer="first", after=3)
    bed.say("two passes", passes=2, after=4)
    bed.say("one", passes=1, after=4)
    bed.say("finish", action="finish", after=4)


def _disk_full(bed: Bedside) -> None:
    bed.failing = "disk_full"
    bed.say("bedside log, sats eighty nine", spo2=89)
    bed.wait(120, step=10)
    bed.failing = ""
    bed.wait(40, step=10)


def _left_open(bed: Bedside) -> None:
    bed.say("start suction", action="start_suction")
    bed.say("sats ninety three", spo2=93, after=10)
    bed.wait(1000, step=10)


def _emergency(bed: Bedside) -> None:
    bed.holding = True
    bed.say("emergency", action="emergency")
    bed.at += 0.1
    bed.release()
    bed.due("recheck", after=10)
    bed.wait(150, step=10)
