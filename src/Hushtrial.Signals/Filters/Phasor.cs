using System.Numerics;

namespace Hushtrial.Signals.Filters;

/// <summary>A complex number for the many responses that a design looks at, in the plainest arithmetic.</summary>
/// <remarks><see cref="Complex"/> guards against overflow and lies in another library, where code compiled ahead of time cannot be laid open: ten
/// thousands of its calls were half of the start of a short command.</remarks>
internal readonly record struct Phasor(double Re, double Im)
{
    internal static Phasor One => new(1, 0);

    internal double Magnitude => Math.Sqrt((Re * Re) + (Im * Im));

    public static Phasor operator *(Phasor a, Phasor b) => new((a.Re * b.Re) - (a.Im * b.Im), (a.Re * b.Im) + (a.Im * b.Re));

    public static Phasor operator *(Phasor a, double b) => new(a.Re * b, a.Im * b);

    public static Phasor operator +(double a, Phasor b) => new(a + b.Re, b.Im);

    public static Phasor operator -(double a, Phasor b) => new(a - b.Re, -b.Im);

    public static Phasor operator /(Phasor a, Phasor b)
    {
        var size = 1 / ((b.Re * b.Re) + (b.Im * b.Im));
        return new(((a.Re * b.Re) + (a.Im * b.Im)) * size, ((a.Im * b.Re) - (a.Re * b.Im)) * size);
    }

    /// <summary>e to the power of i·angle.</summary>
    internal static Phasor Of(double angle)
    {
        var (sine, cosine) = Math.SinCos(angle);
        return new(cosine, sine);
    }

    /// <summary>1 − feedback1·z − feedback2·z²: the denominator of a section.</summary>
    internal static Phasor Section(Phasor z, double feedback1, double feedback2) =>
        new(1 - (z.Re * feedback1) - (((z.Re * z.Re) - (z.Im * z.Im)) * feedback2), -(z.Im * feedback1) - (2 * z.Re * z.Im * feedback2));

    internal Complex ToComplex() => new(Re, Im);
}
