namespace Hushtrial.Hearing.Speech;

/// <summary>The four procedures of ANSI S3.5-1997, by the bands they use.</summary>
public enum SpeechProcedure
{
    /// <summary>21 critical bands (Table 1).</summary>
    CriticalBand,

    /// <summary>17 equally contributing critical bands (Table 2).</summary>
    EquallyContributing,

    /// <summary>18 one-third-octave bands, 160 Hz to 8 kHz (Table 3).</summary>
    ThirdOctave,

    /// <summary>6 octave bands, 250 Hz to 8 kHz (Table 4).</summary>
    Octave,
}

/// <summary>How loudly someone speaks.</summary>
public enum VocalEffort
{
    /// <summary>62.35 dB at 1 m.</summary>
    Normal,

    /// <summary>68.3 dB at 1 m.</summary>
    Raised,

    /// <summary>74.9 dB at 1 m.</summary>
    Loud,

    /// <summary>82.4 dB at 1 m.</summary>
    Shout,
}
