"""The JSON line of one utterance."""

from typing import Any

from voicelog.grammar import Parse
from voicelog.recognition.protocol import Recognition


def line(file: str, start_ms: int, found: Recognition) -> dict[str, Any]:
    """Return what ``--json`` prints for an utterance of a recording."""
    return {
        "file": file,
        "start_ms": start_ms,
        "outcome": found.outcome,
        "slots": found.slots,
        "text": found.text,
        "confidence": round(found.confidence, 4),
        "alternatives": list(found.alternatives),
        "audio_ms": found.audio_ms,
        "decode_ms": found.decode_ms,
    }


def from_text(parse: Parse, decode_ms: float) -> Recognition:
    """Return a typed sentence's meaning in the form of a recognition."""
    return Recognition(
        outcome=parse.outcome,
        slots=parse.slots,
        alternatives=parse.alternatives,
        text=parse.text,
        note=parse.note,
        confidence=parse.clear if parse.outcome == "understood" else 0.0,
        woken=parse.woken,
        decode_ms=round(decode_ms),
    )


def sentence(found: Recognition) -> str:
    """Return one readable line: what was heard and what it means."""
    said = f"“{found.text}”" if found.text else "(nothing)"
    if found.outcome == "understood":
        meaning = ", ".join(f"{slot} {value}" for slot, value in found.slots.items())
        note = f" “{found.note}”" if found.note else ""
        return f"{said}: {meaning or 'the wake phrase'}{note}"
    if found.outcome == "ask":
        choices = " or ".join(
            ", ".join(f"{slot} {value}" for slot, value in table.items())
            for table in found.alternatives
        )
        return f"{said}: not sure{', ' + choices + '?' if choices else ''}"
    return f"{said}: not understood"
