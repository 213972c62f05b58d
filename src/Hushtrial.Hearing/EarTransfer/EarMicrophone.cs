namespace Hushtrial.Hearing.EarTransfer;

/// <summary>Where the microphone sits at the ear.</summary>
public enum EarMicrophone
{
    /// <summary>At the eardrum, as with a probe tube.</summary>
    Eardrum,

    /// <summary>At the entrance of the open ear canal.</summary>
    OpenCanalEntrance,

    /// <summary>At the entrance of the blocked ear canal.</summary>
    BlockedCanalEntrance,

    /// <summary>In the concha or on a band of the auricle.</summary>
    Concha,

    /// <summary>Inside a cup, away from the ear.</summary>
    UnderCup,
}
