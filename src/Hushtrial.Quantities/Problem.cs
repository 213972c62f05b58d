using System.Globalization;

namespace Hushtrial.Quantities;

/// <summary>How much a problem matters.</summary>
public enum Severity
{
    /// <summary>Worth knowing; the result stands.</summary>
    Note,

    /// <summary>The result stands with the effect that is named.</summary>
    Warning,

    /// <summary>What the problem touches cannot be used.</summary>
    Error,
}

/// <summary>Something wrong with what the field brought: a value that is collected and shown, never thrown.</summary>
/// <param name="Code">A stable code: three letters for the room, a dash, three digits, for example 'REC-014'.</param>
/// <param name="Severity">How much it matters.</param>
/// <param name="Where">File and place: a byte, a second, or line and column.</param>
/// <param name="Found">What is there.</param>
/// <param name="Expected">What should be there.</param>
/// <param name="Remedy">What to do about it.</param>
/// <param name="EffectDecibels">Size of the effect on the result in dB, where it is known.</param>
public sealed record Problem(string Code, Severity Severity, string Where, string Found, string Expected, string Remedy, double? EffectDecibels = null)
{
    /// <summary>One line for a person: 'REC-014 error: file, byte 44: found …; expected …. What to do.'</summary>
    public override string ToString() => string.Create(CultureInfo.InvariantCulture,
        $"{Code} {Severity.ToString().ToLowerInvariant()}: {Where}: {Found}; expected {Expected}. {Remedy}");
}
