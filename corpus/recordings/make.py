#!/usr/bin/env python3
"""Makes the recordings of this folder, byte for byte the same every time: python3 corpus/recordings/make.py

good.*: one sound in many dresses. Channel 1 is a 1 kHz sine whose peak is 6 dB below full scale (rms -9.01 dB),
channel 2 a 500 Hz sine with its peak at -12 dB (-15.01 dB), further channels repeat these two; 0.05 s.
bad.<fault>.*: the same sound with one fault each; messages.txt pins what is said of them.
Written with nothing but the standard library, from the formats' descriptions and not from the program's writer."""
import math, os, struct

HERE = os.path.dirname(os.path.abspath(__file__))
RATE, FRAMES = 48000, 2400


def sound(channels, frames=FRAMES, rate=RATE):
    peak = [10 ** (-6 / 20), 10 ** (-12 / 20)]
    freq = [1000, 500]
    return [peak[c % 2] * math.sin(2 * math.pi * freq[c % 2] * n / rate) for n in range(frames) for c in range(channels)]


def integers(values, bits, bytes_each, big=False, unsigned=False):
    out = bytearray()
    for v in values:
        n = max(-(1 << bits - 1), min((1 << bits - 1) - 1, round(v * (1 << bits - 1)))) << (8 * bytes_each - bits)
        if unsigned:
            n += 1 << (8 * bytes_each - 1)
        out += n.to_bytes(bytes_each, "big" if big else "little", signed=not unsigned)
    return bytes(out)


def floats(values, code):
    return struct.pack(code[0] + str(len(values)) + code[1], *values)


def chunk(name, body, pad=True, size=None):
    return name + struct.pack("<I", len(body) if size is None else size) + body + (b"\0" if pad and len(body) % 2 else b"")


