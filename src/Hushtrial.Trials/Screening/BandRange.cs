using Hushtrial.Quantities;

namespace Hushtrial.Trials.Screening;

/// <summary>The one-third-octave bands between two nominal frequencies, both included.</summary>
internal static class BandRange
{
    public static IReadOnlyList<Band> Between(double fromHertz, double toHertz) =>
        [.. Band.ThirdOctaves.Where(b => b.NominalHertz >= fromHertz && b.NominalHertz <= toHertz)];
}
