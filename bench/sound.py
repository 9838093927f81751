"""Small measures every bench tool shares.  Sound is float32 mono at 16 kHz."""

import numpy as np

RATE = 16_000
FRAME = 320  # 20 ms


def frame_rms(audio: np.ndarray) -> np.ndarray:
    """RMS of each whole 20 ms frame."""
    frames = audio[: len(audio) // FRAME * FRAME].reshape(-1, FRAME)
    return np.sqrt(np.mean(np.square(frames, dtype=np.float64), axis=1) + 1e-20)


def active(audio: np.ndarray, below_db: float = 30.0) -> np.ndarray:
    """Which 20 ms frames hold speech: those within ``below_db`` of the loud ones (95 %)."""
    rms = frame_rms(audio)
    return rms > np.quantile(rms, 0.95) * 10 ** (-below_db / 20)


def active_rms(audio: np.ndarray) -> float:
    """RMS over the frames that hold speech, so that pauses do not count."""
    if len(audio) < FRAME:
        return float(np.sqrt(np.mean(np.square(audio, dtype=np.float64)) + 1e-20))
    rms = frame_rms(audio)
    return float(np.sqrt(np.mean(np.square(rms[active(audio)]))))


def trim(audio: np.ndarray, pad_s: float = 0.3) -> np.ndarray:
    """Cut silence from both ends and leave ``pad_s`` of it, as an endpointer would."""
    frames = np.flatnonzero(active(audio, below_db=40.0))
    audio = audio[frames[0] * FRAME : (frames[-1] + 1) * FRAME] if len(frames) else audio
    return np.pad(audio, round(pad_s * RATE)).astype(np.float32)


def level(audio: np.ndarray, dbfs: float = -23.0) -> np.ndarray:
    """Scale so that the speech is at ``dbfs``; softer still if a peak would clip."""
    gain = 10 ** (dbfs / 20) / active_rms(audio)
    return (audio * min(gain, 0.99 / (np.abs(audio).max() + 1e-9))).astype(np.float32)
