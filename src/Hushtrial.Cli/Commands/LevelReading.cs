using System.Globalization;
using System.Text.Json;
using Hushtrial.Quantities;
using Hushtrial.Signals.Levels;
using Hushtrial.Signals.Recordings;

namespace Hushtrial.Cli.Commands;

/// <summary>How the levels of a span are told, to programs and to people.</summary>
/// <param name="File">The recording as named by the user.</param>
/// <param name="Samples">Its samples.</param>
/// <param name="Channel">Channel, from 1.</param>
/// <param name="From">Start, s.</param>
/// <param name="To">End, s.</param>
/// <param name="FullScale">Level of 0 dB re full scale, dB re 20 µPa; null: levels are re full scale.</param>
/// <param name="Span">What was measured.</param>
/// <param name="Spectrum">The narrow-band spectrum, when it was asked for.</param>
internal sealed record LevelReading(string File, SampleSource Samples, int Channel, double From, double To, double? FullScale, SpanLevels Span, NarrowBandSpectrum? Spectrum)
{
    private static readonly int[] _percentiles = [1, 5, 10, 50, 90, 95, 99];

    public void WriteJson(Utf8JsonWriter w)
    {
        w.WriteString("recording", File);
        w.WriteNumber("sample_rate", Samples.SampleRate);
        w.WriteNumber("channels", Samples.Channels);
        w.WriteNumber("channel", Channel);
        w.WriteStartObject("span");
        w.WriteNumber("from", From);
        w.WriteNumber("to", To);
        w.WriteEndObject();
        w.WriteBoolean("calibrated", FullScale is not null);
        w.WriteString("reference", FullScale is not null ? "20 uPa" : "full scale");
        Object(w, "leq", ("a", Leq(FrequencyWeighting.A)), ("c", Leq(FrequencyWeighting.C)), ("z", Leq(FrequencyWeighting.Z)));
        Object(w, "max", ("af", Max(FrequencyWeighting.A, TimeWeighting.Fast)), ("as", Max(FrequencyWeighting.A, TimeWeighting.Slow)),
            ("cf", Max(FrequencyWeighting.C, TimeWeighting.Fast)), ("cs", Max(FrequencyWeighting.C, TimeWeighting.Slow)));
        w.WriteStartObject("percentiles");
        Object(w, "af", [.. _percentiles.Select(n => (n.ToString(CultureInfo.InvariantCulture), InDecibels(Span.Percentile(n))))]);
        w.WriteEndObject();
        Number(w, "sel_a", SoundExposureLevel);
        Number(w, "peak_c", PeakC);
        Bands(w, "bands", Span.Thirds);
        Bands(w, "octaves", Span.Octaves);
        if (Span.History is { } history) WriteHistory(w, history);
        if (Spectrum is { } spectrum) WriteSpectrum(w, spectrum);
    }

