namespace Hushtrial.Hearing.Loudness;

/// <summary>The sound field in which levels hold.</summary>
public enum SoundField
{
    /// <summary>Plane wave from the front.</summary>
    Free,

    /// <summary>Sound from all directions alike, as in most cabins.</summary>
    Diffuse,
}
