namespace Hushtrial.Signals.Levels;

/// <summary>What counts as nothing.</summary>
internal static class Stillness
{
    /// <summary>No signal is that small; recursions that ring out after digital silence stop here, before subnormal numbers slow them down.</summary>
    internal const double Below = 1e-100;
}
