"""Limits in words: what they are when a procedure opens, and what crossed one."""

from voicelog.dialogue.numerals import figures
from voicelog.dialogue.phrasing import Phrasing
from voicelog.dialogue.setting import Setting
from voicelog.dialogue.template import sentence
from voicelog.limits import Bound, Breach, Limit


def breach_sentence(phrasing: Phrasing, breach: Breach) -> str:
    """Return one sentence with the value, the limit, and whose limit it is."""
    says = phrasing.replies.says
    own = breach.whose == "plan"
    # On a limit that is itself too much, "above" would be untrue.
    if breach.side == "high":
        crossed = says.above_plan if own else says.above_other
        touched = says.not_under_plan if own else says.not_under_other
    else:
        crossed = says.below_plan if own else says.below_other
        touched = says.not_over_plan if own else says.not_over_other
    words = phrasing.slot(breach.slot)
    fields = {
        "name": words.name,
        "verb": words.verb or phrasing.replies.verb,
        "value": figures(breach.value),
        "limit": figures(breach.limit),
    }
    if not own:
        fields["whose"] = source_name(phrasing, breach.source)
    reply = touched if figures(breach.value) == figures(breach.limit) else crossed
    return reply.fill(fields)


def source_name(phrasing: Phrasing, source: str) -> str:
    """Return the short spoken name of a published source."""
    return phrasing.replies.sources.get(source, source)


def limits_told(setting: Setting, night: bool) -> str:
    """Return the limits said when a procedure opens, one short sentence each."""
    phrasing, manners = setting.phrasing, setting.manners
    sentences = []
    for slot in manners.told_at_night if night else manners.told:
        if slot == "depth_cm":
            # The measured depth, not the bound it may be passed by.
            if setting.depth is not None:
                sentences.append(phrasing.phrase(slot, setting.depth))
        elif slot in setting.limits:
            sentences.append(limit_phrase(phrasing, setting.limits[slot]))
    end = phrasing.replies.parts.end
    return " ".join(f"{sentence(text)}{end}" for text in sentences)


def limit_phrase(phrasing: Phrasing, limit: Limit) -> str:
    """Return a limit in words, and whose it is where it is not the plan's.

    Where one side is the plan's and the other published, only the plan's is said.
    """
    limit = _own_side(limit)
    words = phrasing.slot(limit.slot)
    template = words.limit or phrasing.replies.slot_limit
    high = limit.high.value if limit.high else 0.0
    text = template.say.format(
        name=words.name,
        range=_range(phrasing, limit),
        high=phrasing.value(limit.slot, high),
        unit=phrasing.unit(words, high),
    )
    bounds = [bound for bound in (limit.low, limit.high) if bound is not None]
    others = {source_name(phrasing, bound.source) for bound in bounds if bound.whose != "plan"}
    if not others:
        return text
    whose = phrasing.list_(sorted(others))
    return phrasing.replies.parts.limit_of.say.format(limit=text, whose=whose)


def _own_side(limit: Limit) -> Limit:
    low, high = limit.low, limit.high
    if low is None or high is None or low.whose == high.whose:
        return limit
    return limit.model_copy(update={"high" if low.whose == "plan" else "low": None})


def _range(phrasing: Phrasing, limit: Limit) -> str:
    parts = phrasing.replies.parts

    def said(bound: Bound) -> str:
        return phrasing.value(limit.slot, bound.value)

    if limit.low and limit.high:
        return parts.between.say.format(low=said(limit.low), high=said(limit.high))
    if limit.high:
        side = parts.at_most if limit.high.inclusive else parts.under
        return side.say.format(high=said(limit.high))
    if limit.low:
        side = parts.at_least if limit.low.inclusive else parts.over
        return side.say.format(low=said(limit.low))
    return ""