def fmt(tag=1, channels=1, rate=RATE, bits=16, frame=None, byte_rate=None, extra=b""):
    frame = channels * ((bits + 7) // 8) if frame is None else frame
    byte_rate = rate * channels * ((bits + 7) // 8) if byte_rate is None else byte_rate
    return struct.pack("<HHIIHH", tag, channels, rate, byte_rate & 0xFFFFFFFF, frame, bits) + extra


def extension(valid, mask, tag, tail=bytes.fromhex("000000001000800000aa00389b71")):
    return struct.pack("<HHI", 22, valid, mask) + struct.pack("<H", tag) + tail


def wave(*chunks, form=b"RIFF", size=None):
    body = b"WAVE" + b"".join(chunks)
    return form + struct.pack("<I", len(body) if size is None else size) + body


def pcm(bits=16, channels=1, rate=RATE, frames=FRAMES):
    return integers(sound(channels, frames, rate), bits, (bits + 7) // 8, unsigned=bits <= 8)


def simple(bits=16, channels=1, rate=RATE, **fields):
    return wave(chunk(b"fmt ", fmt(channels=channels, rate=rate, bits=bits, **fields)), chunk(b"data", pcm(bits, channels, rate)))


def ds64(riff, data, frames):
    return chunk(b"ds64", struct.pack("<QQQI", riff, data, frames, 0))


def rf64(form):
    data = pcm(24, 2)
    body = ds64(4 + 36 + 24 + 8 + len(data), len(data), FRAMES) + chunk(b"fmt ", fmt(channels=2, bits=24)) + b"data" + b"\xff" * 4 + data
    return form + b"\xff" * 4 + b"WAVE" + body


def w64(format_body, data, size=None):
    tail = bytes.fromhex("f3acd3118cd100c04f8edb8a")
    def part(name, body, stated=None):
        whole = name + tail + struct.pack("<Q", 24 + len(body) if stated is None else stated) + body
        return whole + b"\0" * (-len(whole) % 8)
    body = part(b"fmt ", format_body) + part(b"data", data, size)
    return b"riff" + bytes.fromhex("2e91cf11a5d628db04c10000") + struct.pack("<Q", 40 + len(body)) + b"wave" + tail + body


def extended(rate):
    exponent = rate.bit_length() - 1
    return struct.pack(">HQ", 16383 + exponent, rate << (63 - exponent)) if rate else b"\0" * 10


def aiff(bits, data, channels=1, compression=None, rate=RATE, frames=FRAMES, common=True, sound_size=None, rate_bytes=None, extra=b""):
    def part(name, body, size=None):
        return name + struct.pack(">I", len(body) if size is None else size) + body + (b"\0" if len(body) % 2 else b"")
    comm = struct.pack(">HIH", channels, frames, bits) + (rate_bytes or extended(rate))
    body = b"AIFF"
    if compression is not None:
        comm += compression + b"\0\0"
        body = b"AIFC" + part(b"FVER", struct.pack(">I", 0xA2805140))
    body += (part(b"COMM", comm) if common else b"") + extra + part(b"SSND", struct.pack(">II", 0, 0) + data, sound_size)
    return b"FORM" + struct.pack(">I", len(body)) + body


def bext():
    text = b"Cabin, channel 1 at the ear".ljust(256, b"\0") + b"Recorder".ljust(32, b"\0") + b"".ljust(32, b"\0")
    return chunk(b"bext", text + b"2024-05-17" + b"09:30:00" + struct.pack("<Q", 48000 * 34200) + struct.pack("<H", 1) + b"\0" * 254)


def cues():
    points = b"".join(struct.pack("<II4sIII", i, at, b"data", 0, 0, at) for i, at in ((1, 480), (2, 1920)))
    label = lambda i, text: chunk(b"labl", struct.pack("<I", i) + text + b"\0")
    return chunk(b"cue ", struct.pack("<I", 2) + points) + chunk(b"LIST", b"adtl" + label(2, b"device off") + label(1, b"open ear"))


LIST = chunk(b"LIST", b"INFO" + chunk(b"ISFT", b"anybody's\0"))
ODD = chunk(b"junk", b"\1\2\3\4\5")
F16, F24 = chunk(b"fmt ", fmt()), chunk(b"fmt ", fmt(bits=24))
D16, D24 = chunk(b"data", pcm()), chunk(b"data", pcm(24))
ONE = sound(1)

FILES = {
    "good.pcm8.wav": simple(8),
    "good.pcm16.wav": simple(16),
    "good.pcm24.wav": simple(24),
    "good.pcm32.wav": simple(32),
    "good.pcm12-in-16.wav": wave(chunk(b"fmt ", fmt(bits=12)), chunk(b"data", integers(ONE, 12, 2))),
    "good.float32.wav": wave(chunk(b"fmt ", fmt(tag=3, bits=32)), chunk(b"data", floats(ONE, "<f"))),
    "good.float64.wav": wave(chunk(b"fmt ", fmt(tag=3, bits=64)), chunk(b"data", floats(ONE, "<d"))),
    "good.stereo16.wav": simple(16, 2),
    "good.stereo24.wav": simple(24, 2),
    "good.six-channels24.wav": simple(24, 6),
    "good.rate192.wav": simple(16, 1, 192000),
    "good.rate44.wav": simple(16, 1, 44100),
    "good.extensible24.wav": wave(chunk(b"fmt ", fmt(tag=0xFFFE, channels=2, bits=24, extra=extension(24, 3, 1))), chunk(b"data", pcm(24, 2))),
    "good.extensible20-in-24.wav": wave(chunk(b"fmt ", fmt(tag=0xFFFE, bits=24, extra=extension(20, 4, 1))), chunk(b"data", integers(ONE, 20, 3))),
    "good.extensible-float.wav": wave(chunk(b"fmt ", fmt(tag=0xFFFE, bits=32, extra=extension(32, 4, 3))), chunk(b"data", floats(ONE, "<f"))),
    "good.broadcast24.wav": wave(bext(), F24, D24),
    "good.cues16.wav": wave(F16, D16, cues()),
    "good.list-before-fmt.wav": wave(LIST, F16, D16),
    "good.list-behind-data.wav": wave(F16, D16, LIST),
    "good.odd-chunk.wav": wave(ODD, F16, D16),
    "good.odd-data.wav": wave(F24, chunk(b"data", pcm(24, frames=2399)), LIST),
    "good.data-before-fmt.wav": wave(D16, F16),
    "good.zero-filled-sector.wav": wave(F16, D16) + b"\0" * 512,
    "good.rf64.wav": rf64(b"RF64"),
    "good.bw64.wav": rf64(b"BW64"),
    "good.wave64-24.w64": w64(fmt(bits=24), pcm(24)),
    "good.wave64-float.w64": w64(fmt(tag=3, bits=32), floats(ONE, "<f")),
    "good.aiff8.aiff": aiff(8, integers(ONE, 8, 1, big=True)),
    "good.aiff16.aiff": aiff(16, integers(sound(2), 16, 2, big=True), channels=2),
    "good.aiff24.aiff": aiff(24, integers(ONE, 24, 3, big=True)),
    "good.aiff20.aiff": aiff(20, integers(ONE, 20, 3, big=True)),
    "good.aifc-sowt16.aifc": aiff(16, integers(ONE, 16, 2), compression=b"sowt"),
    "good.aifc-float32.aifc": aiff(32, floats(ONE, ">f"), compression=b"fl32"),
    "good.aifc-float64.aifc": aiff(64, floats(ONE, ">d"), compression=b"FL64"),
    "good.aifc-in24.aifc": aiff(24, integers(ONE, 24, 3, big=True), compression=b"in24"),
    "good.markers.aiff": aiff(16, integers(ONE, 16, 2, big=True), extra=b"MARK" + struct.pack(">IH", 30, 2)
        + struct.pack(">HIB", 1, 480, 8) + b"open ear\0" + struct.pack(">HIB", 2, 1920, 3) + b"off" + b"\0\0"),

    "bad.empty.wav": b"",
    "bad.header-ends.wav": simple()[:10],
    "bad.text.wav": b"Time;LAeq\r\n09:30:00;94,2\r\n09:30:01;94,4\r\n",
    "bad.zip.wav": b"PK\3\4\x14\0\0\0\0\0" + b"\0" * 40,
    "bad.pdf.wav": b"%PDF-1.4\n%\xe2\xe3\xcf\xd3\n",
    "bad.picture.wav": b"\x89PNG\r\n\x1a\n" + b"\0" * 40,
    "bad.video.wav": b"RIFF" + struct.pack("<I", 60) + b"AVI LIST" + b"\0" * 52,
    "bad.flac-inside.wav": b"fLaC\0\0\0\x22" + b"\0" * 34,
    "bad.unknown-bytes.wav": bytes((37 * i * i + 11 * i + 129) % 251 for i in range(400)),
    "bad.no-format.wav": wave(D16),
    "bad.format-short.wav": wave(chunk(b"fmt ", fmt()[:14]), D16),
    "bad.extension-short.wav": wave(chunk(b"fmt ", fmt(tag=0xFFFE, bits=24, extra=b"\0\0")), D24),
    "bad.no-data.wav": wave(F16, LIST),
    "bad.no-frames.wav": wave(F16, chunk(b"data", b""), LIST),
    "bad.truncated.wav": simple(24)[: 44 + 3 * 1800],
    "bad.truncated-mid-frame.wav": simple(24, 2)[: 44 + 6 * 1800 + 4],
    "odd.power-lost.wav": wave(F24, chunk(b"data", pcm(24), size=0), size=0),
    "odd.piped.wav": wave(F24, chunk(b"data", pcm(24), size=0xFFFFFFFF), size=0xFFFFFFFF),
    "bad.claims-200-gb.wav": b"RF64" + b"\xff" * 4 + b"WAVE" + ds64(200_000_000_100, 200_000_000_000, 66_666_666_666) + F24 + b"data" + b"\xff" * 4 + pcm(24),
    "odd.length-too-small.wav": wave(F24, chunk(b"data", pcm(24), size=3 * 600)),
    "odd.half-frame.wav": wave(chunk(b"fmt ", fmt(channels=2)), chunk(b"data", pcm(16, 2) + b"\1\2")),
    "odd.pad-missing.wav": wave(chunk(b"junk", b"\1\2\3\4\5", pad=False), F16, D16),
    "odd.chunk-past-end.wav": wave(F16, D16, chunk(b"LIST", b"INFO", size=5000)),
    "odd.outer-length.wav": wave(F16, D16, size=1000),
    "odd.second-data.wav": wave(F16, D16, chunk(b"data", pcm(frames=100))),
    "bad.no-channels.wav": simple(16, 1)[:22] + b"\0\0" + simple(16, 1)[24:],
    "bad.rate-zero.wav": simple(16)[:24] + b"\0" * 4 + simple(16)[28:],
    "bad.rate-absurd.wav": wave(chunk(b"fmt ", fmt(rate=48_000_000)), D16),
    "bad.rate-low.wav": simple(16, 1, 8000),
    "odd.frame-bytes-wrong.wav": simple(24, 2, frame=4),
    "bad.frame-bytes-contradict.wav": simple(24, 2, frame=8, byte_rate=RATE * 8),
    "bad.mu-law.wav": wave(chunk(b"fmt ", fmt(tag=7, bits=8, extra=b"\0\0")), chunk(b"data", bytes(FRAMES))),
    "bad.adpcm.wav": wave(chunk(b"fmt ", fmt(tag=2, bits=4, frame=1024, byte_rate=24000, extra=b"\0\0")), chunk(b"data", bytes(1024))),
    "bad.codec-unknown.wav": wave(chunk(b"fmt ", fmt(tag=0xFFFE, bits=24, extra=extension(24, 4, 1, bytes(range(14))))), D24),
    "bad.bits-zero.wav": wave(chunk(b"fmt ", fmt(bits=0)), D16),
    "bad.bits-float16.wav": wave(chunk(b"fmt ", fmt(tag=3, bits=16)), D16),
    "odd.valid-bits.wav": wave(chunk(b"fmt ", fmt(tag=0xFFFE, bits=24, extra=extension(32, 4, 1))), D24),
    "bad.not-numbers.wav": wave(chunk(b"fmt ", fmt(tag=3, bits=32)), chunk(b"data", floats(ONE[:1200] + [math.nan, math.inf, -math.inf] + ONE[1203:], "<f"))),
    "odd.integers-as-float.wav": wave(chunk(b"fmt ", fmt(tag=3, bits=32)), chunk(b"data", floats([32768 * v for v in ONE], "<f"))),
    "bad.truncated.w64": w64(fmt(bits=24), pcm(24))[: 104 + 3 * 1500],
    "bad.no-data.w64": w64(fmt(bits=24), b"")[:80],
    "bad.truncated.aiff": aiff(16, integers(ONE, 16, 2, big=True))[: 54 + 2 * 1000],
    "bad.no-common.aiff": aiff(16, integers(ONE, 16, 2, big=True), common=False),
    "bad.rate-negative.aiff": aiff(16, integers(ONE, 16, 2, big=True), rate_bytes=struct.pack(">HQ", 0xC00E, 0xBB80 << 48)),
    "bad.mu-law.aifc": aiff(16, bytes(FRAMES), compression=b"ulaw"),
    "bad.other-iff.aiff": b"FORM" + struct.pack(">I", 100) + b"ILBM" + b"\0" * 96,
}

for name in sorted(os.listdir(HERE)):
    if name.startswith(("good.", "bad.", "odd.")) and name not in FILES:
        os.remove(os.path.join(HERE, name))
for name, content in FILES.items():
    with open(os.path.join(HERE, name), "wb") as f:
        f.write(content)
print(len(FILES), "files,", sum(map(len, FILES.values())), "bytes")
