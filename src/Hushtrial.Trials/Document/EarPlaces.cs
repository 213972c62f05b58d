using Hushtrial.Hearing.EarTransfer;

namespace Hushtrial.Trials.Document;

/// <summary>The words of the trial document for where the ear microphone sat.</summary>
internal static class EarPlaces
{
    /// <summary>Every word, the place it stands for, and what it means.</summary>
    public static IReadOnlyList<(string Word, EarMicrophone Place, string Meaning)> All { get; } =
    [
        ("eardrum", EarMicrophone.Eardrum, "at the eardrum, as with a probe tube"),
        ("canal-entrance", EarMicrophone.OpenCanalEntrance, "at the entrance of the open ear canal"),
        ("blocked-canal-entrance", EarMicrophone.BlockedCanalEntrance, "at the entrance of the blocked ear canal"),
        ("concha", EarMicrophone.Concha, "in the concha"),
        ("under-cup", EarMicrophone.UnderCup, "inside the cup, away from the ear"),
    ];

    /// <summary>The place of a word; null for none.</summary>
    public static EarMicrophone? Of(string? word) => All.Where(p => p.Word == word).Select(p => (EarMicrophone?)p.Place).FirstOrDefault();

    /// <summary>The word of a place; null for none.</summary>
    public static string? Of(EarMicrophone? place) => All.Where(p => p.Place == place).Select(p => p.Word).FirstOrDefault();
}
