using Hushtrial.Quantities;

namespace Hushtrial.Hearing.Speech;

/// <summary>What the index is calculated from: equivalent spectrum levels in the order of the procedure's bands.</summary>
/// <remarks>A spectrum level is the level in 1 Hz of bandwidth, referred to the field at the listener: band level − 10 lg of the bandwidth.</remarks>
public sealed record SpeechInput
{
    /// <summary>The procedure, which says what the bands are.</summary>
    public required SpeechProcedure Procedure { get; init; }

    /// <summary>Equivalent speech spectrum levels E'.</summary>
    public required IReadOnlyList<Level> Speech { get; init; }

    /// <summary>Equivalent noise spectrum levels N'.</summary>
    public required IReadOnlyList<Level> Noise { get; init; }

    /// <summary>Hearing threshold levels T', dB HL; empty for normal hearing.</summary>
    public IReadOnlyList<LevelDifference> Threshold { get; init; } = [];

    /// <summary>Another importance function than that of average speech; empty for the table's own.</summary>
    public IReadOnlyList<double> Importance { get; init; } = [];
}

/// <summary>One band of the calculation.</summary>
/// <param name="Midband">Nominal midband frequency.</param>
/// <param name="Masking">Equivalent masking spectrum level Z.</param>
/// <param name="Disturbance">Equivalent disturbance spectrum level D: the larger of masking and internal noise.</param>
/// <param name="LevelDistortion">L, 0…1: what overloud speech loses.</param>
/// <param name="Audibility">A = L·K, 0…1.</param>
/// <param name="Importance">Band importance I.</param>
public sealed record SpeechBand(Frequency Midband, Level Masking, Level Disturbance, double LevelDistortion, double Audibility, double Importance);

/// <summary>A speech intelligibility index.</summary>
/// <param name="Value">0 (nothing) to 1 (all).</param>
/// <param name="Bands">The bands.</param>
public sealed record SpeechResult(double Value, IReadOnlyList<SpeechBand> Bands);

/// <summary>The speech intelligibility index.</summary>
/// <remarks>Source: ANSI S3.5-1997, clauses 4 and 5. The disturbance is the larger of masking and internal noise, not their energy sum.</remarks>
public static class IntelligibilityIndex
{
    /// <summary>Nominal midband frequencies of a procedure, in band order.</summary>
    public static IReadOnlyList<Frequency> Midbands(SpeechProcedure procedure) => [.. SpeechTable.Of(procedure).Hertz.Select(Frequency.FromHertz)];

    /// <summary>The standard speech spectrum at 1 m in front of the talker.</summary>
    public static IReadOnlyList<Level> StandardSpeech(SpeechProcedure procedure, VocalEffort effort) =>
        [.. SpeechTable.Of(procedure).Speech[(int)effort].Select(Level.FromDecibels)];

    /// <summary>Spectrum level from band level: minus 10 lg of the bandwidth, (2^(1/6) − 2^(−1/6))·f for one-third octaves, f/√2 for octaves.</summary>
    /// <returns>One level per band of the procedure; bands the spectrum does not hold count as −80 dB.</returns>
    /// <exception cref="ArgumentException">The procedure's bands are not fractional octaves, or the spectrum is of the other kind.</exception>
    public static IReadOnlyList<Level> SpectrumLevels(Spectrum bands, SpeechProcedure procedure)
    {
        var fraction = procedure switch
        {
            SpeechProcedure.ThirdOctave => BandFraction.ThirdOctave,
            SpeechProcedure.Octave => BandFraction.Octave,
            _ => throw new ArgumentException("Only the octave and one-third-octave procedures take band levels.", nameof(procedure)),
        };
        if (bands.Fraction != fraction) throw new ArgumentException($"The procedure needs bands of {fraction}, the spectrum has {bands.Fraction}.", nameof(bands));
        return [.. SpeechTable.Of(procedure).Hertz.Select(f => bands[Band.FromNominal(fraction, f)!.Value] is { } level
            ? level - LevelDifference.FromDecibels(10 * Math.Log10(f * (fraction == BandFraction.Octave ? Math.Sqrt(0.5) : Math.Pow(2, 1 / 6.0) - Math.Pow(2, -1 / 6.0))))
            : Level.FromDecibels(-80))];
    }

    /// <summary>The index.</summary>
    /// <exception cref="ArgumentException">A list does not have one entry per band of the procedure.</exception>
    public static SpeechResult Of(SpeechInput input)
    {
        var table = SpeechTable.Of(input.Procedure);
        var bands = table.Hertz.Length;
        Require(input.Speech.Count, "speech levels");
        Require(input.Noise.Count, "noise levels");
        if (input.Threshold.Count > 0) Require(input.Threshold.Count, "thresholds");
        if (input.Importance.Count > 0) Require(input.Importance.Count, "importances");

        var speech = input.Speech.Select(l => l.Decibels).ToArray();
        var masking = Masking(table, input.Procedure, speech, [.. input.Noise.Select(l => l.Decibels)]);
        var result = new SpeechBand[bands];
        for (var i = 0; i < bands; i++)
        {
            var internalNoise = table.InternalNoise[i] + (input.Threshold.Count > 0 ? input.Threshold[i].Decibels : 0);
            var disturbance = Math.Max(masking[i], internalNoise);
            var distortion = Math.Clamp(1 - ((speech[i] - table.Speech[(int)VocalEffort.Normal][i] - 10) / 160), 0, 1);
            var audibility = Math.Clamp((speech[i] - disturbance + 15) / 30, 0, 1) * distortion;
            result[i] = new(Frequency.FromHertz(table.Hertz[i]), Level.FromDecibels(masking[i]), Level.FromDecibels(disturbance), distortion, audibility,
                input.Importance.Count > 0 ? input.Importance[i] : table.Importance[i]);
        }

        return new(result.Sum(b => b.Importance * b.Audibility), result);

        void Require(int count, string what)
        {
            if (count != bands) throw new ArgumentException($"The procedure has {bands} bands, but {count} {what} are given.", nameof(input));
        }
    }

    // 4.3.2: masking spreads upwards from each band; octaves are too wide for it and do without.
    private static double[] Masking(SpeechTable table, SpeechProcedure procedure, double[] speech, double[] noise)
    {
        if (procedure == SpeechProcedure.Octave) return noise;
        var masker = noise.Zip(speech, (n, e) => Math.Max(n, e - 24)).ToArray();
        var slope = masker.Select((b, i) => -80 + (0.6 * (b + table.BandwidthDecibels[i]))).ToArray();
        var masking = new double[noise.Length];
        masking[0] = masker[0];
        for (var i = 1; i < noise.Length; i++)
        {
            var sum = Math.Pow(10, 0.1 * noise[i]);
            for (var k = 0; k < i; k++)
                sum += Math.Pow(10, 0.1 * (masker[k] + (3.32 * slope[k] * Math.Log10(table.SpreadHertz[i] / table.UpperHertz[k]))));
            masking[i] = 10 * Math.Log10(sum);
        }

        return masking;
    }
}
