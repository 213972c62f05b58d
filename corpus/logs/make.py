#!/usr/bin/env python3
"""Makes the level logs of this folder and expected.json, the same every time: python3 corpus/logs/make.py

Every figure is invented. Levels come from a small generator of our own, are rounded as they are written, and the expected means
are computed here from the rounded values, with the textbook formula 10 lg(sum(t 10^(L/10)) / sum(t)): no line of the program is used.
The roles, times and problem codes expected are written down by hand, case by case, as a person reads the table."""
import datetime as dt, json, math, os

HERE = os.path.dirname(os.path.abspath(__file__))
CASES = []


def noise(seed, count, middle=85.0, width=3.0):
    """Levels that wander around a middle: a linear congruential generator, for the same values everywhere."""
    state, values, level = seed * 2654435761 % 2**32, [], 0.0
    for _ in range(count):
        state = (state * 1664525 + 1013904223) % 2**32
        level = 0.8 * level + (state / 2**32 - 0.5) * width
        values.append(round(middle + level, 1))
    return values


def mean(levels, seconds=None):
    pairs = [(l, t) for l, t in zip(levels, seconds or [1] * len(levels)) if l is not None]
    return round(10 * math.log10(sum(t * 10 ** (l / 10) for l, t in pairs) / sum(t for _, t in pairs)), 6)


def comma(value):
    return "" if value is None else f"{value}".replace(".", ",")


def clock(seconds, fraction=0):
    seconds %= 86400
    whole = int(seconds)
    text = f"{whole // 3600:02}:{whole // 60 % 60:02}:{whole % 60:02}"
    return text + (f"{seconds - whole:.{fraction}f}"[1:] if fraction else "")


def stamp(day, seconds, form="%Y-%m-%d %H:%M:%S"):
    return (dt.datetime.fromisoformat(day) + dt.timedelta(seconds=seconds)).strftime(form)


def case(name, text, roles, codes, encoding="utf-8", ends="\n", **expected):
    data = text if isinstance(text, bytes) else text.replace("\n", ends).encode(encoding)
    with open(os.path.join(HERE, name), "wb") as f:
        f.write(data)
    CASES.append({"file": name, "roles": {str(k): v for k, v in roles.items()}, "codes": sorted(codes), **expected})


def rows(*columns, delimiter=";"):
    return "".join(delimiter.join(f"{c}" for c in r) + "\n" for r in zip(*columns))


# Weightings by the formulas of IEC 61672-1:2013, Annex E (poles 20.598997, 107.65265, 737.86223, 12194.217 Hz), at exact midbands.
def weight(letter, f):
    def c(x):
        return x * x * 12194.217**2 / ((x * x + 20.598997**2) * (x * x + 12194.217**2))

    def a(x):
        return c(x) * x * x / math.sqrt((x * x + 107.65265**2) * (x * x + 737.86223**2))

    return 0 if letter == "Z" else 20 * math.log10({"A": a, "C": c}[letter](f) / {"A": a, "C": c}[letter](1000))


OCTAVES = [("31.5", -5), ("63", -4), ("125", -3), ("250", -2), ("500", -1), ("1000", 0), ("2000", 1), ("4000", 2), ("8000", 3)]
CABIN = [95, 104, 108, 100, 94, 88, 83, 76, 70]  # invented light-helicopter cabin, unweighted octaves
THIRDS = ["31.5", "40", "50", "63", "80", "100", "125", "160", "200", "250", "315", "400", "500", "630", "800", "1000", "1250", "1600", "2000", "2500", "3150", "4000", "5000", "6300", "8000", "10000"]


def octave_table(count, seed, letter="Z"):
    """Rows of octave levels under a weighting, and the A-, C- and Z-levels that they sum up to."""
    spectrum = [noise(seed + i, count, CABIN[i] + weight(letter, 1000 * 10 ** (0.3 * k)), 1.5) for i, (_, k) in enumerate(OCTAVES)]
    totals = {}
    for to in "ACZ":
        totals[to] = [round(10 * math.log10(sum(10 ** ((spectrum[i][r] - weight(letter, 1000 * 10 ** (0.3 * k)) + weight(to, 1000 * 10 ** (0.3 * k))) / 10)
                                                for i, (_, k) in enumerate(OCTAVES))), 1) for r in range(count)]
    return spectrum, totals