    public void WriteText(TextWriter t)
    {
        var reference = FullScale is null ? "dB re full scale (not calibrated)" : "dB re 20 µPa";
        t.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{File}: channel {Channel}, {From:0.###} s to {To:0.###} s, {Samples.SampleRate} Hz; levels in {reference}"));
        t.WriteLine($"  LAeq {Text(Leq(FrequencyWeighting.A))}   LCeq {Text(Leq(FrequencyWeighting.C))}   LZeq {Text(Leq(FrequencyWeighting.Z))}");
        t.WriteLine($"  LAFmax {Text(Max(FrequencyWeighting.A, TimeWeighting.Fast))}   LASmax {Text(Max(FrequencyWeighting.A, TimeWeighting.Slow))}   LAE {Text(SoundExposureLevel)}   LCpeak {Text(PeakC)}");
        t.WriteLine("  " + string.Join("   ", new[] { 10, 50, 90 }.Select(n => $"LAF{n} {Text(InDecibels(Span.Percentile(n)))}")));
        t.WriteLine();
        t.WriteLine("  one-third octave      Leq");
        foreach (var band in Span.Thirds) t.WriteLine($"  {band.Band,12}  {Text(InDecibels(band.MeanSquare)),12}{(band.Valid ? "" : "  not valid: " + band.Reason)}");
    }

    private double? InDecibels(double meanSquare) => Level.FromMeanSquareRatio(meanSquare)?.Decibels + (FullScale ?? 0);

    private double? Leq(FrequencyWeighting weighting) => InDecibels(Span.MeanSquare(weighting));

    private double? Max(FrequencyWeighting weighting, TimeWeighting time) => InDecibels(Span.MaxMeanSquare(weighting, time));

    private double? SoundExposureLevel => InDecibels(Span.SoundExposure);

    private double? PeakC => InDecibels(Span.PeakC * Span.PeakC);

    private static string Text(double? level) => level is { } l ? string.Create(CultureInfo.InvariantCulture, $"{l:0.0} dB").Replace('-', '−') : "silence";

    private void Bands(Utf8JsonWriter w, string name, IReadOnlyList<BandLevel> bands)
    {
        w.WriteStartArray(name);
        foreach (var band in bands)
        {
            w.WriteStartObject();
            w.WriteNumber("midband_hz", band.Band.NominalHertz);
            Number(w, "leq", InDecibels(band.MeanSquare));
            w.WriteBoolean("valid", band.Valid);
            if (band.Reason is not null) w.WriteString("reason", band.Reason);
            w.WriteEndObject();
        }
        w.WriteEndArray();
    }

    private void WriteHistory(Utf8JsonWriter w, BlockHistory history)
    {
        // One column per entry of 'bands', so that a band that is not valid stays in its place, as null.
        var thirds = Span.Thirds.Select(b => history.Bands.Index().Where(h => h.Item == b.Band).Select(h => history.Third(h.Index)).FirstOrDefault()).ToList();
        w.WriteStartObject("history");
        w.WriteNumber("step_s", history.StepSeconds);
        Series("af", history.FastA);
        Series("as", history.SlowA);
        Series("leq_a", history.MeanSquareA);
        w.WriteStartArray("bands");
        for (var i = 0; i < history.Count; i++)
        {
            w.WriteStartArray();
            foreach (var third in thirds) Value(w, third is null ? null : InDecibels(third[i]));
            w.WriteEndArray();
        }
        w.WriteEndArray();
        w.WriteEndObject();

        void Series(string name, IReadOnlyList<float> values)
        {
            w.WriteStartArray(name);
            foreach (var value in values) Value(w, InDecibels(value));
            w.WriteEndArray();
        }
    }

    private void WriteSpectrum(Utf8JsonWriter w, NarrowBandSpectrum spectrum)
    {
        w.WriteStartObject("spectrum");
        w.WriteNumber("resolution_hz", spectrum.Resolution);
        w.WriteNumber("noise_bandwidth_hz", spectrum.NoiseBandwidth);
        // Level of the density re 1 Hz; the value at index i belongs to i times the resolution.
        w.WriteStartArray("density_db_per_hz");
        foreach (var density in spectrum.Density) Value(w, InDecibels(density));
        w.WriteEndArray();
        w.WriteEndObject();
    }

    private static void Object(Utf8JsonWriter w, string name, params (string Name, double? Value)[] members)
    {
        w.WriteStartObject(name);
        foreach (var (member, value) in members) Number(w, member, value);
        w.WriteEndObject();
    }

    private static void Number(Utf8JsonWriter w, string name, double? value)
    {
        w.WritePropertyName(name);
        Value(w, value);
    }

    // Six decimals keep reruns on other processors equal; nothing measured is finer than 0.001 dB.
    private static void Value(Utf8JsonWriter w, double? value)
    {
        if (value is { } v) w.WriteNumberValue(Math.Round(v, 6));
        else w.WriteNullValue();
    }
}
