using Hushtrial.Quantities;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Results;

namespace Hushtrial.Tests.Samples;

/// <summary>The document behind <see cref="Helicopter"/>: who, what, when; takes and level histories by formula.</summary>
internal static class HelicopterDocument
{
    private static readonly string[] _order = ["open", "alder", "birch-off", "birch-on", "open", "cedar-on", "alder", "open", "birch-on", "birch-off", "cedar-on", "open"];

    public static TrialDocument Document() => new()
    {
        Schema = 1,
        Identity = new("Four ways to keep a helicopter out of the ear", "Which headset to buy for the medical crew", "M. Example", "Valley base, over the lower lake", "12 and 13 May",
            "The crew’s own money", "None; all four were bought in a shop", "Calm air on both days."),
        Quantity = MeasuredQuantity.InsertionLoss,
        Design = TrialDesign.Sequential,
        MarginSet = "12 May, before the first flight",
        Noise = [new("Vehicle", "light twin-engine helicopter"), new("Phase", "level cruise"), new("Rotor rpm", "394"), new("Speed", "120 kt"), new("Altitude", "900 m"), new("Doors", "closed"), new("Averaging time", "20 s")],
        Chain = [new("Recorder", "two-channel field recorder"), new("Bit depth", "24"), new("Rate", "48 kHz"), new("Gain", "fixed, tape over the knob"), new("Automatic functions", "off; two-level tone on 12 May")],
        Comms = [new("State", "intercom off during takes"), new("Squelch", "closed")],
        Fitting = [new("Fitted by", "the wearer"), new("Order", "balanced, drawn before the first flight")],
        Channels = [new("ear", false, "left", 1, [new("Type", "miniature electret"), new("Position", "at the entrance of the open canal"), new("Cable", "flat, under the cushion behind the ear")], 30, "quiet", 5, 25),
            new("cabin", true, null, 2, [new("Position", "headrest")])],
        Recordings = [new("rec-1", "flight-1.wav", 0, "flight-1"), new("rec-2", "flight-2.wav", 0, "flight-2"), new("quiet", "quiet.wav", null, null)],
        Calibrations = [new("ear", CalibrationKind.Tone, "cal", 2, 12, 94, 1000, FrequencyWeighting.Z, 0.25, false, 95.2, "before", "line 40, column 3"),
            new("ear", CalibrationKind.Tone, "cal2", 2, 12, 94, 1000, FrequencyWeighting.Z, 0.25, false, 95.1, "after", "line 46, column 3")],
        Devices =
        [
            new("alder", "Alder", DeviceKind.OverEar, true, 410, 9.5, [new("Age", "two years"), new("Cushions", "gel, new in April")], null),
            new("birch", "Birch", DeviceKind.OverEar, true, 385, 8.8, [new("Age", "new"), new("Battery", "full at each start"), new("Firmware", "2.4")],
                new([], null, [new("snr", 27)], [new("up-to", 30, null, "active", "up to 30 dB quieter lows", "birch-on")], "leaflet in the box")),
            new("cedar", "Cedar", DeviceKind.OverEar, true, 340, null, [new("Age", "new"), new("Battery", "full at each start")], null),
            new("dogwood", "Dogwood", DeviceKind.InCanal, false, 8, null, [new("Age", "moulded in March")], new([new(Band.Octave(-3), 17.5, 4.3)], 16, [new("snr", 29)], [], "data sheet of the moulded plug")),
        ],
        Conditions = [new("alder", "alder", "passive", []), new("birch-off", "birch", "passive", []), new("birch-on", "birch", "active", []), new("cedar-on", "cedar", "active", []), new("dogwood", "dogwood", "passive", [])],
        Wearers = [new("w1", "the paramedic", [new("Spectacles", "none"), new("Ears", "looked at by the crew’s physician: healthy")])],
        Runs = [new("flight-1", "Flight 1", [new("Date", "12 May")]), new("flight-2", "Flight 2", [new("Date", "13 May")])],
        Takes = [.. Entries("flight-1"), .. Entries("flight-2")],
    };

    public static List<TakeResult> Takes(TrialDocument document) => [.. document.Takes.Select((t, i) =>
    {
        var a = LevelOf(t.Condition) + (0.6 * Helicopter.Wobble(i, 5));
        return new TakeResult(t, t.Excluded is null, (t.From + t.To) / 2, 20, a, a + 9,
            Helicopter.Bands.ToDictionary(b => b, b => Helicopter.Open(b)),
            t.Excluded is null ? [] : [new Problem("SCR-004", Severity.Warning, $"{t.Recording}, {t.Id}", "a radio call for 4 s, 9 dB above the rest", "steady noise", "The take is left out.", 1.3)]);
    })];

    public static List<RunHistory> Histories() => [History("flight-1", "rec-1", 1), History("flight-2", "rec-2", 2)];

    private static double LevelOf(string condition) => Helicopter.OpenA - condition switch { "open" => 0, "alder" => 15.5, "birch-off" => 17.2, "birch-on" => 24.5, _ => 23.4 };

    private static IEnumerable<TakeEntry> Entries(string run)
    {
        for (var i = 0; i < _order.Length; i++)
        {
            double from = 40 + (i * 75);
            var open = _order[i] == "open";
            var device = open ? null : _order[i].Split('-')[0];
            for (var k = 0; k < 2; k++)
                yield return new($"{run[^1]}.{i + 1}{"ab"[k]}", run, null, _order[i], open ? null : $"{device}-{(run == "flight-2" ? 3 : i < 6 ? 1 : 2)}", run == "flight-1" ? "rec-1" : "rec-2",
                    from + (k * 26), from + 20 + (k * 26), null, null, [], null, null, run == "flight-2" && i == 5 && k == 1 ? "radio call" : null, null, $"line {100 + i}, column 3");
        }
    }

    private static RunHistory History(string run, string recording, int seed)
    {
        var levels = new List<double?>();
        for (var i = 0; i < 1000; i++)
        {
            var slot = Math.Clamp((i - 25) / 75, 0, _order.Length - 1);
            var into = (i - 25) % 75;
            var between = into is > 62 or < 4 && slot > 0;
            levels.Add(LevelOf(_order[slot]) + (between ? 3 * Helicopter.Wobble(i, seed) : 0.7 * Helicopter.Wobble(i, seed)) + (seed == 2 && i is > 446 and < 452 ? 9 : 0));
        }
        return new(run, recording, 1, 0, levels);
    }
}
