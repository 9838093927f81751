"""Figures as plain sentences: the normal, supplies, oxygen and fluids."""

from voicelog.baseline.fluids import Intake
from voicelog.baseline.intervals import Range
from voicelog.baseline.oxygen import reserve_psi
from voicelog.baseline.scales import SCALES, word
from voicelog.baseline.supplies import Supply
from voicelog.baseline.view import View
from voicelog.baseline.words import Words

_LONG = 180  # minutes; beyond, hours are said


def normal_sentences(view: View, words: Words) -> list[str]:
    """Return the child's normal, one plain sentence each, the daily count first."""
    normal = view.normal
    if normal.per_day is None:
        return [words.text("normal", "learning", days=normal.days, needed=normal.needed)]
    low, high = int(normal.per_day.low), int(normal.per_day.high)
    name = "same_per_day" if low == high else "per_day"
    said = [words.text("normal", name, low=low, high=high, days=normal.days)]
    for band, rate in normal.bands.items():
        label = words.text("normal", "bands", band)
        said.append(words.text("normal", "band", band=label, rate=_number(rate.value)))
    said += [_measure(slot, r, words) for slot, r in normal.measured.items()]
    said += [_morning(slot, r, words) for slot, r in normal.morning.items()]
    for slot, share in (("saline", normal.saline), ("foul", normal.foul)):
        if share is not None:
            said.append(words.text("normal", slot, share=round(100 * share.value)))
    if normal.fluid_ml is not None:
        drunk = normal.fluid_ml
        said.append(words.text("normal", "fluid_ml", low=round(drunk.low), high=round(drunk.high)))
    return said


def supply_sentences(stock: list[Supply], view: View, words: Words) -> list[str]:
    """Return one sentence a supply: how many are left, for how long, and when to order."""
    said = []
    for supply in stock:
        today = supply.reorder_by.toordinal() <= view.today
        numbers = {
            "name": supply.name[:1].upper() + supply.name[1:],
            "left": round(supply.left),
            "low": supply.days_low,
            "high": supply.days_high,
            "date": words.date(supply.reorder_by),
        }
        said.append(words.text("supplies", "now" if today else "left", **numbers))
    return said


def oxygen_sentence(minutes: float, words: Words) -> str:
    """Return how long the oxygen lasts; never rounded up."""
    reserve = round(reserve_psi())
    if minutes > _LONG:
        return words.text("supplies", "oxygen_long", hours=int(minutes // 60), reserve=reserve)
    return words.text("supplies", "oxygen", minutes=int(minutes), reserve=reserve)


def fluid_sentences(intake: Intake, words: Words) -> list[str]:
    """Return the fluid so far against the plan; a published rule only for comparison."""
    ml = round(intake.ml)
    if intake.target_ml is not None and intake.share is not None:
        share = round(100 * intake.share)
        said = [words.text("fluids", "target", ml=ml, target=round(intake.target_ml), share=share)]
    else:
        said = [words.text("fluids", "no_target", ml=ml)]
    if intake.reference_ml is not None:
        said.append(words.text("fluids", "reference", reference=round(intake.reference_ml)))
    return said


def _number(value: float) -> str:
    return f"{value:.1f}".removesuffix(".0")


def _measure(slot: str, r: Range, words: Words) -> str:
    name = words.text("normal", "names", slot)
    if slot in SCALES:
        low, high = word(slot, r.low), word(slot, r.high)
        kind, unit = "word", ""
    else:
        low, high = _number(r.low), _number(r.high)
        kind, unit = "number", words.raw["normal"]["units"].get(slot, "")
    form = "same" if low == high else "range"
    return words.text("normal", f"{kind}_{form}", name=name, low=low, high=high, unit=unit)


def _morning(slot: str, r: Range, words: Words) -> str:
    name = words.text("normal", "names", slot).lower()
    low, high = word(slot, r.low), word(slot, r.high)
    form = "morning_same" if low == high else "morning"
    return words.text("normal", form, name=name, low=low, high=high)
