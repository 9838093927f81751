"""Who speaks in the bench: every voice, where it comes from and how natural it is.

Licences and packages are in README.md.  ``held_out`` voices speak only in the
test split, so that nothing is tuned on them.
"""

from dataclasses import dataclass
from pathlib import Path
from typing import Literal

CACHE = Path(__file__).parent / ".cache"

Engine = Literal["kokoro", "piper", "pico", "flite", "festival", "espeak"]


@dataclass(frozen=True)
class Voice:
    """One speaker.

    Args:
        name: id in the manifest, ``engine:speaker``.
        engine: which synthesiser says it.
        speaker: the synthesiser's own name for the voice.
        natural: a neural voice.
        accent: the English it speaks ("us", "gb", ...) or its first language.
        held_out: speaks only in the test split.
    """

    engine: Engine
    speaker: str
    natural: bool
    accent: str = "us"
    held_out: bool = False

    @property
    def name(self) -> str:
        return f"{self.engine}:{self.speaker}"


VOICES: tuple[Voice, ...] = (
    Voice("kokoro", "af_heart", natural=True),
    Voice("flite", "slt", natural=False),
    Voice("kokoro", "am_michael", natural=True),
    Voice("kokoro", "bf_emma", natural=True, accent="gb"),
    Voice("espeak", "en-us", natural=False),
    Voice("kokoro", "bm_george", natural=True, accent="gb"),
    Voice("kokoro", "af_nicole", natural=True),  # speaks close to a whisper
    Voice("pico", "en-US", natural=False),
    Voice("kokoro", "am_puck", natural=True),
    Voice("festival", "cmu_us_slt_arctic_hts", natural=False),
    Voice("kokoro", "ef_dora", natural=True, accent="spanish"),
    Voice("flite", "rms", natural=False),
    Voice("kokoro", "hm_omega", natural=True, accent="hindi"),
    Voice("kokoro", "af_bella", natural=True),
    Voice("festival", "kal_diphone", natural=False),
    Voice("espeak", "en-gb-x-rp+f3", natural=False, accent="gb"),
    Voice("kokoro", "jf_alpha", natural=True, accent="japanese"),
    Voice("kokoro", "am_onyx", natural=True),
    Voice("piper", "en_US-joe-medium", natural=True, held_out=True),
    Voice("kokoro", "bf_lily", natural=True, accent="gb", held_out=True),
    Voice("kokoro", "am_fenrir", natural=True, held_out=True),
    Voice("kokoro", "zf_xiaoxiao", natural=True, accent="mandarin", held_out=True),
    Voice("pico", "en-GB", natural=False, accent="gb", held_out=True),
    Voice("flite", "awb", natural=False, accent="scottish", held_out=True),
    Voice("festival", "ked_diphone", natural=False, held_out=True),
    Voice("espeak", "en-gb-scotland", natural=False, accent="scottish", held_out=True),
)
