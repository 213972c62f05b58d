using Hushtrial.Store.Library;
using Hushtrial.Trials.Document;
using Hushtrial.Trials.Leading;
using Hushtrial.Trials.Planning;
using Hushtrial.Web.Language;
using Hushtrial.Web.Pages;
using Hushtrial.Web.Recordings;

namespace Hushtrial.Web.Capturing;

/// <summary>An ear microphone of a capture.</summary>
/// <param name="Channel">Channel of the capture, from 0.</param>
/// <param name="Id">Identity in the trial.</param>
/// <param name="Ear">'left' or 'right'; null when not stated.</param>
internal sealed record LeadEar(int Channel, string Id, string? Ear);

/// <summary>A trial as the leading card needs it, at one revision.</summary>
/// <param name="Stored">The stored trial.</param>
/// <param name="Whole">Whether the document can be read: else there is nothing to lead through.</param>
/// <param name="Document">The document; a stand-in with the microphones alone while it cannot be read.</param>
/// <param name="FullScale">Level of 0 dB re full scale by channel, dB; 0 where nothing is calibrated.</param>
/// <param name="Absolute">Whether every ear microphone of the capture is calibrated.</param>
internal sealed record LeadTrial(StoredTrial Stored, bool Whole, TrialDocument Document, IReadOnlyDictionary<string, double> FullScale, bool Absolute)
{
    /// <summary>The microphone that a trial without any gets from a capture: the first channel is the ear's.</summary>
    public static DraftEdit.Add OnlyEar { get; } = new("channels", [new("id", "ear"), new("where", "ear"), new("number", "1")]);

    /// <summary>Reads a trial for a capture with so many channels.</summary>
    public static LeadTrial Of(StoredTrial stored, int channels, CalibrationDesk calibrations)
    {
        var whole = stored.Draft.Read().Document ?? (stored.Draft.Ids("channels").Count == 0 ? stored.Draft.Apply(OnlyEar).Draft?.Read().Document : null);
        var document = whole ?? SoundPart.Of(stored.Draft);
        if (!document.Channels.Any(c => !c.Outside && c.Number <= channels)) document = document with { Channels = [new ChannelEntry("ear", false, null, 1, [])] };
        document = document with { Channels = [.. document.Channels.Where(c => c.Number <= channels)] };
        var view = calibrations.Of(stored);
        var ears = document.Channels.Where(c => !c.Outside).ToList();
        var absolute = ears.TrueForAll(e => view.FullScale(e.Id) is not null);
        return new(stored, whole is not null, document, document.Channels.ToDictionary(c => c.Id, c => absolute ? view.FullScale(c.Id) ?? 0 : 0, StringComparer.Ordinal), absolute);
    }

    /// <summary>A-weighted level at the open ear in takes of earlier captures, the loudest, dB; null without any that is calibrated.</summary>
    public double? OpenBefore { get; init; }

    /// <summary>The ear microphones.</summary>
    public IReadOnlyList<LeadEar> Ears { get; } = [.. Document.Channels.Where(c => !c.Outside).OrderBy(c => c.Number).Select(c => new LeadEar(c.Number - 1, c.Id, c.Ear))];

    /// <summary>Whether names are hidden behind codes.</summary>
    public bool Blind => KeptOrder.Told(Document, "codes") is not null && KeptOrder.Told(Document, "codes_revealed") is null;

    /// <summary>Whether a condition is one of the trial's, or the open ear.</summary>
    public bool Knows(string? condition) => condition == TrialDocument.OpenEar || Document.Conditions.Any(c => c.Id == condition);

    /// <summary>The run that is led through: the one chosen, or the only one.</summary>
    public string? RunOf(string? chosen) => Document.Runs.Any(r => r.Id == chosen) ? chosen : Whole && Document.Runs is [var only] ? only.Id : null;

    /// <summary>What the card calls a condition: its code and mode while names are hidden, else its name.</summary>
    public (string Name, string Mode) Name(Tongue t, KeptOrder order, string condition)
    {
        if (condition == TrialDocument.OpenEar) return (t["Open ear"], "");
        var entry = Document.Conditions.First(c => c.Id == condition);
        if (!Blind || !order.Codes.TryGetValue(condition, out var code)) return (TakeRows.Name(Stored.Draft, t, condition), "");
        var several = Document.Conditions.Where(c => c.Device == entry.Device).Select(c => c.Mode).Distinct(StringComparer.Ordinal).Count() > 1;
        return (code, several ? t[entry.Mode] : "");
    }

    /// <summary>What the bare ear has had.</summary>
    /// <param name="measured">A-weighted level at the open ear as measured in this session, dB; null when it was not, or is not calibrated.</param>
    /// <param name="bare">Time without protection.</param>
    public OpenEarSoFar OpenEar(double? measured, TimeSpan bare) => OpenEarRules.Of(Document, measured, OpenBefore, bare);
}