N = 60
A, MX, PK = noise(1, N), [round(v + 2.4, 1) for v in noise(1, N)], [round(v + 21, 1) for v in noise(1, N)]
LEVELS3 = {2: "LAeq", 3: "LAFmax", 4: "LCpeak"}
SECONDS = [clock(36000 + i) for i in range(N)]

# ---- good: dialects
case("good.german-semicolon.csv", "\ufeffDatum;Uhrzeit;LAeq [dB];LAFmax [dB];LCpeak [dB]\n" + rows([stamp("2026-05-14", 0, "%d.%m.%Y")] * N, SECONDS, map(comma, A), map(comma, MX), map(comma, PK)),
     {1: "date", 2: "clock", 3: "LAeq", 4: "LAFmax", 5: "LCpeak"}, ["LOG-021"], rows=N, interval_s=1, **{"from": "2026-05-14 10:00:00", "to": "2026-05-14 10:01:00"}, leq={"LAeq": mean(A)}, decimal="comma", delimiter="semicolon", date_order="day-month-year")
case("good.english-comma.csv", "Start time,LAeq,LAFmax,LCpeak\n" + rows([stamp("2026-05-14", 36000 + i) for i in range(N)], A, MX, PK, delimiter=","),
     {1: "time", **LEVELS3}, [], rows=N, interval_s=1, **{"from": "2026-05-14 10:00:00", "to": "2026-05-14 10:01:00"}, leq={"LAeq": mean(A)}, stamp="start", delimiter="comma")
case("good.french-tab-latin1.txt", "Temps écoulé (s)\tNiveau équivalent dB(A)\tNiveau de crête dB(C)\n" + rows(range(N), map(comma, A), map(comma, PK), delimiter="\t"),
     {1: "elapsed", 2: "LAeq", 3: "LCpeak"}, [], encoding="latin-1", rows=N, interval_s=1, **{"from": "0 s", "to": "60 s"}, leq={"LAeq": mean(A)}, encoding_found="latin-1", stamp="start")
case("good.spanish-utf16.txt", ("\ufeff" + "Fecha\tHora\tNivel equivalente dB(A)\tNivel máximo LAFmax\n" + rows([stamp("2026-05-14", 0, "%d/%m/%Y")] * N, SECONDS, map(comma, A), map(comma, MX), delimiter="\t")).encode("utf-16-le"),
     {1: "date", 2: "clock", 3: "LAeq", 4: "LAFmax"}, ["LOG-021"], rows=N, interval_s=1, leq={"LAeq": mean(A)}, encoding_found="utf-16-le", date_order="day-month-year", **{"from": "2026-05-14 10:00:00"})
case("good.utf16-big-endian.csv", ("Start time,LAeq\n" + rows([stamp("2026-05-14", 36000 + i) for i in range(N)], A, delimiter=",")).encode("utf-16-be"),
     {1: "time", 2: "LAeq"}, [], rows=N, interval_s=1, leq={"LAeq": mean(A)}, encoding_found="utf-16-be")
case("good.italian-points-in-clock.csv", "Ora;Livello equivalente dB(A);Livello di picco dB(C)\n" + rows([c.replace(":", ".") for c in SECONDS], map(comma, A), map(comma, PK)),
     {1: "clock", 2: "LAeq", 3: "LCpeak"}, ["LOG-021"], rows=N, interval_s=1, **{"from": "10:00:00", "to": "10:01:00"}, leq={"LAeq": mean(A)})
case("good.preamble-and-units.csv", "Level record\nInstrument;meter of class 2\nSerial;1234\nRange;30 to 130\nFrequency weighting;A\nInterval;00:00:01\nCalibrated;94.0\n\nStart;LAeq;LAFmax;LCpeak\nhh:mm:ss;dB;dB;dB\n" + rows(SECONDS, A, MX, PK),
     {1: "clock", **LEVELS3}, [], rows=N, interval_s=1, first_line=11, header_line=9, leq={"LAeq": mean(A)}, stamp="start")
O, T = octave_table(N, 20)
case("good.two-header-rows.csv", "Start time;LAeq;LZeq;;;;;;;;\n;;" + ";".join(f"{n} Hz" for n, _ in OCTAVES) + "\n" + rows(SECONDS, T["A"], *O),
     {1: "clock", 2: "LAeq", **{i + 3: f"LZeq {n} Hz octave" for i, (n, _) in enumerate(OCTAVES)}}, [], rows=N, interval_s=1, leq={"LAeq": mean(T["A"]), "LZeq 125 Hz octave": mean(O[2])})
