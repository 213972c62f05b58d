using Hushtrial.Quantities;

namespace Hushtrial.Hearing.Loudness;

/// <summary>A calculated loudness.</summary>
/// <param name="Total">Total loudness.</param>
/// <param name="Level">Loudness level.</param>
/// <param name="Specific">Specific loudness N'(z), sone/Bark, at the critical-band rates 0.1, 0.2 … 24.0 Bark: 240 values.</param>
/// <param name="Field">The field the levels hold for.</param>
public sealed record LoudnessResult(Sone Total, Phon Level, IReadOnlyList<double> Specific, SoundField Field);

/// <summary>Loudness of a steady sound from its one-third-octave levels.</summary>
/// <remarks>Source: ISO 532-1:2017, clause 5 (method for stationary sounds, Zwicker). The levels are those of the sound field, not of
/// the ear canal: convert in-ear levels first.</remarks>
public static class StationaryLoudness
{
    private const int LowBands = 11;
    private const int CriticalBands = 20;
    private const double Step = 0.1;

    // A little above a tenth's multiples, so that the sum of steps lands on the band limits (ISO 532-1, program).
    private const double LimitMargin = 0.0001;

    /// <summary>The 28 one-third-octave bands the method needs, 25 Hz to 12.5 kHz.</summary>
    public static IReadOnlyList<Band> Bands { get; } = [.. Enumerable.Range(-16, 28).Select(Band.ThirdOctave)];

    /// <summary>The loudness of a steady sound.</summary>
    /// <param name="thirdOctaves">One-third-octave levels, dB re 20 µPa; holds at least <see cref="Bands"/>, further bands play no part.
    /// A band without sound is given a level of −60 dB.</param>
    /// <param name="field">The field the levels hold for.</param>
    /// <exception cref="ArgumentException">A needed band is missing.</exception>
    public static LoudnessResult Of(Spectrum thirdOctaves, SoundField field)
    {
        var levels = Bands.Select(b => thirdOctaves[b]?.Decibels
            ?? throw new ArgumentException($"The band at {b} is missing; the method needs 25 Hz to 12.5 kHz.", nameof(thirdOctaves))).ToArray();
        var (total, specific) = AddSlopes(CoreLoudness(levels, field));
        var sone = Sone.FromValue(total);
        return new(sone, sone.ToPhon(), specific, field);
    }

    /// <summary>5.3 and 5.4: low-frequency corrections, critical-band levels, core loudness of 20 bands and a 21st of zero that closes the scale.</summary>
    private static double[] CoreLoudness(double[] levels, SoundField field)
    {
        var energy = new double[LowBands];
        for (var i = 0; i < LowBands; i++) energy[i] = Math.Pow(10, 0.1 * CorrectedLowBand(levels[i], i));
        double[] lowCriticalBands = [energy[..6].Sum(), energy[6..9].Sum(), energy[9..11].Sum()];

        var core = new double[CriticalBands + 1];
        for (var i = 0; i < CriticalBands; i++)
        {
            var level = i < 3 ? 10 * Math.Log10(Math.Max(lowCriticalBands[i], 1e-30)) : levels[i + 8];
            level -= ZwickerTables.EarTransmission[i];
            if (field == SoundField.Diffuse) level += ZwickerTables.DiffuseField[i];
            var threshold = ZwickerTables.Threshold[i];
            if (level <= threshold) continue;
            level -= ZwickerTables.Bandwidth[i];
            const double s = 0.25;
            core[i] = Math.Max(0, 0.0635 * Math.Pow(10, 0.025 * threshold)
                * (Math.Pow(1 - s + (s * Math.Pow(10, 0.1 * (level - threshold))), 0.25) - 1));
        }

        // The lowest critical band: the threshold depends on the course within the band.
        core[0] *= Math.Min(1, 0.4 + (0.32 * Math.Pow(core[0], 0.2)));
        return core;
    }

    private static double CorrectedLowBand(double level, int band)
    {
        var range = 0;
        while (range < ZwickerTables.LowBandRanges.Length - 1
            && level > ZwickerTables.LowBandRanges[range] - ZwickerTables.LowBandCorrections[range][band]) range++;
        return level + ZwickerTables.LowBandCorrections[range][band];
    }

    /// <summary>5.5 and 5.6: unmasked upper slopes, total loudness and specific loudness in steps of 0.1 Bark.</summary>
    private static (double Total, double[] Specific) AddSlopes(double[] core)
    {
        var specific = new double[240];
        var (total, z, reached, height, index, range) = (0.0, Step, 0.0, 0.0, 0, ZwickerTables.SlopeRanges.Length - 1);
        for (var i = 0; i < core.Length; i++)
        {
            var limit = ZwickerTables.UpperLimits[i] + LimitMargin;
            var steepness = Math.Clamp(i - 1, 0, 7);
            while (reached < limit)
            {
                double end, endHeight;
                if (height <= core[i])
                {
                    // The plateau of a band as loud as the slope that comes from below, or louder.
                    if (height < core[i]) range = FirstRangeBelow(core[i]);
                    (end, endHeight) = (limit, core[i]);
                    total += endHeight * (end - reached);
                    for (; z <= end && index < specific.Length; z += Step) specific[index++] = endHeight;
                }
                else
                {
                    // A stretch of the slope: down to the next range, to the plateau or to the band's limit.
                    var slope = ZwickerTables.Slopes[range][steepness];
                    endHeight = Math.Max(ZwickerTables.SlopeRanges[range], core[i]);
                    end = reached + ((height - endHeight) / slope);
                    if (end > limit) (end, endHeight) = (limit, height - ((limit - reached) * slope));
                    total += (end - reached) * (height + endHeight) / 2;
                    for (; z <= end && index < specific.Length; z += Step) specific[index++] = height - ((z - reached) * slope);
                }

                while (range < ZwickerTables.SlopeRanges.Length - 1 && endHeight <= ZwickerTables.SlopeRanges[range]) range++;
                (reached, height) = (end, endHeight);
            }
        }

        return (Math.Max(0, total), specific);
    }

    private static int FirstRangeBelow(double specificLoudness)
    {
        var range = 0;
        while (range < ZwickerTables.SlopeRanges.Length - 1 && ZwickerTables.SlopeRanges[range] > specificLoudness) range++;
        return range;
    }
}
