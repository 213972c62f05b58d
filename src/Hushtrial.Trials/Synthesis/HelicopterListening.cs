using Hushtrial.Hearing.Audibility;
using Hushtrial.Hearing.Loudness;
using Hushtrial.Hearing.Speech;
using Hushtrial.Quantities;
using Hushtrial.Trials.Document;

namespace Hushtrial.Trials.Synthesis;

/// <summary>What the crew of the demo has to hear, all of it invented: a radio level, a door warning recorded on the ground, Birch in a quiet room with its electronics on and off,
/// and one take with the radio left on.</summary>
internal static class HelicopterListening
{
    private const int Rate = 48_000;
    private const double RadioLevelA = 78;
    private const double HornSeconds = 6;
    private const double RoomSeconds = 12;
    private const double RadioTake = 20;

    // A buzz whose A-weighted level is that of the stated radio speech while it sounds: see LevelOfCall.
    private const double CallLevel = 81.6;

    private static readonly Tone[] _horn = [new(3150, 96), new(6300, 78)];

    // Third octaves 20 Hz to 20 kHz: the room below 400 Hz, the hiss of Birch's electronics above.
    private static readonly double[] _roomAndHiss = [34, 34, 33, 32, 31, 30, 29, 28, 27, 26, 24, 22, 20, 12, 14, 17, 20, 22, 24, 25, 25, 25, 24, 23, 21, 18, 14, 10, 6, 2, -2];

    private static readonly LossCurve _hissOff = new((20, 0), (315, 0), (400, 60), (20000, 60));

    // Three calls of two seconds in twenty: 30 % of the time.
    private static readonly (double From, double To)[] _calls = [(3, 5), (9, 11), (15, 17)];

    public static IReadOnlyList<RecordingEntry> Entries { get; } =
        [new("door-warning", "door-warning.wav", null, null), new("quiet-room", "quiet-room.wav", null, null), new("f3-radio", "flight-3-radio.wav", 900, "F3")];

    public static ListeningPlan Plan { get; } = new(
        new(SoundWay.Headset, RadioLevelA, VocalEffort.Raised, [], 300, 3400, 2, ListeningRule.FixedVolume, "alder", "invented; as if read under Alder on the ground while the tower talked"),
        [new("door", "Door warning", "invented; above the left door, recorded on the ground at the open ear", SoundWay.Air, new("door-warning", 0.5, 5.5), new("door-warning", 6.5, 11.5), [], 1)],
        [new("birch-active", new("quiet-room", 1, 11), new("quiet-room", 13, 23))], 10);

    /// <summary>The take with the radio left on.</summary>
    public static TakeEntry Take(int number) => new(FormattableString.Invariant($"T{number:00}"), "F3", null, "alder", "F3-alder-radio", "f3-radio", 2, 2 + RadioTake, null, null, [], null,
        "radio as used, invented", null, null, "") { CommsOn = true };

    /// <summary>The recordings.</summary>
    public static IEnumerable<SyntheticRecording> Recordings(ulong seed, double ownNoise, double fullScale)
    {
        // Draws of their own: the flights keep the samples they had without these.
        var draws = new Draws(seed ^ 0x5EED_11E4UL);
        var quiet = new CabinNoise([.. _roomAndHiss.Select(_ => 8.0)], _horn);
        yield return Sound("door-warning.wav", quiet, [new(0, HornSeconds, _ => 0), new(HornSeconds, 2 * HornSeconds, _ => 80)], [], 2 * HornSeconds, steady: true);
        yield return Sound("quiet-room.wav", new(_roomAndHiss, []), [new(0, RoomSeconds, _ => 0), new(RoomSeconds, 2 * RoomSeconds, _hissOff.At)], [], 2 * RoomSeconds, steady: true);
        yield return Sound("flight-3-radio.wav", HelicopterCabin.Noise, [new(0, RadioTake + 4, HelicopterCabin.AlderPassive.At)],
            [.. _calls.Select(c => new RadioCall(2 + c.From, 2 + c.To, CallLevel))], RadioTake + 4, steady: false);

        SyntheticRecording Sound(string file, CabinNoise noise, IReadOnlyList<Stretch> stretches, IReadOnlyList<RadioCall> calls, double seconds, bool steady)
        {
            var samples = draws.Split();
            return new(file, Rate, (long)(seconds * Rate), sink =>
            {
                var own = samples.Copy();
                var wander = steady ? new LevelWander(seconds, 0.1, () => 0, 0, 0) : new LevelWander(seconds, 0.1, own.Normal, slowDeviation: 0.5, fastDeviation: 0.8);
                new NoiseSynthesis(Rate, noise, ownNoise, fullScale).Render((long)(seconds * Rate), stretches, wander, calls, own, s => sink(s));
            });
        }
    }

    /// <summary>What should come out.</summary>
    /// <param name="open">Truth of the open ear.</param>
    /// <param name="conditions">Truth of the conditions.</param>
    public static ListeningTruth Truth(TruthBands open, IReadOnlyDictionary<string, ConditionTruth> conditions)
    {
        var speech = SpeechSpectrum.AtLevel(SpeechSpectrum.Through(SpeechSpectrum.Standard(BandFraction.ThirdOctave, VocalEffort.Raised), Frequency.FromHertz(300), Frequency.FromHertz(3400)), Level.FromDecibels(RadioLevelA));
        var horn = Spectrum.Of(_horn.Select(t => KeyValuePair.Create(Band.FromNominal(BandFraction.ThirdOctave, t.Hertz)!.Value, Level.FromDecibels(t.Level))));
        Spectrum Left(string id) => Spectrum.Of(open.Bands.Select(b => KeyValuePair.Create(b.Key, Level.FromDecibels(b.Value - (id == TrialDocument.OpenEar ? 0 : conditions[id].GeneralBands[b.Key])))));
        var ids = conditions.Keys.Prepend(TrialDocument.OpenEar).ToList();
        var calls = _calls.Sum(c => c.To - c.From) / RadioTake;
        var underAlder = TruthBands.Of(HelicopterCabin.Noise, HelicopterCabin.AlderPassive.At).A;
        return new(RadioLevelA, ids.ToDictionary(i => i, i => SpeechSpectrum.Index(speech, Left(i)).Value, StringComparer.Ordinal),
            ids.ToDictionary(i => i, i => WarningSound.Judge(horn.Minus(Band.ThirdOctaves.ToDictionary(b => b, b => LevelDifference.FromDecibels(i == TrialDocument.OpenEar ? 0 : conditions[i].GeneralBands[b]))), Left(i),
                SoundField.Diffuse, AudibilityRule.Iso7731FromMemory).BestBand.Excess.Decibels, StringComparer.Ordinal),
            Band.ThirdOctaves.Where(b => b.NominalHertz is >= 500 and <= 8000).ToDictionary(b => b, b => _roomAndHiss[b.Index + 17]),
            calls, 10 * Math.Log10(1 + (calls * Math.Pow(10, (LevelOfCall() - underAlder) / 10))));
    }

    /// <summary>A-weighted level of the buzz while it sounds, dB: the mean over its sweep, 3 dB less for its swell of a rectified sine.</summary>
    private static double LevelOfCall() => CallLevel + (10 * Math.Log10(0.5)) + (10 * Math.Log10(Enumerable.Range(0, 360)
        .Average(d => Math.Pow(10, Weightings.At(FrequencyWeighting.A, Frequency.FromHertz(900 + (350 * Math.Sin(d * Math.PI / 180)))).Decibels / 10))));
}