case("good.octaves-unweighted.csv", "Start time;LAeq;" + ";".join(f"{n} Hz" for n, _ in OCTAVES) + "\n" + rows(SECONDS, T["A"], *O),
     {1: "clock", 2: "LAeq", **{i + 3: f"LZeq {n} Hz octave" for i, (n, _) in enumerate(OCTAVES)}}, [], rows=N, interval_s=1, leq={"LAeq": mean(T["A"]), "LZeq 63 Hz octave": mean(O[1])})
OA, TA = octave_table(N, 20, "A")
case("good.octaves-already-a-weighted.csv", "Start time;LAeq;" + ";".join(f"{n} Hz" for n, _ in OCTAVES) + "\n" + rows(SECONDS, TA["A"], *OA),
     {1: "clock", 2: "LAeq", **{i + 3: f"LAeq {n} Hz octave" for i, (n, _) in enumerate(OCTAVES)}}, [], rows=N, interval_s=1, leq={"LAeq": mean(TA["A"]), "LAeq 63 Hz octave": mean(OA[1])})
OC, TC = octave_table(N, 20, "C")
case("good.octaves-c-weighted-in-headers.csv", "Start time;LAeq;" + ";".join(f"LCeq {n} Hz" for n, _ in OCTAVES) + "\n" + rows(SECONDS, TC["A"], *OC),
     {1: "clock", 2: "LAeq", **{i + 3: f"LCeq {n} Hz octave" for i, (n, _) in enumerate(OCTAVES)}}, [], rows=N, interval_s=1, leq={"LAeq": mean(TC["A"]), "LCeq 63 Hz octave": mean(OC[1])})
TH = [noise(60 + i, N, 98 - 0.9 * i, 1.5) for i in range(len(THIRDS))]
BANDS3 = [10 ** (k / 10) for k in range(15, 41)]
THA = [round(10 * math.log10(sum(10 ** ((TH[i][r] + weight("A", BANDS3[i])) / 10) for i in range(len(THIRDS)))), 1) for r in range(N)]
case("good.thirds-under-bare-numbers.csv", "Start time,LAeq," + ",".join(THIRDS) + "\n" + rows(SECONDS, THA, *TH, delimiter=","),
     {1: "clock", 2: "LAeq", **{i + 3: f"LZeq {n} Hz third" for i, n in enumerate(THIRDS)}}, [], rows=N, interval_s=1, leq={"LAeq": mean(THA), "LZeq 100 Hz third": mean(TH[5])})
case("good.thirds-in-kilohertz.csv", "Start time;LAeq;" + ";".join(f"{float(n) / 1000:g}".replace(".", ",") + " kHz" if float(n) >= 1000 else n.replace(".", ",") + " Hz" for n in THIRDS) + "\n" + rows(SECONDS, map(comma, THA), *[map(comma, t) for t in TH]),
     {1: "clock", 2: "LAeq", **{i + 3: f"LZeq {n} Hz third" for i, n in enumerate(THIRDS)}}, [], rows=N, interval_s=1, leq={"LAeq": mean(THA), "LZeq 1250 Hz third": mean(TH[16])}, decimal="comma")
HEAD = "Start time;LAeq;LAFmax;LCpeak\n"
BODY = rows(SECONDS, A, MX, PK).splitlines(True)
case("good.header-on-every-page.txt", HEAD + "".join((HEAD if i and i % 20 == 0 else "") + line for i, line in enumerate(BODY)), {1: "clock", **LEVELS3}, ["LOG-031"], rows=N, interval_s=1, leq={"LAeq": mean(A)})
case("good.summary-at-the-end.csv", HEAD + "".join(BODY) + f"\nSummary\nLAeq;{mean(A):.1f}\nLAFmax;{max(MX)}\nDuration;00:01:00\n", {1: "clock", **LEVELS3}, ["LOG-032"], rows=N, interval_s=1, leq={"LAeq": mean(A)})
case("good.start-and-end.csv", "Beginn;Ende;LAeq;LAFmax\n" + rows([clock(36000 + 10 * i) for i in range(N)], [clock(36010 + 10 * i) for i in range(N)], map(comma, A), map(comma, MX)),
     {1: "clock", 2: "end", 3: "LAeq", 4: "LAFmax"}, [], rows=N, interval_s=10, **{"from": "10:00:00", "to": "10:10:00"}, leq={"LAeq": mean(A)})
case("good.am-pm.csv", "Date,Start time,LAeq\n" + rows([stamp("2026-05-14", 0, "%m/%d/%Y")] * N, [stamp("2026-05-14", 46770 + i, "%I:%M:%S %p") for i in range(N)], A, delimiter=","),
     {1: "date", 2: "clock", 3: "LAeq"}, [], rows=N, interval_s=1, **{"from": "2026-05-14 12:59:30", "to": "2026-05-14 13:00:30"}, leq={"LAeq": mean(A)}, date_order="month-day-year")
case("good.midnight.csv", "Start time;LAeq\n" + rows([clock(86370 + i) for i in range(N)], A), {1: "clock", 2: "LAeq"}, [], rows=N, interval_s=1, **{"from": "23:59:30", "to": "00:00:30"}, leq={"LAeq": mean(A)})
case("good.dates-over-midnight.csv", "Time;LAeq\n" + rows([stamp("2026-05-04", 86370 + i, "%d/%m/%Y %H:%M:%S") for i in range(N)], A), {1: "time", 2: "LAeq"}, ["LOG-021"], rows=N, interval_s=1, **{"from": "2026-05-04 23:59:30", "to": "2026-05-05 00:00:30"}, leq={"LAeq": mean(A)}, date_order="day-month-year")
case("good.eight-a-second.csv", "Start time;LAeq\n" + rows([clock(36000 + i / 8, 3) for i in range(N)], A), {1: "clock", 2: "LAeq"}, [], rows=N, interval_s=0.125, **{"from": "10:00:00", "to": "10:00:07.5"}, leq={"LAeq": mean(A)})
case("good.stamps-in-whole-seconds.csv", "Start time;LAeq\n" + rows([clock(36000 + i // 8) for i in range(64)], noise(5, 64)), {1: "clock", 2: "LAeq"}, [], rows=64, interval_s=0.125, **{"from": "10:00:00", "to": "10:00:08"}, leq={"LAeq": mean(noise(5, 64))})
case("good.decimals-in-quotes.csv", "Start time,LAeq,LAFmax\n" + rows(SECONDS, [f'"{comma(v)}"' for v in A], [f'"{comma(v)}"' for v in MX], delimiter=","), {1: "clock", 2: "LAeq", 3: "LAFmax"}, [], rows=N, interval_s=1, leq={"LAeq": mean(A)}, decimal="comma")
case("good.spaces.txt", "Date       Start time  LAeq   LAFmax\n" + "".join(f"2026-05-14 {s}    {a:5}  {m:5}\n" for s, a, m in zip(SECONDS, A, MX)), {1: "date", 2: "clock", 3: "LAeq", 4: "LAFmax"}, [], rows=N, interval_s=1, leq={"LAeq": mean(A)}, delimiter="space", **{"from": "2026-05-14 10:00:00"})
case("good.bars.txt", "Start time | LAeq | LAFmax\n-----------+------+-------\n" + rows(SECONDS, A, MX, delimiter=" | "), {1: "clock", 2: "LAeq", 3: "LAFmax"}, [], rows=N, interval_s=1, leq={"LAeq": mean(A)}, delimiter="bar")
AE = [round(v + 10 * math.log10(10), 1) for v in A]
case("good.exposure-levels.csv", "Start time;LAE\n" + rows([clock(36000 + 10 * i) for i in range(N)], AE), {1: "clock", 2: "LAE"}, [], rows=N, interval_s=10, leq={"LAE": round(mean(AE) - 10, 6)})
case("good.months-by-name.csv", "Start time;LAeq\n" + rows([stamp("2026-05-14", 36000 + i, "%d-May-%Y %H:%M:%S") for i in range(N)], A), {1: "time", 2: "LAeq"}, [], rows=N, interval_s=1, **{"from": "2026-05-14 10:00:00"}, leq={"LAeq": mean(A)})
case("good.months-in-german.csv", "Beginn;Mittelungspegel dB(A)\n" + rows([f"14. Mai 2026 {s}" for s in SECONDS], map(comma, A)), {1: "time", 2: "LAeq"}, [], rows=N, interval_s=1, **{"from": "2026-05-14 10:00:00"}, leq={"LAeq": mean(A)})
LENGTHS = [10 if i % 3 else 20 for i in range(N)]
STARTS = [36000 + sum(LENGTHS[:i]) for i in range(N)]
case("good.lengths-in-a-column.csv", "Start time;Duration;LAeq\n" + rows([clock(s) for s in STARTS], [clock(t) for t in LENGTHS], A), {1: "clock", 2: "interval", 3: "LAeq"}, ["LOG-030"], rows=N, leq={"LAeq": mean(A, LENGTHS)}, **{"from": "10:00:00", "to": clock(STARTS[-1] + LENGTHS[-1])})
case("good.elapsed-of-the-end.csv", "Elapsed time;LAeq\n" + rows([clock(i + 1) for i in range(N)], A), {1: "elapsed", 2: "LAeq"}, [], rows=N, interval_s=1, **{"from": "0 s", "to": "60 s"}, leq={"LAeq": mean(A)}, stamp="end")
case("good.percentiles.csv", "Start time;LAeq;LAF10;LAF50;LAF90;LAFmax;LAFmin\n" + rows(SECONDS, A, [round(v + 1, 1) for v in A], [round(v - .2, 1) for v in A], [round(v - 1.5, 1) for v in A], MX, [round(v - 3, 1) for v in A]),
     {1: "clock", 2: "LAeq", 3: "LAF10", 4: "LAF50", 5: "LAF90", 6: "LAFmax", 7: "LAFmin"}, [], rows=N, interval_s=1, leq={"LAeq": mean(A), "LAF90": None})
case("good.thousands.csv", "Verstrichen s;LAeq\n" + rows([f"{i // 2 + 900:,}".replace(",", ".") + ("," + "05"[i % 2]) for i in range(2 * N + 200)], map(comma, noise(9, 2 * N + 200))), {1: "elapsed", 2: "LAeq"}, [], rows=2 * N + 200, interval_s=0.5, leq={"LAeq": mean(noise(9, 2 * N + 200))}, **{"from": "900 s", "to": "1060 s"})
case("good.units-in-cells.csv", "Start time;LAeq\n" + rows(SECONDS, [f"{v} dB" for v in A]), {1: "clock", 2: "LAeq"}, [], rows=N, interval_s=1, leq={"LAeq": mean(A)})
case("good.slow-and-fast.csv", "Start time;LAeq;LAF;LAS;LCeq;LAIeq\n" + rows(SECONDS, A, MX, A, [round(v + 8, 1) for v in A], MX), {1: "clock", 2: "LAeq", 3: "LAF", 4: "LAS", 5: "LCeq", 6: "LAIeq"}, [], rows=N, interval_s=1, leq={"LAeq": mean(A), "LCeq": mean([round(v + 8, 1) for v in A]), "LAF": None, "LAIeq": None})
case("good.weighting-in-preamble.csv", "Frequency weighting;C\n\nStart time;Leq\n" + rows(SECONDS, A), {1: "clock", 2: "LCeq"}, [], rows=N, interval_s=1, leq={"LCeq": mean(A)})
case("good.index-and-battery.csv", "No;Start time;LAeq;Battery;Temperature\n" + rows(range(1, N + 1), SECONDS, A, [3.9] * N, [21.5] * N), {1: "other", 2: "clock", 3: "LAeq", 4: "other", 5: "other"}, [], rows=N, interval_s=1, leq={"LAeq": mean(A)})

# ---- markers: what was not measured
OLS = [None if i in (5, 6, 30) else v for i, v in enumerate(A)]
case("odd.overload-words.csv", "Start time;LAeq\n" + rows(SECONDS, ["OL" if i in (5, 6) else "> 130" if i == 30 else v for i, v in enumerate(A)]), {1: "clock", 2: "LAeq"}, ["LOG-035"], rows=N, interval_s=1, leq={"LAeq": mean(OLS)}, overload_s={"LAeq": 3})
case("odd.overload-flag.csv", "Start time;LAeq;Overload\n" + rows(SECONDS, A, [1 if i in (5, 6, 30) else 0 for i in range(N)]), {1: "clock", 2: "LAeq", 3: "flag"}, ["LOG-035"], rows=N, interval_s=1, leq={"LAeq": mean(OLS)}, overload_s={"LAeq": 3})
UNDER = [30.0 if i in (1, 2, 3, 4) else v for i, v in enumerate(A)]
case("odd.under-range.csv", "Start time;LAeq\n" + rows(SECONDS, ["< 30" if i in (1, 2) else "<30.0" if i in (3, 4) else v for i, v in enumerate(A)]), {1: "clock", 2: "LAeq"}, ["LOG-036"], rows=N, interval_s=1, leq={"LAeq": mean(UNDER)}, under_s={"LAeq": 4})
case("odd.dashes.csv", "Start time;LAeq\n" + rows(SECONDS, ["—" if i == 5 else "---" if i == 6 else "" if i == 30 else v for i, v in enumerate(A)]), {1: "clock", 2: "LAeq"}, ["LOG-037"], rows=N, interval_s=1, leq={"LAeq": mean(OLS)}, lost_s={"LAeq": 3})
case("odd.fillers.csv", "Start time;LAeq\n" + rows(SECONDS, ["-999" if i == 5 else "0.0" if i == 6 else "999.9" if i == 30 else v for i, v in enumerate(A)]), {1: "clock", 2: "LAeq"}, ["LOG-038"], rows=N, interval_s=1, leq={"LAeq": mean(OLS)}, lost_s={"LAeq": 3})
case("odd.words-in-cells.csv", "Start time;LAeq\n" + rows(SECONDS, ["paused" if i in (5, 6, 30) else v for i, v in enumerate(A)]), {1: "clock", 2: "LAeq"}, ["LOG-034"], rows=N, interval_s=1, leq={"LAeq": mean(OLS)}, lost_s={"LAeq": 3})

# ---- odd: rows and clocks that are not as they should be, and can be read
case("odd.missing-rows.csv", HEAD + "".join(line for i, line in enumerate(BODY) if i not in (5, 6, 30)), {1: "clock", **LEVELS3}, ["LOG-030"], rows=N - 3, interval_s=1, leq={"LAeq": mean(OLS)}, missing_s=3)
case("odd.rows-twice.csv", HEAD + "".join(line * (2 if i in (5, 6) else 1) for i, line in enumerate(BODY)), {1: "clock", **LEVELS3}, ["LOG-039"], rows=N, interval_s=1, leq={"LAeq": mean(A)})
case("odd.date-stays.csv", "Date;Start time;LAeq\n" + rows(["2026-05-14"] * N, [clock(86370 + i) for i in range(N)], A), {1: "date", 2: "clock", 3: "LAeq"}, ["LOG-025"], rows=N, interval_s=1, leq={"LAeq": mean(A)}, **{"from": "2026-05-14 23:59:30", "to": "2026-05-15 00:00:30"})
case("odd.clock-never-set.csv", "Start time;LAeq\n" + rows([stamp("2000-01-01", 36000 + i) for i in range(N)], A), {1: "time", 2: "LAeq"}, [], rows=N, interval_s=1, leq={"LAeq": mean(A)}, **{"from": "2000-01-01 10:00:00"})
case("odd.last-line-cut.csv", (HEAD + "".join(BODY))[:-12], {1: "clock", **LEVELS3}, ["LOG-008"], rows=N - 1, interval_s=1, leq={"LAeq": mean(A[:-1])})
case("odd.remark-between-rows.csv", HEAD + "".join(BODY[:30]) + "Pause by the operator\n" + "".join(BODY[30:]), {1: "clock", **LEVELS3}, ["LOG-033"], rows=N, interval_s=1, leq={"LAeq": mean(A)})
case("odd.carriage-returns.csv", HEAD + "".join(BODY), {1: "clock", **LEVELS3}, [], ends="\r", rows=N, interval_s=1, leq={"LAeq": mean(A)})
case("odd.delimiter-at-the-end.csv", HEAD + "".join(line.replace("\n", ";\n") for line in BODY), {1: "clock", **LEVELS3}, [], rows=N, interval_s=1, leq={"LAeq": mean(A)})

# ---- bad: a question that only a person can answer, or nothing that can be read
case("bad.date-order.csv", "Start time;LAeq\n" + rows([stamp("2026-04-03", 36000 + i, "%d/%m/%Y %H:%M:%S") for i in range(N)], A), {1: "time", 2: "LAeq"}, ["LOG-020"], rows=N, answers={"date_order": "month-day-year"}, answered={"from": "2026-03-04 10:00:00", "codes": [], "leq": {"LAeq": mean(A)}})
case("bad.comma-inside-and-between.csv", "Start time,LAeq,LAFmax\n" + rows(SECONDS, map(comma, A), map(comma, MX), delimiter=","), {}, ["LOG-012"])
case("bad.two-decimal-marks.csv", "Start time;LAeq;LAFmax\n" + rows(SECONDS, A, map(comma, MX)), {1: "clock"}, ["LOG-013"], only=["LOG-013"])
case("bad.bands-of-unknown-weighting.csv", "Start time;" + ";".join(f"{n} Hz" for n, _ in OCTAVES) + "\n" + rows(SECONDS, *O), {1: "clock"}, ["LOG-015"], rows=N, answers={"bands": "Z"}, answered={"codes": [], "leq": {"LZeq 125 Hz octave": mean(O[2])}})
case("bad.bands-headed-otherwise.csv", "Start time;LAeq;" + ";".join(f"LZeq {n} Hz" for n, _ in OCTAVES) + "\n" + rows(SECONDS, TA["A"], *OA), {1: "clock", 2: "LAeq"}, ["LOG-016"], rows=N, answers={"bands": "A"}, answered={"codes": [], "leq": {"LAeq 125 Hz octave": mean(OA[2])}})
case("bad.maxima-alone.csv", "Start time;LAFmax;LCpeak\n" + rows(SECONDS, MX, PK), {1: "clock", 2: "LAFmax", 3: "LCpeak"}, ["LOG-040"], rows=N, leq={"LAFmax": None})
case("bad.momentary-levels.csv", "Frequency weighting;A\nTime weighting;Fast\n\nStart time;Level dB\n" + rows(SECONDS, MX), {1: "clock", 2: "LAF"}, ["LOG-040"], rows=N, leq={"LAF": None})
case("bad.level-without-words.csv", "Start time;Value\n" + rows(SECONDS, A), {1: "clock"}, ["LOG-014", "LOG-040"], rows=N, answers={"column": {"2": "LAeq"}}, answered={"codes": [], "leq": {"LAeq": mean(A)}})
case("bad.leq-without-weighting.csv", "Start time;Leq\n" + rows(SECONDS, A), {1: "clock"}, ["LOG-014"], rows=N, answers={"column": {"2": "LCeq"}}, answered={"codes": [], "leq": {"LCeq": mean(A)}})
case("bad.no-header.csv", rows(SECONDS, A), {1: "clock"}, ["LOG-014", "LOG-021", "LOG-040"], rows=N, answers={"column": {"2": "LAeq"}, "stamp": "end"}, answered={"codes": [], "leq": {"LAeq": mean(A)}, "from": "09:59:59"})
case("bad.two-microphones.csv", "Start time;LAeq;LAeq\n" + rows(SECONDS, A, MX), {1: "clock"}, ["LOG-018"], rows=N, answers={"column": {"3": "other"}}, answered={"codes": [], "leq": {"LAeq": mean(A)}})
case("bad.no-time.csv", "LAeq;LAFmax\n" + rows(A, MX), {1: "LAeq", 2: "LAFmax"}, ["LOG-019"], rows=N, answers={"interval": 2}, answered={"codes": [], "leq": {"LAeq": mean(A)}, "to": "120 s"})
case("bad.minutes-of-start-or-end.csv", "Time;LAeq\n" + rows([clock(36000 + 60 * i)[:5] for i in range(N)], A), {1: "clock", 2: "LAeq"}, ["LOG-021"], rows=N, interval_s=60, answers={"stamp": "end"}, answered={"codes": [], "from": "09:59:00", "to": "10:59:00", "leq": {"LAeq": mean(A)}})
AUTUMN = [stamp("2026-10-25", 10800 - 30 + i - (3600 if i >= 30 else 0)) for i in range(N)]
case("bad.summer-time-ends.csv", "Start time;LAeq\n" + rows(AUTUMN, A), {1: "time", 2: "LAeq"}, ["LOG-022"], rows=N, interval_s=1, answers={"clock_change": "summer-time"}, answered={"codes": [], "from": "2026-10-25 02:59:30", "to": "2026-10-25 03:00:30", "leq": {"LAeq": mean(A)}})
SPRING = [stamp("2026-03-29", 7200 - 30 + i + (3600 if i >= 30 else 0)) for i in range(N)]
case("bad.summer-time-begins.csv", "Start time;LAeq\n" + rows(SPRING, A), {1: "time", 2: "LAeq"}, ["LOG-022", "LOG-030"], rows=N, interval_s=1, answers={"clock_change": "summer-time"}, answered={"codes": [], "from": "2026-03-29 01:59:30", "to": "2026-03-29 02:00:30", "leq": {"LAeq": mean(A)}})
case("bad.zone-in-stamps.csv", "Start time;LAeq\n" + rows([stamp("2026-05-14", 36000 + i, "%Y-%m-%dT%H:%M:%SZ") for i in range(N)], A), {1: "time", 2: "LAeq"}, ["LOG-023"], rows=N, interval_s=1, answers={"run_zone": "+02:00"}, answered={"codes": [], "from": "2026-05-14 12:00:00", "leq": {"LAeq": mean(A)}})
TWELVE = [f"{(s // 3600 - 1) % 12 + 1:02}:{s // 60 % 60:02}:{s % 60:02}" for s in range(46770, 46770 + N)]
case("bad.twelve-hours-without-marks.csv", "Start time;LAeq\n" + rows(TWELVE, A), {1: "clock", 2: "LAeq"}, ["LOG-024"], rows=N, interval_s=1, answers={"half_of_day": "morning"}, answered={"codes": [], "from": "12:59:30", "to": "13:00:30", "leq": {"LAeq": mean(A)}})
case("bad.elapsed-begins-again.csv", "Elapsed time;LAeq\n" + rows([clock(i % 40) for i in range(N)], A), {1: "elapsed", 2: "LAeq"}, ["LOG-026"], rows=40, interval_s=1, leq={"LAeq": mean(A[:40])}, answers={"last_line": 41}, answered={"codes": [], "leq": {"LAeq": mean(A[:40])}})
case("bad.clock-set-back.csv", "Start time;LAeq\n" + rows([clock(36000 + i - (20 if i >= 40 else 0)) for i in range(N)], A), {1: "clock", 2: "LAeq"}, ["LOG-027"], rows=40, interval_s=1, leq={"LAeq": mean(A[:40])})
case("bad.steps-of-all-lengths.csv", "Start time;LAeq\n" + rows([clock(36000 + 3 * i**1.5, 3) for i in range(N)], A), {1: "clock", 2: "LAeq"}, ["LOG-028"], only=["LOG-028"])
case("bad.maximum-and-average-swapped.csv", "Start time;LAeq;LAFmax\n" + rows(SECONDS, MX, A), {1: "clock", 2: "LAeq", 3: "LAFmax"}, ["LOG-017"], rows=N)
case("bad.elapsed-or-clock.csv", "Zeit;LAeq\n" + rows([clock(i) for i in range(N)], A), {2: "LAeq"}, ["LOG-014"], rows=N, answers={"column": {"1": "elapsed"}}, answered={"codes": [], "from": "0 s", "leq": {"LAeq": mean(A)}})
case("bad.band-alone.csv", "Start time;LAeq;LZeq 125 Hz\n" + rows(SECONDS, A, MX), {1: "clock", 2: "LAeq"}, ["LOG-014"], rows=N, answers={"column": {"3": "LZeq 125 Hz third"}}, answered={"codes": [], "leq": {"LZeq 125 Hz third": mean(MX)}})
case("bad.empty.csv", b"", {}, ["LOG-001"])
case("bad.packed.csv", b"PK\x03\x04" + bytes(60), {}, ["LOG-002"])
case("bad.zero-bytes.csv", b"Time;LAeq\n10:00:00;8\x00.3\n" * 9, {}, ["LOG-002"])
case("bad.prose.txt", "We flew at ten.\nIt was loud, and then it was not.\nNobody wrote a number down.\n", {}, ["LOG-004"])

with open(os.path.join(HERE, "expected.json"), "w", encoding="utf-8") as f:
    json.dump(CASES, f, indent=1, ensure_ascii=False)
    f.write("\n")
print(len(CASES), "logs")
